"""Article numbers: what a till or a web shop calls a size, so that a basket can be filled from a plan.

A SKU is the shop's own. A GTIN is of 8, 12, 13 or 14 digits, the last of them a check digit (GS1 General
Specifications, 7.9 Check digits): the digits before it count 3 and 1 in turn, from the right.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from service.tailoring.garments.chart_faults import ChartFaults

SKU_LONGEST = 64
GTIN_LENGTHS = (8, 12, 13, 14)
GTIN_LONGEST = max(GTIN_LENGTHS)
_DIGITS = re.compile(rf"[0-9]{{1,{GTIN_LONGEST}}}")
_SHORTENED = re.compile(r"[0-9][.,]?[0-9]*[eE]\+?[0-9]+")
_GTIN_WANTED = "a GTIN has 8, 12, 13 or 14 digits and no other sign"


def check_digit(digits: str) -> int:
    """The check digit that belongs after these digits of a GTIN."""
    weighed = (int(digit) * (3 if at % 2 == 0 else 1) for at, digit in enumerate(reversed(digits)))
    return -sum(weighed) % 10


def article_numbers(row: Mapping[str, object], number: int, faults: ChartFaults) -> tuple[str | None, str | None]:
    """The SKU and the GTIN of a chart's row, None where it has none; what is wrong with them goes to `faults`."""
    sku, gtin = (str(row.get(column) or "").strip() or None for column in ("sku", "gtin"))
    if sku and (len(sku) > SKU_LONGEST or not sku.isprintable()):
        faults.add(number, "sku", f"up to {SKU_LONGEST} letters, digits and signs of one line are wanted")
    wrong = _wrong_gtin(gtin) if gtin else None
    if wrong:
        faults.add(number, "gtin", wrong)
    return sku, gtin


def check_told_apart(
    sizes: Iterable[tuple[int, str, str | None, str | None]], faults: ChartFaults, *, in_pairs: bool
) -> None:
    """Find what two sizes of a chart share: a basket could not tell which is meant.

    `sizes` are row, garment, SKU and GTIN. Of a suit that is sold `in_pairs` both garments may be one article.
    """
    seen: dict[tuple[str, str, str], int] = {}
    for row, garment, sku, gtin in sizes:
        for column, given in (("sku", sku), ("gtin", gtin)):
            if given is None:
                continue
            # A GTIN with zeros before it is the same one: in databases all have 14 digits.
            number = given.zfill(GTIN_LONGEST) if column == "gtin" else given
            first = seen.setdefault((column, garment if in_pairs else "", number), row)
            if first != row:
                faults.add(row, column, f"{given} is in row {first} already")


def _wrong_gtin(given: str) -> str | None:
    if _SHORTENED.fullmatch(given):
        return f"{given:.40} was shortened by a spreadsheet: keep the column as text"
    if not _DIGITS.fullmatch(given) or len(given) not in GTIN_LENGTHS:
        return f"{given!r:.40} is not one: {_GTIN_WANTED}"
    right = check_digit(given[:-1])
    if int(given[-1]) != right:
        return f"the check digit of {given} is wrong: after {given[:-1]} it is {right}"
    return None

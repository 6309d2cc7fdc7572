"""What makes the work on one garment longer than the catalogue counts: sides, pattern, cloth, lining, cut, old work."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from service.tailoring import tables
from service.tailoring.garments.alterations import Side
from service.tailoring.garments.pieces import GarmentPiece

# What a caller says of a line and not of its garment.
UNDONE_FIRST = "undone_first"


@dataclass(frozen=True, slots=True)
class MinuteFactor:
    """By how much minutes and the price of one alteration are multiplied in a circumstance, and why."""

    circumstance: str
    alteration: str
    minutes: Fraction
    price: Fraction
    words: str
    source: str


def factors_on(code: str, piece: GarmentPiece, side: Side | None, *, undone_first: bool) -> tuple[MinuteFactor, ...]:
    """Every factor that counts for the alteration `code` on `piece`; they multiply."""
    found = [_factor(code, circumstance) for circumstance in _circumstances(piece, side, undone_first=undone_first)]
    return tuple(factor for factor in found if factor)


@cache
def factors_of(code: str) -> tuple[MinuteFactor, ...]:
    """Every circumstance in which the alteration takes more or less than the catalogue counts, in the table's order."""
    known = dict.fromkeys(circumstance for circumstance, _ in _factor_table())
    return tuple(factor for circumstance in known for factor in (_factor(code, circumstance),) if factor)


def _factor(code: str, circumstance: str) -> MinuteFactor | None:
    return _factor_table().get((circumstance, code)) or _factor_table().get((circumstance, "any"))


def _circumstances(piece: GarmentPiece, side: Side | None, *, undone_first: bool) -> list[str]:
    said = {"pattern": piece.pattern, "lining": piece.lining, "cloth": piece.cloth, "style": piece.style}
    found = [circumstance for circumstance, part, word in _words() if _stands_in(word, said[part] or "")]
    if side is not None:
        found.append("both_sides" if side == "both" else "one_side")
    if undone_first:
        found.append(UNDONE_FIRST)
    return list(dict.fromkeys(found))


def _stands_in(word: str, said: str) -> bool:
    """Whether the word, or words, stand in what the order says; capitals do not matter."""
    return re.search(rf"(?<!\w){re.escape(word)}(?!\w)", said, re.IGNORECASE) is not None


@cache
def _words() -> tuple[tuple[str, str, str], ...]:
    return tuple((row["circumstance"], row["part"], row["word"]) for row in tables.rows("work/circumstances"))


@cache
def _factor_table() -> dict[tuple[str, str], MinuteFactor]:
    return {
        (row["circumstance"], row["alteration"]): MinuteFactor(
            circumstance=row["circumstance"],
            alteration=row["alteration"],
            minutes=Fraction(row["minutes_factor"]),
            price=Fraction(row["price_factor"]),
            words=row["words"],
            source=row["source"],
        )
        for row in tables.rows("work/minute_factors")
    }

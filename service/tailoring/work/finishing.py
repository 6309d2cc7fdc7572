"""Finishing: how hot a cloth may be pressed, where a crease runs, and the steps of pressing a garment.

The fibre is told by the words that an order has for its cloth. The garment's care label and the instructions of the
iron's maker stand over all of it.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass
from functools import cache

from service.tailoring import tables
from service.tailoring.garments.pieces import Pattern
from service.tailoring.quantities import Length, inches
from service.tailoring.refusals import Refusal

# Their fronts are fused, where nobody says otherwise: ready-made ones mostly are (trade press).
FUSED = ("jacket", "waistcoat")
PILE_WITHOUT_STEAM = "the pile bears steam only, its fibre none: brush it; steam only after a try where it is not seen"


@dataclass(frozen=True, slots=True)
class Heat:
    """What a cloth bears: at most so many degrees Celsius, as dots on the iron, with what steam and press cloth.

    `fibres` are those that its words name, the most delicate first; `cautions` are of all of them.
    """

    fibres: tuple[str, ...]
    most_c: int
    dots: str
    steam: str
    press_cloth: str
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PressingStep:
    """One step of pressing, how long it takes (`per` pair, leg, section or garment), and what to mind at it.

    Of a step that is a rest, the seconds are those of the rest.
    """

    words: str
    note: str
    seconds: tuple[int, int]
    per: str


def heat_of(cloth: str) -> Heat | None:
    """What a cloth bears by its words; in a blend the most delicate fibre decides. None where they name no fibre.

    None too where a share of them ("30 % ...") names a fibre that is not known: some bear no iron at all.
    """
    if _has_unknown_share(cloth):
        return None
    said = _words_of(cloth)
    return _heat([row for row in tables.rows("work/pressing_heat") if said & set(row["words"].split())])


def heat_of_fibres(fibres: Collection[str]) -> Heat | None:
    """What a cloth of these fibres bears; the most delicate decides, however small its share. None where none is said.

    Raises Refusal `fibre_unknown`, pointing at its place among them.
    """
    for i, fibre in enumerate(fibres):
        if fibre not in fibre_names():
            raise Refusal("fibre_unknown", (i,), allowed=fibre_names())
    return _heat([row for row in tables.rows("work/pressing_heat") if row["fibre"] in fibres])


@cache
def fibre_names() -> tuple[str, ...]:
    """The fibres whose heat is known."""
    return tuple(row["fibre"] for row in tables.rows("work/pressing_heat"))


def _words_of(text: str) -> set[str]:
    return set(re.findall(r"\w+", text.casefold()))


def _has_unknown_share(cloth: str) -> bool:
    """Whether a share in percent stands before (or after) words none of which is a known fibre."""
    parts = re.split(r"[0-9]+(?:[.,][0-9]+)?\s*%", cloth)
    if len(parts) == 1:
        return False
    shares = parts[1:] if _words_of(parts[-1]) else parts[:-1]
    known = {word for row in tables.rows("work/pressing_heat") for word in row["words"].split()}
    return any(not _words_of(share) & known for share in shares)


def careful_heat() -> Heat:
    """The most careful heat that there is: for a cloth of which nothing is known, not even by its care label."""
    coolest = min(int(row["most_c"]) for row in tables.rows("work/pressing_heat"))
    heat = _heat(
        [row for row in tables.rows("work/pressing_heat") if row["steam"] == "none" and row["most_c"] == str(coolest)]
    )
    if heat is None:
        raise LookupError("no fibre of the table is pressed dry at its lowest heat")
    return heat


def _heat(rows: list[dict[str, str]]) -> Heat | None:
    if not rows:
        return None
    found = sorted(rows, key=lambda row: -int(row["delicacy"]))
    coolest = min(found, key=lambda row: int(row["most_c"]))
    return Heat(
        tuple(row["fibre"] for row in found),
        int(coolest["most_c"]),
        coolest["dots"],
        PILE_WITHOUT_STEAM if _is_pile_without_steam(found) else found[0]["steam"],
        found[0]["press_cloth"],
        tuple(row["caution"] for row in found if row["caution"]),
    )


def _is_pile_without_steam(found: list[dict[str, str]]) -> bool:
    """Whether one of the rows is never touched by the iron, and another bears no steam."""
    return "never touches" in found[0]["steam"] and any(row["steam"].startswith("none") for row in found)


def creases_of(style: str, pattern: Pattern, *, turn_up: bool) -> tuple[str, ...]:
    """Where the creases of trousers run: by front and pleats, pattern and turn-up. Both fronts where none is said."""
    words = style.casefold()
    fronts = [name for name, said in (("flat", "flat" in words), ("pleated", "pleat" in words)) if said]
    wanted = {"always", *(fronts or ("flat", "pleated"))}
    wanted |= {"turn_up"} if turn_up else set()
    wanted |= {"patterned"} if pattern != "plain" else set()
    return _creases(wanted)


def creases_for(*, pleats: int | None, casual: bool, pattern: Pattern, turn_up: bool) -> tuple[str, ...]:
    """Where the creases run, by the number of pleats a leg (0: a flat front; None: not said, both rules)."""
    if casual:
        return _creases({"casual"})
    style = "" if pleats is None else "pleated" if pleats else "flat"
    return creases_of(style, pattern, turn_up=turn_up)


def _creases(wanted: set[str]) -> tuple[str, ...]:
    return tuple(row["words"] for row in tables.rows("work/creases") if row["when"] in wanted)


@cache
def pressing_steps(garment: str) -> tuple[PressingStep, ...]:
    """The steps of pressing a garment, in their order; none for one that the table does not know."""
    mine = (row for row in tables.rows("work/pressing_steps") if row["garment"] == garment)
    return tuple(
        PressingStep(row["words"], row["note"], (int(row["seconds_from"]), int(row["seconds_to"])), row["per"])
        for row in sorted(mine, key=lambda row: int(row["step"]))
    )


def finishing_rules(garment: str, heat: Heat | None, *, dark: bool) -> tuple[str, ...]:
    """How the iron is used, and how long the piece hangs; with what keeps dark cloth, and dark wool, from shining."""
    wanted = {"always", *(("crease", "pockets") if garment == "trousers" else ())}
    if dark:
        wanted.add("dark_wool" if heat and "wool" in heat.fibres else "dark")
    return tuple(row["words"] for row in tables.rows("work/finishing_rules") if row["when"] in wanted)


def crease_stop(*, pleats: int | None, casual: bool) -> Length | None:
    """How far below the band the front crease stops; None where it runs into a pleat, or where it is not told."""
    if casual or pleats is None or pleats:
        return None
    (below,) = (row["below_band_in"] for row in tables.rows("work/creases") if row["when"] == "flat")
    return Length(inches(float(below)), "in")

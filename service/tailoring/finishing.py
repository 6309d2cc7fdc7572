"""Finishing: how hot a cloth may be pressed, where a crease runs, and the steps of pressing a garment.

The fibre is told by the words that an order has for its cloth. The garment's care label and the instructions of the
iron's maker stand over all of it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from service.tailoring import tables
from service.tailoring.garment_pieces import Pattern


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
    """One step of pressing, and what to mind at it, if anything."""

    words: str
    note: str


def heat_of(cloth: str) -> Heat | None:
    """What a cloth bears by its words; in a blend the most delicate fibre decides. None where they name no fibre."""
    said = set(re.findall(r"\w+", cloth.casefold()))
    found = sorted(
        (row for row in tables.rows("pressing_heat") if said & set(row["words"].split())),
        key=lambda row: -int(row["delicacy"]),
    )
    if not found:
        return None
    coolest = min(found, key=lambda row: int(row["most_c"]))
    return Heat(
        tuple(row["fibre"] for row in found),
        int(coolest["most_c"]),
        coolest["dots"],
        found[0]["steam"],
        found[0]["press_cloth"],
        tuple(row["caution"] for row in found if row["caution"]),
    )


def creases_of(style: str, pattern: Pattern, *, turn_up: bool) -> tuple[str, ...]:
    """Where the creases of trousers run: by front and pleats, pattern and turn-up. Both fronts where none is said."""
    words = style.casefold()
    fronts = [name for name, said in (("flat", "flat" in words), ("pleated", "pleat" in words)) if said]
    wanted = {"always", *(fronts or ("flat", "pleated"))}
    wanted |= {"turn_up"} if turn_up else set()
    wanted |= {"patterned"} if pattern != "plain" else set()
    return tuple(row["words"] for row in tables.rows("creases") if row["when"] in wanted)


@cache
def pressing_steps(garment: str) -> tuple[PressingStep, ...]:
    """The steps of pressing a garment, in their order; none for one that the table does not know."""
    mine = (row for row in tables.rows("pressing_steps") if row["garment"] == garment)
    return tuple(PressingStep(row["words"], row["note"]) for row in sorted(mine, key=lambda row: int(row["step"])))

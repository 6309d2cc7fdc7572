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
from service.tailoring.garment_pieces import Pattern
from service.tailoring.refusals import Refusal


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
    """What a cloth bears by its words; in a blend the most delicate fibre decides. None where they name no fibre."""
    said = set(re.findall(r"\w+", cloth.casefold()))
    return _heat([row for row in tables.rows("pressing_heat") if said & set(row["words"].split())])


def heat_of_fibres(fibres: Collection[str]) -> Heat | None:
    """What a cloth of these fibres bears; the most delicate decides, however small its share. None where none is said.

    Raises Refusal `fibre_unknown`, pointing at its place among them.
    """
    for i, fibre in enumerate(fibres):
        if fibre not in fibre_names():
            raise Refusal("fibre_unknown", (i,), allowed=fibre_names())
    return _heat([row for row in tables.rows("pressing_heat") if row["fibre"] in fibres])


@cache
def fibre_names() -> tuple[str, ...]:
    """The fibres whose heat is known."""
    return tuple(row["fibre"] for row in tables.rows("pressing_heat"))


def _heat(rows: list[dict[str, str]]) -> Heat | None:
    if not rows:
        return None
    found = sorted(rows, key=lambda row: -int(row["delicacy"]))
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
    return _creases(wanted)


def creases_for(*, pleats: int | None, casual: bool, pattern: Pattern, turn_up: bool) -> tuple[str, ...]:
    """Where the creases run, by the number of pleats a leg (0: a flat front; None: not said, both rules)."""
    if casual:
        return _creases({"casual"})
    style = "" if pleats is None else "pleated" if pleats else "flat"
    return creases_of(style, pattern, turn_up=turn_up)


def _creases(wanted: set[str]) -> tuple[str, ...]:
    return tuple(row["words"] for row in tables.rows("creases") if row["when"] in wanted)


@cache
def pressing_steps(garment: str) -> tuple[PressingStep, ...]:
    """The steps of pressing a garment, in their order; none for one that the table does not know."""
    mine = (row for row in tables.rows("pressing_steps") if row["garment"] == garment)
    return tuple(
        PressingStep(row["words"], row["note"], (int(row["seconds_from"]), int(row["seconds_to"])), row["per"])
        for row in sorted(mine, key=lambda row: int(row["step"]))
    )


def finishing_rules(garment: str, heat: Heat | None, *, dark: bool) -> tuple[str, ...]:
    """How the iron is used, and how long the piece hangs; with what keeps dark cloth, and dark wool, from shining."""
    wanted = {"always", *(("crease", "pockets") if garment == "trousers" else ())}
    if dark:
        wanted.add("dark_wool" if heat and "wool" in heat.fibres else "dark")
    return tuple(row["words"] for row in tables.rows("finishing_rules") if row["when"] in wanted)

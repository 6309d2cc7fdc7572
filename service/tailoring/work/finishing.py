"""Finishing: how hot a cloth may be pressed, where a crease runs, and the steps of pressing a garment.

The fibre is told by the words that an order has for its cloth. The garment's care label and the instructions of the
iron's maker stand over all of it.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass
from functools import cache
from typing import Literal, TypeAlias

from service.tailoring import tables
from service.tailoring.refusals import Refusal

# Their fronts are fused, where nobody says otherwise: ready-made ones mostly are (common practice, no source).
FUSED = ("jacket", "waistcoat")
# What a cloth bears at the irons: all of it; no steam; steam alone, for its pile is crushed by a touch; neither.
ClothKind: TypeAlias = Literal["usual", "dry", "pile", "dry_pile"]
PILE: tuple[ClothKind, ...] = ("pile", "dry_pile")
PILE_WITHOUT_STEAM = "the pile wants steam and its fibre bears none: brush it; steam only after a trial on the inside"


@dataclass(frozen=True, slots=True)
class Heat:
    """What a cloth bears: at most so many degrees Celsius, as dots on the iron, with what steam and press cloth.

    `fibres` are those that its words name, the most delicate first; `cautions` are of all of them, `minded` the same
    for who knows them.
    """

    fibres: tuple[str, ...]
    most_c: int
    dots: str
    steam: str
    press_cloth: str
    cautions: tuple[str, ...]
    minded: tuple[str, ...] = ()


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
    return None if _has_unknown_share(cloth) else _heat(_named(cloth))


def heat_of_fibres(fibres: Collection[str]) -> Heat | None:
    """What a cloth of these fibres bears; the most delicate decides, however small its share. None where none is given.

    Raises Refusal `fibre_unknown`, pointing at its place among them.
    """
    for i, fibre in enumerate(fibres):
        if fibre not in fibre_names():
            raise Refusal("fibre_unknown", (i,), allowed=fibre_names())
    return _heat([row for row in tables.rows("work/pressing_heat") if row["fibre"] in fibres])


def kind_of(cloth: str, fibres: Collection[str] = ()) -> ClothKind:
    """What a cloth bears by its words and fibres, as far as they are known: pile is pile, whatever else is in it."""
    rows = [*_named(cloth), *(row for row in tables.rows("work/pressing_heat") if row["fibre"] in fibres)]
    is_dry = any(row["bears_steam"] == "no" for row in rows)
    if any(row["pile"] == "yes" for row in rows):
        return "dry_pile" if is_dry else "pile"
    return "dry" if is_dry else "usual"


def is_casual(words: str) -> bool:
    """Whether the words for a garment name casual trousers: chinos, jeans, cords, or just that word."""
    casual = {word for row in tables.rows("work/pressing_heat") for word in row["casual_words"].split()}
    return bool(words_of(words) & {*casual, "casual"})


@cache
def fibre_names() -> tuple[str, ...]:
    """The fibres whose heat is known."""
    return tuple(row["fibre"] for row in tables.rows("work/pressing_heat"))


def _named(cloth: str) -> list[dict[str, str]]:
    """The rows of the fibres that a cloth's words name."""
    said = words_of(cloth)
    return [row for row in tables.rows("work/pressing_heat") if said & set(row["words"].split())]


def words_of(text: str) -> set[str]:
    """The words of a text, each once, in small letters."""
    return set(re.findall(r"\w+", text.casefold()))


def _has_unknown_share(cloth: str) -> bool:
    """Whether a share in percent stands before (or after) words none of which is a known fibre."""
    parts = re.split(r"[0-9]+(?:[.,][0-9]+)?\s*%", cloth)
    if len(parts) == 1:
        return False
    shares = parts[1:] if words_of(parts[-1]) else parts[:-1]
    known = {word for row in tables.rows("work/pressing_heat") for word in row["words"].split()}
    return any(not words_of(share) & known for share in shares)


def careful_heat() -> Heat:
    """The most careful heat that there is: for a cloth of which nothing is known, not even by its care label."""
    coolest = min(int(row["most_c"]) for row in tables.rows("work/pressing_heat"))
    heat = _heat(
        [
            row
            for row in tables.rows("work/pressing_heat")
            if row["bears_steam"] == "no" and row["most_c"] == str(coolest)
        ]
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
        tuple(row["mind"] for row in found if row["mind"]),
    )


def _is_pile_without_steam(found: list[dict[str, str]]) -> bool:
    """Whether one of the rows is pile, and another bears no steam."""
    return any(row["pile"] == "yes" for row in found) and any(row["bears_steam"] == "no" for row in found)


@cache
def pressing_steps(garment: str, kind: ClothKind = "usual", *, creased: bool = True) -> tuple[PressingStep, ...]:
    """The steps of pressing a garment of such a cloth, in their order; none for one that the table does not know.

    What the cloth does not bear is not among them, nor is the crease of trousers that get none.
    """
    mine = (row for row in tables.rows("work/pressing_steps") if row["garment"] == garment)
    borne = (row for row in mine if kind in row["cloths"].split() and (creased or row["crease"] == "no"))
    return tuple(
        PressingStep(row["words"], row["note"], (int(row["seconds_from"]), int(row["seconds_to"])), row["per"])
        for row in sorted(borne, key=lambda row: int(row["step"]))
    )


def finishing_rules(garment: str, heat: Heat | None, kind: ClothKind, *, creased: bool, dark: bool) -> tuple[str, ...]:
    """How the iron is used, and how long the piece hangs; with what keeps dark cloth, and dark wool, from shining."""
    wanted = {"always", *(("pockets",) if garment == "trousers" else ())}
    wanted |= {"crease"} if creased and garment == "trousers" else set()
    if dark:
        wanted.add("dark_wool" if heat and "wool" in heat.fibres else "dark")
    rows = (row for row in tables.rows("work/finishing_rules") if kind in row["cloths"].split())
    return tuple(row["words"] for row in rows if row["when"] in wanted)

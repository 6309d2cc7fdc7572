"""Places: where a garment meets a body, how much ease is right there, and what cures too little or too much."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache, lru_cache
from typing import Literal, TypeAlias, cast

from service.tailoring import tables
from service.tailoring.garments.alterations import Basis
from service.tailoring.garments.charts import Garment
from service.tailoring.quantities import inches

Wish: TypeAlias = Literal["close", "usual", "easy"]
# What is said of a place: right, or spare or too little cloth.
Verdict: TypeAlias = Literal["right", "too_much", "too_little"]

WISHES: tuple[Wish, ...] = ("close", "usual", "easy")


@dataclass(frozen=True, slots=True)
class Place:
    """Where a garment meets a body: `share` of `dimension` plus the ideal ease of a wish is what it should measure.

    `low_mm` and `high_mm` are the tolerance around that; `parts` divides a whole into what an alteration counts.
    """

    garment: Garment
    name: str
    words: str
    dimension: str
    share: float
    parts: int
    basis: Basis
    ideal_mm: dict[str, float]
    low_mm: float
    high_mm: float
    too_little_cure: str
    too_much_cure: str
    misfit_hems: float
    misfit_hems_per_mm: float
    source: str


@dataclass(frozen=True, slots=True)
class OwnEase:
    """A shop's own ideal ease by wish, and tolerance around it, at one place (mm); it stands before the table's."""

    garment: str
    place: str
    ideal_mm: tuple[tuple[str, float], ...]
    low_mm: float
    high_mm: float


@cache
def places(garment: str) -> tuple[Place, ...]:
    """Every place of a garment at which fit is judged, in the table's order."""
    return tuple(_place(row) for row in tables.rows("garments/places") if row["garment"] == garment)


# A shop may put one table after the other: the old ones are forgotten.
@lru_cache(maxsize=256)
def own_places(garment: str, own: tuple[OwnEase, ...]) -> tuple[Place, ...]:
    """Every place of a garment, with a shop's own ease where it has one."""
    mine = {ease.place: ease for ease in own if ease.garment == garment}
    return tuple(
        replace(p, ideal_mm=dict(mine[p.name].ideal_mm), low_mm=mine[p.name].low_mm, high_mm=mine[p.name].high_mm)
        if p.name in mine
        else p
        for p in places(garment)
    )


def _place(row: dict[str, str]) -> Place:
    return Place(
        garment=cast("Garment", row["garment"]),
        name=row["place"],
        words=row["words"],
        dimension=row["dimension"],
        share=float(row["share"]),
        parts=int(row["parts"]),
        basis=cast("Basis", row["basis"]),
        ideal_mm={wish: inches(float(row[f"{wish}_in"])) for wish in WISHES},
        low_mm=inches(float(row["low_in"])),
        high_mm=inches(float(row["high_in"])),
        too_little_cure=row["too_little_cure"],
        too_much_cure=row["too_much_cure"],
        misfit_hems=float(row["misfit_hems"]),
        misfit_hems_per_mm=float(row["misfit_hems_per_in"]) / inches(1),
        source=row["source"],
    )

"""The catalogue of alterations: what each can do, how far, and on which bench."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Literal, TypeAlias, cast

from service.tailoring import tables
from service.tailoring.garments.charts import GARMENTS
from service.tailoring.quantities import Span, inches
from service.tailoring.refusals import Refusal

Basis: TypeAlias = Literal["girth", "per_side", "per_leg", "length"]
Direction: TypeAlias = Literal["decrease", "increase"]
Side: TypeAlias = Literal["left", "right", "both"]
Bench: TypeAlias = Literal["trousers", "jackets", "finishing"]

BASES: tuple[Basis, ...] = ("girth", "per_side", "per_leg", "length")
DIRECTIONS: tuple[Direction, ...] = ("decrease", "increase")
SIDES: tuple[Side, ...] = ("left", "right", "both")
BENCHES: tuple[Bench, ...] = ("trousers", "jackets", "finishing")
# A shop alters shirts as well, but has no charts of them.
ALTERED = (*GARMENTS, "shirt")


@dataclass(frozen=True, slots=True)
class Alteration:
    """One operation of the workroom.

    `decrease_most_mm` and `increase_most_mm` are the limits that advice keeps, `hard_most_mm` the most that
    an order may ask of a willing workroom (None: as the direction's limit). `basis` None: it has no amount.
    `plain_hems` is the catalogue's price relative to a plain hem; both it and `minutes` are the middle of what the
    trade says (`minutes_between`, `plain_hems_between`). `from_inlay`: it needs cloth left inside. `mends` are the fit
    points that it puts right.
    """

    code: str
    garment: str
    words: str
    mends: tuple[str, ...]
    basis: Basis | None
    sided: bool
    decrease_most_mm: float
    increase_most_mm: float
    hard_most_mm: float | None
    from_inlay: bool
    minutes: int
    minutes_between: Span
    plain_hems: float
    plain_hems_between: Span
    difficulty: int
    stage: int
    bench: Bench
    limited_by: str
    knock_on: str
    caution: str
    source: str

    def most_mm(self, direction: Direction) -> float:
        """How far an order may go in `direction`; 0 where it cannot go at all."""
        usual = self.usual_most_mm(direction)
        return max(usual, self.hard_most_mm or 0.0) if usual else 0.0

    def usual_most_mm(self, direction: Direction) -> float:
        """How far advice goes in `direction`: further, to `most_mm`, only a willing workroom."""
        return self.decrease_most_mm if direction == "decrease" else self.increase_most_mm

    @property
    def directions(self) -> tuple[Direction, ...]:
        """The directions in which it can go; empty where it has no amount."""
        return tuple(d for d in DIRECTIONS if self.basis and self.most_mm(d) > 0)


@cache
def catalogue() -> dict[str, Alteration]:
    """Every alteration by its code, in the table's order."""
    return {row["code"]: _alteration(row) for row in tables.rows("garments/alterations")}


def alteration(code: str) -> Alteration:
    """The alteration of that code. Raises Refusal `alteration_unknown`."""
    found = catalogue().get(code)
    if found is None:
        raise Refusal("alteration_unknown", ("alteration",), alteration=code)
    return found


@dataclass(frozen=True, slots=True)
class Inlay:
    """Cloth that ready-made garments usually have at a seam, least and most (mm), as `basis` counts it."""

    where: str
    usual_mm: Span
    basis: Basis
    source: str


@cache
def usual_inlay(code: str) -> Inlay | None:
    """The inlay that an alteration lets out, where the trade says how much there usually is."""
    row = next((row for row in tables.rows("garments/inlays") if row["alteration"] == code), None)
    if row is None:
        return None
    usual = Span(inches(float(row["usual_least_in"])), inches(float(row["usual_most_in"])))
    return Inlay(row["where"], usual, cast("Basis", row["basis"]), row["source"])


def instead_of(code: str) -> str:
    """What serves where the alteration cannot go so far: another operation, or another size."""
    return _instead().get(code, "another size or length class")


@cache
def _instead() -> dict[str, str]:
    return {row["alteration"]: row["instead"] for row in tables.rows("garments/alternatives")}


def _alteration(row: dict[str, str]) -> Alteration:
    def mm(column: str) -> float:
        return inches(float(row[column] or 0))

    return Alteration(
        code=row["code"],
        garment=row["garment"],
        words=row["words"],
        mends=tuple(point.strip() for point in row["mends"].split(";") if point.strip()),
        basis=cast("Basis", row["basis"]) if row["basis"] else None,
        sided=row["sided"] == "yes",
        decrease_most_mm=mm("decrease_most_in"),
        increase_most_mm=mm("increase_most_in"),
        hard_most_mm=mm("hard_most_in") if row["hard_most_in"] else None,
        from_inlay=row["from_inlay"] == "yes",
        minutes=math.ceil((float(row["minutes_lo"]) + float(row["minutes_hi"])) / 2),
        minutes_between=Span(int(row["minutes_lo"]), int(row["minutes_hi"])),
        plain_hems=(float(row["hems_lo"]) + float(row["hems_hi"])) / 2,
        plain_hems_between=Span(float(row["hems_lo"]), float(row["hems_hi"])),
        difficulty=int(row["difficulty"]),
        stage=int(row["stage"]),
        bench=cast("Bench", row["bench"]),
        limited_by=row["limited_by"],
        knock_on=row["knock_on"],
        caution=row["caution"],
        source=row["source"],
    )


def from_the_shoulder(code: str) -> str | None:
    """What moves a sleeve's end whose cuff holes are worked, in the place of an alteration at the cuff; else None."""
    return _shoulder_routes().get(code)


@cache
def _shoulder_routes() -> dict[str, str]:
    return {row["alteration"]: row["instead"] for row in tables.rows("garments/worked_cuff_holes")}

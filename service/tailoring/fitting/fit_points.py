"""Fit points: what is looked at on the worn garment, in which order, what is right there, and what cures what is not.

The table is the trade's; a shop may put bands, causes and remedies of its own before it (`own_fit_points`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Literal, TypeAlias, cast

from service.tailoring import tables
from service.tailoring.garments.alterations import Basis
from service.tailoring.garments.charts import Garment
from service.tailoring.garments.places import Verdict
from service.tailoring.quantities import Span, inches

# none: it has no sides; each: the side is said; either: it may be said, and without it both are meant;
# odd_one: the one side that differs from the other.
Sides: TypeAlias = Literal["none", "each", "either", "odd_one"]
# What follows where it is no longer worn so.
Beyond: TypeAlias = Literal["alter", "alter_within_limits", "swap", "another_piece"]

VERDICTS: tuple[Verdict, ...] = ("right", "too_much", "too_little")
SIDES_SAID: tuple[Sides, ...] = ("none", "each", "either", "odd_one")
BEYONDS: tuple[Beyond, ...] = ("alter", "alter_within_limits", "swap", "another_piece")

# Nobody sews finer than an eighth: what is within half of one of the band is at its edge, and right.
FINEST_MM = inches(1 / 16)


@dataclass(frozen=True, slots=True)
class Band:
    """What is right (`ok`), what is still worn (`watch`), and the amount aimed at, in mm of what is read there."""

    right_mm: float
    ok_mm: tuple[float, float]
    watch_mm: tuple[float, float]

    def shifted(self, mm: float) -> Band:
        """The band where so much more (mm) is right."""
        (ok_low, ok_high), (low, high) = self.ok_mm, self.watch_mm
        return Band(self.right_mm + mm, (ok_low + mm, ok_high + mm), (low + mm, high + mm))

    @property
    def ok(self) -> Span:
        """What is right, from least to most."""
        return Span(*self.ok_mm)

    @property
    def watch(self) -> Span:
        """What is still worn, from least to most."""
        return Span(*self.watch_mm)


@dataclass(frozen=True, slots=True)
class FitPoint:
    """A place a fitter looks at. `amount` names what is measured there (empty: it is judged by eye only).

    `more_is_tighter`: what is measured is a gap, and a wide one says that the garment has too little cloth.
    `factor` turns the amount beyond `zero_mm` into a residual (None: an amount gives a verdict, and the
    verdict's appearance the evidence), `sd_mm` is that residual's reading error. More than `most_mm` either way is
    a slip of the unit or the tape. `core`: a fitter leaves it out of no fitting.
    """

    code: str
    garment: Garment
    step: int
    core: bool
    place: str
    words: str
    how: str
    sides: Sides
    amount: str
    basis: Basis | None
    more_is_tighter: bool
    band: Band | None
    zero_mm: float
    most_mm: float
    factor: float | None
    sd_mm: float
    beyond: Beyond
    source: str

    @property
    def sided(self) -> bool:
        """Whether nothing can be said of it without a side."""
        return self.sides == "each"

    def shifted(self, mm: float) -> FitPoint:
        """The point where so much more (mm) is right."""
        return replace(self, band=self.band.shifted(mm) if self.band else None, zero_mm=self.zero_mm + mm)


@dataclass(frozen=True, slots=True)
class Appearance:
    """A named look at a point: its verdict, and the residual that it speaks of at one place (None: none).

    `both_sides`: it speaks of the place only where it is seen on both sides.
    """

    point: str
    name: str
    verdict: Verdict
    place: str
    residual_mm: float | None
    sd_mm: float
    both_sides: bool
    causes: tuple[str, ...]
    remedies: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class TryOnStep:
    """One step of a fitting: what is done, and why then."""

    number: int
    words: str
    reason: str
    source: str


@dataclass(frozen=True, eq=False)
class FitTable:
    """The points by code, in the order of looking, and the named looks at each.

    One name may have a row for each place that it speaks of.
    """

    points: dict[str, FitPoint]
    looks: dict[str, tuple[Appearance, ...]]

    def shifted(self, by_mm: Mapping[str, float]) -> FitTable:
        """The table with what is right at some points moved, and all that is read from there with it."""
        if not by_mm:
            return self
        moved = {code: self.points[code].shifted(mm) for code, mm in by_mm.items() if code in self.points}
        return FitTable({**self.points, **moved}, self.looks)


@cache
def fit_points() -> dict[str, FitPoint]:
    """Every fit point of the trade's table by code, in the order of looking."""
    return {row["point"]: _point(row) for row in tables.rows("fitting/fit_points")}


@cache
def appearances(point: str) -> tuple[Appearance, ...]:
    """Every named look at a point; one name has a row for each place that it speaks of."""
    return tuple(_appearance(row) for row in tables.rows("fitting/appearances") if row["point"] == point)


@cache
def trade_table() -> FitTable:
    """The trade's own table."""
    return FitTable(fit_points(), {code: appearances(code) for code in fit_points()})


@cache
def try_on_steps() -> tuple[TryOnStep, ...]:
    """The steps of a fitting, in their order."""
    rows = tables.rows("fitting/try_on")
    return tuple(TryOnStep(int(row["step"]), row["words"], row["reason"], row["source"]) for row in rows)


def held_band(point: FitPoint) -> tuple[float, float] | None:
    """Between which residuals (mm) the point is right, once it has been seen; None where it has no place."""
    return _residuals(point, point.band.ok_mm) if point.band else None


def worn_band(point: FitPoint) -> tuple[float, float] | None:
    """Between which residuals (mm) the point is still worn; None where it has no place."""
    return _residuals(point, point.band.watch_mm) if point.band else None


def _residuals(point: FitPoint, edges_mm: tuple[float, float]) -> tuple[float, float] | None:
    if point.factor is None or not point.place:
        return None
    low, high = sorted(point.factor * (edge - point.zero_mm) for edge in edges_mm)
    return (low - FINEST_MM, high + FINEST_MM)


def _point(row: dict[str, str]) -> FitPoint:
    def pair(name: str) -> tuple[float, float]:
        return (inches(float(row[f"{name}_min_in"])), inches(float(row[f"{name}_max_in"])))

    band = Band(inches(float(row["right_in"])), pair("ok"), pair("watch")) if row["right_in"] else None
    return FitPoint(
        code=row["point"],
        garment=cast("Garment", row["garment"]),
        step=int(row["step"]),
        core=row["core"] == "yes",
        place=row["place"],
        words=row["words"],
        how=row["how"],
        sides=cast("Sides", row["sides"]),
        amount=row["amount"],
        basis=cast("Basis", row["basis"]) if row["basis"] else None,
        more_is_tighter=row["more_is"] == "tighter",
        band=band,
        zero_mm=inches(float(row["zero_in"] or row["right_in"] or 0)),
        most_mm=inches(float(row["most_in"] or 0)),
        factor=float(row["factor"]) if row["factor"] else None,
        sd_mm=inches(float(row["sd_in"] or 0)),
        beyond=cast("Beyond", row["beyond"]),
        source=row["source"],
    )


def _appearance(row: dict[str, str]) -> Appearance:
    return Appearance(
        point=row["point"],
        name=row["seen"],
        verdict=cast("Verdict", row["verdict"]),
        place=row["place"],
        residual_mm=inches(float(row["residual_in"])) if row["residual_in"] else None,
        sd_mm=inches(float(row["sd_in"] or 0)),
        both_sides=row["both_sides"] == "yes",
        causes=_listed(row["causes"]),
        remedies=_listed(row["remedies"]),
        source=row["source"],
    )


def _listed(cell: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in cell.split(";") if part.strip())

"""Readings: what was measured of a customer, how it was got, and how far it can be trusted."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from operator import attrgetter
from typing import Literal, TypeAlias

from service.tailoring import tables
from service.tailoring.arrays import Array
from service.tailoring.body.population import Observation
from service.tailoring.body.self_reports import self_reports
from service.tailoring.quantities import Length, Mass, inches, length, mass
from service.tailoring.refusals import Refusal

Source: TypeAlias = Literal["measured", "self_measured", "self_reported", "label"]
SOURCES: tuple[Source, ...] = ("measured", "self_measured", "self_reported", "label")

MASS_SD_KG = 0.5
# A man's own guess of a girth is no tape: twice the error of his own taping (common practice, no source).
GUESS_FACTOR = 4.0


@dataclass(frozen=True, slots=True)
class Dimension:
    """One body measure: what it is in words, its bounds and its reading error (mm; kg for mass)."""

    name: str
    words: str
    is_mass: bool
    error_sd: float
    allowable_error: float
    least: float
    most: float
    label_bias_mm: float | None
    label_sd_mm: float | None
    source: str


# Asked of every reading again and again.
_SIZE_OF: dict[type, Callable[[Length | Mass], float]] = {Length: attrgetter("mm"), Mass: attrgetter("kg")}


@dataclass(frozen=True, slots=True)
class Reading:
    """One value of one dimension, how it was got, and its repeats in the same unit."""

    dimension: str
    size: Length | Mass
    source: Source = "measured"
    repeats: tuple[Length | Mass, ...] = ()

    @property
    def sizes(self) -> tuple[float, ...]:
        """Every value read, in mm (kg for mass)."""
        read = _SIZE_OF[type(self.size)]
        return (read(self.size), *map(read, self.repeats))


@cache
def dimensions() -> dict[str, Dimension]:
    """Every dimension that can be read, by name."""
    return {row["dimension"]: _dimension(row) for row in tables.rows("body/dimensions")}


def reading(
    dimension: str, value: object, unit: object, source: object = "measured", repeats: tuple[object, ...] = ()
) -> Reading:
    """Read one reading as the caller wrote it.

    Raises Refusal `dimension_unknown`, `unit_unknown`, `quantity_*`, `source_unknown` or `label_not_sized`.
    """
    known = dimensions().get(dimension)
    if known is None:
        raise Refusal("dimension_unknown", ("dimension",), given=dimension, allowed=tuple(dimensions()))
    if source not in SOURCES:
        raise Refusal("source_unknown", ("source",), allowed=SOURCES)
    if source == "label" and known.label_sd_mm is None:
        raise Refusal("label_not_sized", ("source",), dimension=dimension)
    read = mass if known.is_mass else length
    first = read(value, unit)
    more: list[Length | Mass] = []
    for position, repeat in enumerate(repeats):
        try:
            more.append(read(repeat, unit))
        except Refusal as refusal:
            raise Refusal(refusal.code, ("repeats", position), **refusal.facts) from None
    return Reading(dimension, first, source, tuple(more))


def tape_sd(dimension: str) -> float:
    """The SD of one reading of `dimension` by trained staff: half the published allowable error (mm; kg)."""
    return dimensions()[dimension].error_sd


def observed(given: Reading, age_years: float | None = None) -> Observation:
    """A reading as evidence: its best value and the SD of its error, of a man of that age.

    Repeats shrink the SD by the root of n.
    """
    sizes = given.sizes
    size, sd = taken(given.dimension, given.source, sum(sizes) / len(sizes), age_years)
    # A label is no tape: the dimension is still worth reading.
    looked = given.source != "label"
    return Observation(given.dimension, float(size), float(sd) / math.sqrt(len(sizes)), looked=looked)


def taken(
    dimension: str, source: Source, size: Array | float, age_years: Array | float | None
) -> tuple[Array | float, Array | float]:
    """What a `size` [...] of that source says without its bias, of men of these ages, and one such reading's SD."""
    known = dimensions()[dimension]
    if source == "self_measured":
        return size, known.error_sd * 2
    if source == "label":
        return size + (known.label_bias_mm or 0.0), known.label_sd_mm or known.error_sd
    if source == "self_reported":
        report = self_reports().get(dimension)
        return report.true(size, age_years) if report else (size, known.error_sd * GUESS_FACTOR)
    return size, known.error_sd


def _dimension(row: dict[str, str]) -> Dimension:
    is_mass = row["measures"] == "mass"
    allowable = float(row["allowable_error_mm"] or 2 * MASS_SD_KG)
    return Dimension(
        name=row["dimension"],
        words=row["words"],
        is_mass=is_mass,
        error_sd=MASS_SD_KG if is_mass else allowable / 2,
        allowable_error=allowable,
        least=float(row["least_mm"]),
        most=float(row["most_mm"]),
        label_bias_mm=inches(float(row["label_bias_in"])) if row["label_bias_in"] else None,
        label_sd_mm=inches(float(row["label_sd_in"])) if row["label_sd_in"] else None,
        source=row["source"],
    )

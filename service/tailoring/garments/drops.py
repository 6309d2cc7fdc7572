"""Drops: by how much a cut's chest exceeds its waist, and the same cut with another one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache, lru_cache
from statistics import median

from service.tailoring import tables
from service.tailoring.garments.charts import SIZED_BY, Chart, Garment, GarmentSize, reference_charts
from service.tailoring.garments.places import places
from service.tailoring.quantities import inches

# Cuts nearer than this have the same drop: makers' blocks go in steps of two inches.
ALIKE_MM = inches(1)


@lru_cache(maxsize=256)
def drop_of(chart: Chart) -> float | None:
    """Chest less waist (mm) of the bodies that a chart's suits are cut for; None of a chart without jackets.

    Pairs say it. Of separates it is what the jackets' waists leave once their usual ease is taken off.
    """
    if chart.drop_mm is not None:
        return chart.drop_mm
    ease = next(each for each in places("jacket") if each.name == "waist").ideal_mm["usual"]
    found = [size.body_mm - (size.mm("waist") or 0.0) + ease for size in chart.sizes["jacket"]]
    return median(found) if found else None


@cache
def reference_drops() -> tuple[float, ...]:
    """The drops of the reference blocks, in mm."""
    return tuple(drop for block in reference_charts().values() if (drop := drop_of(block)) is not None)


@lru_cache(maxsize=256)
def in_drop(chart: Chart, drop_mm: float) -> Chart:
    """The same cut with another drop: what is sized by the chest is so much fuller at waist and seat.

    Seats and thighs follow as those of surveyed men do, by the rates of the reference blocks.
    """
    fuller = (drop_of(chart) or drop_mm) - drop_mm
    by_chest, by_waist = _rates()

    def moved(garment: Garment) -> Mapping[str, float]:
        return by_chest if SIZED_BY[garment] == "chest" else by_waist

    def cut(garment: Garment, size: GarmentSize) -> GarmentSize:
        by = moved(garment)
        return replace(size, measures=tuple((place, mm + fuller * by.get(place, 0.0)) for place, mm in size.measures))

    sizes = {garment: tuple(cut(garment, size) for size in each) for garment, each in chart.sizes.items()}
    return replace(chart, sizes=sizes, drop_mm=None if chart.drop_mm is None else drop_mm)


@cache
def _rates() -> tuple[dict[str, float], dict[str, float]]:
    """By how much places move with an inch less of drop: of what is sized by the chest, and of trousers."""
    row = tables.rows("garments/reference_blocks")[0]
    waist = float(row["waist_shift_in"])
    by_waist = {place: float(row[f"trouser_{place}_shift_in"]) / waist for place in ("seat", "thigh")}
    return {"waist": 1.0, "seat": float(row["seat_shift_in"]) / waist}, by_waist

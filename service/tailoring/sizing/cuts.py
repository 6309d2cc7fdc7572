"""How a garment is judged, cured and priced, whatever its sizes: what charts of one cut have in common."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple, TypeAlias

import numpy as np

from service.tailoring.arrays import Array
from service.tailoring.garments.alterations import Alteration, from_the_shoulder
from service.tailoring.garments.amounts import STEP_MM
from service.tailoring.garments.charts import Chart, Garment
from service.tailoring.garments.found_inlays import alteration_with
from service.tailoring.garments.places import OwnEase, Place, own_places, places
from service.tailoring.quantities import LengthUnit
from service.tailoring.sizing.place_costs import place_cost
from service.tailoring.work.prices import PriceList

# (garment, place, low, high): residuals in mm between which the place is right.
Bands: TypeAlias = tuple[tuple[str, str, float, float], ...]


class Cut(NamedTuple):
    """What of a chart decides at which places its garment is judged, and what an alteration can do there."""

    garment: Garment
    places: tuple[str, ...]
    unfinished: bool
    worked_buttonholes: bool
    unit: LengthUnit
    inlays: tuple[tuple[str, float], ...]

    @classmethod
    def of(cls, chart: Chart, garment: Garment) -> Cut:
        """The cut of one garment of a chart."""
        sizes = chart.sizes[garment]
        measured = tuple(p.name for p in places(garment) if sizes and sizes[0].mm(p.name) is not None)
        return cls(garment, measured, chart.unfinished, chart.worked_buttonholes, chart.unit, chart.inlays)


class PricedCut(NamedTuple):
    """A cut at one shop's prices: arrays over its places P, as a `Costing` has them."""

    places: tuple[Place, ...]
    bounds: Array
    knots: Array
    coefficients: Array
    low_cures: tuple[Alteration | None, ...]
    high_cures: tuple[Alteration | None, ...]
    unfinished: tuple[bool, ...]


@lru_cache(maxsize=256)
def priced_cut(cut: Cut, prices: PriceList, held: Bands, own: tuple[OwnEase, ...]) -> PricedCut:
    """A cut at a shop's prices and with its own ease: priced once for all charts of it.

    A place seen on the worn garment is `held` to the band of its fit point instead of the wider tolerance.
    """
    bands = {name: (low, high) for of, name, low, high in held if of == cut.garment}
    judged = tuple(
        _held(p, *bands[p.name]) if p.name in bands else p for p in own_places(cut.garment, own) if p.name in cut.places
    )
    unfinished = tuple(p.name == "inside_leg" and cut.unfinished for p in judged)
    lows, highs = (tuple(_cure(cut, code) for code in codes) for codes in _codes(judged))
    found = [
        place_cost(p, low, high, prices, STEP_MM[cut.unit], uncut=uncut)
        for p, low, high, uncut in zip(judged, lows, highs, unfinished, strict=True)
    ]
    knots = max((len(each.knots) for each in found), default=0)
    return PricedCut(
        places=judged,
        bounds=np.array([each.bounds for each in found]),
        knots=np.array([each.stretched(knots).knots for each in found]),
        coefficients=np.array([each.stretched(knots).coefficients for each in found]),
        low_cures=lows,
        high_cures=highs,
        unfinished=unfinished,
    )


def _codes(judged: tuple[Place, ...]) -> tuple[list[str], list[str]]:
    """What cures too little at each place, and what too much."""
    return [p.too_little_cure for p in judged], [p.too_much_cure for p in judged]


def _cure(cut: Cut, code: str) -> Alteration | None:
    route = (cut.worked_buttonholes and from_the_shoulder(code)) or code
    return alteration_with(cut.inlays, route) if route else None


def _held(place: Place, low_mm: float, high_mm: float) -> Place:
    """The place held to a band; where that leaves the ideal out, its nearest edge is what an alteration aims at."""
    off = max(low_mm, 0.0) + min(high_mm, 0.0)
    ideal = {wish: mm + off for wish, mm in place.ideal_mm.items()}
    return replace(place, ideal_mm=ideal, low_mm=low_mm - off, high_mm=high_mm - off)

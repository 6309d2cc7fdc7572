"""Sightings as evidence: what each says of the body under the garment, and of how its sides differ.

A residual on a worn size is `garment - body - ideal ease`, on the same body that the tape readings describe.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from service.tailoring.body.body import Asymmetry, Body
from service.tailoring.body.population import Observation
from service.tailoring.body.posture import PostureNote
from service.tailoring.body.posture import notices as posture_notices
from service.tailoring.fitting.fit_points import FitTable, fit_points, held_band
from service.tailoring.fitting.sightings import JudgedSighting, residuals, sides_of
from service.tailoring.garments.alterations import Side
from service.tailoring.garments.charts import GARMENTS, Chart, ChartSize, Garment, GarmentSize
from service.tailoring.garments.places import places
from service.tailoring.quantities import Length, inches
from service.tailoring.sizing.cuts import Bands

# A look this sharp is as good as a tape (twice the error of taping a girth).
LOOKED_SD_MM = 14.0
# What the drop is made of: chest less trouser waist (common practice, no source).
DROP = (("chest_girth", 1.0), ("trouser_waist_girth", -1.0))
# The leg that breaks more is the shorter one: it has that much more cloth than the other.
ODD_LEG, LOW_SHOULDER = "leg_lengths", "shoulder_slope"
# A shoulder lower than this is another cut or a made garment (common practice, no source).
PAST_EVERY_PAD_MM = inches(5 / 8) + 0.01


@dataclass(frozen=True)
class Worn:
    """What the customer has on: labels of one chart, by garment.

    `more_mm` is by how much more ease than the usual is right at a place, by garment and place, for how the suit will
    be worn: what is seen there is told against it, and so is the tape.
    """

    chart: Chart
    labels: Mapping[Garment, str]
    more_mm: Mapping[tuple[str, str], float] = field(default_factory=dict)

    def on_body(self, garment: Garment, place: str, residual_mm: float, sd_mm: float) -> Observation | None:
        """What is off there as evidence on the body, which is no larger for how the suit will be worn."""
        more_mm = self.more_mm.get((garment, place), 0.0)
        return observation(garment, self.size(garment), place, residual_mm + more_mm, sd_mm)

    def size(self, garment: Garment) -> GarmentSize:
        """The size of a garment that is worn."""
        return self.chart.size(garment, self.labels[garment])

    @cached_property
    def sizes(self) -> dict[Garment, ChartSize]:
        """The sizes that are worn, by name, in the order of garments."""
        return {garment: self.chart.named(self.size(garment)) for garment in GARMENTS if garment in self.labels}


@dataclass(frozen=True, slots=True)
class PlaceEvidence:
    """What one sighting says of one place: its residual in mm, and the evidence on the body (None: none)."""

    judged: JudgedSighting
    place: str
    side: Side | None
    residual_mm: float
    sd_mm: float
    on_body: Observation | None


def observation(garment: str, size: GarmentSize, place: str, residual_mm: float, sd_mm: float) -> Observation | None:
    """A residual on a worn size as evidence on the body; None where the chart does not give the place.

    A vague look does not count as having read the dimension: the tape is still worth asking for.
    """
    if place == "drop":
        # The trade's own middle, whatever a shop sells: the residual is counted from it.
        return Observation("drop", fit_points()["drop"].zero_mm + residual_mm, sd_mm, DROP, looked=False)
    at = next(each for each in places(garment) if each.name == place)
    garment_mm = size.mm(place)
    if garment_mm is None:
        return None
    # The fitter's words for right are the usual ease, whatever this customer wishes for.
    size_mm, size_sd = (garment_mm - at.ideal_mm["usual"] - residual_mm) / at.share, sd_mm / at.share
    return Observation(at.dimension, size_mm, size_sd, looked=sd_mm <= LOOKED_SD_MM)


def tell(worn: Worn, judged: tuple[JudgedSighting, ...], table: FitTable) -> tuple[PlaceEvidence, ...]:
    """What every sighting says, place by place; an uncut leg says nothing of the man's own."""
    return tuple(
        PlaceEvidence(
            each, place, each.sighting.side, residual_mm, sd_mm, worn.on_body(garment, place, residual_mm, sd_mm)
        )
        for each in judged
        for garment in (each.point.garment,)
        for place, residual_mm, sd_mm in residuals(each.point, each.sighting, table)
        if not (place == "inside_leg" and worn.chart.unfinished)
    )


def evidence(worn: Worn, told: tuple[PlaceEvidence, ...]) -> tuple[tuple[Observation, ...], Asymmetry]:
    """The evidence on the body; where left and right differ, their middle and how far each is off."""
    seen: list[Observation] = []
    aside: Asymmetry = {}
    by_place: dict[tuple[str, str], list[PlaceEvidence]] = defaultdict(list)
    for each in told:
        by_place[each.judged.point.code, each.place].append(each)
    for (_, place), found in by_place.items():
        garment = found[0].judged.point.garment
        middle = sum(each.residual_mm for each in found) / len(found)
        on_body = worn.on_body(garment, place, middle, max(each.sd_mm for each in found))
        seen += [on_body] if on_body else []
        sides = {each.side: each.residual_mm - middle for each in found}
        if {"left", "right"} <= sides.keys():
            aside[garment, place] = (sides["left"], sides["right"])
    return tuple(seen), aside


def odd_leg(judged: tuple[JudgedSighting, ...]) -> Asymmetry:
    """How far the legs differ, where one was seen to break more than the other."""
    for each in judged:
        if each.point.code == ODD_LEG and each.judgement.verdict != "right" and each.sighting.amount_mm is not None:
            half = each.sighting.amount_mm / 2
            return {("trousers", "inside_leg"): (half, -half) if each.sighting.side == "left" else (-half, half)}
    return {}


def low_shoulder(body: Body, judged: tuple[JudgedSighting, ...]) -> Body:
    """The body with the lower shoulder that was measured on the worn jacket noted, unless one was noted already."""
    if any(note.name == "low_shoulder" for note in body.posture):
        return body
    for each in judged:
        side = each.sighting.side
        if each.point.code != LOW_SHOULDER or each.judgement.verdict == "right" or not each.sighting.amount_mm:
            continue
        if each.sighting.amount_mm > PAST_EVERY_PAD_MM:
            return body
        note = PostureNote("low_shoulder", Length(each.sighting.amount_mm, "in"), "left" if side == "left" else "right")
        found = tuple(replace(one, at=("observations", each.at)) for one in posture_notices((note,)))
        return replace(body, posture=(*body.posture, note), notices=(*body.notices, *found))
    return body


def looked_at(judged: tuple[JudgedSighting, ...], table: FitTable) -> frozenset[tuple[str, str]]:
    """The places of which something was said, whatever it was."""
    # The drop is looked at on the trousers' waist.
    return frozenset(
        (each.point.garment, "waist" if place == "drop" else place)
        for each in judged
        for place, _, _ in residuals(each.point, each.sighting, table)
    )


def held(judged: tuple[JudgedSighting, ...]) -> Bands:
    """Between which residuals each place that was seen is right: where several points hold it, all of them."""
    bands: dict[tuple[str, str], tuple[float, float]] = {}
    for each in sorted(judged, key=lambda one: one.point.code):
        point = each.point
        band = held_band(point)
        if not band or not any(place.name == point.place for place in places(point.garment)):
            continue
        low, high = bands.get((point.garment, point.place), band)
        narrower = (max(low, band[0]), min(high, band[1]))
        # Bands of a shop that do not meet: the first stands.
        bands[point.garment, point.place] = narrower if narrower[0] < narrower[1] else (low, high)
    return tuple((garment, place, low, high) for (garment, place), (low, high) in bands.items())


def sides_judged(judged: tuple[JudgedSighting, ...]) -> frozenset[tuple[str, Side | None]]:
    """The points and sides that were looked at; a point seen without a side was seen on both."""
    return frozenset((each.point.code, side) for each in judged for side in sides_of(each.point, each.sighting.side))

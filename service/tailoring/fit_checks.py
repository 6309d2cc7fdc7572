"""The fit check: what is seen on a worn suit joins the tape on the same body, and every size is judged again.

The answer keeps the worn size, alters it, or swaps it, with what each costs side by side.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal, TypeAlias

from service.tailoring.charts import SIZED_BY as SIZED_BY_PLACE
from service.tailoring.fit import Bands
from service.tailoring.fit_points import (
    Judgement,
    Sighting,
    check_sighting,
    fit_points,
    held_band,
    judge,
    observation,
    residuals,
)
from service.tailoring.next_measures import NextMeasure, next_measures
from service.tailoring.notices import Notice
from service.tailoring.places import places
from service.tailoring.refusals import Refusal
from service.tailoring.sizing import SIZED_BY, Advice, Question, advise, missing, plan_of
from service.tailoring.wears import LABELLED, Wears, evidence

if TYPE_CHECKING:
    from service.tailoring.alterations import Side
    from service.tailoring.body import Asymmetry, Body
    from service.tailoring.charts import Chart, Garment
    from service.tailoring.plans import Plan
    from service.tailoring.population import Observation

Decision: TypeAlias = Literal["keep", "alter", "swap"]

# A swap must save at least this much: what is on him already has been seen to hang (common practice, no source).
WORTH_SWAPPING_HEMS = 0.5
SEAT_LINE, THUMB = "jacket_back_length", "jacket_front_length"


@dataclass(frozen=True, slots=True)
class Worn:
    """What the customer has on: labels of one chart, by garment."""

    chart: Chart
    labels: tuple[tuple[Garment, str], ...]


@dataclass(frozen=True, slots=True)
class FitCheck:
    """The answer at the mirror. `plans` are ranked; `keeping` is the plan that keeps what is worn."""

    decision: Decision
    judgements: tuple[Judgement, ...]
    plans: tuple[Plan, ...]
    keeping: Plan
    next_measures: tuple[NextMeasure, ...]
    notices: tuple[Notice, ...]
    body: Body


def check_fit(body: Body, question: Question, worn: Worn, sightings: tuple[Sighting, ...]) -> FitCheck:
    """Judge what was seen on `worn` and plan again over every size, the worn one included.

    Raises Refusal `label_unknown` (at worn), `sighting_repeated` or what `check_sighting` refuses, pointing at
    `("observations", i)`.
    """
    labels = dict(worn.labels)
    _check_worn(worn)
    _check_sightings(sightings, frozenset(labels))
    judged = tuple(judge(fit_points()[each.point], each) for each in sightings)
    counted, notices = _seat_line_decides(sightings, judged)
    seen, asymmetry = _evidence(worn, counted)
    better = replace(body.also(seen, notices, asymmetry), looked_at=_looked_at(counted))
    better = better.also(_brought(better, worn))
    asked = replace(question, garments=tuple(labels), held=_held(counted))
    _check_known(body.also(seen), tuple(labels))
    advice = advise(better, asked)
    keeping = plan_of(better, asked, worn.chart, labels)
    plans = _with_worn(advice, keeping, asked)
    return FitCheck(
        decision=_decision(plans, keeping),
        judgements=(*judged, *_not_judged(labels, sightings)),
        plans=plans,
        keeping=keeping,
        next_measures=next_measures(better, asked, list(advice.bays)),
        notices=(*better.notices, *advice.notices, *plans[0].notices),
        body=better,
    )


def _check_worn(worn: Worn) -> None:
    for garment, label in worn.labels:
        try:
            worn.chart.size(garment, label)
        except Refusal as refusal:
            raise refusal.within("worn", garment) from None


def _check_known(body: Body, garments: tuple[Garment, ...]) -> None:
    """A worn suit is not judged on what men are like: something must be known of this one."""
    wanted = tuple(name for garment in garments for name in missing(body, garment))
    if wanted or not body.observations:
        dimensions = wanted or tuple(group[0] for garment in garments for group in SIZED_BY[garment])
        raise Refusal("nothing_to_judge", ("observations",), wanted=dimensions)


def _check_sightings(sightings: tuple[Sighting, ...], garments: frozenset[str]) -> None:
    taken: set[tuple[str, str | None]] = set()
    for position, sighting in enumerate(sightings):
        try:
            check_sighting(sighting, garments)
        except Refusal as refusal:
            raise refusal.within("observations", position) from None
        for side in _sides(sighting.side):
            if (sighting.point, side) in taken:
                raise Refusal("sighting_repeated", ("observations", position), point=sighting.point)
            taken.add((sighting.point, side))


def _seat_line_decides(
    sightings: tuple[Sighting, ...], judged: tuple[Judgement, ...]
) -> tuple[tuple[Sighting, ...], tuple[Notice, ...]]:
    """Leave the thumb out where it disagrees with the seat line: long or short arms mislead it.

    Common practice, no source.
    """
    verdicts = {each.point.code: each.verdict for each in judged}
    if not {SEAT_LINE, THUMB} <= verdicts.keys() or verdicts[SEAT_LINE] == verdicts[THUMB]:
        return sightings, ()
    words = (
        f"Thumb tip says {verdicts[THUMB]}, seat line says {verdicts[SEAT_LINE]}: long or short arms mislead "
        "the thumb, the seat line decides."
    )
    at = next(i for i, each in enumerate(sightings) if each.point == THUMB)
    kept = tuple(each for each in sightings if each.point != THUMB)
    return kept, (Notice("seat_line_decides", ("observations", at), words.replace("_", " ")),)


def _evidence(worn: Worn, sightings: tuple[Sighting, ...]) -> tuple[tuple[Observation, ...], Asymmetry]:
    """Every sighting as evidence on the body; where left and right differ, their middle and how far each is off."""
    labels = dict(worn.labels)
    seen: list[Observation] = []
    aside: Asymmetry = {}
    by_point: dict[str, list[Sighting]] = defaultdict(list)
    for sighting in sightings:
        by_point[sighting.point].append(sighting)
    for code, here in by_point.items():
        point = fit_points()[code]
        size = worn.chart.size(point.garment, labels[point.garment])
        by_place: dict[str, list[tuple[Side | None, float, float]]] = defaultdict(list)
        for sighting in here:
            for place, residual_mm, sd_mm in residuals(point, sighting):
                by_place[place].append((sighting.side, residual_mm, sd_mm))
        for place, found in by_place.items():
            if place == "inside_leg" and worn.chart.unfinished:
                continue  # An uncut leg says nothing of the man's own.
            middle = sum(residual for _, residual, _ in found) / len(found)
            told = observation(point.garment, size, place, middle, max(sd for _, _, sd in found))
            seen += [told] if told else []
            sides = {side: residual - middle for side, residual, _ in found}
            if {"left", "right"} <= sides.keys():
                aside[point.garment, place] = (sides["left"], sides["right"])
    return tuple(seen), aside


def _looked_at(sightings: tuple[Sighting, ...]) -> frozenset[tuple[str, str]]:
    """The places of which something was said, whatever it was."""
    points = [(fit_points()[each.point], each) for each in sightings]
    # The drop is looked at on the trousers' waist.
    return frozenset(
        (point.garment, "waist" if place == "drop" else place)
        for point, each in points
        for place, _, _ in residuals(point, each)
    )


def _brought(body: Body, worn: Worn) -> tuple[Observation, ...]:
    """What the fitter's choice says: he brings nobody a size at random. It counts where nobody taped or looked."""
    unseen = [
        (garment, label)
        for garment, label in worn.labels
        if not body.judged_at(garment, SIZED_BY_PLACE[garment], LABELLED[garment])
    ]
    return tuple(each for garment, label in unseen for each in evidence(Wears(worn.chart, garment, label, "says")))


def _held(sightings: tuple[Sighting, ...]) -> Bands:
    bands: dict[tuple[str, str], tuple[float, float]] = {}
    for sighting in sightings:
        point = fit_points()[sighting.point]
        band = held_band(point)
        if band and any(place.name == point.place for place in places(point.garment)):
            bands[point.garment, point.place] = band
    return tuple((garment, place, low, high) for (garment, place), (low, high) in bands.items())


def _with_worn(advice: Advice, keeping: Plan, asked: Question) -> tuple[Plan, ...]:
    """The ranked plans with the worn one among them, before any that does not save enough to swap for."""
    others = [plan for plan in advice.plans if not _same_sizes(plan, keeping)]
    worth = WORTH_SWAPPING_HEMS * asked.prices.plain_hem_minor
    better = [plan for plan in others if plan.expected_cost.minor < keeping.expected_cost.minor - worth]
    return (*better, keeping, *(plan for plan in others if plan not in better))


def _same_sizes(one: Plan, other: Plan) -> bool:
    return one.jacket == other.jacket and one.trousers == other.trousers


def _decision(plans: tuple[Plan, ...], keeping: Plan) -> Decision:
    if not _same_sizes(plans[0], keeping):
        return "swap"
    return "alter" if keeping.needs_altering else "keep"


def _not_judged(labels: dict[Garment, str], sightings: tuple[Sighting, ...]) -> tuple[Judgement, ...]:
    """The points of the worn garments that nobody looked at, side by side where they have sides."""
    seen = {(each.point, side) for each in sightings for side in _sides(each.side)}
    return tuple(
        Judgement(point, side, None)
        for point in fit_points().values()
        if point.garment in labels
        for side in (("left", "right") if point.sided else (None,))
        if (point.code, side) not in seen
    )


def _sides(side: Side | None) -> tuple[Side | None, ...]:
    return ("left", "right") if side == "both" else (side,)

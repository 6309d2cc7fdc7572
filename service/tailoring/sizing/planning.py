"""Making a plan: one candidate of an offer spelled out, place by place, with what is altered on which side."""

from __future__ import annotations

import math
from typing import NamedTuple, TypeAlias

from service.tailoring.body.body import Body
from service.tailoring.garments.alterations import Alteration, Direction, Side, alteration
from service.tailoring.garments.amounts import STEP_MM, Amount, sewn_steps
from service.tailoring.garments.charts import Chart, Garment
from service.tailoring.garments.places import Place, Verdict
from service.tailoring.quantities import Length
from service.tailoring.sizing.costing import Costing
from service.tailoring.sizing.offers import ChartOffer, Question
from service.tailoring.sizing.plans import PlaceReport, Plan, PlannedAlteration, Unjudged
from service.tailoring.sizing.shares import Counted
from service.tailoring.work.prices import Money, PriceList

# What is to be done on one side: the side (None: the work has none), its residual in mm, the alteration.
Cure: TypeAlias = "tuple[Side | None, float, Alteration]"

ROOT_OF_TWO = math.sqrt(2)


class PlanMaker:
    """Spells out candidates on one body. What a size of a garment needs is the same in every plan: it is made once."""

    def __init__(self, body: Body, question: Question) -> None:
        self._body, self._question = body, question
        self._garments: dict[tuple[Chart, Garment, int], _GarmentPlan] = {}

    def plan(self, offer: ChartOffer, sizes: dict[Garment, int], expected_cost: Money, shares: Counted) -> Plan:
        """One candidate: `sizes` are the garments' positions in the offer's chart."""
        made = [self._garment(offer, garment, size) for garment, size in sizes.items()]
        chosen = {garment: offer.chart.named(offer.chart.sizes[garment][size]) for garment, size in sizes.items()}
        return Plan(
            chosen=chosen,
            alterations=tuple(line for each in made for line in each.alterations),
            expected_cost=expected_cost,
            shares=shares.together,
            places=tuple(report for each in made for report in each.places),
            unjudged=_unjudged(offer, sizes),
            garment_shares=shares.garments,
        )

    def _garment(self, offer: ChartOffer, garment: Garment, size: int) -> _GarmentPlan:
        asked = (offer.chart, garment, size)
        if asked not in self._garments:
            self._garments[asked] = _garment_plan(self._body, self._question, offer, garment, size)
        return self._garments[asked]


class _GarmentPlan(NamedTuple):
    """Why one size of a garment fits, place by place, and what is to be altered of it."""

    places: tuple[PlaceReport, ...]
    alterations: tuple[PlannedAlteration, ...]


def _garment_plan(body: Body, question: Question, offer: ChartOffer, garment: Garment, size: int) -> _GarmentPlan:
    reports: list[PlaceReport] = []
    planned: list[PlannedAlteration] = []
    costing = offer.garment_offers[garment].costing
    for i in offer.garment_offers[garment].at:
        spot = (garment, costing.places[i].name)
        aside = body.asymmetry.get(spot, (0.0, 0.0))
        sides = _sides(costing, i, aside, STEP_MM[offer.chart.unit], split=spot in body.one_side)
        report, cures = _report(body, costing, size, i, sides)
        reports.append(report)
        hard = spot in body.measured_on
        planned += _planned(question, offer.chart, costing.places[i], cures, seen=report.seen, hard=hard)
    planned += _for_posture(body, question, offer.chart, garment)
    return _GarmentPlan(tuple(reports), tuple(planned))


def _unjudged(offer: ChartOffer, sizes: dict[Garment, int]) -> tuple[Unjudged, ...]:
    """The places of the garments at which nothing is known of the body."""
    return tuple(
        Unjudged(garment, place.name, place.dimension)
        for garment in sizes
        for i, place in enumerate(offer.garment_offers[garment].costing.places)
        if i not in offer.garment_offers[garment].at
    )


def _sides(of: Costing, i: int, aside: tuple[float, float], step: float, *, split: bool) -> dict[Side | None, float]:
    """How far each side is from the middle: one entry for both unless they differ by more than can be sewn.

    They are `split` as well where only one of them was seen.
    """
    if not of.sided[i]:
        return {None: 0.0}
    # A hundredth of a millimetre forgives the last bit: sides that differ by an eighth differ.
    if not split and abs(aside[0] - aside[1]) / of.places[i].parts < step - 0.01:
        return {"both": 0.0}
    return {"left": aside[0], "right": aside[1]}


def _report(
    body: Body, of: Costing, size: int, i: int, sides: dict[Side | None, float]
) -> tuple[PlaceReport, list[Cure]]:
    """Why, and what is to be done on which side. Where sides differ the worse one's verdict stands for the place."""
    place, figures = of.places[i], of.figures
    spot = (place.garment, place.name)
    body_mm = body.belief.median(place.dimension) * place.share + body.shown_mm.get(spot, 0.0)
    garment_mm, ideal_mm, tolerance = figures.garment_mm[size][i], figures.ideal_mm[i], figures.tolerance_mm[i]
    residual_mm = garment_mm - body_mm - ideal_mm
    least_mm, most_mm = curable_mm(body, of, i)
    judged = [(side, residual_mm + off, *_judged(of, i, residual_mm + off, tolerance)) for side, off in sides.items()]
    *_, verdict, cure = judged[0] if len(judged) == 1 else max(judged, key=lambda each: _beyond(each[1], tolerance))
    sd_mm = body.belief.sd(place.dimension) * place.share
    report = PlaceReport(
        garment=place.garment,
        place=place.name,
        dimension=place.dimension,
        body_mm=body_mm,
        sd_mm=sd_mm,
        garment_mm=garment_mm,
        ease_mm=garment_mm - body_mm,
        ideal_ease_mm=ideal_mm,
        tolerance_mm=tolerance,
        residual_mm=residual_mm,
        verdict=verdict,
        alteration=cure.code if cure else None,
        seen=body.judged_at(place.garment, place.name, place.dimension),
        misfit=any(not least_mm <= mm <= most_mm for _, mm, _, _ in judged),
        p_misfit=max(_p_outside(mm, sd_mm, (least_mm, most_mm)) for _, mm, _, _ in judged),
    )
    return report, [(side, mm, cure) for side, mm, _, cure in judged if cure]


def _p_outside(mean_mm: float, sd_mm: float, ends_mm: tuple[float, float]) -> float:
    """How likely a residual ~ Normal(mean_mm, sd_mm) is outside of `ends_mm`."""
    scale = max(sd_mm, 1e-3) * ROOT_OF_TWO
    below, above = math.erfc((mean_mm - ends_mm[0]) / scale), math.erfc((ends_mm[1] - mean_mm) / scale)
    return round((below + above) / 2, 4)


def curable_mm(body: Body, of: Costing, i: int) -> tuple[float, float]:
    """Between which residuals (mm) a place can be brought right; where it was measured, by a willing workroom."""
    measured = (of.places[i].garment, of.places[i].name) in body.measured_on
    return _hard_curable(of, i) if measured else of.figures.curable_mm[i]


def _hard_curable(of: Costing, i: int) -> tuple[float, float]:
    """Between which residuals (mm) a willing workroom brings it right."""
    if of.unfinished[i]:
        return of.figures.curable_mm[i]
    low, high = of.figures.tolerance_mm[i]
    out, into = of.low_cures[i], of.high_cures[i]
    parts = of.places[i].parts
    return (
        low - (out.most_mm("increase") * parts if out else 0.0),
        high + (into.most_mm("decrease") * parts if into else 0.0),
    )


def _beyond(residual_mm: float, tolerance: tuple[float, float]) -> float:
    return max(tolerance[0] - residual_mm, residual_mm - tolerance[1])


def _judged(
    of: Costing, i: int, residual_mm: float, tolerance: tuple[float, float]
) -> tuple[Verdict, Alteration | None]:
    hem = of.high_cures[i] if of.unfinished[i] and residual_mm > 0 else None
    if residual_mm < tolerance[0]:
        return "too_little", hem if of.unfinished[i] else of.low_cures[i]
    if residual_mm > tolerance[1]:
        return "too_much", of.high_cures[i]
    return "right", hem


def _for_posture(body: Body, question: Question, chart: Chart, garment: Garment) -> list[PlannedAlteration]:
    """What answers the posture noted, whatever the size: a pad, a collar."""
    lines = []
    for note in body.posture:
        step = STEP_MM[chart.unit]
        steps = math.floor(note.sewn_mm / step + 1e-9)
        if note.kind.garment != garment or not steps or not note.kind.direction:
            continue
        doing = alteration(note.kind.alteration)
        amount = Amount(Length(steps * step, chart.unit), doing.basis or "length", note.kind.direction, note.side)
        lines.append(planned_alteration(question.prices, garment, doing, amount))
    return lines


def planned_alteration(
    prices: PriceList,
    garment: Garment,
    doing: Alteration,
    amount: Amount | None,
    *,
    half: bool = False,
    seen: bool = True,
    place: str = "",
) -> PlannedAlteration:
    """What is to be done, by the shop's prices; `half` of the work where it is one side of a pair."""
    whole = prices.price(doing.code, doing.plain_hems, amount.length.mm if amount else None)
    part = 2 if half else 1
    price = Money(math.ceil(whole.minor / part), whole.currency)
    return PlannedAlteration(garment, doing.code, amount, math.ceil(doing.minutes / part), price, seen, place=place)


def _planned(
    question: Question, chart: Chart, place: Place, cures: list[Cure], *, seen: bool, hard: bool
) -> list[PlannedAlteration]:
    """The alterations at one place: one line for both sides, or one a side where they differ.

    An amount that was seen is altered as far as a willing workroom goes (`hard`).
    """
    lines = []
    for side, residual_mm, cure in cures:
        amount = _amount(place, cure, residual_mm, STEP_MM[chart.unit], hard=hard)
        if amount is None:
            continue
        taken = Amount(Length(amount[0], chart.unit), place.basis, amount[1], side if cure.sided else None)
        half = side not in (None, "both")
        priced = planned_alteration(question.prices, place.garment, cure, taken, half=half, seen=seen, place=place.name)
        lines.append(priced)
    return lines


def _amount(
    place: Place, cure: Alteration, residual_mm: float, step: float, *, hard: bool
) -> tuple[float, Direction] | None:
    """How far and which way, to the tailor's step and within the alteration's limit."""
    direction: Direction = "decrease" if residual_mm > 0 else "increase"
    most_mm = cure.most_mm(direction) if hard else cure.usual_most_mm(direction)
    steps = sewn_steps(abs(residual_mm) / place.parts, most_mm, step)
    return (steps * step, direction) if steps else None

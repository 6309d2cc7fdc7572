"""The fit check: what is seen on a worn suit joins the tape on the same body, and every size is judged again.

The answer keeps the worn size, alters it, or swaps it, with what each costs side by side.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

from service.tailoring.body.body import Body
from service.tailoring.body.population import Observation
from service.tailoring.body.wears import LABELLED, Wears
from service.tailoring.body.wears import evidence as worn_evidence
from service.tailoring.fitting.diagnosis import Diagnosis, diagnose
from service.tailoring.fitting.disagreements import disagreements
from service.tailoring.fitting.evidence import (
    Worn,
    evidence,
    held,
    looked_at,
    low_shoulder,
    odd_leg,
    sides_judged,
    tell,
)
from service.tailoring.fitting.fit_points import FitPoint, FitTable, trade_table
from service.tailoring.fitting.left_open import LeftToFitter, LookAgain, ToLookAt
from service.tailoring.fitting.mending import Mirror, is_worked, left_to_fitter, mend, to_look_at
from service.tailoring.fitting.ranks import Decided, Ranks, Spot, shown_on, vague_at
from service.tailoring.fitting.sighting_facts import facts_of, taped_drop
from service.tailoring.fitting.sightings import JudgedSighting, Judgement, Sighting, believed, judge_sightings
from service.tailoring.fitting.swap_or_alter import Ruling, same_sizes, settle
from service.tailoring.fitting.swap_rules import RuleInput
from service.tailoring.fitting.worth_bringing import is_cured_by, stays_wrong
from service.tailoring.garments.alterations import Side
from service.tailoring.garments.charts import SIZED_BY, Chart, Garment
from service.tailoring.garments.places import places
from service.tailoring.hems.dressed import AS_USUAL, BAND, Dressed
from service.tailoring.notices import Notice
from service.tailoring.refusals import Refusal
from service.tailoring.sizing.cuts import Bands
from service.tailoring.sizing.next_measures import NextMeasure
from service.tailoring.sizing.offers import NEEDED_DIMENSIONS, Question, missing
from service.tailoring.sizing.plans import Plan
from service.tailoring.sizing.serving import Serving, with_deciding
from service.tailoring.sizing.sizing import Advice, Sizing
from service.tailoring.work.hard_alterations import too_many_hard

Decision: TypeAlias = Literal["keep", "alter", "swap", "undecided"]

DECISIONS: tuple[Decision, ...] = ("keep", "alter", "swap", "undecided")
# A swap must save at least this much: what is on him already has been seen to hang (common practice, no source).
WORTH_SWAPPING_HEMS = 0.5
SEAT_LINE, THUMB = "jacket_back_length", "jacket_front_length"


@dataclass(frozen=True, slots=True)
class FitCheck:
    """The answer at the mirror. `plans` are ranked; `keeping` keeps what is worn; `unruled` as `stays_wrong` has it."""

    decision: Decision
    judgements: tuple[Judgement, ...]
    plans: tuple[Plan, ...]
    keeping: Plan
    next_measures: tuple[NextMeasure, ...]
    notices: tuple[Notice, ...]
    body: Body
    diagnosis: Diagnosis
    sizing: Sizing
    ruling: Ruling
    to_look_at: tuple[ToLookAt, ...] = ()
    look_again: tuple[LookAgain, ...] = ()
    left_to_fitter: tuple[LeftToFitter, ...] = ()
    serves: Serving | None = None
    unruled: frozenset[Spot] = frozenset()


def check_fit(
    body: Body,
    question: Question,
    worn: Worn,
    sightings: tuple[Sighting, ...],
    table: FitTable | None = None,
    sold_at_minor: tuple[tuple[Garment, int], ...] = (),
    dressed: Dressed = AS_USUAL,
) -> FitCheck:
    """Judge what was seen on `worn` by `table` (the trade's) and plan again over every size, the worn one included.

    The rules of swap or alter are held against the cost; `sold_at_minor` is for the one that weighs the price. What was
    worn moves what is right, and what it may pretend is left to the fitter (`dressed`).
    Raises Refusal `label_unknown` (at worn), `sighting_repeated` or what `check_sighting` refuses, pointing at
    `("observations", i)`.
    """
    of = (table or trade_table()).shifted(dressed.shifts())
    labels = worn.labels
    worn = _worn_as(dressed, worn, of)
    judged, unsure = judge_sightings(sightings, frozenset(labels), of)
    sure, doubted, doubts = believed(judged, of, dressed)
    counted, misled = _seat_line_decides(sure)
    bands = held(counted)
    better, decided, again = _heard(body, worn, of, counted, bands, (*unsure, *doubts, *misled))
    asked = replace(question, garments=tuple(labels), held=bands)
    sizing = Sizing(better, asked)
    advice = sizing.advice()
    judgements = tuple(each.judgement for each in judged)
    unjudged = _not_judged(labels, judged, of)
    unseen = tuple((each.point.code, each.side) for each in unjudged)
    facts = (*facts_of(of, counted), *taped_drop(of, body, worn, counted))
    diagnosis = diagnose(of, facts, frozenset(labels), body.posture, unseen)
    vague = vague_at(body, decided)
    mirror = Mirror(of, worn, counted, decided, diagnosis, asked.prices, vague)
    keeping = mend(mirror, sizing.plan_of(worn.chart, labels))
    counts = tuple(each.judgement for each in counted)
    ranked = _with_worn(advice, keeping.plan, asked, mirror)
    ruling = settle(sizing, worn, ranked, RuleInput(keeping.plan, counts, sold_at_minor))
    first, *others = (mend(mirror, plan) for plan in ruling.plans)
    left = (*doubted, *left_to_fitter(mirror, first.plan))
    decision = _decision(mirror, first.plan, keeping.plan, left)
    plans = (first.plan, *(each.plan for each in others))
    serves = sizing.serving(first.plan)
    unchecked = {(each.garment, each.place) for each in first.plan.places if not each.seen}
    unruled = frozenset(spot for spot in vague | unchecked if mirror.keeps(first.plan, spot[0]))
    wrong = stays_wrong(first.plan, serves, unruled)
    caused = decision == "alter" and first.by_cause and not ruling.decided_by
    return FitCheck(
        decision=decision,
        judgements=(*judgements, *unjudged),
        plans=plans,
        keeping=keeping.plan,
        next_measures=with_deciding(sizing.next_measures(), plans[0], better),
        notices=(*better.notices, *advice.notices, *wrong, *_too_hard(mirror, plans[0])),
        body=better,
        diagnosis=diagnosis,
        sizing=sizing,
        ruling=replace(ruling, plans=plans, decided_by="cause" if caused else ruling.decided_by),
        to_look_at=to_look_at(mirror, plans[0]),
        look_again=tuple(each for _, each in again),
        left_to_fitter=left,
        serves=serves,
        unruled=unruled,
    )


def looking_further(check: FitCheck, others: Sequence[Chart]) -> FitCheck:
    """The same, where no size or no drop serves with what would among `others`: charts that were not asked for."""
    if check.serves is None or not check.serves.wants_more:
        return check
    serves = check.sizing.serving(check.plans[0], others)
    before, now = (stays_wrong(check.plans[0], each, check.unruled) for each in (check.serves, serves))
    return replace(check, serves=serves, notices=(*(each for each in check.notices if each not in before), *now))


def _heard(
    body: Body,
    worn: Worn,
    table: FitTable,
    counted: tuple[JudgedSighting, ...],
    bands: Bands,
    notices: tuple[Notice, ...],
) -> tuple[Body, dict[Spot, Decided], tuple[tuple[int, LookAgain], ...]]:
    """The body with what was seen of it, what each place of the worn garments is off by, and what contradicts that.

    Raises Refusal `nothing_to_judge`.
    """
    told = tell(worn, counted, table)
    ranks = Ranks(worn, told, body, bands)
    decided = ranks.decided()
    again = ranks.look_again(table, decided)
    contradicted = tuple(Notice("sighting_against_tape", ("observations", at), each.words) for at, each in again)
    found = (*notices, *disagreements(table, counted, told, body), *contradicted)
    seen, asymmetry = evidence(worn, told)
    posed = replace(low_shoulder(body, counted), looked_at=looked_at(counted, table), taped=body.belief.read)
    better = posed.also(seen, found, {**odd_leg(counted), **asymmetry})
    _check_known(better, tuple(worn.labels), anything=bool(counted))
    better = better.also(_brought(better, worn))
    shown_mm, aside = shown_on(worn, better, decided)
    better = replace(
        better,
        shown_mm=shown_mm,
        asymmetry={**better.asymmetry, **aside},
        measured_on=frozenset(spot for spot, each in decided.items() if each.measured and each.past_wear),
        one_side=frozenset(spot for spot, each in decided.items() if len(each.sides) == 1),
    )
    return better, decided, again


def _worn_as(dressed: Dressed, worn: Worn, table: FitTable) -> Worn:
    """What is worn, with what is right for how it will be. Raises Refusal `label_unknown`."""
    for garment, label in worn.labels.items():
        try:
            worn.chart.size(garment, label)
        except Refusal as refusal:
            raise refusal.within("worn", garment) from None
    return replace(worn, more_mm={("trousers", table.points[BAND].place): dressed.band_more_mm})


def _check_known(body: Body, garments: tuple[Garment, ...], *, anything: bool) -> None:
    """A worn suit is not judged on what men are like: something must be taped of this one, or seen on it."""
    wanted = tuple(name for garment in garments for name in missing(body, garment))
    if wanted or not (anything or body.observations):
        dimensions = wanted or tuple(group[0] for garment in garments for group in NEEDED_DIMENSIONS[garment])
        raise Refusal("nothing_to_judge", ("observations",), wanted=dimensions)


def _seat_line_decides(judged: tuple[JudgedSighting, ...]) -> tuple[tuple[JudgedSighting, ...], tuple[Notice, ...]]:
    """Leave the thumb out where it disagrees with the seat line: long or short arms mislead it.

    Common practice, no source.
    """
    verdicts = {each.point.code: each.judgement.verdict for each in judged}
    if not {SEAT_LINE, THUMB} <= verdicts.keys() or verdicts[SEAT_LINE] == verdicts[THUMB]:
        return judged, ()
    words = (
        f"Thumb tip says {verdicts[THUMB]}, seat line says {verdicts[SEAT_LINE]}: long or short arms mislead "
        "the thumb, the seat line decides."
    )
    at = next(each.at for each in judged if each.point.code == THUMB)
    kept = tuple(each for each in judged if each.point.code != THUMB)
    return kept, (Notice("seat_line_decides", ("observations", at), words.replace("_", " ")),)


def _brought(body: Body, worn: Worn) -> tuple[Observation, ...]:
    """What the fitter's choice says: he brings nobody a size at random. It counts where nobody taped or looked."""
    unseen = [
        (garment, label)
        for garment, label in worn.labels.items()
        if not body.judged_at(garment, SIZED_BY[garment], LABELLED[garment])
    ]
    return tuple(each for garment, label in unseen for each in worn_evidence(Wears(worn.chart, garment, label, "says")))


def _with_worn(advice: Advice, keeping: Plan, asked: Question, mirror: Mirror) -> tuple[Plan, ...]:
    """The ranked plans with the worn one among them, before any that is not worth swapping for.

    A place that was looked at and that no alteration brings right counts its misfit once more: the work is wasted.
    """
    hem = asked.prices.plain_hem_minor

    def worth_minor(plan: Plan) -> float:
        return plan.expected_cost.minor + hem * _beyond_cure_hems(plan)

    others = [plan for plan in advice.plans if not same_sizes(plan, keeping)]
    most = worth_minor(keeping) - WORTH_SWAPPING_HEMS * hem
    judgements = [each.judgement for each in mirror.judged]
    apart = mirror.worn.chart.sold != "pairs"
    cheaper = [plan for plan in others if worth_minor(plan) < most]
    cures = [plan for plan in cheaper if is_cured_by(keeping, plan, judgements, mirror.vague, sold_apart=apart)]
    better = sorted(cures, key=worth_minor)
    return (*better, keeping, *(plan for plan in others if plan not in better))


def _beyond_cure_hems(plan: Plan) -> float:
    """The misfit, in plain hems, of the places that were seen and stay wrong whatever the workroom does."""
    wrong = {(report.garment, report.place) for report in plan.places if report.misfit and report.seen}
    return sum(place.misfit_hems for garment, name in wrong for place in places(garment) if place.name == name)


def _decision(mirror: Mirror, first: Plan, keeping: Plan, left: tuple[LeftToFitter, ...]) -> Decision:
    """Keep means that every point was seen right, is still worn, or was not asked to be looked at."""
    if not same_sizes(first, keeping):
        return "swap"
    if left:
        return "undecided"
    return "alter" if is_worked(mirror, first) else "keep"


def _too_hard(mirror: Mirror, first: Plan) -> tuple[Notice, ...]:
    """Where what is kept is to have so many hard alterations that another size is offered first."""
    found = (
        too_many_hard(garment, [line.code for line in first.alterations if line.garment == garment and line.seen])
        for garment in mirror.worn.labels
    )
    return tuple(each for each in found if each)


def _not_judged(
    labels: Collection[Garment], judged: tuple[JudgedSighting, ...], table: FitTable
) -> tuple[Judgement, ...]:
    """The points of the worn garments that nobody looked at, side by side where they have sides."""
    looked_at = sides_judged(judged)
    seen = {code for code, _ in looked_at}
    return tuple(
        Judgement(point, side, None)
        for point in table.points.values()
        if point.garment in labels
        for side in _sides(point, looked=point.code in seen)
        if (point.code, side) not in looked_at
    )


def _sides(point: FitPoint, *, looked: bool) -> tuple[Side | None, ...]:
    """The sides of a point as they are listed; one that may be seen without a side is listed once until it was."""
    if point.sides == "each" or (point.sides == "either" and looked):
        return ("left", "right")
    return (None,)

"""A fit check as it is kept: figures at full precision and the words of its day, independent of the tables after it.

An answer, an order and a drawing are all made from the record. What a later table says of a point, a rule or a cause
changes no record.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING

from service.tailoring.body.estimates import Estimate, estimates
from service.tailoring.fitting.causes import alteration_of
from service.tailoring.fitting.diagnosis import Explanation, WeightedSighting
from service.tailoring.fitting.fit_checks import Decision
from service.tailoring.fitting.fit_points import fit_points
from service.tailoring.fitting.left_open import LeftToFitter, LookAgain, ToLookAt
from service.tailoring.fitting.options import ChoiceKind
from service.tailoring.fitting.sightings import Sighting
from service.tailoring.fitting.swap_or_alter import Outcome
from service.tailoring.fitting.swap_rules import Action
from service.tailoring.garments.alterations import Side
from service.tailoring.garments.charts import ChartSize, Garment
from service.tailoring.garments.places import Verdict
from service.tailoring.hems.dressed import AS_USUAL, Dressed
from service.tailoring.hems.inside_legs import InsideLeg, inside_leg_of
from service.tailoring.notices import Notice
from service.tailoring.quantities import LengthUnit
from service.tailoring.sizing.next_measures import NextMeasure
from service.tailoring.sizing.plans import Plan, PlannedAlteration
from service.tailoring.sizing.serving import Serving, serving_alone
from service.tailoring.work.prices import Money

if TYPE_CHECKING:
    from service.tailoring.fitting.evidence import Worn
    from service.tailoring.fitting.fit_checks import FitCheck
    from service.tailoring.fitting.options import Choice
    from service.tailoring.fitting.sightings import Judgement
    from service.tailoring.fitting.swap_or_alter import Ruled

# The form of the records that are written now. A field with a default may be added to it; a change of what a field
# means is another version, and storage reads the earlier ones.
VERSION = 3


@dataclass(frozen=True, slots=True)
class RecordedVerdict:
    """The verdict at one point and side, with the point's words of that day; None: not judged."""

    point: str
    garment: Garment
    words: str
    core: bool
    side: Side | None
    verdict: Verdict | None
    watch: bool = False
    causes: tuple[str, ...] = ()
    remedies: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RecordedRule:
    """A rule of swap or alter that applied, on which figures, and what came of it."""

    rule: str
    garment: Garment
    action: Action
    words: str
    because: str
    outcome: Outcome
    why: str
    source: str


@dataclass(frozen=True, slots=True)
class RecordedChoice:
    """One way to go on, as it stood beside the others; where it could not be had there are no sizes and `why_not`."""

    kind: ChoiceKind
    garment: Garment | None
    sizes: Mapping[Garment, ChartSize] = field(default_factory=dict)
    work: tuple[PlannedAlteration, ...] = ()
    price: Money | None = None
    expected_cost: Money | None = None
    minutes: int | None = None
    day: date | None = None
    risk: float | None = None
    why_not: str = ""
    advised: bool = False


@dataclass(frozen=True, slots=True)
class RecordedCure:
    """What cures a cause: an alteration of the catalogue, or words alone."""

    alteration: str | None
    words: str


@dataclass(frozen=True, slots=True)
class RecordedCause:
    """A cause, how likely it was after all that was seen, and what spoke for it and against it."""

    cause: str
    garment: str
    words: str
    side: Side | None
    probability: float
    prior: float
    speaks_for: tuple[WeightedSighting, ...]
    speaks_against: tuple[WeightedSighting, ...]
    remedies: tuple[RecordedCure, ...]
    source: str


@dataclass(frozen=True, slots=True)
class RecordedLook:
    """A point that was not looked at, and how many bits a look was expected to tell."""

    point: str
    side: Side | None
    words: str
    bits: float


@dataclass(frozen=True, slots=True)
class FitCheckRecord:
    """A fit check, whole. `plans` are ranked, the advised one first; `decided_by` is None where the cost decided.

    Of a plan only the lines that are `seen` become lines of an order, `to_look_at` where the caller names it.
    `seen` is what was reported, empty in a record of before it was kept. `inside_leg` is None where nothing tells it,
    `prices_include_tax` where the shop's price list did not say. `unit` is that of its lengths, None in one of before.
    `dressed` is what was worn beside the suit.
    `population_version` is that of the men by whom the customer was judged.
    """

    version: int
    decision: Decision
    decided_by: str | None
    worn: Mapping[Garment, ChartSize]
    seen: tuple[Sighting, ...]
    verdicts: tuple[RecordedVerdict, ...]
    rules: tuple[RecordedRule, ...]
    choices: tuple[RecordedChoice, ...]
    causes: tuple[RecordedCause, ...]
    look_next: tuple[RecordedLook, ...]
    body: tuple[Estimate, ...]
    inside_leg: InsideLeg | None
    plans: tuple[Plan, ...]
    keeping: Plan
    next_measures: tuple[NextMeasure, ...]
    notices: tuple[Notice, ...]
    to_look_at: tuple[ToLookAt, ...] = ()
    look_again: tuple[LookAgain, ...] = ()
    left_to_fitter: tuple[LeftToFitter, ...] = ()
    serves: Serving | None = None
    prices_include_tax: bool | None = None
    unit: LengthUnit | None = None
    dressed: Dressed = AS_USUAL
    population_version: int = 0

    @property
    def served(self) -> Serving:
        """Whether the advised plan serves; in a record of before it was kept, without what would."""
        return self.serves or serving_alone(self.plans[0])


def record_of(
    check: FitCheck,
    worn: Worn,
    seen: Sequence[Sighting],
    choices: Sequence[Choice],
    unit: LengthUnit | None = None,
    dressed: Dressed = AS_USUAL,
) -> FitCheckRecord:
    """What is kept of a fit check on `worn`, with the choices as they stood side by side; `unit` is that of who asked.

    Where nobody said one, it is that of the worn chart.
    """
    prices = check.sizing.question.prices
    return FitCheckRecord(
        version=VERSION,
        decision=check.decision,
        decided_by=check.ruling.decided_by,
        worn=worn.sizes,
        seen=tuple(seen),
        verdicts=tuple(_verdict(each) for each in check.judgements),
        rules=tuple(_rule(each) for each in check.ruling.ruled),
        choices=tuple(_choice(each, prices.currency) for each in choices),
        causes=tuple(_cause(each) for each in check.diagnosis.causes),
        look_next=tuple(
            RecordedLook(each.point, each.side, fit_points()[each.point].words, each.bits)
            for each in check.diagnosis.look_next
        ),
        body=estimates(check.body),
        inside_leg=inside_leg_of(check.body),
        plans=check.plans,
        keeping=check.keeping,
        next_measures=check.next_measures,
        notices=check.notices,
        to_look_at=check.to_look_at,
        look_again=check.look_again,
        left_to_fitter=check.left_to_fitter,
        serves=check.serves,
        prices_include_tax=prices.tax.included,
        unit=unit or worn.chart.unit,
        dressed=dressed,
        population_version=check.body.among.version,
    )


def _verdict(each: Judgement) -> RecordedVerdict:
    point = each.point
    return RecordedVerdict(
        point.code, point.garment, point.words, point.core, each.side, each.verdict, each.watch, each.causes,
        each.remedies,
    )  # fmt: skip


def _rule(each: Ruled) -> RecordedRule:
    rule, finding = each.finding.rule, each.finding
    return RecordedRule(
        rule.code, finding.garment, rule.action, rule.words, finding.because, each.outcome, each.why, rule.source
    )


def _choice(each: Choice, currency: str) -> RecordedChoice:
    plan = each.plan
    if plan is None:
        return RecordedChoice(each.kind, each.garment, why_not=each.why_not, advised=each.advised)
    return RecordedChoice(
        kind=each.kind,
        garment=each.garment,
        sizes=plan.chosen,
        work=each.work,
        price=each.price(currency),
        # Nothing is altered of what is kept as it is: there is no cost of altering it.
        expected_cost=None if each.kind == "keep_as_is" else plan.expected_cost,
        minutes=each.minutes,
        day=each.day,
        risk=each.risk,
        why_not=each.why_not,
        advised=each.advised,
    )


def _cause(each: Explanation) -> RecordedCause:
    cause = each.suspect.cause
    return RecordedCause(
        cause=cause.code,
        garment=cause.garment,
        words=cause.words,
        side=each.suspect.side,
        probability=each.probability,
        prior=cause.prior,
        speaks_for=each.speaks_for,
        speaks_against=each.speaks_against,
        remedies=tuple(RecordedCure(alteration_of(words), words) for words in each.remedies),
        source=cause.source,
    )

"""What a customer may choose from, side by side: keep it as it is, alter it, or another size, length or drop.

Each with what the work costs him, how long it takes, the earliest day, and the risk that it does not fit all the same.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal, TypeAlias

from service.tailoring.fitting.evidence import Worn
from service.tailoring.fitting.fit_checks import FitCheck
from service.tailoring.fitting.swap_or_alter import best_with, neighbour, on_offer, same_sizes
from service.tailoring.garments.charts import Chart, Garment, reference_charts
from service.tailoring.garments.stock import Stock
from service.tailoring.sizing.offers import Question
from service.tailoring.sizing.plans import Plan, PlannedAlteration
from service.tailoring.sizing.sizing import Sizing
from service.tailoring.work.prices import Money

ChoiceKind: TypeAlias = Literal[
    "keep_as_is", "alter", "swap_up", "swap_down", "other_length", "other_drop", "swap_advised"
]

CHOICES: tuple[ChoiceKind, ...] = (
    "keep_as_is", "alter", "swap_up", "swap_down", "other_length", "other_drop", "swap_advised",
)  # fmt: skip
# So many charts of another drop are looked at.
OTHER_DROPS_MOST = 6
# The day on which work that begins now is done; None where no day is free.
DayOf: TypeAlias = Callable[[Sequence[PlannedAlteration]], date | None]


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to go on.

    `garment` is what is swapped (None: the suit). Where `plan` is None it cannot be had, and `why_not` says so.
    `work` is what is sewn; of a suit that is kept as it is only the hem of uncut legs, which belongs to selling them.
    `risk` is the share of bodies that he may have in which some place is not right all the same.
    """

    kind: ChoiceKind
    garment: Garment | None
    plan: Plan | None
    work: tuple[PlannedAlteration, ...] = ()
    risk: float | None = None
    day: date | None = None
    why_not: str = ""
    advised: bool = False

    @property
    def minutes(self) -> int:
        """Bench minutes of the work."""
        return sum(each.minutes for each in self.work)

    def price(self, currency: str) -> Money:
        """What the customer pays for the work."""
        return Money(sum(each.price.minor for each in self.work), currency)


def compare(check: FitCheck, worn: Worn, other_charts: Sequence[Chart], day_of: DayOf) -> tuple[Choice, ...]:
    """The choices of a fit check, each at its earliest day, and which of them is advised.

    `other_charts` are charts of another drop that the shop has (`other_drops`).
    """
    sizing, keeping = check.sizing, check.keeping
    asked = sizing.question
    hems = tuple(each for each in keeping.alterations if worn.chart.unfinished and _is_hem(each))
    # What nobody saw is charged to nobody.
    sewn = tuple(each for each in keeping.alterations if each.seen or each in hems)
    found = [
        _choice("keep_as_is", None, keeping, hems, 1 - keeping.shares.p_no_alteration),
        _choice("alter", None, keeping, sewn, 1 - keeping.shares.p_fits_after_alteration)
        if len(sewn) > len(hems)
        else Choice("alter", None, None, why_not="nothing needs altering"),
    ]
    for garment, label in worn.labels.items():
        found += [
            _swapped(sizing, worn, garment, _step(asked, worn, garment, label, 1), "swap_up"),
            _swapped(sizing, worn, garment, _step(asked, worn, garment, label, -1), "swap_down"),
            _swapped(sizing, worn, garment, _lengths(asked, worn, garment, label), "other_length"),
        ]
    found.append(_other_drop(sizing, worn, other_charts))
    advised = _advised(check, found)
    if advised is None and check.decision == "swap":
        found.append(_altered("swap_advised", None, check.plans[0]))
        advised = len(found) - 1
    return tuple(_dated(choice, day_of, advised=i == advised) for i, choice in enumerate(found))


def other_drops(worn: Worn, charts: Sequence[Chart]) -> tuple[Chart, ...]:
    """Charts of another drop than the worn one's: the service's own blocks, or suits that the shop sells as pairs."""
    blocks = reference_charts()
    if worn.chart.code in blocks:
        return tuple(chart for code, chart in blocks.items() if code != worn.chart.code)
    others = [chart for chart in charts if chart.drop_mm is not None and chart.drop_mm != worn.chart.drop_mm]
    return tuple(others[:OTHER_DROPS_MOST])


def _step(asked: Question, worn: Worn, garment: Garment, label: str, step: int) -> tuple[str, ...]:
    size = neighbour(asked, worn.chart, garment, label, step)
    return (size.label,) if size else ()


def _lengths(asked: Question, worn: Worn, garment: Garment, label: str) -> tuple[str, ...]:
    """The same size in other length classes."""
    size = worn.chart.size(garment, label)
    return tuple(
        each.label
        for each in on_offer(asked, worn.chart, garment)
        if each.body_mm == size.body_mm and each.length_class != size.length_class
    )


def _swapped(sizing: Sizing, worn: Worn, garment: Garment, to: tuple[str, ...], kind: ChoiceKind) -> Choice:
    """Another size of one garment; the rest as worn, or as it is sold with it."""
    if not to:
        why = "no other length of this size is on offer" if kind == "other_length" else "no such size is on offer"
        return Choice(kind, garment, None, why_not=why)
    plan = best_with(sizing, worn.chart, worn.labels, garment, to)
    return (
        _altered(kind, garment, plan) if plan else Choice(kind, garment, None, why_not="it is not sold with the rest")
    )


def _other_drop(sizing: Sizing, worn: Worn, charts: Sequence[Chart]) -> Choice:
    if not {"jacket", "trousers"} <= worn.labels.keys():
        return Choice("other_drop", None, None, why_not="a drop belongs to a jacket and trousers together")
    plan = sizing.best_of(charts, Stock())
    if plan is None:
        return Choice("other_drop", None, None, why_not="the shop has no chart of another drop")
    return _altered("other_drop", None, plan)


def _altered(kind: ChoiceKind, garment: Garment | None, plan: Plan) -> Choice:
    return _choice(kind, garment, plan, plan.alterations, 1 - plan.shares.p_fits_after_alteration)


def _choice(
    kind: ChoiceKind, garment: Garment | None, plan: Plan, work: tuple[PlannedAlteration, ...], risk: float
) -> Choice:
    return Choice(kind, garment, plan, work, round(risk, 4))


def _is_hem(each: PlannedAlteration) -> bool:
    return each.code == "trouser_hem"


def _advised(check: FitCheck, found: Sequence[Choice]) -> int | None:
    """Which of the choices the decision is; none where the fitter decides."""
    if check.decision == "undecided":
        return None
    if check.decision != "swap":
        return 0 if check.decision == "keep" else 1
    first = check.plans[0]
    swaps = (i for i, each in enumerate(found) if i > 1 and each.plan and same_sizes(each.plan, first))
    return next(swaps, None)


def _dated(choice: Choice, day_of: DayOf, *, advised: bool) -> Choice:
    if choice.plan is None:
        return choice
    return Choice(
        kind=choice.kind,
        garment=choice.garment,
        plan=choice.plan,
        work=choice.work,
        risk=choice.risk,
        day=day_of(choice.work),
        advised=advised,
    )

"""Swap or alter: the engine's cost and the trade's rules side by side, and which of them has the last word.

A rule has it where another size on offer is free of what the rule forbids; else the cost stands, and the answer says
that no size on offer does better.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal, TypeAlias

from service.tailoring.charts import SIZED_BY, Garment
from service.tailoring.refusals import Refusal
from service.tailoring.sizing import Question, Stock, advise, plan_of
from service.tailoring.swap_rules import Evidence, Finding, between_two, findings

if TYPE_CHECKING:
    from service.tailoring.body import Body
    from service.tailoring.charts import Chart, GarmentSize
    from service.tailoring.fit_evidence import Worn
    from service.tailoring.plans import Plan

Outcome: TypeAlias = Literal["agrees", "overrides", "cost_stands", "advises"]

OUTCOMES: tuple[Outcome, ...] = ("agrees", "overrides", "cost_stands", "advises")
# Two sizes whose costs differ by less than this are as good as one another (common practice, no source).
AS_GOOD_HEMS = 0.5
LOOKED_AT_MOST = 4
NONE_BETTER = "no other size on offer is free of it: another cut or a made garment would be"
NOT_IN_THE_CHART = "no chart says how another size differs there: try one on, or another cut"
RACKS: dict[Garment, str] = {"jacket": "jackets", "trousers": "trousers", "waistcoat": "waistcoats"}


@dataclass(frozen=True, slots=True)
class Ruled:
    """A rule that applies, what came of it, and why."""

    finding: Finding
    outcome: Outcome
    why: str


@dataclass(frozen=True, slots=True)
class Ruling:
    """The plans as they stand after the rules, the advised one first, and every rule that applies.

    `decided_by` is the code of the rule that overrides the cost; None: the cost decided.
    """

    plans: tuple[Plan, ...]
    ruled: tuple[Ruled, ...]
    decided_by: str | None


def settle(body: Body, asked: Question, worn: Worn, plans: tuple[Plan, ...], evidence: Evidence) -> Ruling:
    """Hold the ranked plans against the rules; `evidence` is that of the plan that keeps what is worn."""
    keeping, first = evidence.plan, plans[0]
    ruled: list[Ruled] = []
    decided_by: str | None = None
    for finding in findings(evidence):
        swapped = first.chosen(finding.garment) != keeping.chosen(finding.garment)
        wanted = finding.asks_for_another
        if not wanted and finding.rule.action != "alter":
            ruled.append(Ruled(finding, "advises", finding.rule.words))
        elif wanted == swapped:
            ruled.append(Ruled(finding, "agrees", "the cost says the same"))
        else:
            found = _another(body, asked, worn, finding, evidence) if wanted else _kept(body, asked, worn, finding)
            if found is None:
                ruled.append(Ruled(finding, "cost_stands", NOT_IN_THE_CHART if _untold(finding) else NONE_BETTER))
            else:
                first, decided_by = found, decided_by or finding.rule.code
                ruled.append(Ruled(finding, "overrides", _against_cost(found, plans[0])))
    for garment, _ in worn.labels:
        first, between = _larger_of_two(body, asked, worn, (first, keeping), garment)
        if between:
            ruled.append(between)
            decided_by = decided_by or (between.finding.rule.code if between.outcome == "overrides" else None)
    others = tuple(plan for plan in plans if not same_sizes(plan, first))
    return Ruling((first, *others), tuple(ruled), decided_by)


def same_sizes(one: Plan, other: Plan) -> bool:
    """Whether two plans offer the same garments."""
    return (one.jacket, one.trousers, one.waistcoat) == (other.jacket, other.trousers, other.waistcoat)


def best_of(body: Body, asked: Question, chart: Chart, labels: dict[Garment, tuple[str, ...]]) -> Plan | None:
    """The cheapest plan of one chart from those labels only; None where they are not sold together."""
    stock = Stock(**{RACKS[garment]: those for garment, those in labels.items()})
    plans = advise(body, replace(asked, charts=(chart,), stock=stock, limit=1)).plans
    if not plans:
        return None
    chosen = {garment: size.label for garment in labels for size in (plans[0].chosen(garment),) if size}
    # Spelled out against every size on offer, so that its shares are those of the other plans.
    return plan_of(body, asked, chart, chosen)


def on_offer(asked: Question, chart: Chart, garment: Garment) -> tuple[GarmentSize, ...]:
    """The sizes of a garment that are there to be swapped for."""
    there = asked.stock.labels(garment)
    return tuple(size for size in chart.sizes(garment) if there is None or size.label in there)


def _another(body: Body, asked: Question, worn: Worn, finding: Finding, evidence: Evidence) -> Plan | None:
    """The best plan with another size of the garment, in which what the rule found is right and no rule speaks up."""
    if _untold(finding):
        return None
    worn_label = dict(worn.labels)[finding.garment]
    size = worn.chart.size(finding.garment, worn_label)
    there = [each for each in on_offer(asked, worn.chart, finding.garment) if each.label != worn_label]
    if finding.rule.action == "swap_length":
        there = [each for each in there if each.length_class != size.length_class]
    # The few nearest by cost are enough to look at: what is further off fits worse.
    for _ in range(min(LOOKED_AT_MOST, len(there))):
        found = _freely(body, asked, worn, finding.garment, there)
        if found is None:
            return None
        if _cured(finding, found, evidence):
            return found
        chosen = found.chosen(finding.garment)
        there = [each for each in there if chosen and each.label != chosen.label]
    return None


def _cured(finding: Finding, found: Plan, evidence: Evidence) -> bool:
    there = Evidence(found, (), evidence.sold_at_minor)
    if any(each.asks_for_another for each in findings(there) if each.garment == finding.garment):
        return False
    if finding.rule.condition != "outside_watch":
        return True
    reports = [there.at(finding.garment, name) for name in finding.rule.places]
    return all(report.verdict == "right" for report in reports if report)


def _untold(finding: Finding) -> bool:
    """Whether no chart says how another size differs there: the height of an armhole, the rise as it is worn."""
    return finding.rule.condition == "outside_watch" and not finding.rule.places


def _kept(body: Body, asked: Question, worn: Worn, finding: Finding) -> Plan | None:
    """The best plan that keeps the worn garment."""
    size = worn.chart.size(finding.garment, dict(worn.labels)[finding.garment])
    return _freely(body, asked, worn, finding.garment, [size])


def _freely(body: Body, asked: Question, worn: Worn, garment: Garment, sizes: Sequence[GarmentSize]) -> Plan | None:
    """The best plan with one of those sizes; the other garments as worn, or free where they are not sold with it."""
    mine = {garment: tuple(size.label for size in sizes)}
    if not sizes:
        return None
    as_worn: dict[Garment, tuple[str, ...]] = {other: (label,) for other, label in worn.labels}
    free = {other: _labels(asked, worn, other) for other, _ in worn.labels}
    return best_of(body, asked, worn.chart, {**as_worn, **mine}) or best_of(body, asked, worn.chart, {**free, **mine})


def _labels(asked: Question, worn: Worn, garment: Garment) -> tuple[str, ...]:
    return tuple(size.label for size in on_offer(asked, worn.chart, garment))


def _larger_of_two(
    body: Body, asked: Question, worn: Worn, plans: tuple[Plan, Plan], garment: Garment
) -> tuple[Plan, Ruled | None]:
    """Where he is swapped and stands between two sizes that are both right: the larger, where it costs no more."""
    first, keeping = plans
    rule, chosen = between_two(garment), first.chosen(garment)
    same = chosen is None or chosen == keeping.chosen(garment) or chosen.chart != worn.chart.code
    larger = None if same or chosen is None else neighbour(asked, worn.chart, garment, chosen.label, 1)
    place = SIZED_BY[garment]
    mine = next((each for each in first.places if (each.garment, each.place) == (garment, place)), None)
    if rule is None or larger is None or mine is None or mine.residual_mm >= 0:
        return first, None
    labels = {other: (size.label,) for other in dict(worn.labels) for size in (first.chosen(other),) if size}
    try:
        found = best_of(body, asked, worn.chart, {**labels, garment: (larger.label,)})
    except Refusal:
        return first, None
    if found is None or not _both_right(rule.places, garment, first, found):
        return first, None
    finding = Finding(rule, garment, f"{garment} between {chosen.label if chosen else ''} and {larger.label}")
    dearer = found.expected_cost.minor - first.expected_cost.minor
    if dearer >= AS_GOOD_HEMS * asked.prices.plain_hem_minor:
        return first, Ruled(finding, "cost_stands", f"the larger costs {dearer} minor units more: not as good")
    return found, Ruled(finding, "overrides", f"{larger.label} is as good, and can be taken in")


def _both_right(names: tuple[str, ...], garment: Garment, *plans: Plan) -> bool:
    return all(
        not each.misfit and (each.verdict == "right" or each.place == "waist")
        for plan in plans
        for each in plan.places
        if each.garment == garment and each.place in names
    )


def neighbour(asked: Question, chart: Chart, garment: Garment, label: str, step: int) -> GarmentSize | None:
    """The next size up (1) or down (-1) of the same length class that is on offer."""
    size = chart.size(garment, label)
    run = sorted(
        (each for each in on_offer(asked, chart, garment) if each.length_class == size.length_class),
        key=lambda each: each.body_mm,
    )
    beyond = [each for each in run if (each.body_mm - size.body_mm) * step > 0]
    return (beyond[0] if step > 0 else beyond[-1]) if beyond else None


def _against_cost(found: Plan, engines: Plan) -> str:
    dearer = found.expected_cost.minor - engines.expected_cost.minor
    return f"by cost alone the other would be {max(0, dearer)} minor units cheaper"

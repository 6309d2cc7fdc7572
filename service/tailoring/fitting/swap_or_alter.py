"""Swap or alter: the engine's cost and the trade's rules side by side, and which of them has the last word.

A rule has it where another size on offer is free of what the rule forbids; else the cost stands, and the answer says
that no size on offer does better.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from service.tailoring.fitting.evidence import Worn
from service.tailoring.fitting.swap_rules import Finding, RuleInput, between_two, findings
from service.tailoring.fitting.worth_bringing import fits_what_was_seen, is_length
from service.tailoring.garments.charts import SIZED_BY, Chart, Garment, GarmentSize
from service.tailoring.garments.places import Verdict
from service.tailoring.garments.stock import Stock
from service.tailoring.sizing.offers import Question
from service.tailoring.sizing.plans import Plan
from service.tailoring.sizing.sizing import Sizing

Outcome: TypeAlias = Literal["agrees", "overrides", "cost_stands", "advises"]

OUTCOMES: tuple[Outcome, ...] = ("agrees", "overrides", "cost_stands", "advises")
# Two sizes whose costs differ by less than this are as good as one another (common practice, no source).
AS_GOOD_HEMS = 0.5
LOOKED_AT_MOST = 4
NONE_BETTER = "every other size on offer has the same fault: try another cut, or have it made to measure"
NOT_IN_THE_CHART = "no chart says how another size differs there: try one on, or another cut"


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


def settle(sizing: Sizing, worn: Worn, plans: tuple[Plan, ...], evidence: RuleInput) -> Ruling:
    """Hold the ranked plans against the rules; `evidence` is that of the plan that keeps what is worn."""
    keeping, first = evidence.plan, plans[0]
    ruled: list[Ruled] = []
    decided_by: str | None = None
    for finding in findings(evidence):
        swapped = first.chosen.get(finding.garment) != keeping.chosen.get(finding.garment)
        wanted = finding.asks_for_another
        if not wanted and finding.rule.action != "alter":
            ruled.append(Ruled(finding, "advises", finding.rule.words))
        elif wanted == swapped and (not wanted or decided_by or _is_brought(sizing, worn, first, finding)):
            ruled.append(
                Ruled(finding, "agrees", "another rule says the same" if decided_by else "the cost says the same")
            )
        else:
            labels = _labels_of(first, worn)
            if swapped and wanted and not decided_by:
                # The cost brought a size that a fitter would not: the rule begins at the worn one.
                labels[finding.garment] = worn.labels[finding.garment]
            there = _Rail(sizing, worn, labels)
            found = _another(there, finding, evidence) if wanted else _kept(there, finding)
            if found is None:
                ruled.append(Ruled(finding, "cost_stands", NOT_IN_THE_CHART if _untold(finding) else NONE_BETTER))
            else:
                first, decided_by = found, decided_by or finding.rule.code
                ruled.append(Ruled(finding, "overrides", _against_cost(found, plans[0])))
    for garment in worn.labels:
        there = _Rail(sizing, worn, _labels_of(first, worn))
        first, between = _larger_of_two(there, first, keeping, garment)
        if between:
            ruled.append(between)
            decided_by = decided_by or (between.finding.rule.code if between.outcome == "overrides" else None)
    others = tuple(plan for plan in plans if not same_sizes(plan, first))
    return Ruling((first, *others), tuple(ruled), decided_by)


def same_sizes(one: Plan, other: Plan) -> bool:
    """Whether two plans offer the same garments."""
    return one.chosen == other.chosen


def best_with(
    sizing: Sizing, chart: Chart, chosen: Mapping[Garment, str], garment: Garment, labels: tuple[str, ...]
) -> Plan | None:
    """The best plan with one of those sizes of a garment; the others as chosen, or free where they are not sold so."""
    as_chosen: dict[Garment, tuple[str, ...]] = {other: (label,) for other, label in chosen.items()}
    best = sizing.best_of([chart], Stock.of_labels({**as_chosen, garment: labels}))
    if best:
        return best
    free = {other: _labels(on_offer(sizing.question, chart, other)) for other in chosen}
    return sizing.best_of([chart], Stock.of_labels({**free, garment: labels}))


def on_offer(asked: Question, chart: Chart, garment: Garment) -> tuple[GarmentSize, ...]:
    """The sizes of a garment that are there to be swapped for."""
    there = asked.stock.labels(garment, chart.code)
    return tuple(size for size in chart.sizes[garment] if there is None or size.label in there)


@dataclass(frozen=True, slots=True)
class _Rail:
    """What a rule is answered from: the man, the question, what he wears, and the sizes chosen up to now."""

    sizing: Sizing
    worn: Worn
    chosen: dict[Garment, str]

    def sizes(self, garment: Garment) -> tuple[GarmentSize, ...]:
        return on_offer(self.sizing.question, self.worn.chart, garment)

    def worn_size(self, garment: Garment) -> GarmentSize:
        return self.worn.size(garment)

    def best(self, garment: Garment, sizes: Sequence[GarmentSize]) -> Plan | None:
        """The best plan with one of those sizes; the others as chosen, or free where they are not sold with it."""
        if not sizes:
            return None
        return best_with(self.sizing, self.worn.chart, self.chosen, garment, _labels(sizes))


def _labels_of(plan: Plan, worn: Worn) -> dict[Garment, str]:
    """The labels of a plan where they are of the worn chart; else those that are worn."""
    chosen = {garment: plan.chosen.get(garment) for garment in worn.labels}
    ours = all(size and size.chart == worn.chart.code for size in chosen.values())
    return {g: size.label for g, size in chosen.items() if size} if ours else dict(worn.labels)


def _another(at: _Rail, finding: Finding, evidence: RuleInput) -> Plan | None:
    """The best plan with another size of the garment, in which what the rule found is right and no rule speaks up."""
    if _untold(finding):
        return None
    there = _brought_for(at, finding)
    # The few nearest by cost are enough to look at: what is further off fits worse.
    for _ in range(min(LOOKED_AT_MOST, len(there))):
        found = at.best(finding.garment, there)
        if found is None:
            return None
        if _cured(finding, found, evidence):
            return found
        chosen = found.chosen.get(finding.garment)
        there = [each for each in there if chosen and each.label != chosen.label]
    return None


def _brought_for(at: _Rail, finding: Finding) -> list[GarmentSize]:
    """The sizes that a fitter looks among: for a girth another chest of the same length, for a length the other way.

    Too tight is the next chest, too short the next length of the same chest (common practice, no source).
    """
    garment, rule = finding.garment, finding.rule
    size = at.worn_size(garment)
    now = at.worn.chart.size(garment, at.chosen[garment])
    there = [each for each in at.sizes(garment) if each.label != size.label]
    by_length = rule.action == "swap_length" or (rule.places and all(is_length(garment, each) for each in rule.places))
    if by_length:
        there = [each for each in there if each.body_mm == now.body_mm and each.length_class != size.length_class]
        if finding.verdict and rule.places:
            there = [each for each in there if _differs(each, size, "back_length", finding.verdict)]
        return there
    alike = [each for each in there if each.length_class == now.length_class]
    there = alike or there
    if finding.verdict and rule.condition in ("outside_watch", "change_over", "others_right"):
        larger = finding.verdict == "too_little"
        there = [each for each in there if each.body_mm != size.body_mm and (each.body_mm > size.body_mm) == larger]
    return there


def _is_brought(sizing: Sizing, worn: Worn, first: Plan, finding: Finding) -> bool:
    """Whether the size that the cost brings is one that a fitter looks among, or no chart tells of it."""
    chosen = first.chosen[finding.garment]
    if chosen.chart != worn.chart.code or _untold(finding):
        return True
    return chosen.label in {each.label for each in _brought_for(_Rail(sizing, worn, dict(worn.labels)), finding)}


def _differs(other: GarmentSize, size: GarmentSize, name: str, verdict: Verdict) -> bool:
    """Whether another size measures more where this one has too little, or less where it has too much."""
    one, two = other.mm(name), size.mm(name)
    if one is None or two is None:
        return True
    return one > two if verdict == "too_little" else one < two


def _cured(finding: Finding, found: Plan, evidence: RuleInput) -> bool:
    """Whether what the rule found is put right, or nearly and then altered, and no point that was seen goes wrong."""
    there = RuleInput(found, (), evidence.sold_at_minor)
    if any(each.asks_for_another for each in findings(there) if each.garment == finding.garment):
        return False
    if not fits_what_was_seen(finding.garment, found, evidence.judgements):
        return False
    if finding.rule.condition not in ("outside_watch", "lengths_from"):
        return True
    both = [
        (now, then)
        for name in finding.rule.places
        for now, then in ((evidence.at(finding.garment, name), there.at(finding.garment, name)),)
        if now and then and now.verdict != "right"
    ]
    return all(abs(then.residual_mm) < abs(now.residual_mm) for now, then in both)


def _untold(finding: Finding) -> bool:
    """Whether no chart says how another size differs there: the height of an armhole, the rise as it is worn."""
    return finding.rule.condition == "outside_watch" and not finding.rule.places


def _kept(at: _Rail, finding: Finding) -> Plan | None:
    """The best plan that keeps the worn garment."""
    return at.best(finding.garment, [at.worn_size(finding.garment)])


def _labels(sizes: Sequence[GarmentSize]) -> tuple[str, ...]:
    return tuple(size.label for size in sizes)


def _larger_of_two(at: _Rail, first: Plan, keeping: Plan, garment: Garment) -> tuple[Plan, Ruled | None]:
    """Where he is swapped and stands between two sizes that are both right: the larger, where it is as good."""
    rule, chosen = between_two(garment), first.chosen.get(garment)
    if rule is None or chosen is None or chosen == keeping.chosen.get(garment) or chosen.chart != at.worn.chart.code:
        return first, None
    step = 1 if _spare_mm(first, garment) < 0 else -1
    beside = neighbour(at.sizing.question, at.worn.chart, garment, chosen.label, step)
    other = at.best(garment, [beside]) if beside else None
    if beside is None or other is None or not _both_right(rule.places, garment, first, other):
        return first, None
    if (_spare_mm(other, garment) > 0) != (step > 0):
        return first, None
    smaller, larger = (chosen.label, beside.label) if step > 0 else (beside.label, chosen.label)
    finding = Finding(rule, garment, f"{garment} between {smaller} and {larger}")
    if step < 0:
        return first, Ruled(finding, "agrees", f"{larger} is the larger of the two")
    dearer = other.expected_cost.minor - first.expected_cost.minor
    if dearer >= AS_GOOD_HEMS * at.sizing.question.prices.plain_hem_minor:
        return first, Ruled(finding, "cost_stands", f"the larger costs {dearer} minor units more: not as good")
    return other, Ruled(finding, "overrides", f"{larger} is as good, and can be taken in")


def _spare_mm(plan: Plan, garment: Garment) -> float:
    """How much more than ideal ease there is at the place that makes the size."""
    place = SIZED_BY[garment]
    return next((each.residual_mm for each in plan.places if (each.garment, each.place) == (garment, place)), 0.0)


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
    is_dearer = found.expected_cost.minor > engines.expected_cost.minor
    return "by cost alone another would come first" if is_dearer else "by cost alone it is no dearer than another"

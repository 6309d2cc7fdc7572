"""The trade's rules of swap or alter, read on one plan: which of them apply, to which garment, and on what figures."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Literal, TypeAlias, cast

from service.tailoring import tables
from service.tailoring.fitting.sightings import Judgement
from service.tailoring.garments.alterations import alteration
from service.tailoring.garments.charts import GARMENTS, Garment
from service.tailoring.garments.places import Verdict, places
from service.tailoring.quantities import inches, inches_text
from service.tailoring.sizing.plans import PlaceReport, Plan
from service.tailoring.work.hard_alterations import hard_among

Action: TypeAlias = Literal["swap", "swap_length", "alter", "larger", "warn", "subject_to_inlay"]

ACTIONS: tuple[Action, ...] = ("swap", "swap_length", "alter", "larger", "warn", "subject_to_inlay")


@dataclass(frozen=True, slots=True)
class SwapRule:
    """A row of the table: where its condition holds of a garment, its action is the trade's answer.

    `over_mm`, `count` and `percent` are the condition's figures; what a row does not need is None.
    """

    code: str
    garment: str
    condition: str
    places: tuple[str, ...]
    points: tuple[str, ...]
    verdict: str
    over_mm: float | None
    count: int | None
    percent: int | None
    action: Action
    words: str
    source: str


@dataclass(frozen=True, slots=True)
class Finding:
    """A rule that applies to one garment of a plan, and the figures on which it does.

    `verdict` is what it found there, where it is one.
    """

    rule: SwapRule
    garment: Garment
    because: str
    verdict: Verdict | None = None

    @property
    def asks_for_another(self) -> bool:
        """Whether another size or length class is the rule's answer."""
        return self.rule.action in ("swap", "swap_length")


@dataclass(frozen=True, slots=True)
class RuleInput:
    """What the rules are read on: a plan, what was judged at the points of what is worn, and what that is sold at.

    A plan that is not worn has no judgements: its places tell. `sold_at_minor` is empty where nobody said it.
    """

    plan: Plan
    judgements: Sequence[Judgement] = ()
    sold_at_minor: tuple[tuple[Garment, int], ...] = ()

    def at(self, garment: Garment, place: str) -> PlaceReport | None:
        """The report of a place that somebody taped or looked at."""
        found = (each for each in self.plan.places if (each.garment, each.place, each.seen) == (garment, place, True))
        return next(found, None)


@cache
def swap_rules() -> tuple[SwapRule, ...]:
    """The trade's ten rules, some in several rows, in the table's order."""
    return tuple(_rule(row) for row in tables.rows("fitting/swap_rules"))


def findings(evidence: RuleInput) -> tuple[Finding, ...]:
    """The rules that apply to the garments of a plan, one finding a rule and garment; the first row that holds tells.

    Where he is between two sizes is not read on one plan (`between_two`).
    """
    found: dict[tuple[str, Garment], Finding] = {}
    for rule in swap_rules():
        for garment in GARMENTS:
            if evidence.plan.chosen.get(garment) is None or rule.garment not in ("any", garment):
                continue
            told = _CONDITIONS.get(rule.condition)
            because = told(rule, garment, evidence) if told else None
            if because and (rule.code, garment) not in found:
                found[rule.code, garment] = Finding(rule, garment, because, _found_at(rule, garment, evidence))
    return tuple(found.values())


def _found_at(rule: SwapRule, garment: Garment, evidence: RuleInput) -> Verdict | None:
    """What is wrong at the points or places of a rule."""
    judged = (each.verdict for each in evidence.judgements if each.point.code in rule.points)
    reported = (report.verdict for name in rule.places for report in (evidence.at(garment, name),) if report)
    wrong = (each for each in (*judged, *reported) if each not in ("right", None))
    return next((each for each in wrong if rule.verdict in ("any", each)), None)


def between_two(garment: Garment) -> SwapRule | None:
    """The rule for one who is between two sizes of a garment."""
    return next((r for r in swap_rules() if (r.condition, r.garment) == ("between_sizes", garment)), None)


def _outside_watch(rule: SwapRule, garment: Garment, evidence: RuleInput) -> str | None:
    """A point judged as the rule says and not even worn so; or a place beyond the wider band where nobody looked."""
    judged = [each for each in evidence.judgements if each.point.code in rule.points and each.verdict]
    # One side alone that bows is the shoulder or a short front, never the chest (common practice, no source).
    judged = [each for each in judged if each.point.sides != "either" or _on_both(each, judged)]
    # A lapel that bows low speaks of the waist.
    judged = [each for each in judged if not each.places or not rule.places or set(each.places) & set(rule.places)]
    for each in judged:
        if each.verdict != "right" and not each.watch and rule.verdict in ("any", each.verdict):
            return f"{each.point.words}: {_named(str(each.verdict))}, outside the watch band"
    bands = {place.name: (place.low_mm, place.high_mm) for place in places(garment)}
    for name in () if judged else rule.places:
        report = evidence.at(garment, name)
        if report and report.verdict != "right" and rule.verdict in ("any", report.verdict):
            low, high = bands[name]
            if not low <= report.residual_mm <= high:
                return f"{_named(name)}: {_named(report.verdict)} by {_off(report)} against its ideal ease"
    return None


def _on_both(one: Judgement, judged: Sequence[Judgement]) -> bool:
    """Whether the same was seen on both sides."""
    alike = {each.side for each in judged if (each.point, each.verdict) == (one.point, one.verdict)}
    return one.side in (None, "both") or {"left", "right"} <= alike


def _change_over(rule: SwapRule, garment: Garment, evidence: RuleInput) -> str | None:
    """The least change that brings a place right is what it needs (derived here)."""
    for name in rule.places:
        report = evidence.at(garment, name)
        if report is None or report.verdict == "right" or rule.verdict not in ("any", report.verdict):
            continue
        low, high = report.tolerance_mm
        needs_mm = max(low - report.residual_mm, report.residual_mm - high)
        if needs_mm > (rule.over_mm or 0.0):
            most = inches_text(rule.over_mm or 0.0)
            return f"{_named(name)}: {_named(report.verdict)}, {inches_text(needs_mm)} in to be changed, over {most} in"
    return None


def _seat_alone(rule: SwapRule, garment: Garment, evidence: RuleInput) -> str | None:
    *right, wrong = (evidence.at(garment, name) for name in rule.places)
    if wrong is None or wrong.verdict == "right" or not all(each and each.verdict == "right" for each in right):
        return None
    return f"{_named(wrong.place)}: {_named(wrong.verdict)} by {_off(wrong)}, the waist is right"


def _hard_operations(rule: SwapRule, garment: Garment, evidence: RuleInput) -> str | None:
    hard = hard_among(each.code for each in evidence.plan.alterations if each.garment == garment and each.seen)
    return f"hard operations: {', '.join(hard)}" if len(hard) >= (rule.count or 1) else None


def _price_share(rule: SwapRule, garment: Garment, evidence: RuleInput) -> str | None:
    price_minor = dict(evidence.sold_at_minor).get(garment)
    if not price_minor:
        return None
    work_minor = sum(each.price.minor for each in evidence.plan.alterations if each.garment == garment and each.seen)
    percent = work_minor * 100 / price_minor
    return f"alterations are {percent:.0f} % of the {garment}'s price" if percent > (rule.percent or 0) else None


def _lengths(rule: SwapRule, garment: Garment, evidence: RuleInput) -> str | None:
    *girths, body, sleeve = (evidence.at(garment, name) for name in rule.places)
    if body is None or sleeve is None or not all(each and each.verdict == "right" for each in girths):
        return None
    off = (body.residual_mm, sleeve.residual_mm)
    same_way = all(mm > 0 for mm in off) or all(mm < 0 for mm in off)
    far = [abs(mm) >= (rule.over_mm or 0.0) for mm in off]
    held = all(far) if rule.condition == "lengths_from" else not any(far) and _both(rule.verdict, body, sleeve)
    return f"body {_off(body)}, sleeves {_off(sleeve)}: {_way(body)}" if same_way and held else None


def _inlay_not_seen(_: SwapRule, garment: Garment, evidence: RuleInput) -> str | None:
    mine = [each for each in evidence.plan.alterations if each.garment == garment and each.seen]
    # The cloth of an uncut leg is there for all to see.
    out = [alteration(each.code).words for each in mine if each.subject_to_inlay and each.code != "trouser_hem"]
    return f"the inlay is not seen yet: {', '.join(dict.fromkeys(out))}" if out else None


_CONDITIONS: dict[str, Callable[[SwapRule, Garment, RuleInput], str | None]] = {
    "outside_watch": _outside_watch,
    "change_over": _change_over,
    "others_right": _seat_alone,
    "hard_operations": _hard_operations,
    "price_share": _price_share,
    "lengths_from": _lengths,
    "lengths_under": _lengths,
    "inlay_not_seen": _inlay_not_seen,
}


def _both(verdict: str, *reports: PlaceReport) -> bool:
    return all(each.verdict == verdict for each in reports)


def _way(report: PlaceReport) -> str:
    return "both too long" if report.residual_mm > 0 else "both too short"


def _off(report: PlaceReport) -> str:
    return f"{inches_text(abs(report.residual_mm))} in"


def _named(name: str) -> str:
    return name.replace("_", " ")


def _rule(row: dict[str, str]) -> SwapRule:
    def listed(column: str) -> tuple[str, ...]:
        return tuple(part.strip() for part in row[column].split(";") if part.strip())

    return SwapRule(
        code=row["rule"],
        garment=row["garment"],
        condition=row["condition"],
        places=listed("places"),
        points=listed("points"),
        verdict=row["verdict"],
        over_mm=inches(float(row["over_in"])) if row["over_in"] else None,
        count=int(row["count"]) if row["count"] else None,
        percent=int(row["percent"]) if row["percent"] else None,
        action=cast("Action", row["action"]),
        words=row["words"],
        source=row["source"],
    )

"""Fit checks as releases before 0013 kept them: the answer that was given, and of its plans what an order takes up.

Rows of theirs are read into records here, and new ones still say what the release before reads of them.
"""

from __future__ import annotations

from typing import Any

from service.storage.fitting import fit_check_records as records
from service.tailoring.body.estimates import Estimate
from service.tailoring.fitting.diagnosis import WeightedSighting
from service.tailoring.fitting.fit_check_records import (
    FitCheckRecord,
    RecordedCause,
    RecordedChoice,
    RecordedCure,
    RecordedLook,
    RecordedRule,
    RecordedVerdict,
)
from service.tailoring.fitting.left_open import LeftToFitter, LookAgain, ToLookAt
from service.tailoring.garments.amounts import Amount
from service.tailoring.garments.charts import GARMENTS, ChartSize
from service.tailoring.hems.inside_legs import DIMENSION, InsideLeg
from service.tailoring.notices import Notice
from service.tailoring.quantities import Length, length
from service.tailoring.refusals import Where
from service.tailoring.sizing.next_measures import NextMeasure
from service.tailoring.sizing.plans import PlaceReport, Plan, PlannedAlteration
from service.tailoring.sizing.shares import Shares
from service.tailoring.work.prices import Money


def plans_of_before(record: FitCheckRecord) -> Any:  # noqa: ANN401  JSON
    """What the release before reads of a fit check, beside the answer."""
    leg = record.inside_leg
    return {"plans": [_plan_before(plan) for plan in record.plans], "inside_leg_mm": leg.mm if leg else None}


def record_of_before(answer: dict[str, Any], plans: Any, inside_leg_mm: float | None) -> FitCheckRecord:  # noqa: ANN401  JSON
    """The record that an answer and its plans come to.

    The plans' amounts and the inside leg are there at full precision; all else as it was answered, to a tenth of a
    millimetre, and what answers did not hold yet is empty.
    """
    if isinstance(plans, dict):
        plans, inside_leg_mm = plans["plans"], plans["inside_leg_mm"]
    body = tuple(_estimate(row) for row in answer["body"])
    keeping = _plan(answer["keeping"], None)
    decided_by = answer.get("decided_by")
    return FitCheckRecord(
        version=0,
        decision=answer["decision"],
        decided_by=None if decided_by == "cost" else decided_by,
        worn=keeping.chosen,
        seen=(),
        verdicts=tuple(_verdict(row) for row in answer["verdicts"]),
        rules=records.read(answer.get("swap_rules", []), tuple[RecordedRule, ...]),
        choices=tuple(_choice(row) for row in answer.get("comparison", [])),
        causes=tuple(_cause(row) for row in answer.get("causes", [])),
        look_next=records.read(answer.get("look_next", []), tuple[RecordedLook, ...]),
        body=body,
        inside_leg=_inside_leg(body, inside_leg_mm),
        plans=tuple(_plan(row, kept["lines"]) for row, kept in zip(answer["plans"], plans, strict=True)),
        keeping=keeping,
        next_measures=records.read(answer["next_measures"], tuple[NextMeasure, ...]),
        notices=tuple(_notice(row) for row in answer["warnings"]),
        to_look_at=tuple(_to_look_at(row) for row in answer.get("to_look_at", [])),
        look_again=tuple(_look_again(row) for row in answer.get("look_again", [])),
        left_to_fitter=records.read(answer.get("left_to_fitter", []), tuple[LeftToFitter, ...]),
    )


def _plan_before(plan: Plan) -> dict[str, Any]:
    sizes = {garment: size for garment in GARMENTS for size in (plan.chosen.get(garment),) if size}
    return {
        "garments": [{"garment": name, "chart": size.chart, "label": size.label} for name, size in sizes.items()],
        "lines": [
            {
                "garment": each.garment,
                "label": sizes[each.garment].label,
                "alteration": each.code,
                "seen": each.seen or each.code == "trouser_hem",
                "amount_mm": each.amount.length.mm,
                "unit": each.amount.length.unit,
                "basis": each.amount.basis,
                "direction": each.amount.direction,
                "side": each.amount.side,
            }
            for each in plan.alterations
            # That release knows no line without an amount.
            if each.amount
        ],
    }


def _verdict(row: dict[str, Any]) -> RecordedVerdict:
    unjudged = row["verdict"] == "not_judged"
    return records.read(row | {"verdict": None if unjudged else row["verdict"]}, RecordedVerdict)


def _choice(row: dict[str, Any]) -> RecordedChoice:
    sizes = [(garment, row[garment]) for garment in GARMENTS if row.get(garment)]
    work = [records.written(_alteration(each, None)) for each in row["alterations"]]
    return records.read(row | {"kind": row["choice"], "sizes": sizes, "work": work}, RecordedChoice)


def _cause(row: dict[str, Any]) -> RecordedCause:
    return RecordedCause(
        cause=row["cause"],
        garment=row["garment"],
        words=row["words"],
        side=row["side"],
        probability=row["probability"],
        prior=row["prior"],
        speaks_for=tuple(_weighed(each) for each in row["speaks_for"]),
        speaks_against=tuple(_weighed(each) for each in row["speaks_against"]),
        remedies=tuple(RecordedCure(each["alteration"], each["text"]) for each in row["remedies"]),
        source=row["source"],
    )


def _weighed(row: dict[str, Any]) -> WeightedSighting:
    return WeightedSighting(_where(row["pointer"]), row["point"], row["side"], row["text"], row["weight"])


def _estimate(row: dict[str, Any]) -> Estimate:
    if "kg" in row:
        return Estimate(row["dimension"], row["read"], row["kg"], row["sd_kg"])
    return Estimate(row["dimension"], row["read"], length(row["value"], row["unit"]).mm, row["sd_mm"])


def _inside_leg(body: tuple[Estimate, ...], mm: float | None) -> InsideLeg | None:
    """As surely as the answer said; the leg itself was kept at full precision."""
    known = next((each for each in body if each.dimension == DIMENSION), None)
    return InsideLeg(mm, known.sd, known.read) if known and mm is not None else None


def _plan(row: dict[str, Any], kept: list[dict[str, Any]] | None) -> Plan:
    """A plan of an answer; `kept` are its lines as an order took them up, where they were kept."""
    lines: list[dict[str, Any] | None] = [*kept] if kept is not None else [None] * len(row["alterations"])
    sizes = {garment: _size(row.get(garment)) for garment in GARMENTS}
    return Plan(
        chosen={garment: size for garment, size in sizes.items() if size},
        alterations=tuple(_alteration(each, line) for each, line in zip(row["alterations"], lines, strict=True)),
        expected_cost=records.read(row["expected_cost"], Money),
        shares=records.read(row, Shares),
        places=tuple(records.read({"seen": True, "misfit": False} | place, PlaceReport) for place in row["places"]),
    )


def _size(row: dict[str, Any] | None) -> ChartSize | None:
    return records.read(row, ChartSize) if row else None


def _alteration(row: dict[str, Any], kept: dict[str, Any] | None) -> PlannedAlteration:
    return PlannedAlteration(
        garment=row["garment"],
        code=row["code"],
        amount=_amount(row, kept),
        minutes=row["minutes"],
        price=records.read(row["price"], Money),
        seen=row.get("seen", True),
        arithmetic=row.get("arithmetic", ""),
    )


def _amount(row: dict[str, Any], kept: dict[str, Any] | None) -> Amount | None:
    answered = row["amount"]
    if answered is None:
        return None
    size = Length(kept["amount_mm"], kept["unit"]) if kept else length(answered["value"], answered["unit"])
    return Amount(size, row["basis"], row["direction"], row["side"])


def _to_look_at(row: dict[str, Any]) -> ToLookAt:
    return ToLookAt(
        garment=row["garment"],
        place=row["place"],
        point=row["point"],
        alteration=row["alteration"],
        amount=_amount(row, None),
        minutes=row["minutes"],
        price=records.read(row["price"], Money),
        words=row["words"],
    )


def _look_again(row: dict[str, Any]) -> LookAgain:
    seen, other = row["seen_amount"], row["other_amount"]
    return records.read(row | {"seen_mm": seen["mm"] if seen else None, "other_mm": other["mm"]}, LookAgain)


def _notice(row: dict[str, Any]) -> Notice:
    facts = tuple((name, tuple(fact) if isinstance(fact, list) else fact) for name, fact in row["facts"].items())
    return Notice(row["code"], _where(row["pointer"]), row["text"], facts)


def _where(pointer: str) -> Where:
    return tuple(int(part) if part.isdigit() else part for part in pointer.split("/")[1:])

"""Fit checks: made at the mirror, kept, and taken up by an order."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from service.storage.fitting import fit_checks
from service.storage.fitting.fit_checks import KeptFitCheck
from service.tailoring.fitting.evidence import Worn
from service.tailoring.fitting.fit_check_records import FitCheckRecord, record_of
from service.tailoring.fitting.fit_checks import check_fit, looking_further
from service.tailoring.fitting.options import compare, other_drops
from service.tailoring.fitting.own_fit_points import shops_table
from service.tailoring.fitting.sightings import Sighting
from service.tailoring.garments.charts import Garment
from service.tailoring.garments.places import Wish
from service.tailoring.garments.stock import Stock
from service.tailoring.hems.dressed import AS_USUAL, Dressed
from service.tailoring.quantities import LengthUnit
from service.tailoring.refusals import Refusal
from service.tailoring.sizing.offers import Question
from service.tailoring.workroom.earliest_days import day_of
from service.use_cases.calendar.promises import calendar_now
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.idempotency import Answer, IdempotentRequest, answer_once
from service.use_cases.people.disclosures import note_shown
from service.use_cases.people.measurement_sets import BodyEvidence, body_asked, looking_up
from service.use_cases.shop.charts import BESIDES_MOST, charts_asked, find_chart


@dataclass(frozen=True, slots=True)
class WornAsked:
    """A size as a caller names it: of the chart as it is today."""

    chart: str
    label: str


@dataclass(frozen=True, slots=True)
class FitCheckAsked:
    """What is worn, what was seen, and what is known of the man; `unit` is the one that is used most to say it."""

    worn: Mapping[Garment, WornAsked]
    sightings: tuple[Sighting, ...]
    known: BodyEvidence = BodyEvidence()
    customer_ref: str | None = None
    charts: tuple[str, ...] | None = None
    wish: Wish = "usual"
    stock: Stock = Stock()
    limit: int = 3
    sold_at: tuple[tuple[Garment, int], ...] = ()
    unit: LengthUnit | None = None
    dressed: Dressed = AS_USUAL


def make_fit_check(
    context: ServiceContext,
    caller: Caller,
    asked: FitCheckAsked,
    idempotent: IdempotentRequest,
    document: Callable[[str, FitCheckRecord], dict[str, Any]],
) -> Answer:
    """Judge a worn suit and keep the judgement.

    Raises Refusal `worn_charts_differ`, `chart_unknown`, `label_unknown`, `set_unknown` or as `check_fit`.
    """
    codes = {each.chart for each in asked.worn.values()}
    if len(codes) != 1:
        raise Refusal("worn_charts_differ", ("worn",))
    with looking_up(context, asked.known) as tx:
        worn_chart = find_chart(tx, caller.shop.id, codes.pop(), ("worn",))
        body, kept_set = body_asked(tx, context, caller, asked.known)
        charts = charts_asked(tx, caller.shop.id, asked.charts or (worn_chart.code,))
        everything = charts_asked(tx, caller.shop.id, None)
        calendar = calendar_now(tx, context, caller.shop, outlasts=True)
    if worn_chart not in charts:
        charts = (worn_chart, *charts)
    worn = Worn(worn_chart, {garment: each.label for garment, each in asked.worn.items()})
    question = Question(charts, caller.shop.prices, asked.wish, asked.stock, limit=asked.limit, own=caller.shop.ease)
    # Judged before the writing transaction begins: nothing slow is done inside it.
    check = check_fit(
        body, question, worn, asked.sightings, shops_table(caller.shop.fit_points), asked.sold_at, asked.dressed
    )
    check = looking_further(check, everything[:BESIDES_MOST])
    choices = compare(check, worn, other_drops(worn, everything), day_of(calendar, context.today(caller.shop)))
    check_id, record = context.new_id(), record_of(check, worn, asked.sightings, choices, asked.unit, asked.dressed)
    kept = KeptFitCheck(
        id=check_id,
        customer_ref=asked.customer_ref or (kept_set.customer_ref if kept_set else None),
        record=record,
        answer=document(check_id, record),
        made_at=context.now(),
    )

    def make() -> dict[str, Any]:
        fit_checks.add_fit_check(tx, caller.shop.id, kept)
        return kept.answer

    with context.database.writing() as tx:
        return answer_once(tx, caller.shop.id, idempotent, context.now(), make)


def show_fit_check(context: ServiceContext, caller: Caller, check_id: str) -> KeptFitCheck:
    """A fit check on record. Raises Refusal `not_found`."""
    with context.database.writing() as tx:
        kept = fit_checks.find_fit_check(tx, caller.shop.id, check_id)
        if kept is None:
            raise Refusal("not_found")
        note_shown(tx, context, caller, "fit_check", thing=kept.id, customer_ref=kept.customer_ref)
    return kept

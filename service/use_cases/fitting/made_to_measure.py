"""The hand-over to a maker to measure: put together from what is known, and kept nowhere."""

from __future__ import annotations

from dataclasses import dataclass

from service.tailoring.fitting.hand_overs import HandOver
from service.tailoring.garments.charts import SUIT, Garment
from service.tailoring.garments.places import Wish
from service.tailoring.garments.stock import Stock
from service.tailoring.refusals import Refusal
from service.tailoring.sizing.offers import Question
from service.tailoring.sizing.size_advice import size_advice
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.fitting.fit_checks import show_fit_check
from service.use_cases.people.measurement_sets import BodyEvidence, body_asked, looking_up
from service.use_cases.shop.charts import charts_asked


@dataclass(frozen=True, slots=True)
class HandOverAsked:
    """Of whom, in which garments; `fit_check` is the id of one on a suit that was tried on."""

    known: BodyEvidence = BodyEvidence()
    charts: tuple[str, ...] | None = None
    wish: Wish = "usual"
    stock: Stock = Stock()
    garments: tuple[Garment, ...] = SUIT
    limit: int = 1
    fit_check: str | None = None
    customer_ref: str | None = None
    note: str = ""


def hand_over(context: ServiceContext, caller: Caller, asked: HandOverAsked) -> HandOver:
    """What the maker is handed. Raises Refusal `set_unknown`, `chart_unknown`, `label_unknown`, `fit_check_unknown`."""
    with looking_up(context, asked.known) as tx:
        body, kept = body_asked(tx, context, caller, asked.known)
        charts = charts_asked(tx, caller.shop.id, asked.charts)
    question = Question(
        charts, caller.shop.prices, asked.wish, asked.stock, asked.garments, asked.limit, own=caller.shop.ease
    )
    check = None
    if asked.fit_check is not None:
        try:
            check = show_fit_check(context, caller, asked.fit_check)
        except Refusal:
            raise Refusal("fit_check_unknown", ("fit_check",)) from None
    customer = (kept.customer_ref if kept else None) or (check.customer_ref if check else None)
    return HandOver(
        on=context.today(caller.shop),
        garments=asked.garments,
        readings=(*asked.known.readings, *(kept.readings if kept else ())),
        age_years=kept.age_years if kept and asked.known.age_years is None else asked.known.age_years,
        posture=body.posture,
        advice=size_advice(body, question),
        check=check.record if check else None,
        customer_ref=asked.customer_ref or customer,
        note=asked.note,
    )

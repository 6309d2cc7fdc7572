"""Size advice: a body, the shop's charts and stock, and the ranked plans."""

from __future__ import annotations

from dataclasses import dataclass

from service.storage.database import Transaction
from service.tailoring.body.body import Body
from service.tailoring.body.wears import Wears, evidence, last_bought_notice
from service.tailoring.garments.charts import SUIT, Garment
from service.tailoring.garments.places import Wish
from service.tailoring.garments.stock import Stock
from service.tailoring.refusals import Refusal
from service.tailoring.sizing.offers import Question
from service.tailoring.sizing.size_advice import SizeAdvice, size_advice
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.people.histories import last_bought
from service.use_cases.people.measurement_sets import BodyEvidence, body_asked, looking_up
from service.use_cases.shop.charts import charts_asked, charts_besides, find_chart


@dataclass(frozen=True, slots=True)
class AdviceAsked:
    """Who is to be fitted, and from what."""

    known: BodyEvidence = BodyEvidence()
    charts: tuple[str, ...] | None = None
    wish: Wish = "usual"
    stock: Stock = Stock()
    garments: tuple[Garment, ...] = SUIT
    limit: int = 3
    customer_ref: str | None = None
    wears_last_bought: bool = False
    advice_ids: bool = False


def give_size_advice(context: ServiceContext, caller: Caller, asked: AdviceAsked) -> SizeAdvice:
    """Rank the sizes on offer.

    Raises Refusal `chart_unknown`, `label_unknown`, `page_may_not` or what `body_asked` refuses.
    """
    last_of = asked.customer_ref if asked.wears_last_bought else None
    if last_of and caller.is_page:
        # What was recorded of a customer is not for a key that everybody can read.
        raise Refusal("page_may_not", ("wears_last_bought",))
    with context.database.writing() if last_of else looking_up(context, asked.known) as tx:
        body, _ = body_asked(tx, context, caller, asked.known)
        if last_of:
            body = _as_last_bought(tx, context, caller, body, asked.known, last_of)
        charts = charts_asked(tx, caller.shop.id, asked.charts)
    question = Question(
        charts=charts,
        prices=caller.shop.prices,
        wish=asked.wish,
        stock=asked.stock,
        garments=asked.garments,
        limit=asked.limit,
        own=caller.shop.ease,
    )
    advice = size_advice(body, question)
    if asked.charts is None or not advice.wants_more:
        return advice
    with context.database.reading() as tx:
        return advice.looking_further(charts_besides(tx, caller.shop.id, asked.charts))


def _as_last_bought(
    tx: Transaction, context: ServiceContext, caller: Caller, body: Body, known: BodyEvidence, customer_ref: str
) -> Body:
    """The body with the sizes that a customer bought last and kept; a garment that they are said to wear is as said."""
    for had in last_bought(tx, context, caller, customer_ref):
        if had.garment in {each.garment for each in known.wears}:
            continue
        try:
            wears = Wears(find_chart(tx, caller.shop.id, had.chart, ()), had.garment, had.label, "says")
        except Refusal:
            # The chart has no such size any more: it says nothing of anybody.
            continue
        body = body.also(evidence(wears), (last_bought_notice(wears, had.source, had.source_id, had.on),))
    return body

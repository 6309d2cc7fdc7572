"""Size advice: a body, the shop's charts and stock, and the ranked plans."""

from __future__ import annotations

from dataclasses import dataclass

from service.tailoring.garments.charts import SUIT, Garment
from service.tailoring.garments.places import Wish
from service.tailoring.sizing.offers import Question, Stock
from service.tailoring.sizing.size_advice import SizeAdvice, size_advice
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.people.measurement_sets import BodyEvidence, body_asked, looking_up
from service.use_cases.shop.charts import charts_asked, charts_besides


@dataclass(frozen=True, slots=True)
class AdviceAsked:
    """Who is to be fitted, and from what."""

    known: BodyEvidence = BodyEvidence()
    charts: tuple[str, ...] | None = None
    wish: Wish = "usual"
    stock: Stock = Stock()
    garments: tuple[Garment, ...] = SUIT
    limit: int = 3


def give_size_advice(context: ServiceContext, caller: Caller, asked: AdviceAsked) -> SizeAdvice:
    """Rank the sizes on offer. Raises Refusal `set_unknown`, `chart_unknown` or `label_unknown`."""
    with looking_up(context, asked.known) as tx:
        body, _ = body_asked(tx, context, caller, asked.known)
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

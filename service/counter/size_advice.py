"""Size advice: a body, the shop's charts and stock, and the ranked plans."""

from __future__ import annotations

from dataclasses import dataclass

from service.counter.charts import charts_asked
from service.counter.desk import Caller, Desk
from service.counter.measurement_sets import Known, body_asked, looking_up
from service.tailoring.body import Body
from service.tailoring.charts import SUIT, Garment
from service.tailoring.next_measures import NextMeasure, next_measures
from service.tailoring.notices import Notice
from service.tailoring.places import Wish
from service.tailoring.plans import Plan
from service.tailoring.sizing import Question, Stock, advise


@dataclass(frozen=True, slots=True)
class AdviceAsked:
    """Who is to be fitted, and from what."""

    known: Known = Known()
    charts: tuple[str, ...] | None = None
    wish: Wish = "usual"
    stock: Stock = Stock()
    garments: tuple[Garment, ...] = SUIT
    limit: int = 3


@dataclass(frozen=True, eq=False)
class SizeAdvice:
    """The body as it is known, the ranked plans, what to measure next, and what to look at."""

    body: Body
    plans: tuple[Plan, ...]
    next_measures: tuple[NextMeasure, ...]
    notices: tuple[Notice, ...]


def give_size_advice(desk: Desk, caller: Caller, asked: AdviceAsked) -> SizeAdvice:
    """Rank the sizes on offer. Raises Refusal `set_unknown`, `chart_unknown` or `label_unknown`."""
    with looking_up(desk, asked.known) as tx:
        body, _ = body_asked(tx, desk, caller, asked.known)
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
    advice = advise(body, question)
    return SizeAdvice(
        body=body,
        plans=advice.plans,
        next_measures=next_measures(body, question, list(advice.bays)),
        notices=(*body.notices, *advice.notices, *(advice.plans[0].notices if advice.plans else ())),
    )

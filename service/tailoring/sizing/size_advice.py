"""What one man is answered: the body as it is known, the plans, what to measure next, and what to look at."""

from __future__ import annotations

from dataclasses import dataclass

from service.tailoring.body.body import Body
from service.tailoring.notices import Notice
from service.tailoring.sizing.next_measures import NextMeasure, next_measures
from service.tailoring.sizing.offers import Question
from service.tailoring.sizing.plans import Plan
from service.tailoring.sizing.sizing import advise


@dataclass(frozen=True, eq=False)
class SizeAdvice:
    """The body as it is known, the ranked plans, what to measure next, and what to look at."""

    body: Body
    plans: tuple[Plan, ...]
    next_measures: tuple[NextMeasure, ...]
    notices: tuple[Notice, ...]


def size_advice(body: Body, question: Question) -> SizeAdvice:
    """Rank what is on offer for this body. Raises Refusal `label_unknown` for a stock label of no chart."""
    advice = advise(body, question)
    return SizeAdvice(
        body=body,
        plans=advice.plans,
        next_measures=next_measures(body, question, advice.offers),
        notices=(*body.notices, *advice.notices, *(advice.plans[0].notices if advice.plans else ())),
    )

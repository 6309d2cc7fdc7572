"""What one man is answered: the body as it is known, the plans, whether one serves, and what to measure next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from service.tailoring.body.body import Body
from service.tailoring.garments.charts import Chart
from service.tailoring.notices import Notice
from service.tailoring.sizing.next_measures import NextMeasure
from service.tailoring.sizing.offers import Question
from service.tailoring.sizing.plans import Plan
from service.tailoring.sizing.serving import Serving, with_deciding
from service.tailoring.sizing.sizing import Sizing


@dataclass(frozen=True, eq=False)
class SizeAdvice:
    """The body as it is known, the ranked plans, what to measure next, and what to look at.

    `serves` is of the first plan, None where there is none; `sizing` is what it was asked of.
    """

    body: Body
    plans: tuple[Plan, ...]
    next_measures: tuple[NextMeasure, ...]
    notices: tuple[Notice, ...]
    sizing: Sizing
    serves: Serving | None = None

    @property
    def wants_more(self) -> bool:
        """Whether charts that were not asked for may have what serves, or serves better."""
        return self.serves is not None and self.serves.wants_more

    def looking_further(self, others: Sequence[Chart]) -> SizeAdvice:
        """The same, where no size or no drop serves with what would among `others`: charts that were not asked for."""
        if not self.wants_more or not others:
            return self
        serves = self.sizing.serving(self.plans[0], others)
        before = self.serves.notices if self.serves else ()
        kept = (each for each in self.notices if each not in before)
        return replace(self, serves=serves, notices=(*kept, *serves.notices))


def size_advice(body: Body, question: Question) -> SizeAdvice:
    """Rank what is on offer for this body. Raises Refusal `label_unknown` for a stock label of no chart."""
    sizing = Sizing(body, question)
    advice = sizing.advice()
    unserved = advice.serves.notices if advice.serves else ()
    measures = sizing.next_measures()
    return SizeAdvice(
        body=body,
        plans=advice.plans,
        next_measures=with_deciding(measures, advice.plans[0], body) if advice.plans else measures,
        notices=(*body.notices, *advice.notices, *unserved, *(advice.plans[0].notices if advice.plans else ())),
        sizing=sizing,
        serves=advice.serves,
    )

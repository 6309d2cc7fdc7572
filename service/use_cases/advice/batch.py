"""Size advice for many men in one call: the same sizes at the same cost as one by one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.tailoring.body.population import Population
from service.tailoring.garments.charts import GARMENTS, SUIT, Chart, Garment, reference_charts
from service.tailoring.garments.places import Wish
from service.tailoring.garments.stock import Stock, check_stock
from service.tailoring.sizing.batch import Answer, Person, answer_whole, rank_many, shape_of
from service.tailoring.sizing.batch_costs import BatchCharge, check_affordable
from service.tailoring.sizing.offers import Question
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.people.own_men import population_asked
from service.use_cases.shop.charts import charts_asked

PEOPLE_MOST = 10_000
# So much is answered before it is sent on: a part of a second. Of those, more than are answered together at once.
POINTS_AT_A_TIME = 5_000


@dataclass(frozen=True, slots=True)
class BatchAsked:
    """Many men, each with the caller's own reference, and what they are to be fitted from."""

    people: tuple[tuple[str, Person], ...]
    charts: tuple[str, ...] | None = None
    wish: Wish = "usual"
    stock: Stock = Stock()
    garments: tuple[Garment, ...] = SUIT
    limit: int = 1
    whole: bool = False
    population_version: int | None = None


def rank_batch(context: ServiceContext, caller: Caller, asked: BatchAsked) -> Iterator[list[tuple[str, Answer]]]:
    """Everyone's reference and answer, some at a time in the caller's order; one man's refusal is his answer.

    Raises Refusal `chart_unknown`, `label_unknown`, `population_version_unknown` or `batch_too_dear` before the first
    answer.
    """
    with context.database.reading() as tx:
        charts = charts_asked(tx, caller.shop.id, asked.charts)
        among = population_asked(tx, caller, asked.population_version)
    question = Question(
        charts, caller.shop.prices, asked.wish, asked.stock, asked.garments, asked.limit, own=caller.shop.ease
    )
    check_stock(question.stock, question.charts)
    charge = BatchCharge(_sizes(charts), asked.limit, whole=asked.whole)
    points = check_affordable([shape_of(person) for _, person in asked.people], charge)
    return _answers(asked, question, among, max(1, len(asked.people) * POINTS_AT_A_TIME // points))


def _sizes(charts: Sequence[Chart]) -> list[int]:
    """How many sizes each chart has; of the reference blocks, which are costed together, one stands for all."""
    of_each = {chart: sum(len(chart.sizes[garment]) for garment in GARMENTS) for chart in charts}
    blocks = [sizes for chart, sizes in of_each.items() if chart.code in reference_charts()]
    own = [sizes for chart, sizes in of_each.items() if chart.code not in reference_charts()]
    return [*own, max(blocks)] if blocks else own


def _answers(
    asked: BatchAsked, question: Question, among: Population, at_a_time: int
) -> Iterator[list[tuple[str, Answer]]]:
    answer = answer_whole if asked.whole else rank_many
    for start in range(0, len(asked.people), at_a_time):
        some = asked.people[start : start + at_a_time]
        answers = answer([person for _, person in some], question, among)
        yield list(zip((ref for ref, _ in some), answers, strict=True))

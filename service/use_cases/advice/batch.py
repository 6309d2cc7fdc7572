"""Size advice for many men in one call: the same sizes at the same cost as one by one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from service.tailoring.garments.charts import SUIT, Garment
from service.tailoring.garments.places import Wish
from service.tailoring.sizing.batch import Answer, Person, answer_whole, rank_many
from service.tailoring.sizing.sizing import Question, Stock, check_stock
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.shop.charts import charts_asked

PEOPLE_MOST = 10_000
# Whole answers take a second for some five hundred.
WHOLE_MOST = 1_000
# So many are answered before the first of them are sent on.
AT_A_TIME = 1_000


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


def rank_batch(context: ServiceContext, caller: Caller, asked: BatchAsked) -> Iterator[tuple[str, Answer]]:
    """Everyone's reference and answer, in the caller's order; one man's refusal is his answer.

    Raises Refusal `chart_unknown` or `label_unknown` before the first answer.
    """
    with context.database.reading() as tx:
        charts = charts_asked(tx, caller.shop.id, asked.charts)
    question = Question(
        charts, caller.shop.prices, asked.wish, asked.stock, asked.garments, asked.limit, own=caller.shop.ease
    )
    check_stock(question)
    return _answers(asked, question)


def _answers(asked: BatchAsked, question: Question) -> Iterator[tuple[str, Answer]]:
    answer = answer_whole if asked.whole else rank_many
    for start in range(0, len(asked.people), AT_A_TIME):
        some = asked.people[start : start + AT_A_TIME]
        answers = answer([person for _, person in some], question)
        yield from zip((ref for ref, _ in some), answers, strict=True)

"""What became of what was sold: told by tills and web shops, kept, and counted by size."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from service.storage.database import Transaction
from service.storage.fitting import fit_checks
from service.storage.orders import orders, outcomes
from service.storage.orders.outcomes import FiledOutcome
from service.tailoring.orders.outcomes import KeptShares, Outcome, SizeSold
from service.tailoring.refusals import Refusal
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.idempotency import Answer, IdempotentRequest, answer_once
from service.use_cases.shop.charts import find_chart


@dataclass(frozen=True, slots=True)
class OutcomeAsked:
    """An outcome as a caller tells it; it came of a fit check, an order, a plan that is told with it, or of nothing."""

    outcome: Outcome
    customer_ref: str | None = None
    sale_ref: str | None = None
    fit_check: str | None = None
    order: str | None = None


def tell_outcome(
    context: ServiceContext,
    caller: Caller,
    asked: OutcomeAsked,
    idempotent: IdempotentRequest,
    document: Callable[[FiledOutcome], dict[str, Any]],
) -> Answer:
    """Keep what became of a garment.

    What the first plan of its fit check advised is kept with it, where the caller says no other.
    Raises Refusal `taken_in_future`, `chart_unknown`, `label_unknown`, `fit_check_unknown` or `order_unknown`.
    """
    today = context.today(caller.shop)
    if asked.outcome.on > today:
        raise Refusal("taken_in_future", ("on",), today=today.isoformat())

    def make() -> dict[str, Any]:
        _check_sizes(tx, caller, asked.outcome)
        filed = FiledOutcome(
            id=context.new_id(),
            outcome=_with_advice(tx, caller, asked),
            told_at=context.now(),
            customer_ref=asked.customer_ref,
            sale_ref=asked.sale_ref,
            fit_check=asked.fit_check,
            order=asked.order,
        )
        outcomes.add_outcome(tx, caller.shop.id, filed)
        return document(filed)

    with context.database.writing() as tx:
        return answer_once(tx, caller.shop.id, idempotent, context.now(), make)


def show_outcome(context: ServiceContext, caller: Caller, outcome_id: str) -> FiledOutcome:
    """One outcome. Raises Refusal `not_found`."""
    with context.database.reading() as tx:
        filed = outcomes.find_outcome(tx, caller.shop.id, outcome_id)
    if filed is None:
        raise Refusal("not_found")
    return filed


def count_outcomes(
    context: ServiceContext,
    caller: Caller,
    garment: str | None = None,
    chart: str | None = None,
    since: date | None = None,
) -> KeptShares:
    """What was reported of every size of the shop since a day."""
    with context.database.reading() as tx:
        return KeptShares(outcomes.count_by_size(tx, caller.shop.id, garment, chart, since))


def _check_sizes(tx: Transaction, caller: Caller, told: Outcome) -> None:
    for size, at in ((told.sold, ("sold",)), (told.swapped_to, ("swapped_to",)), (told.advised, ("advised",))):
        if size is None:
            continue
        chart = find_chart(tx, caller.shop.id, size.chart, (*at, "chart"))
        try:
            chart.size(told.garment, size.label)
        except Refusal as refusal:
            raise Refusal(refusal.code, (*at, "label"), **refusal.facts) from None


def _with_advice(tx: Transaction, caller: Caller, asked: OutcomeAsked) -> Outcome:
    if asked.order is not None and orders.find_order(tx, caller.shop.id, asked.order) is None:
        raise Refusal("order_unknown", ("order",))
    if asked.fit_check is None:
        return asked.outcome
    check = fit_checks.find_fit_check(tx, caller.shop.id, asked.fit_check)
    if check is None:
        raise Refusal("fit_check_unknown", ("fit_check",))
    planned = check.record.plans[0].chosen.get(asked.outcome.garment)
    if asked.outcome.advised is not None or planned is None:
        return asked.outcome
    return replace(asked.outcome, advised=SizeSold(planned.chart, planned.label))

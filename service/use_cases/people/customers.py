"""A customer's own data: given to him whole, erased whole, and forgotten in its time."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TypeVar

from service.storage import shops
from service.storage.database import Transaction
from service.storage.fitting import fit_checks
from service.storage.fitting.fit_checks import KeptFitCheck
from service.storage.orders import orders, outcomes
from service.storage.orders.orders import FiledOrder
from service.storage.orders.outcomes import FiledOutcome
from service.storage.people import customers, disclosures, measurement_sets
from service.storage.people.customers import Erased
from service.storage.people.disclosures import Disclosure
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.people.disclosures import note_shown
from service.use_cases.people.measurement_sets import ShownSet, shown_set

_EXPORT_PAGE = 50
_Row = TypeVar("_Row")


@dataclass(frozen=True, slots=True)
class CustomersData:
    """All that is kept under one reference, a page at a time; each page is read when it is asked for."""

    customer_ref: str
    exported_at: datetime
    measurement_sets: Iterator[tuple[ShownSet, ...]]
    fit_checks: Iterator[tuple[KeptFitCheck, ...]]
    orders: Iterator[tuple[FiledOrder, ...]]
    outcomes: Iterator[tuple[FiledOutcome, ...]]
    disclosures: Iterator[tuple[Disclosure, ...]]


def export_customer(context: ServiceContext, caller: Caller, customer_ref: str) -> CustomersData:
    """All that the shop keeps under a customer's reference, and who was shown it; empty where they are not known.

    That it is shown is kept first. Each page is a transaction of its own: what is erased meanwhile is not shown.
    """
    shop_id = caller.shop.id
    with context.database.writing() as tx:
        note_shown(tx, context, caller, "export", customer_ref=customer_ref)
        order_ids = customers.order_ids_of_customer(tx, shop_id, customer_ref)

    def sets(tx: Transaction, last: ShownSet | None) -> tuple[ShownSet, ...]:
        place = (last.kept.recorded_at, last.kept.id) if last else None
        kept = measurement_sets.sets_of_customer(tx, shop_id, customer_ref, _EXPORT_PAGE, place)
        return tuple(shown_set(caller, each) for each in kept)

    def checks(tx: Transaction, last: KeptFitCheck | None) -> tuple[KeptFitCheck, ...]:
        place = (last.made_at, last.id) if last else None
        return fit_checks.checks_of_customer(tx, shop_id, customer_ref, _EXPORT_PAGE, place)

    def shown(tx: Transaction, last: Disclosure | None) -> tuple[Disclosure, ...]:
        below = last.number if last else None
        return disclosures.list_disclosures(tx, shop_id, customer_ref, below, _EXPORT_PAGE)

    return CustomersData(
        customer_ref,
        context.now(),
        _pages(context, sets),
        _pages(context, checks),
        _orders(context, shop_id, customer_ref, order_ids),
        _outcomes(context, shop_id, customer_ref),
        _pages(context, shown),
    )


def _pages(
    context: ServiceContext, read: Callable[[Transaction, _Row | None], tuple[_Row, ...]]
) -> Iterator[tuple[_Row, ...]]:
    last: _Row | None = None
    while True:
        with context.database.reading() as tx:
            page = read(tx, last)
        if page:
            yield page
        if len(page) < _EXPORT_PAGE:
            return
        last = page[-1]


def _orders(
    context: ServiceContext, shop_id: str, customer_ref: str, ids: Sequence[str]
) -> Iterator[tuple[FiledOrder, ...]]:
    for start in range(0, len(ids), _EXPORT_PAGE):
        with context.database.reading() as tx:
            filed = [orders.find_order(tx, shop_id, each) for each in ids[start : start + _EXPORT_PAGE]]
        # Whoever was erased meanwhile has no orders any more.
        yield tuple(each for each in filed if each and each.order.customer_ref == customer_ref)


def _outcomes(context: ServiceContext, shop_id: str, customer_ref: str) -> Iterator[tuple[FiledOutcome, ...]]:
    with context.database.reading() as tx:
        found = outcomes.outcomes_of_customer(tx, shop_id, customer_ref)
    yield found


def erase_customer(context: ServiceContext, caller: Caller, customer_ref: str) -> Erased:
    """Erase a customer: readings and fit checks go, orders and outcomes stay without him; nothing of one unknown."""
    with context.database.writing() as tx:
        shops.lock_shop(tx, caller.shop.id)
        erased = customers.erase_customer(tx, caller.shop.id, customer_ref)
        # That something was erased, by whom and when; of whom is no longer known here.
        note_shown(tx, context, caller, "erasure")
        return erased

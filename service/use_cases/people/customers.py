"""A customer's own data: given to him whole, erased whole, and forgotten in its time."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial
from typing import Any

from service.storage import fit_checks, sealing, shops
from service.storage.database import again_if_undone
from service.storage.fit_checks import KeptFitCheck
from service.storage.orders import orders, outcomes
from service.storage.orders.orders import FiledOrder
from service.storage.orders.outcomes import FiledOutcome
from service.storage.people import customers, disclosures, measurement_sets
from service.storage.people.customers import Erased, Forgotten
from service.storage.people.disclosures import Disclosure
from service.tailoring.refusals import Refusal
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.people.disclosures import note_shown
from service.use_cases.people.measurement_sets import ShownSet, shown_set

# A till that was away for long still gets its answer; after that a key may stand on another request.
ANSWERS_KEPT = timedelta(days=30)
# As long as anybody may ask who saw his readings: longer than most shops keep them.
DISCLOSURES_KEPT = timedelta(days=730)
_ROWS_AT_A_TIME = 200


@dataclass(frozen=True, slots=True)
class CustomersData:
    """All that is kept under one reference."""

    customer_ref: str
    exported_at: datetime
    measurement_sets: tuple[ShownSet, ...]
    fit_checks: tuple[KeptFitCheck, ...]
    orders: tuple[FiledOrder, ...]
    outcomes: tuple[FiledOutcome, ...]
    disclosures: tuple[Disclosure, ...]


def export_customer(context: ServiceContext, caller: Caller, customer_ref: str) -> CustomersData:
    """All that the shop keeps under a customer's reference, and who was shown it; empty where he is not known."""
    shop_id = caller.shop.id
    with context.database.writing() as tx:
        note_shown(tx, context, caller, "export", customer_ref=customer_ref)
        filed = (
            orders.find_order(tx, shop_id, each) for each in customers.order_ids_of_customer(tx, shop_id, customer_ref)
        )
        return CustomersData(
            customer_ref,
            context.now(),
            tuple(map(shown_set, measurement_sets.sets_of_customer(tx, shop_id, customer_ref))),
            fit_checks.checks_of_customer(tx, shop_id, customer_ref),
            tuple(each for each in filed if each),
            outcomes.outcomes_of_customer(tx, shop_id, customer_ref),
            disclosures.list_disclosures(tx, shop_id, customer_ref),
        )


def erase_customer(context: ServiceContext, caller: Caller, customer_ref: str) -> Erased:
    """Erase a customer: readings and fit checks go, orders and outcomes stay without him; nothing of one unknown."""
    with context.database.writing() as tx:
        shops.lock_shop(tx, caller.shop.id)
        erased = customers.erase_customer(tx, caller.shop.id, customer_ref)
        # That something was erased, by whom and when; of whom is no longer known here.
        note_shown(tx, context, caller, "erasure")
        return erased


def keep_readings_for(context: ServiceContext, shop_id: str, days: int) -> None:
    """Set for how many days a shop keeps what it read. Raises Refusal `shop_unknown`."""
    with context.database.writing() as tx:
        if not customers.keep_readings_for(tx, shop_id, days):
            raise Refusal("shop_unknown", ("shop",), given=shop_id)


def forget_expired(context: ServiceContext) -> Forgotten:
    """Forget, shop by shop, what has been kept for long enough; so many rows a transaction, however many there are."""
    now, all_of_them = context.now(), Forgotten()
    with context.database.reading() as tx:
        kept_for = customers.shops_and_days(tx)
    for shop_id, days in kept_for:
        more = True
        while more:
            forgotten = again_if_undone(partial(_forget, context, shop_id, days, now))
            all_of_them += forgotten
            more = forgotten.most == _ROWS_AT_A_TIME
    return all_of_them


def _forget(context: ServiceContext, shop_id: str, days: int, now: datetime) -> Forgotten:
    with context.database.writing() as tx:
        before = (now - timedelta(days=days), now - ANSWERS_KEPT, now - DISCLOSURES_KEPT)
        return customers.forget_before(tx, shop_id, *before, most=_ROWS_AT_A_TIME)


def reseal(context: ServiceContext) -> int:
    """Seal all that was read with the newest key, a few rows a transaction; how many transactions it took.

    While it runs, and if it is stopped, everything can be read: rows are sealed with one key or the other.
    """
    turns = 0
    for table, columns in sealing.SEALED:
        last: tuple[object, ...] | None = None
        while True:
            last = again_if_undone(partial(_reseal, context, table, columns, last))
            turns += 1
            if last is None:
                break
    return turns


def _reseal(context: ServiceContext, table: Any, columns: tuple[str, ...], last: Any) -> Any:  # noqa: ANN401  the storage's own
    with context.database.writing() as tx:
        return sealing.reseal(tx, table, columns, last, _ROWS_AT_A_TIME)

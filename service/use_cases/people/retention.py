"""For how long what was read of customers is kept: set for a shop, forgotten in time, sealed again."""

from __future__ import annotations

from datetime import datetime, timedelta
from functools import partial
from typing import Any

from service.storage import sealing
from service.storage.database import again_if_undone
from service.storage.people import customers
from service.storage.people.customers import Forgotten
from service.tailoring.refusals import Refusal
from service.use_cases.context import ServiceContext

# A till that was away for long still gets its answer; after that a key may stand on another request.
ANSWERS_KEPT = timedelta(days=30)
# As long as anybody may ask who saw his readings: longer than most shops keep them.
DISCLOSURES_KEPT = timedelta(days=730)
_ROWS_AT_A_TIME = 200


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
        before = (now - timedelta(days=days), now - ANSWERS_KEPT, now - DISCLOSURES_KEPT, now)
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

"""However many orders there are, a page of them is read from one index, in that index's order."""

import itertools
import re
from contextlib import closing

import pytest
from sqlalchemy import event

from service.storage.database import Database
from service.storage.orders import order_lists, worklists
from service.storage.orders.order_lists import OrderFilter
from tests.days import MONDAY

SHOP = "00000000-0000-0000-0000-000000000000"
FILTERS = {
    "number": 1001,
    "sale_ref": "S-1",
    "customer_ref": "C-1",
    "promised_for": MONDAY,
    "state": "collected",
}
INDEX = {
    None: "uq_orders_shop_id_number",
    "number": "uq_orders_shop_id_number",
    "sale_ref": "ix_orders_shop_id_sale_ref_number",
    "customer_ref": "ix_orders_shop_id_customer_ref_number",
    "promised_for": "ix_orders_shop_id_promised_for_number",
    "state": "ix_orders_shop_id_state_number",
}
WAYS = [names for count in range(len(FILTERS) + 1) for names in itertools.combinations(FILTERS, count)]


def plans(tx, asking):
    """How SQLite goes about every question that `asking` asks."""
    asked = []

    def hear(_connection, _cursor, statement, parameters, *_):
        asked.append((statement, parameters))

    event.listen(tx, "before_cursor_execute", hear)
    try:
        asking()
    finally:
        event.remove(tx, "before_cursor_execute", hear)
    return [
        " ; ".join(row[3] for row in tx.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", parameters))
        for statement, parameters in asked
    ]


@pytest.fixture
def lite(sqlite_url):
    # PostgreSQL plans by its statistics, which an empty table has none of.
    with closing(Database(sqlite_url)) as database:
        yield database


@pytest.mark.parametrize("names", WAYS, ids="-".join)
@pytest.mark.parametrize("below", [None, 500])
def test_a_page_is_read_from_the_index_of_what_the_fewest_orders_share(lite, names, below):
    wanted = OrderFilter(**{name: FILTERS[name] for name in names}, below=below)
    with lite.reading() as tx:
        (plan,) = plans(tx, lambda: order_lists.list_orders(tx, SHOP, wanted, 20))
    # Neither read whole, nor sorted afterwards.
    expected = INDEX[next(iter(names), None)]
    found = re.search(r"INDEX (\S+)", plan)
    assert found, plan
    if expected == INDEX["number"]:
        # SQLite names the index of a constraint by its own rule.
        assert found[1].startswith("sqlite_autoindex_orders")
    else:
        assert expected == found[1]
    assert "SCAN" not in plan
    assert "TEMP B-TREE" not in plan


def test_the_day_and_the_counts_read_open_orders_only(lite):
    with lite.reading() as tx:
        asked = [
            *plans(tx, lambda: worklists.booked_work(tx, SHOP, ("marked", "accepted"), MONDAY)),
            *plans(tx, lambda: worklists.count_orders(tx, SHOP, ("marked", "accepted"))),
            *plans(tx, lambda: worklists.count_promised(tx, SHOP, ("marked", "accepted"), None, MONDAY)),
        ]
    for plan in asked:
        assert "INDEX ix_orders_shop_id_state_number" in plan
        assert "SCAN" not in plan

"""The demo's book of a day, its answers held to the contract, on days and at hours on which a shop is asked."""

import sys
from datetime import UTC, datetime

import pytest

from service.tailoring.garments.charts import ChartHead
from service.use_cases.shop.charts import load_chart
from tests.house import HOUSE
from tests.shops import new_shop
from tests.tailoring.fitting.book_of_fittings import chart_rows

sys.path.insert(0, str(HOUSE / "demo"))
import asking
import book_of_a_day
import day

# What the book must show at least once: a move to each of these, and each of these operations.
STATES = {
    "accepted", "in_workroom", "query", "basted_for_fitting", "sewn", "pressed", "ready", "collected", "stored", "lost",
    "given_up", "cancelled",
}  # fmt: skip
OPERATIONS = {
    "POST /v1/fit-checks", "POST /v1/orders", "PATCH /v1/orders/…", "POST /v1/orders/…/moves",
    "POST /v1/orders/…/line-changes", "POST /v1/orders/…/bench-notes", "POST /v1/orders/…/checks",
    "POST /v1/orders/…/assignments", "POST /v1/tailors/…/work", "POST /v1/orders/…/promises",
    "GET /v1/orders/…/ticket", "GET /v1/orders/…/charges", "GET /v1/orders/…/customer-slip",
    "POST /v1/order-groups", "POST /v1/order-groups/…/members", "DELETE /v1/order-groups/…/members/…",
    "GET /v1/order-groups/…/sheet", "GET /v1/orders/waiting", "GET /v1/customers/…/history",
    "GET /v1/workroom/worklist", "PUT /v1/workroom/week", "PUT /v1/price-list", "PUT /v1/tailors/…",
}  # fmt: skip
MONDAY_MORNING = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
SATURDAY_AT_CLOSING = datetime(2026, 3, 7, 17, 59, tzinfo=UTC)
SUNDAY_BEFORE_THE_CLOCK_CHANGES = datetime(2026, 3, 29, 0, 30, tzinfo=UTC)


class Held(asking.Counter):
    """A counter that asks in this process, where every answer is held to the contract, and notes what it asked."""

    def send(self, method, path, body, headers):
        who = headers.pop("Authorization", "").removeprefix("Bearer ")
        answer = self.keys_clients[who].ask(method, path, body, headers=headers)
        self.asked.append((method, path, body or {}, answer.status))
        text = answer.raw.decode()
        return asking.Answer(answer.status, answer.headers, text, answer.body if answer.body != text else None)


def counter_of(shop):
    found = Held("", {who: who for who in ("owner", "staff", "till")}, page_url="")
    found.asked, found.keys_clients = [], {
        "owner": shop.client("admin"),
        "staff": shop.client("measure", "advise", "order", "workroom"),
        "till": shop.client("order"),
    }  # fmt: skip
    return found


@pytest.mark.parametrize(
    "at", [MONDAY_MORNING, SATURDAY_AT_CLOSING, SUNDAY_BEFORE_THE_CLOCK_CHANGES], ids=lambda at: f"{at:%a %H:%M}"
)
def test_twelve_orders_live_from_marking_to_collection(house, at, capsys):
    house.clock.time = at
    shop = new_shop(house)
    load_chart(house.context, shop.id, ChartHead("everyday", "Everyday separates"), chart_rows())
    counter = counter_of(shop)
    book_of_a_day.open_the_workroom(counter)
    day.the_book(counter)
    moves = [body["to"] for _, path, body, _ in counter.asked if path.endswith("/moves")]
    assert set(moves) >= STATES
    assert {plain(method, path) for method, path, _, _ in counter.asked} >= OPERATIONS
    rows = shop.staff.get("/v1/orders", query={"limit": 100}).body["orders"]
    assert 12 == len(rows)
    for row in rows:
        assert_it_adds_up(shop.staff, row["id"])
    printed = capsys.readouterr().out
    assert all(f"order {row['number']} is {row['state']}" in printed for row in rows)


def plain(method, path):
    parts = path.partition("?")[0].split("/")
    words = ("members", "tailors", "customers")
    return f"{method} " + "/".join(
        "…" if len(part) == 36 or (before in words and part) else part
        for before, part in zip(["", *parts], parts, strict=False)
    )


def assert_it_adds_up(staff, order_id):
    """Minutes, prices and pieces of an order, by its own lines, events and charges."""
    order = staff.get(f"/v1/orders/{order_id}").body
    charges = staff.get(f"/v1/orders/{order_id}/charges").body
    assert order["minutes"] == sum(line["minutes"] for line in order["lines"])
    assert order["minutes_taken"] == sum(spell["minutes"] or 0 for spell in order["spells"])
    assert charges["total"]["minor"] == sum(each["amount"]["minor"] for each in charges["charges"])
    if order["state"] == "collected":
        assert charges["total"] == order["total"]
    assert len(order["garments"]) == len({piece["piece"] for piece in order["garments"]})
    assert {"collected", "cancelled"} >= {piece["state"] for piece in order["garments"]}
    assert {0} == {piece["pins_to_count"] for piece in order["garments"]} or order["state"] == "cancelled"

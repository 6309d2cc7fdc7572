import pytest

from service.tailoring.orders.order_events import event_types
from tests.http.sheets import moved, moved_along, order, placed

REDONE = (
    ("accepted", {}),
    ("in_workroom", {}),
    ("sewn", {}),
    ("pressed", {"pins_out": 0}),
    ("ready", {"pins_out": 0}),
    ("in_workroom", {"reason": "left hem is short"}),
)


def types_and_states(page):
    return [(each["type"], each["data"]["from"], each["data"]["state"]) for each in page["events"]]


def test_a_shop_without_orders_has_no_events(staff):
    assert {"events": [], "after": "first-0", "epoch": "first"} == staff.get("/v1/events").body


def test_every_step_of_an_order_is_told_with_its_day(staff):
    made = placed(staff)
    moved_along(staff, made["id"], *REDONE)
    page = staff.get("/v1/events").body
    assert [
        ("order.placed", None, "marked"),
        ("order.moved", "marked", "accepted"),
        ("order.moved", "accepted", "in_workroom"),
        ("order.moved", "in_workroom", "sewn"),
        ("order.moved", "sewn", "pressed"),
        ("order.moved", "pressed", "ready"),
        ("order.redone", "ready", "in_workroom"),
    ] == types_and_states(page)
    assert [f"first-{number}" for number in range(1, 8)] == [each["cursor"] for each in page["events"]]
    assert {(made["number"], made["promised_for"])} == {
        (each["data"]["number"], each["data"]["promised_for"]) for each in page["events"][:-1]
    }
    # A redo is booked at once, and its customer keeps the day that they were told.
    assert "2026-03-03" == page["events"][-1]["data"]["promised_for"]


def test_a_cancelled_order_is_told(staff):
    moved(staff, placed(staff)["id"], "cancelled", 1, reason="changed his mind")
    assert ("order.cancelled", "marked", "cancelled") == types_and_states(staff.get("/v1/events").body)[-1]


def test_the_feed_is_followed_by_its_cursor(staff):
    for _ in range(5):
        placed(staff)
    seen, after = [], "0"
    while page := staff.get("/v1/events", query={"after": after, "limit": 2}).body["events"]:
        seen += [each["cursor"] for each in page]
        after = page[-1]["cursor"]
    assert [f"first-{number}" for number in range(1, 6)] == seen
    assert {"events": [], "after": after, "epoch": "first"} == staff.get("/v1/events", query={"after": after}).body
    placed(staff)
    assert ["first-6"] == [each["cursor"] for each in staff.get("/v1/events", query={"after": after}).body["events"]]


def test_what_is_there_is_not_waited_for(staff):
    placed(staff)
    # Nor is anything, where the server is none that waits: the answer may always come sooner.
    page = staff.get("/v1/events", query="wait=25").body
    assert 1 == len(page["events"])
    assert [] == staff.get("/v1/events", query=f"wait=25&after={page['after']}").body["events"]


@pytest.mark.parametrize("wait", ["26", "-1", "soon"])
def test_nobody_waits_longer_than_a_line_is_held(staff, wait):
    assert 422 == staff.get("/v1/events", query=f"wait={wait}").status


def test_the_header_link_leads_on(staff):
    for _ in range(3):
        placed(staff)
    first = staff.get("/v1/events", query={"limit": 2})
    assert '</v1/events?limit=2&after=first-2>; rel="next"' == first.headers["Link"]
    assert "Link" not in staff.get("/v1/events", query={"after": "first-2"}).headers


@pytest.mark.parametrize(
    "query",
    [
        {"after": "-1"},
        {"after": "1"},
        {"after": "x"},
        {"after": "first-"},
        {"after": "FIRST-1"},
        {"after": "first-01"},
        {"after": "first-" + "9" * 17},
        {"limit": "0"},
        {"limit": "101"},
        {"before": "1"},
    ],
)
def test_what_is_no_cursor_is_refused(staff, query):
    assert 422 == staff.get("/v1/events", query=query).status


def test_an_event_says_nothing_of_customer_sale_staff_or_body(staff):
    made = placed(staff, customer_ref="customer-77", sale_ref="sale-88", by="fitter-99")
    moved(staff, made["id"], "accepted", 1, by="bench-66", note="stoops")
    told = staff.get("/v1/events").raw.decode()
    assert made["number"] in told
    assert [] == [word for word in ("customer-77", "sale-88", "fitter-99", "bench-66", "stoops") if word in told]


def test_nothing_is_told_of_a_move_that_was_refused(staff):
    made = placed(staff)
    assert 409 == moved(staff, made["id"], "collected", 1, tried_on=True).status
    assert 412 == moved(staff, made["id"], "accepted", 7).status
    assert 1 == len(staff.get("/v1/events").body["events"])


def test_a_repeated_request_is_told_once(staff):
    for _ in range(2):
        assert 201 == staff.post("/v1/orders", order(), key="same").status
    assert 1 == len(staff.get("/v1/events").body["events"])


def test_each_shop_has_a_feed_of_its_own(staff, other_shop):
    placed(other_shop.staff)
    placed(staff)
    mine, theirs = staff.get("/v1/events").body["events"], other_shop.staff.get("/v1/events").body["events"]
    assert (["first-1"], ["first-1"]) == ([each["cursor"] for each in mine], [each["cursor"] for each in theirs])
    assert mine[0]["id"] != theirs[0]["id"]


def test_every_type_of_event_stands_in_the_contract_with_what_it_means(house):
    document = house.contract.document
    assert set(event_types()) == set(document["components"]["schemas"]["CloudEvent"]["properties"]["type"]["enum"])
    assert set(event_types()) == set(document["webhooks"])
    for name, words in event_types().items():
        assert words == document["webhooks"][name]["post"]["summary"]
        assert name in document["components"]["schemas"]["CloudEvent"]["properties"]["type"]["description"]


def test_every_event_that_any_test_caused_is_of_a_type_in_the_contract(house, staff):
    placed(staff)
    with house.context.database.reading() as tx:
        caused = set(tx.exec_driver_sql("SELECT DISTINCT type FROM events").scalars())
    assert "order.placed" in caused
    assert caused <= set(house.contract.document["webhooks"])

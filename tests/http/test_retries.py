"""Whatever changes something is safe to send again: every such operation of the contract, with a key.

The operations come from the contract. A new one that is no question needs a way to send it in SENT.
"""

import re
import threading
from concurrent.futures import ThreadPoolExecutor

import pytest

from service.app import create_app
from service.http.api import contract
from service.settings import Settings
from tests.http.journeys import booked
from tests.http.sheets import (
    HEMMED,
    IN_WORKROOM,
    JACKET,
    JACKET_WAIST_IN,
    KEPT,
    SLIM,
    TO_READY,
    WAIST_IN,
    WORN,
    inches,
    moved_along,
    order,
    placed,
)
from tests.http.sheets import sheet as plain
from tests.http.shop.charts import CHART
from tests.waiting import PATIENCE_SECONDS

DOCUMENT = contract(create_app(Settings()))
# What is only asked: it changes nothing, and may be sent as often as one likes.
QUESTIONS = {
    "advise_size",
    "advise_sizes",
    "compare_charts",
    "plan_finishing",
    "plan_hems",
    "print_made_to_measure_sheet",
    "quote_alterations",
    "translate_designations",
}
CHANGING = {
    operation["operationId"]: (method.upper(), operation)
    for item in DOCUMENT["paths"].values()
    for method, operation in item.items()
    if method in {"put", "post", "patch", "delete"} and operation["operationId"] not in QUESTIONS
}
SUIT = {"garments": [HEMMED, JACKET], "hems": [], "lines": [WAIST_IN, JACKET_WAIST_IN]}
BY = {"by": "fitter-1"}


def of_order(what, body, *steps):
    """A change of an order that has gone so far; `body` says more than who."""

    def sent(staff):
        made = placed(staff, **SUIT, customer_ref="C-1")
        if steps:
            moved_along(staff, made["id"], *steps)
        return f"/v1/orders/{made['id']}{what}", BY | body

    return sent


def of_webhook(what, body):
    def sent(staff):
        made = staff.post("/v1/webhooks", {"url": "https://shop.example/events"}).body
        return f"/v1/webhooks/{made['id']}{what}", body

    return sent


def of_customer(staff):
    placed(staff, customer_ref="C-1")
    staff.post("/v1/measurement-sets", {"readings": SLIM, "customer_ref": "C-1", "by": "fitter-1"})
    return "/v1/customers/C-1", None


def example(path, method, at=None):
    """The body that the contract has for an example."""
    content = DOCUMENT["paths"][path][method]["requestBody"]["content"]
    return lambda _staff: (at or path, content["application/json"]["example"])


def of_tailor(what, body):
    """A tailor who may begin a line of an order that is at the bench; `body` may say its ticket."""

    def sent(staff):
        made = placed(staff, **SUIT)
        moved_along(staff, made["id"], *IN_WORKROOM)
        staff.ask("PUT", "/v1/tailors/tailor-1", {"benches": ["trousers", "jackets"], "minutes_a_day": 420})
        return f"/v1/tailors/tailor-1{what}", body and body | {"ticket": made["number"]}

    return sent


def grouped(staff):
    """A group of two, and where its members are."""
    made = staff.post("/v1/order-groups", BY | {"orders": [plain(), plain()]}, key="group").body
    return made, f"/v1/order-groups/{made['id']}/members"


def left(staff):
    made, members = grouped(staff)
    return f"{members}/{made['orders'][0]['id']}", None


def assigned(staff):
    address, _ = of_tailor("", None)(staff)
    (made,) = staff.get("/v1/orders").body["orders"]
    return f"/v1/orders/{made['id']}/assignments", BY | {"tailor": address.rpartition("/")[2], "pieces": [1]}


def to_be_kept(staff):
    asked = {"readings": SLIM, "limit": 1}
    plan = staff.post("/v1/size-advice", {**asked, "advice_ids": True}).body["plans"][0]
    return "/v1/kept-advice", {"asked": asked, "advice_id": plan["advice_id"]}


# How each is sent once: where, and what.
SENT = {
    "assign_work": assigned,
    "delete_tailor": of_tailor("", None),
    "put_tailor": lambda _: ("/v1/tailors/tailor-1", {"benches": ["trousers"], "minutes_a_day": 400}),
    "work_at_bench": of_tailor("/work", {"do": "begin", "number": 1}),
    "amend_order": of_order("", {"note": "the customer calls first"}),
    "change_lines": of_order(
        "/line-changes", {"reason": "not wanted", "strike": [1]}, *IN_WORKROOM, ("query", {"question": "still?"})
    ),
    "check_fit": lambda _: ("/v1/fit-checks", WORN),
    "check_lines": of_order(
        "/checks", {"lines": [{"number": 1, "measured": inches("29 3/4")}]}, *IN_WORKROOM, ("sewn", {})
    ),
    "create_webhook": lambda _: ("/v1/webhooks", {"url": "https://shop.example/events"}),
    "delete_webhook": of_webhook("", None),
    "erase_customer": of_customer,
    "join_order_group": lambda staff: (grouped(staff)[1], order()),
    "keep_for_fitter": to_be_kept,
    "leave_order_group": left,
    "move_order": of_order("/moves", {"to": "accepted"}),
    "note_work": of_order("/bench-notes", {"lines": [{"number": 1, "is_sewn": True}]}, *IN_WORKROOM),
    "place_order": lambda _: ("/v1/orders", order()),
    "place_order_group": lambda _: ("/v1/order-groups", BY | {"orders": [plain(), plain()]}),
    "remind_customer": of_order("/reminders", {"note": "by telephone"}, *TO_READY),
    "promise_order": of_order("/promises", {"reason": "a tailor is ill"}),
    "promise_orders_at_risk": lambda _: ("/v1/workroom/promises", BY | {"reason": "a tailor is ill"}),
    "put_chart": lambda _: ("/v1/charts/everyday", CHART),
    "put_day": example("/v1/workroom/days/{on}", "put", "/v1/workroom/days/2026-03-19"),
    "put_ease_table": example("/v1/ease-table", "put"),
    "put_fit_points": example("/v1/fit-points", "put"),
    "put_price_list": example("/v1/price-list", "put"),
    "put_week": example("/v1/workroom/week", "put"),
    "record_measurement_set": lambda _: ("/v1/measurement-sets", BY | {"readings": SLIM}),
    "replay_webhook": of_webhook("/replays", {"after": "0"}),
    "report_outcome": lambda _: ("/v1/outcomes", KEPT),
}


def version_at(staff, address):
    """The version that a change at this address is made on: of the order, of the table, of the calendar."""
    order_id = re.search(r"/(?:orders|members)/([^/]+)", address)
    answer = staff.get(
        f"/v1/orders/{order_id[1]}" if order_id else address.replace("/days/", "/week?").partition("?")[0]
    )
    return {"If-Match": answer.headers.get("ETag")} if answer.status == 200 else {}


def all_of(staff):
    """What a shop holds that any of these change."""
    lists = (
        "orders",
        "tailors",
        "webhooks",
        "charts",
        "price-list",
        "ease-table",
        "fit-points",
        "workroom/week",
        "kept-shares",
    )
    held = [staff.get(f"/v1/{each}").raw for each in lists]
    orders = staff.get("/v1/orders").body["orders"]
    return [*held, staff.get("/v1/events").raw, *(staff.get(f"/v1/orders/{each['id']}").raw for each in orders)]


def names_key(operation):
    return any(each["name"] == "Idempotency-Key" for each in operation.get("parameters", []))


def test_every_operation_that_changes_something_takes_a_key():
    assert set() == {name for name, (_, operation) in CHANGING.items() if not names_key(operation)}
    assert set(CHANGING) == set(SENT)


@pytest.mark.parametrize("name", sorted(SENT))
def test_sent_again_it_gets_the_same_answer_and_sent_otherwise_a_refusal(shop, staff, name):
    method = CHANGING[name][0]
    address, body = SENT[name](staff)
    asked = {"key": "again", "headers": version_at(staff, address)}
    first = staff.ask(method, address, body, **asked)
    assert first.status in (200, 201), first.body
    assert "Answer-Repeated" not in first.headers
    held, minutes = all_of(staff), booked(shop)
    again = staff.ask(method, address, body, **asked)
    assert (first.status, first.raw, "true") == (again.status, again.raw, again.headers["Answer-Repeated"])
    assert [first.headers.get(each) for each in ("ETag", "Location")] == [
        again.headers.get(each) for each in ("ETag", "Location")
    ]
    other = staff.ask(method, address, body, query={"units": "cm"}, **asked)
    assert (422, "key_used_otherwise", [""]) == other.problem
    assert (held, minutes) == (all_of(staff), booked(shop))


def test_a_key_of_one_order_is_not_the_answer_for_another(staff):
    first, second = placed(staff), placed(staff)
    asked = {"key": "k", "headers": {"If-Match": '"1"'}}
    staff.post(f"/v1/orders/{first['id']}/moves", {"to": "accepted"}, **asked)
    other = staff.post(f"/v1/orders/{second['id']}/moves", {"to": "accepted"}, **asked)
    assert (422, "key_used_otherwise", [""]) == other.problem
    assert "marked" == staff.get(f"/v1/orders/{second['id']}").body["state"]


def test_a_change_that_was_refused_keeps_no_answer(staff):
    made = placed(staff)
    path = f"/v1/orders/{made['id']}/moves"
    refused = staff.post(path, {"to": "accepted"}, key="k", headers={"If-Match": '"2"'})
    assert (412, "version_stale", [""]) == refused.problem
    done = staff.post(path, {"to": "accepted"}, key="k", headers={"If-Match": '"1"'})
    assert (200, "accepted") == (done.status, done.body["state"])


def test_an_answer_from_before_is_given_after_the_thing_has_moved_on(staff):
    made = placed(staff)
    path, asked = f"/v1/orders/{made['id']}/moves", {"key": "k", "headers": {"If-Match": '"1"'}}
    first = staff.post(path, {"to": "accepted"}, **asked)
    staff.post(path, {"to": "in_workroom"}, headers={"If-Match": '"2"'})
    again = staff.post(path, {"to": "accepted"}, **asked)
    assert (200, first.raw, '"2"', "true") == (
        again.status,
        again.raw,
        again.headers["ETag"],
        again.headers["Answer-Repeated"],
    )


def test_a_move_that_eight_tills_send_at_once_under_one_key_is_made_once(staff):
    made = placed(staff)
    path, asked = f"/v1/orders/{made['id']}/moves", {"key": "k", "headers": {"If-Match": '"1"'}}
    ready = threading.Barrier(8)

    def send(_):
        ready.wait(PATIENCE_SECONDS)
        return staff.post(path, {"to": "accepted"}, **asked)

    with ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(send, range(8)))
    assert {200} == {answer.status for answer in answers}
    assert 1 == len({answer.raw for answer in answers})
    assert 7 == sum(answer.headers.get("Answer-Repeated") == "true" for answer in answers)
    assert 2 == len(staff.get(f"/v1/orders/{made['id']}").body["events"])


def test_answers_that_list_orders_are_without_a_customer_who_was_erased(staff):
    placed(staff, customer_ref="C-gone")
    version = staff.get("/v1/workroom/week").headers["ETag"]
    on = staff.get("/v1/orders").body["orders"][0]["promised_for"]
    shut = {"closed": True, "reason": "a burst pipe"}
    asked = {"key": "k", "headers": {"If-Match": version}}
    first = staff.ask("PUT", f"/v1/workroom/days/{on}", shut, **asked)
    assert ["C-gone"] == [each["customer_ref"] for each in first.body["at_risk"]]
    staff.ask("DELETE", "/v1/customers/C-gone")
    again = staff.ask("PUT", f"/v1/workroom/days/{on}", shut, **asked)
    assert ("true", [None]) == (
        again.headers["Answer-Repeated"],
        [each["customer_ref"] for each in again.body["at_risk"]],
    )

import re

import pytest

from tests.http.sheets import (
    moved,
    named,
    placed,
)


def listed(client, **query):
    return [each["number"] for each in client.get("/v1/orders", query=query).body["orders"]]


def pages(client, path):
    """Every page from a path on, as the numbers on it."""
    while path:
        answer = client.get(path)
        yield [each["number"] for each in answer.body["orders"]]
        following = re.fullmatch('<(.*)>; rel="next"', answer.headers.get("Link", ""))
        path = following and following[1]


def test_orders_are_listed_newest_first(staff):
    for _ in range(3):
        placed(staff)
    assert ["1003", "1002", "1001"] == listed(staff)


def test_link_next_leads_through_every_page_and_ends(staff):
    for _ in range(5):
        placed(staff)
    assert [["1005", "1004"], ["1003", "1002"], ["1001"]] == list(pages(staff, "/v1/orders?limit=2"))


def test_a_last_page_that_is_full_has_no_next(staff):
    for _ in range(4):
        placed(staff)
    assert [["1004", "1003"], ["1002", "1001"]] == list(pages(staff, "/v1/orders?limit=2"))


def test_orders_placed_meanwhile_move_no_page(staff):
    for _ in range(4):
        placed(staff)
    seen = []
    for page in pages(staff, "/v1/orders?limit=2"):
        seen += page
        placed(staff)
    assert ["1004", "1003", "1002", "1001"] == seen


def test_link_next_keeps_the_filter(staff):
    for ref in ("C-1", "C-2", "C-1", "C-2", "C-1"):
        placed(staff, customer_ref=ref)
    assert [["1005"], ["1003"], ["1001"]] == list(pages(staff, "/v1/orders?limit=1&customer_ref=C-1"))


def test_orders_are_found_by_state_customer_sale_and_day(staff):
    first, _ = placed(staff, customer_ref="C-1", sale_ref="S-1"), placed(staff, customer_ref="C-2")
    moved(staff, first["id"], "accepted", 1)
    found = [
        listed(staff, state="accepted"),
        listed(staff, customer_ref="C-2"),
        listed(staff, sale_ref="S-1"),
        listed(staff, promised_for="2026-03-03"),
        listed(staff, promised_for="2026-03-04"),
        listed(staff, customer_ref="C-1", state="marked"),
    ]
    assert [["1001"], ["1002"], ["1001"], ["1002", "1001"], [], []] == found


def test_an_order_is_found_by_its_number_among_the_shops_own(staff, other_shop):
    for _ in range(2):
        placed(staff)
    placed(other_shop.staff)
    placed(other_shop.staff)
    assert (["1002"], [], ["1001"]) == (
        listed(staff, number="1002"),
        listed(staff, number="1003"),
        listed(staff, number="1001", state="marked", promised_for="2026-03-03"),
    )
    assert [] == listed(staff, number="1001", state="sewn")


@pytest.mark.parametrize("seen", range(16))
def test_every_filter_narrows_every_other(staff, seen):
    # Each order differs from the first in one thing alone: only the first is found by all that is asked.
    said = {"customer_ref": "C-1", "sale_ref": "S-1"}
    wanted = placed(staff, **said)
    moved(staff, wanted["id"], "accepted", 1)
    for other in ({"customer_ref": "C-2"}, {"sale_ref": "S-2"}):
        moved(staff, placed(staff, **said | other)["id"], "accepted", 1)
    placed(staff, **said)
    asked = {**said, "state": "accepted", "promised_for": wanted["promised_for"]}
    assert [wanted["number"]] == listed(staff, **asked)
    fewer = {name: value for bit, (name, value) in enumerate(asked.items()) if seen >> bit & 1}
    found = listed(staff, **fewer)
    differing = {"1002": "customer_ref", "1003": "sale_ref", "1004": "state"}
    assert sorted(["1001", *(number for number, part in differing.items() if part not in fewer)]) == sorted(found)


@pytest.mark.parametrize(
    ("query", "pointer"),
    [
        ({"number": "0"}, "/number"),
        ({"number": "1001a"}, "/number"),
        ({"limit": "0"}, "/limit"),
        ({"limit": "101"}, "/limit"),
        ({"limit": "two"}, "/limit"),
        ({"limit": "2.0"}, "/limit"),
        ({"limit": "1_0"}, "/limit"),
        ({"limit": "\u0663"}, "/limit"),
        ({"limit": " 3"}, "/limit"),
        ({"limit": "+3"}, "/limit"),
        ({"limit": ""}, "/limit"),
        ({"limit": "9" * 5000}, "/limit"),
        ({"after": "-1"}, "/after"),
        ({"after": str(2**53 + 1)}, "/after"),
        ({"state": "mislaid"}, "/state"),
        ({"customer_ref": "a  b"}, "/customer_ref"),
        ({"customer_ref": "a\x00"}, "/customer_ref"),
        ({"promised_for": "tomorrow"}, "/promised_for"),
        ({"page": "2"}, "/page"),
    ],
    ids=named,
)
def test_a_list_that_cannot_be_is_refused_where_it_stands(staff, query, pointer):
    assert (422, "field_wrong", [pointer]) == staff.get("/v1/orders", query=query).problem

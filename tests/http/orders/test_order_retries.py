import pytest

from tests.http.journeys import booked
from tests.http.sheets import (
    PINNED,
    WORN,
    moved,
    named,
    order,
)


def test_an_order_needs_an_idempotency_key(staff):
    assert (400, "retry_key_missing", ["/Idempotency-Key"]) == staff.post("/v1/orders", order()).problem


@pytest.mark.parametrize("key", ["x" * 201, "a b", "é"])
def test_a_key_that_is_none_is_refused(staff, key):
    answer = staff.post("/v1/orders", order(), key=key)
    assert (400, "header_wrong", ["/Idempotency-Key"]) == answer.problem


def test_a_retry_gets_the_same_answer_byte_for_byte_and_places_nothing(shop, staff):
    first = staff.post("/v1/orders", order(), key="k")
    again = staff.post("/v1/orders", order(), key="k")
    assert (201, first.raw, first.headers["Location"], '"1"', "true") == (
        again.status,
        again.raw,
        again.headers["Location"],
        again.headers["ETag"],
        again.headers["Answer-Repeated"],
    )
    assert "Answer-Repeated" not in first.headers
    assert 1 == len(staff.get("/v1/orders").body["orders"])
    days, orders = booked(shop)
    assert days == orders


def test_a_retry_after_the_order_moved_on_still_gets_the_first_answer(staff, clock):
    first = staff.post("/v1/orders", order(), key="k")
    moved(staff, first.body["id"], "accepted", 1)
    clock.advance(days=2)
    assert first.raw == staff.post("/v1/orders", order(), key="k").raw


@pytest.mark.parametrize("more", [{"sale_ref": "S-2"}, {"hems": [PINNED | {"break": "none"}]}], ids=named)
def test_the_same_key_with_another_body_is_refused(staff, more):
    staff.post("/v1/orders", order(), key="k")
    assert (422, "key_used_otherwise", [""]) == staff.post("/v1/orders", order(**more), key="k").problem


def test_a_key_is_kept_for_each_operation_and_each_shop_apart(staff, other_shop):
    first = [
        staff.post("/v1/fit-checks", WORN, key="k"),
        staff.post("/v1/orders", order(), key="k"),
        other_shop.staff.post("/v1/orders", order(), key="k"),
    ]
    again = [
        staff.post("/v1/fit-checks", WORN, key="k"),
        staff.post("/v1/orders", order(), key="k"),
        other_shop.staff.post("/v1/orders", order(), key="k"),
    ]
    assert 3 == len({answer.body["id"] for answer in first})
    assert [answer.raw for answer in first] == [answer.raw for answer in again]

"""Answers with an ETag: what has not changed is not sent again, and what has is."""

import tracemalloc

import pytest

from tests.http.sheets import WORN, moved, placed

TABLES = (
    "/v1/charts",
    "/v1/charts/reference",
    "/v1/alterations",
    "/v1/designations",
    "/v1/fit-points",
    "/v1/ease-table",
    "/v1/price-list",
    "/v1/workroom/week",
)


def asked_again(client, path, first, **query):
    return client.get(path, query=query, headers={"If-None-Match": first.headers["ETag"]})


@pytest.mark.parametrize("path", TABLES)
def test_a_table_is_kept_by_each_key_apart_and_not_sent_twice(staff, path):
    first = staff.get(path)
    assert (200, "private, no-cache") == (first.status, first.headers["Cache-Control"])
    assert "Authorization" in first.headers["Vary"]
    again = asked_again(staff, path, first)
    assert (304, b"", first.headers["ETag"]) == (again.status, again.raw, again.headers["ETag"])


def test_an_etag_that_a_proxy_made_weak_serves_both_ways(staff):
    first = staff.get("/v1/ease-table")
    weak = {"If-None-Match": f"W/{first.headers['ETag']}"}
    assert 304 == staff.get("/v1/ease-table", headers=weak).status
    order = placed(staff)
    moved_on = staff.post(f"/v1/orders/{order['id']}/moves", {"to": "accepted"}, headers={"If-Match": 'W/"1"'})
    assert (200, '"2"') == (moved_on.status, moved_on.headers["ETag"])


def test_an_order_is_sent_again_once_it_has_moved_and_no_cache_keeps_it(staff):
    order = placed(staff)
    path = f"/v1/orders/{order['id']}"
    first = staff.get(path)
    assert "no-store" == first.headers["Cache-Control"]
    assert 304 == asked_again(staff, path, first).status
    assert 200 == moved(staff, order["id"], "accepted", 1).status
    later = asked_again(staff, path, first)
    assert (200, "accepted") == (later.status, later.body["state"])


def test_a_fit_check_in_another_unit_or_view_is_another_answer(staff):
    path = staff.post("/v1/fit-checks", WORN).headers["Location"]
    first = staff.get(path)
    assert 304 == asked_again(staff, path, first).status
    assert 200 == asked_again(staff, path, first, units="cm").status
    assert 200 == asked_again(staff, path, first, view="short").status


def test_a_refusal_is_never_fresh(staff):
    assert 404 == staff.get("/v1/charts/none", headers={"If-None-Match": "*"}).status


def test_what_is_known_to_be_the_same_is_told_so_with_the_same_headers(staff):
    for path in TABLES:
        first = staff.get(path)
        again, once_more = asked_again(staff, path, first), asked_again(staff, path, first)
        kept = ("ETag", "Cache-Control", "Vary")
        assert [304, 304] == [again.status, once_more.status]
        assert [first.headers[name] for name in kept] == [again.headers[name] for name in kept]
        assert [again.headers[name] for name in kept] == [once_more.headers[name] for name in kept]


def test_the_catalogue_is_sent_again_once_its_prices_are_others_and_in_another_unit(staff):
    path = "/v1/alterations"
    first = staff.get(path)
    assert [304, 304] == [asked_again(staff, path, first).status for _ in range(2)]
    assert 200 == asked_again(staff, path, first, units="cm").status
    prices = staff.get("/v1/price-list")
    dearer = {
        "currency": "EUR",
        "tax_category": "services",
        "plain_hem_minor": 2345,
        "round_to_minor": 50,
        "fixed": [],
        "minute_minor": 30,
    }
    assert 200 == staff.ask("PUT", "/v1/price-list", dearer, headers={"If-Match": prices.headers["ETag"]}).status
    later = asked_again(staff, path, first)
    assert 200 == later.status
    assert later.headers["ETag"] != first.headers["ETag"]
    assert 304 == asked_again(staff, path, later).status


def test_nothing_long_that_a_stranger_writes_is_held(stranger):
    asked, long = 100, 7_000

    def ask(n):
        headers = dict.fromkeys(("Accept", "Accept-Language"), f"x-{n}-{'x' * long}")
        assert 404 == stranger.get(f"/v1/collection-slips/{'x' * 32}", headers=headers).status

    ask(asked)
    tracemalloc.start()
    try:
        for n in range(asked):
            ask(n)
        assert asked * long > tracemalloc.get_traced_memory()[0]
    finally:
        tracemalloc.stop()

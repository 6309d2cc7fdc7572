"""A page's key: what it may ask, from where, and what a browser is told."""

import re
from datetime import timedelta

import pytest

from service.app import create_app
from service.settings import Settings
from service.use_cases.shop.keys import give_key, revoke_key
from tests.client import Client
from tests.http.callers.routes import CLOSED, path_of
from tests.http.sheets import SLIM, WORN

SHOP = "https://shop.example"
APP = create_app(Settings())
ASKED_BY_PAGES = {
    "GET /v1/charts",
    "GET /v1/charts/<chartcode:chart>",
    "GET /v1/designations",
    "POST /v1/alteration-quotes",
    "POST /v1/charts/compare",
    "POST /v1/designations/translate",
    "POST /v1/hem-plans",
    "POST /v1/kept-advice",
    "POST /v1/size-advice",
}
CORS = re.compile("access-control-", re.IGNORECASE)


def preflight(client, path="/v1/size-advice", method="POST", origin=SHOP):
    """What a browser asks before a page's request, and the headers that it goes by."""
    asked = {"Origin": origin, "Access-Control-Request-Method": method}
    response = client.app.test_client().open(path, method="OPTIONS", headers=asked)
    return response, {name: value for name, value in response.headers.items() if CORS.match(name)}


@pytest.fixture
def page(shop):
    return shop.page(SHOP)


def test_what_a_page_was_told_of_its_origin_is_not_told_to_whoever_has_the_same_charts_next(page, staff):
    first = page.get("/v1/charts")
    has_it = {"If-None-Match": first.headers["ETag"]}
    again = page.get("/v1/charts", headers=has_it)
    assert (304, SHOP) == (again.status, again.headers["Access-Control-Allow-Origin"])
    other = staff.get("/v1/charts", headers=has_it)
    assert (304, False) == (other.status, "Access-Control-Allow-Origin" in other.headers)


def test_what_a_page_may_ask_is_on_this_list():
    asked = {
        f"{method} {rule}"
        for method, rule, _ in CLOSED
        for found in APP.url_map.iter_rules()
        if found.rule == rule and method in found.methods and APP.view_functions[found.endpoint].asked_by_pages
    }
    assert ASKED_BY_PAGES == asked


def test_a_page_gets_advice_and_may_read_it(page):
    answer = page.post("/v1/size-advice", {"readings": SLIM})
    assert (200, "36R") == (answer.status, answer.body["plans"][0]["jacket"]["label"])
    assert SHOP == answer.headers["Access-Control-Allow-Origin"]
    assert "RateLimit-Remaining" in answer.headers["Access-Control-Expose-Headers"]
    assert "Origin" in answer.headers["Vary"]
    assert "Access-Control-Allow-Credentials" not in answer.headers


def test_a_page_may_read_why_it_was_refused(page):
    answer = page.post("/v1/size-advice", {"limit": 0})
    assert (422, SHOP) == (answer.status, answer.headers["Access-Control-Allow-Origin"])


@pytest.mark.parametrize(("method", "rule", "scope"), CLOSED)
def test_a_page_may_ask_nothing_else(page, method, rule, scope):
    answer = page.ask(method, path_of(rule))
    if f"{method} {rule}" in ASKED_BY_PAGES:
        assert 403 != answer.status
    else:
        assert (403, "page_may_not", [""]) == answer.problem


@pytest.mark.parametrize("origin", [None, "null", "https://other.example", "http://shop.example", f"{SHOP}.evil", ""])
def test_a_web_key_serves_pages_of_its_origins_only(page, origin):
    answer = page.get("/v1/charts", headers={"Origin": origin})
    assert (403, "origin_not_allowed", [""]) == answer.problem
    assert "Access-Control-Allow-Origin" not in answer.headers


def test_a_web_key_may_have_several_origins(shop):
    page = shop.page(SHOP, "https://www.shop.example", "http://127.0.0.1:8081")
    for origin in (SHOP, "https://www.shop.example", "http://127.0.0.1:8081"):
        answer = page.get("/v1/charts", headers={"Origin": origin})
        assert (200, origin) == (answer.status, answer.headers["Access-Control-Allow-Origin"])


def test_what_was_recorded_does_not_exist_for_a_page(shop, page):
    recorded = shop.staff.post("/v1/measurement-sets", {"readings": SLIM}).body["id"]
    assert 200 == shop.staff.post("/v1/size-advice", {"measurement_set": recorded}).status
    answer = page.post("/v1/size-advice", {"measurement_set": recorded})
    assert (422, "set_unknown", ["/measurement_set"]) == answer.problem


def test_a_page_quotes_what_its_customer_was_advised_with_the_earliest_day(page):
    plan = page.post("/v1/size-advice", {"readings": SLIM, "limit": 1}).body["plans"][0]
    parts = ("alteration", "amount", "basis", "direction", "side")
    lines = [{part: each[part] for part in parts if each[part]} for each in plan["alterations"]]
    asked = {
        "garments": [
            {"garment": g, "chart": plan[g]["chart"], "label": plan[g]["label"]} for g in ("jacket", "trousers")
        ],
        "lines": [
            line | {"amount": {part: line["amount"][part] for part in ("value", "unit")}}
            for line in lines
            if line["alteration"] != "trouser_hem"
        ],
        "to_be_pinned": True,
    }
    quote = page.post("/v1/alteration-quotes", asked)
    assert (200, "2026-03-03") == (quote.status, quote.body["earliest"])
    assert plan["price"] == quote.body["total"]
    assert SHOP == quote.headers["Access-Control-Allow-Origin"]


def test_a_page_quotes_from_nobodys_fit_check(shop, page):
    check = shop.staff.post("/v1/fit-checks", WORN).body["id"]
    assert 200 == shop.staff.post("/v1/alteration-quotes", {"from_fit_check": check}).status
    answer = page.post("/v1/alteration-quotes", {"from_fit_check": check})
    assert (422, "fit_check_unknown", ["/from_fit_check"]) == answer.problem


def test_a_secret_key_needs_no_origin_and_opens_no_page(shop):
    answer = shop.staff.get("/v1/charts", headers={"Origin": SHOP})
    assert 200 == answer.status
    assert [] == [name for name in answer.headers if CORS.match(str(name))]


def test_a_browser_that_asks_first_is_told_what_the_page_may_send(house, page):
    response, told = preflight(house.contract)
    assert (204, b"") == (response.status_code, response.data)
    assert {
        "Access-Control-Allow-Origin": SHOP,
        "Access-Control-Allow-Methods": "POST",
        "Access-Control-Allow-Headers": "Authorization, Content-Type, Idempotency-Key, If-None-Match",
        "Access-Control-Max-Age": "600",
    } == told
    assert {"Origin", "Access-Control-Request-Method"} <= set(response.headers["Vary"].split(", "))


@pytest.mark.parametrize(
    "asked",
    [
        {"origin": "https://unheard-of.example"},
        {"origin": "null"},
        {"path": "/v1/orders", "method": "POST"},
        {"path": "/v1/charts/everyday", "method": "PUT"},
        {"path": "/v1/size-advice", "method": "DELETE"},
        {"path": "/v1/nothing"},
    ],
    ids=str,
)
def test_a_browser_is_told_nothing_of_other_pages_and_other_operations(house, page, asked):
    response, told = preflight(house.contract, **asked)
    assert (204, {}) == (response.status_code, told)


def test_an_origin_counts_for_as_long_as_its_key_does(house, shop, clock):
    origin = f"https://{shop.id}.example"
    key = give_key(house.context, shop.id, "page", frozenset({"advise"}), origins=(origin,), lasts=timedelta(days=1))
    assert preflight(house.contract, origin=origin)[1]
    clock.advance(days=1)
    assert {} == preflight(house.contract, origin=origin)[1]
    clock.start_again()
    revoke_key(house.context, key.partition(".")[0])
    assert {} == preflight(house.contract, origin=origin)[1]


def test_one_page_never_sees_what_another_may_read(house, shop, other_shop):
    mine, theirs = shop.page(SHOP), other_shop.page("https://another.example")
    assert 200 == theirs.get("/v1/charts").status
    assert 403 == mine.get("/v1/charts", headers={"Origin": "https://another.example"}).status


def test_a_web_key_that_is_not_known_opens_no_page(house, page):
    answer = Client(house.contract, "a.b", {"Origin": SHOP}).get("/v1/charts")
    assert (401, None) == (answer.status, answer.headers.get("Access-Control-Allow-Origin"))

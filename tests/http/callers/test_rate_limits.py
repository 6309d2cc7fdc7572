"""How often who may ask, how he is told, and whose requests count together."""

import pytest

from service.app import create_app
from service.settings import Settings
from service.use_cases.shop.keys import give_key
from tests.client import Client, Contract
from tests.http.sheets import SLIM, placed
from tests.store import running_store

SHOP = "https://shop.example"


@pytest.fixture
def hurried(house):
    """The same service with small limits, or others as they are said."""

    def limited(**settings):
        small = {"key_per_minute": 5, "web_per_minute": 8, "address_per_minute": 3} | settings
        return Contract(create_app(Settings(database_url=house.url, **small), house.context))

    return limited


def key_of(shop, **more):
    return give_key(shop.house.context, shop.id, "till", frozenset({"advise"}), **more)


def statuses(client, times, path="/v1/charts", **more):
    return [client.get(path, **more).status for _ in range(times)]


def test_a_key_that_asks_too_often_is_told_when_to_come_again(hurried, shop):
    client = Client(hurried(), key_of(shop))
    assert [200] * 5 == statuses(client, 5)
    answer = client.get("/v1/charts")
    assert (429, "too_often", [""]) == answer.problem
    assert 1 <= int(answer.headers["Retry-After"]) <= 60
    assert answer.headers["Retry-After"] == answer.headers["RateLimit-Reset"]
    assert "5 a minute" in answer.body["detail"]


def test_every_answer_says_what_is_left(hurried, shop):
    client = Client(hurried(), key_of(shop))
    told = [client.get("/v1/charts").headers for _ in range(6)]
    assert ["5"] * 6 == [headers["RateLimit-Limit"] for headers in told]
    assert ["4", "3", "2", "1", "0", "0"] == [headers["RateLimit-Remaining"] for headers in told]


def test_refused_requests_count_as_well(hurried, shop):
    client = Client(hurried(), key_of(shop))
    assert [422] * 5 == [client.post("/v1/size-advice", {"limit": 0}).status for _ in range(5)]
    assert 429 == client.post("/v1/size-advice", {"readings": SLIM}).status


def test_who_asks_is_known_before_he_is_counted(hurried, shop):
    service = hurried()
    client = Client(service, key_of(shop))
    assert [401] * 3 == statuses(Client(service, "a.b"), 3)
    assert 200 == client.get("/v1/charts").status


def test_one_keys_haste_is_not_anothers(hurried, shop):
    service = hurried()
    hasty, other = Client(service, key_of(shop)), Client(service, key_of(shop))
    statuses(hasty, 6)
    assert (429, 200) == (hasty.get("/v1/charts").status, other.get("/v1/charts").status)


def test_a_key_may_have_a_rate_of_its_own(hurried, shop):
    client = Client(hurried(), key_of(shop, per_minute=2))
    assert [200, 200, 429] == statuses(client, 3)


def test_each_visitor_of_a_page_is_counted_and_so_is_the_page_as_a_whole(hurried, shop):
    page = Client(hurried(trusted_proxies=1), key_of(shop, origins=(SHOP,)), {"Origin": SHOP})
    for visitor in ("192.0.2.1", "192.0.2.2"):
        assert [200, 200, 200, 429] == statuses(page, 4, headers={"X-Forwarded-For": visitor})
    # Eight are the page's own; six were counted by now, and what a visitor was refused was not the page's.
    assert [200, 200, 429] == statuses(page, 3, headers={"X-Forwarded-For": "192.0.2.3"})


def test_a_page_may_read_that_it_asked_too_often(hurried, shop):
    page = Client(hurried(), key_of(shop, origins=(SHOP,)), {"Origin": SHOP})
    statuses(page, 3)
    answer = page.get("/v1/charts")
    assert (429, SHOP) == (answer.status, answer.headers["Access-Control-Allow-Origin"])
    assert "Retry-After" in answer.headers["Access-Control-Expose-Headers"]


def test_whoever_tries_keys_soon_hears_nothing_of_keys(hurried):
    stranger = Client(hurried(), "a.b")
    assert [401, 401, 401, 429] == statuses(stranger, 4)


def test_slips_are_counted_by_address(hurried, staff):
    slip = placed(staff)["collection_slip"]["path"]
    anybody = Client(hurried())
    assert [200, 200, 200, 429] == statuses(anybody, 4, slip)


def test_what_an_address_was_told_itself_counts_only_from_proxies_that_are_trusted(hurried, staff):
    slip = placed(staff)["collection_slip"]["path"]
    addresses = [{"X-Forwarded-For": f"192.0.2.{number}"} for number in range(4)]
    direct, behind = Client(hurried()), Client(hurried(trusted_proxies=1))
    assert [200, 200, 200, 429] == [direct.get(slip, headers=said).status for said in addresses]
    assert [200] * 4 == [behind.get(slip, headers=said).status for said in addresses]


def test_preflights_are_counted_by_address(hurried):
    asked = {"Origin": SHOP, "Access-Control-Request-Method": "POST"}
    client = hurried().app.test_client()
    answers = [client.options("/v1/size-advice", headers=asked).status_code for _ in range(4)]
    assert [204, 204, 204, 429] == answers


def test_watchmen_are_not_counted(hurried):
    anybody = Client(hurried())
    assert [200] * 10 == statuses(anybody, 10, "/health/live")
    assert "RateLimit-Limit" not in anybody.get("/health/ready").headers


def test_machines_that_share_a_store_count_together(hurried, shop):
    key = key_of(shop)
    with running_store() as url:
        here, there = (Client(hurried(limits_url=url), key) for _ in range(2))
        assert [200, 200, 200, 200, 200, 429] == [each.get("/v1/charts").status for each in (here, there) * 3]


def test_without_a_store_each_counts_for_itself(hurried, shop):
    key = key_of(shop)
    here, there = (Client(hurried(), key) for _ in range(2))
    assert [200] * 6 == [each.get("/v1/charts").status for each in (here, there) * 3]


def test_a_store_that_is_away_stops_no_shop_but_the_limits_stand(hurried, shop, caplog):
    client = Client(hurried(limits_url="redis://127.0.0.1:1/0"), key_of(shop))
    assert [200, 200, 200, 200, 200, 429] == statuses(client, 6)
    # Said once, not with every request.
    assert 1 == sum("each process counts for itself" in record.message for record in caplog.records)

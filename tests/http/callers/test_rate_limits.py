"""How often who may ask, how he is told, and whose requests count together."""

import re
import socket
from contextlib import closing

import pytest
import redis

from service.app import create_app
from service.http.contract.contract_words import said_of
from service.http.metrics import FOLDER
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


# Of RFC 9651 what draft-ietf-httpapi-ratelimit-headers-11 asks for: a list of strings, each with integers by name.
ITEM = r'"(?P<name>[\x20-\x21\x23-\x5b\x5d-\x7e]*)"(?P<parameters>(?:; *[a-z*][a-z0-9_.*-]*=-?[0-9]{1,15})*)'


def structured(value):
    """The items of a structured field: names, and their parameters."""
    found = {}
    for each in re.split(r"[ \t]*,[ \t]*", value):
        item = re.fullmatch(ITEM, each)
        pairs = (pair.strip().split("=") for pair in item["parameters"].split(";")[1:])
        found[item["name"]] = {name: int(number) for name, number in pairs}
    return found


def test_what_is_left_is_said_as_structured_fields_too(hurried, shop):
    client = Client(hurried(), key_of(shop))
    for left in (4, 3):
        headers = client.get("/v1/charts").headers
        (policy,), (now,) = (structured(headers[name]).items() for name in ("RateLimit-Policy", "RateLimit"))
        assert ("minute", {"q": 5, "w": 60}) == policy
        assert ("minute", {"r": left, "t": int(headers["RateLimit-Reset"])}) == now
    assert "draft-ietf-httpapi-ratelimit-headers-11" in headers_said()["RateLimit"]


def headers_said():
    return {name: said["description"] for name, said in said_of(("RateLimit", "RateLimit-Policy")).items()}


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
    # Eight are the page's own, and half of them for those who come anew: the other four are gone by now.
    assert [200, 429, 429] == statuses(page, 3, headers={"X-Forwarded-For": "192.0.2.3"})


def test_a_page_serves_whoever_comes_however_often_others_ask(hurried, shop):
    service = hurried(trusted_proxies=1, web_per_minute=200, address_per_minute=60)
    page = Client(service, key_of(shop, origins=(SHOP,)), {"Origin": SHOP})
    for visitor in range(25):
        statuses(page, 8, headers={"X-Forwarded-For": f"192.0.2.{visitor}"})
    newcomers = [page.get("/v1/charts", headers={"X-Forwarded-For": f"198.51.100.{each}"}) for each in range(25)]
    assert {200} == {answer.status for answer in newcomers}
    assert 429 == page.get("/v1/charts", headers={"X-Forwarded-For": "192.0.2.7"}).status


def test_a_visitor_has_a_tenth_of_a_page_and_reads_what_is_left_of_it(hurried, shop):
    page = Client(hurried(web_per_minute=200, address_per_minute=60), key_of(shop, origins=(SHOP,)), {"Origin": SHOP})
    assert [200] * 20 + [429] == statuses(page, 21)
    assert "20" == page.get("/v1/charts").headers["RateLimit-Limit"]


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


def unkeyed(origin=None):
    """What somebody may ask whom no key vouches for, and what it is answered while it may be."""
    return [
        ("GET", "/v1/charts", {}, 401),
        ("GET", "/v1/nothing/of/the/kind", {}, 404),
        ("GET", "/nothing", {}, 404),
        ("DELETE", "/v1/charts", {}, 405),
        ("OPTIONS", "/v1/charts", {}, 200),
        ("OPTIONS", "/health/live", {}, 200),
        ("GET", "/v1/charts", {"Authorization": "Bearer a.b"}, 401),
        ("GET", "/openapi.json", {}, 200),
        ("GET", "/docs", {}, 200),
        ("GET", "/docs/swagger-ui.css", {}, 200),
    ]


@pytest.mark.parametrize(("method", "path", "headers", "status"), unkeyed())
def test_whatever_is_asked_without_a_key_is_counted_by_address(hurried, method, path, headers, status):
    client = hurried().app.test_client()
    answers = [client.open(path, method=method, headers=headers).status_code for _ in range(4)]
    assert [status] * 3 + [429] == answers


def test_strangers_try_nothing_in_turn(hurried):
    client = hurried().app.test_client()
    for method, path, headers, _ in unkeyed()[:3]:
        client.open(path, method=method, headers=headers)
    assert 429 == client.get("/v1/charts").status_code


@pytest.mark.parametrize(
    ("origin", "path", "code"),
    [("https://other.example", "/v1/charts", "origin_not_allowed"), (SHOP, "/v1/orders", "page_may_not")],
)
def test_what_a_page_may_not_is_counted_by_address_and_not_to_the_page(hurried, shop, origin, path, code):
    service, key = hurried(), key_of(shop, origins=(SHOP,))
    tried = [Client(service, key, {"Origin": origin}).get(path) for _ in range(4)]
    assert [code] * 3 + ["too_often"] == [answer.body["code"] for answer in tried]
    assert 200 == Client(service, key, {"Origin": SHOP}).get("/v1/charts").status


def test_addresses_of_one_network_are_one_address(hurried):
    client = Client(hurried(trusted_proxies=1))
    hosts = [f"2001:db8:0:1::{number:x}" for number in range(4)]
    assert [401, 401, 401, 429] == [
        client.get("/v1/charts", headers={"X-Forwarded-For": host}).status for host in hosts
    ]
    assert 401 == client.get("/v1/charts", headers={"X-Forwarded-For": "2001:db8:0:2::1"}).status


def test_networks_that_one_subscriber_may_have_are_counted_together_too(hurried):
    client = Client(hurried(trusted_proxies=1))
    answers = [
        client.get("/v1/charts", headers={"X-Forwarded-For": f"2001:db8:0:{number:x}::1"}).status
        for number in range(3 * 8 + 1)
    ]
    assert [401] * 24 + [429] == answers
    assert 401 == client.get("/v1/charts", headers={"X-Forwarded-For": "2001:db8:1::1"}).status


@pytest.mark.parametrize("written", ["::ffff:192.0.2.1", "192.0.2.1"])
def test_an_address_is_one_however_it_is_written(hurried, written):
    client = Client(hurried(trusted_proxies=1))
    for _ in range(3):
        client.get("/v1/charts", headers={"X-Forwarded-For": "192.0.2.1"})
    assert 429 == client.get("/v1/charts", headers={"X-Forwarded-For": written}).status


def test_workers_of_one_server_count_together(hurried, shop, tmp_path, monkeypatch):
    monkeypatch.setenv(FOLDER, str(tmp_path))
    key = key_of(shop)
    here, there = (Client(hurried(), key) for _ in range(2))
    assert [200, 200, 200, 200, 200, 429] == [each.get("/v1/charts").status for each in (here, there) * 3]


def test_machines_that_share_a_store_count_together(hurried, shop):
    key = key_of(shop)
    with running_store() as url:
        here, there = (Client(hurried(limits_url=url), key) for _ in range(2))
        assert [200, 200, 200, 200, 200, 429] == [each.get("/v1/charts").status for each in (here, there) * 3]


def test_without_a_store_each_counts_for_itself(hurried, shop):
    key = key_of(shop)
    here, there = (Client(hurried(), key) for _ in range(2))
    assert [200] * 6 == [each.get("/v1/charts").status for each in (here, there) * 3]


def test_a_store_that_is_full_stops_no_shop_but_the_limits_stand(hurried, shop, caplog):
    with running_store("--maxmemory", "1", "--maxmemory-policy", "noeviction") as url:
        client = Client(hurried(limits_url=url), key_of(shop))
        assert [200, 200, 200, 200, 200, 429] == statuses(client, 6)
    assert "each server counts for itself" in caplog.text


def test_a_store_that_takes_calls_and_says_no_word_stops_no_shop_but_the_limits_stand(hurried, shop, caplog):
    with socket.create_server(("127.0.0.1", 0)) as silent:
        client = Client(hurried(limits_url=f"redis://127.0.0.1:{silent.getsockname()[1]}/0"), key_of(shop))
        assert [200, 200, 200, 200, 200, 429] == statuses(client, 6)
    assert "each server counts for itself" in caplog.text


def test_a_store_forgets_every_address_by_itself(hurried):
    with running_store() as url:
        anybody = Client(hurried(limits_url=url, trusted_proxies=1))
        for number in range(40):
            anybody.get("/v1/charts", headers={"X-Forwarded-For": f"192.0.2.{number}"})
        with closing(redis.Redis.from_url(url.replace("redis+unix", "unix"))) as store:
            left = {key: store.ttl(key) for key in store.scan_iter()}
    assert len(left) >= 40
    # Two windows of a minute: this one, and as the one before of the next.
    assert all(0 < seconds <= 121 for seconds in left.values())


def test_a_store_that_is_away_stops_no_shop_but_the_limits_stand(hurried, shop, caplog):
    client = Client(hurried(limits_url="redis://127.0.0.1:1/0"), key_of(shop))
    assert [200, 200, 200, 200, 200, 429] == statuses(client, 6)
    # Said once, not with every request.
    assert 1 == sum("each server counts for itself" in record.message for record in caplog.records)

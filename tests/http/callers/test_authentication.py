from datetime import timedelta

import pytest

from service.tailoring.refusals import Refusal
from service.use_cases.shop.keys import SCOPES, give_key, list_keys, revoke_key, rotate_key
from tests.client import Client
from tests.http.callers.routes import CLOSED, NOBODY, ROUTES, path_of

OPEN = {
    "/.well-known/api-catalog",
    "/docs",
    "/docs/contract.json",
    "/docs/examples/<name>",
    "/docs/page.css",
    "/docs/start.js",
    "/docs/steps",
    "/docs/steps.css",
    '/docs/steps/<any("till.py","till.mjs","web_shop.py","web_shop.mjs","workroom_board.py","workroom_board.mjs"):name>',
    '/docs/<any("swagger-ui.css","swagger-ui-bundle.js"):name>',
    "/health/live",
    "/health/ready",
    "/metrics",
    "/openapi.json",
    "/problems/<name>",
    "/v1/collection-slips/<token:slip>",
}
ADVISE = frozenset({"advise"})


def test_every_route_needs_a_scope_or_stands_on_the_list_of_open_ones():
    assert OPEN == {rule for _, rule, scope in ROUTES if scope == "-"}


def test_every_scope_that_a_route_needs_can_be_given():
    assert {each for _, _, scope in CLOSED for each in scope.split("|")} <= set(SCOPES)


@pytest.mark.parametrize(("method", "rule", "scope"), CLOSED)
def test_without_a_key_nothing_is_served(stranger, method, rule, scope):
    answer = stranger.ask(method, path_of(rule))
    assert (401, "key_missing", [""]) == answer.problem
    assert answer.headers["WWW-Authenticate"].startswith("Bearer")


@pytest.mark.parametrize(("method", "rule", "scope"), CLOSED)
def test_a_key_that_lacks_the_scope_is_told_which(shop, method, rule, scope):
    others = shop.client(*(set(SCOPES) - set(scope.split("|"))))
    answer = others.ask(method, path_of(rule))
    assert (403, "scope_missing", [""]) == answer.problem
    assert scope == answer.body["errors"][0]["facts"]["scope"].replace(" or ", "|")


@pytest.mark.parametrize(("method", "rule", "scope"), CLOSED)
def test_the_scope_alone_is_enough(shop, method, rule, scope):
    for enough in scope.split("|"):
        assert shop.client(enough).ask(method, path_of(rule)).status not in (401, 403)


@pytest.mark.parametrize(
    "authorization",
    ["", "Bearer", "Bearer ", "Basic YTpi", "a.b", "bearer", "Token a.b"],
)
def test_what_is_no_bearer_key_is_no_key(stranger, authorization):
    answer = stranger.get("/v1/charts", headers={"Authorization": authorization})
    assert (401, "key_missing", [""]) == answer.problem


@pytest.mark.parametrize("key", ["a", "a.b", ".", "a.", ".b", NOBODY, f"{NOBODY}.secret", "é.ü", "'.'or-1"])
def test_an_unknown_key_is_refused(stranger, key):
    answer = stranger.get("/v1/charts", headers={"Authorization": f"Bearer {key}"})
    assert (401, "key_unknown", [""]) == answer.problem


def test_a_known_key_with_a_wrong_secret_is_refused_like_an_unknown_one(house, shop, stranger):
    key_id = shop.caller.key_id
    wrong = stranger.get("/v1/charts", headers={"Authorization": f"Bearer {key_id}.wrong"})
    unknown = stranger.get("/v1/charts", headers={"Authorization": f"Bearer {NOBODY}.wrong"})
    assert unknown.raw == wrong.raw


def test_a_revoked_key_is_refused_at_once(house, shop):
    key = give_key(house.context, shop.id, "till", frozenset({"advise"}))
    client = Client(house.contract, key)
    assert 200 == client.get("/v1/charts").status
    revoke_key(house.context, key.partition(".")[0])
    assert (401, "key_unknown", [""]) == client.get("/v1/charts").problem


def test_a_key_serves_until_its_end_and_then_says_so(house, shop, clock):
    client = Client(house.contract, give_key(house.context, shop.id, "till", ADVISE, lasts=timedelta(days=30)))
    clock.advance(days=29, hours=23)
    assert 200 == client.get("/v1/charts").status
    clock.advance(hours=1)
    answer = client.get("/v1/charts")
    assert (401, "key_expired", [""]) == answer.problem
    assert "2026-04-01" in answer.body["detail"]


def test_the_end_of_a_key_is_told_to_whoever_holds_it_and_to_nobody_else(house, shop, clock):
    key_id = give_key(house.context, shop.id, "till", ADVISE, lasts=timedelta(days=1)).partition(".")[0]
    clock.advance(days=2)
    assert (401, "key_unknown", [""]) == Client(house.contract, f"{key_id}.guess").get("/v1/charts").problem


def test_a_key_is_replaced_with_an_overlap(house, shop, clock):
    old = give_key(house.context, shop.id, "till", ADVISE)
    new = rotate_key(house.context, old.partition(".")[0], timedelta(hours=24))
    both = [Client(house.contract, key) for key in (old, new)]
    clock.advance(hours=23)
    assert [200, 200] == [client.get("/v1/charts").status for client in both]
    clock.advance(hours=1)
    assert [401, 200] == [client.get("/v1/charts").status for client in both]


def test_without_an_overlap_the_old_key_ends_at_once(house, shop):
    old = give_key(house.context, shop.id, "till", ADVISE)
    rotate_key(house.context, old.partition(".")[0], timedelta(0))
    assert 401 == Client(house.contract, old).get("/v1/charts").status


def test_the_new_key_may_what_the_old_one_might_and_lives_as_long(house, shop, clock):
    origins = ("https://shop.example",)
    old = give_key(house.context, shop.id, "web", ADVISE, origins=origins, per_minute=7, lasts=timedelta(days=90))
    clock.advance(days=80)
    new = rotate_key(house.context, old.partition(".")[0], timedelta(days=30))
    kept = {key.id: key for key in list_keys(house.context, shop.id)}
    before, after = kept[old.partition(".")[0]], kept[new.partition(".")[0]]
    assert ("web", ADVISE, origins, 7) == (after.name, after.scopes, after.origins, after.per_minute)
    assert clock.now() + timedelta(days=90) == after.expires_at
    # An overlap never lengthens the old key's life.
    assert clock.now() + timedelta(days=10) == before.expires_at


def test_a_key_that_has_ended_is_not_replaced(house, shop, clock):
    key_id = give_key(house.context, shop.id, "till", ADVISE, lasts=timedelta(days=1)).partition(".")[0]
    clock.advance(days=1)
    with pytest.raises(Refusal, match="key_unknown"):
        rotate_key(house.context, key_id, timedelta(hours=1))


def test_when_a_key_was_used_last_is_known_to_the_hour(house, shop, clock):
    key = give_key(house.context, shop.id, "till", ADVISE)

    def last_used():
        return next(each.last_used_at for each in list_keys(house.context, shop.id) if key.startswith(each.id))

    assert None is last_used()
    client, first = Client(house.contract, key), clock.now()
    client.get("/v1/charts")
    clock.advance(minutes=59)
    client.get("/v1/charts")
    assert first == last_used()
    clock.advance(minutes=1)
    client.get("/v1/charts")
    assert clock.now() == last_used()


def test_a_wrong_secret_is_no_use_of_a_key(house, shop):
    key_id = give_key(house.context, shop.id, "till", ADVISE).partition(".")[0]
    Client(house.contract, f"{key_id}.guess").get("/v1/charts")
    assert [None] == [each.last_used_at for each in list_keys(house.context, shop.id) if each.id == key_id]


@pytest.mark.parametrize(
    "origin",
    [
        "shop.example",
        "https://shop.example/",
        "https://Shop.example",
        "https://*",
        "*",
        "null",
        "",
        "ftp://a",
        "https://a\n",
    ],
)
def test_an_origin_is_scheme_and_host_as_a_browser_writes_it(house, shop, origin):
    with pytest.raises(Refusal, match="origin_wrong"):
        give_key(house.context, shop.id, "web", ADVISE, origins=(origin,))


@pytest.mark.parametrize("scopes", [{"measure"}, {"advise", "order"}, {"admin"}])
def test_a_web_key_is_for_advice_alone(house, shop, scopes):
    with pytest.raises(Refusal, match="web_key_scope"):
        give_key(house.context, shop.id, "web", frozenset(scopes), origins=("https://shop.example",))


def test_only_a_hash_of_a_key_is_kept(house, shop):
    key = give_key(house.context, shop.id, "till", frozenset({"advise"}))
    with house.context.database.reading() as tx:
        kept = [str(row) for row in tx.exec_driver_sql("SELECT * FROM keys").all()]
    assert any(key.partition(".")[0] in row for row in kept)
    assert [] == [row for row in kept if key.partition(".")[2] in row]

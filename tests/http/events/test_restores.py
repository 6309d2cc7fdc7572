"""After a restore nothing that was given out since the backup is given out again for something else."""

import sqlite3
import threading
from contextlib import closing, contextmanager
from dataclasses import replace

import pytest
from click.testing import CliRunner
from sqlalchemy import make_url

from service.console import main
from service.delivery.posting import Poster
from service.delivery.relay import Relay
from service.use_cases.events.restores import NUMBERS_SKIPPED
from service.use_cases.events.webhooks import WebhookAsked, open_webhook
from service.use_cases.idempotency import IdempotentRequest
from service.use_cases.shop.keys import SCOPES, give_key, identify
from tests.client import Client
from tests.databases import migrated
from tests.delivery.receiver import receiving
from tests.http.sheets import order, placed
from tests.postgres import new_database
from tests.shops import new_house, new_shop


@pytest.fixture
def machines(request, tmp_path):
    """Databases one after the other: `opened(None)` begins with nothing, `opened(url)` with a backup of that one."""
    kept = []

    @contextmanager
    def backed_up(url):
        """A copy of the database as it is at this moment, of which nobody knows yet."""
        if url.startswith("sqlite"):
            copy = str(tmp_path / f"backup-{len(kept)}.sqlite3")
            with closing(sqlite3.connect(make_url(url).database)) as source:
                source.execute("VACUUM INTO ?", (copy,))
            yield f"sqlite:///{copy}"
        else:
            with new_database(request.getfixturevalue("postgres_server"), template=url) as copy:
                yield copy

    return backed_up


class Town:
    """The service over one database, as a till, an operator and a receiver of webhooks meet it."""

    def __init__(self, url, key=None):
        self.house = new_house(url)
        self.context = replace(self.house.context, webhooks_anywhere=True)
        self.key = key or give_key(self.context, new_shop(self.house).id, "all", frozenset(SCOPES))
        self.till = Client(self.house.contract, self.key)

    def close(self):
        self.house.context.database.close()

    def events(self, after="0"):
        return self.till.get("/v1/events", query={"after": after}).body["events"]

    def last_cursor(self):
        return self.till.get("/v1/events").body["after"]

    def restored(self, *words):
        said = CliRunner().invoke(main, ["restored", *words], env={"FITTING_DATABASE_URL": self.house.url})
        assert 0 == said.exit_code, said.output
        return said.output

    def open_webhook(self, url):
        caller = identify(self.context, self.key)
        asked = WebhookAsked(url)
        open_webhook(self.context, caller, asked, IdempotentRequest("t", None, ""), lambda hook: {"id": hook.id})

    def deliver(self):
        relay = Relay(self.context, Poster(10, anywhere=True), threading.Event())
        while relay.deliver_next():
            pass


@pytest.fixture
def town(empty_url):
    with closing(Town(migrated(empty_url))) as found:
        yield found


@pytest.fixture
def went_back(town, machines):
    """`went_back(lost)`: three orders, a backup, `lost` more, and the town as it is on the backup."""
    opened = []

    @contextmanager
    def gone(lost, receiver=None):
        if receiver:
            town.open_webhook(receiver.url)
        for _ in range(3):
            placed(town.till)
        # PostgreSQL copies a database that nobody is connected to.
        town.close()
        with machines(town.house.url) as copy:
            for _ in range(lost):
                placed(town.till)
            with closing(Town(copy, town.key)) as again:
                opened.append(again)
                yield again

    return gone


def ids(events):
    return [each["id"] for each in events]


def test_events_of_before_keep_their_ids_and_no_new_one_gets_the_id_of_one_that_is_lost(town, went_back):
    with went_back(lost=2) as again:
        known = town.events()
        again.restored()
        for _ in range(3):
            placed(again.till)
        told = again.events()
        assert (5, 6) == (len(known), len(told))
        assert ids(known)[:3] == ids(told)[:3]
        assert set() == set(ids(known)) & set(ids(told)[3:])
        assert set() == {each["cursor"] for each in known} & {each["cursor"] for each in told}


def test_a_cursor_of_before_is_refused_with_the_one_to_go_on_from(town, went_back):
    with went_back(lost=2) as again:
        held, behind = town.last_cursor(), town.events()[1]["cursor"]
        again.restored()
        new = placed(again.till)["number"]
        for cursor, expected in ((held, 1), (behind, 2)):
            refused = again.till.get("/v1/events", query={"after": cursor})
            assert (409, "cursor_of_before", ["/after"]) == refused.problem
            facts = refused.body["errors"][0]["facts"]
            assert facts["go_on"] in refused.body["detail"]
            following = again.events(facts["go_on"])
            assert expected == len(following)
            assert new == following[-1]["data"]["number"]
        assert "first" != again.till.get("/v1/events").body["epoch"] == facts["epoch"]


def test_a_cursor_past_the_last_event_is_refused_where_nobody_told_of_the_restore(town, went_back):
    with went_back(lost=2) as again:
        refused = again.till.get("/v1/events", query={"after": town.last_cursor()})
        assert (409, "cursor_ahead", ["/after"]) == refused.problem
        assert {"last": "first-3"} == refused.body["errors"][0]["facts"]
        assert "Idempotency-Key" in refused.body["detail"]


def test_webhooks_are_refused_such_cursors_too(town, went_back):
    with went_back(lost=2) as again:
        held = town.last_cursor()
        again.restored()
        hook = again.till.post("/v1/webhooks", {"url": "https://shop.example/events"}).body
        assert again.last_cursor() == hook["delivered_to"]
        for path in ("/v1/webhooks", f"/v1/webhooks/{hook['id']}/replays"):
            asked = {"after": held} | ({"url": "https://shop.example/events"} if path == "/v1/webhooks" else {})
            assert (409, "cursor_of_before", ["/after"]) == again.till.post(path, asked).problem


def test_no_webhook_id_is_used_for_another_event(town, went_back):
    with receiving() as receiver, went_back(lost=2, receiver=receiver) as again:
        town.deliver()
        again.restored()
        for _ in range(3):
            placed(again.till)
        again.deliver()
        orders = {}
        for headers, _ in receiver.got:
            orders.setdefault(headers["webhook-id"], set())
        for (headers, _), event in zip(receiver.got, receiver.told, strict=True):
            assert headers["webhook-id"] == event["id"]
            orders[event["id"]].add(event["subject"])
        # Five before, three of them once more after the restore, and three new ones.
        assert (11, 8) == (len(receiver.got), len(orders))
        assert {1} == {len(each) for each in orders.values()}


def test_order_numbers_go_on_past_all_that_papers_may_bear(town, went_back):
    with went_back(lost=2) as again:
        last = int(town.till.get("/v1/orders").body["orders"][0]["number"])
        said = again.restored()
        assert f"order numbers skip {NUMBERS_SKIPPED}" in said
        assert int(placed(again.till)["number"]) > last


def test_no_change_is_made_by_a_version_that_is_lost(town, went_back):
    made = placed(town.till)
    path = f"/v1/orders/{made['id']}"
    with went_back(lost=0) as later:
        later.restored()
        now = later.till.get(path).headers["ETag"]
        assert 200 == later.till.ask("PATCH", path, {"note": "by another"}, headers={"If-Match": now}).status
        for lost in range(1, 10):
            answer = later.till.ask("PATCH", path, {"note": "late"}, headers={"If-Match": f'"{lost}"'})
            assert 412 == answer.status
        assert "by another" == later.till.get(path).body["note"]


def test_the_operator_says_how_far_they_go_on(town, went_back):
    with went_back(lost=1) as again:
        again.restored("--numbers-skipped", "7")
        assert "1011" == placed(again.till)["number"]


def test_what_a_till_sends_again_is_placed_once_more_and_what_is_there_is_answered_as_before(town, went_back):
    kept = town.till.post("/v1/orders", order(), key="kept").body["number"]
    with went_back(lost=0) as again:
        lost = town.till.post("/v1/orders", order(), key="lost").body["number"]
        again.restored()
        assert kept == again.till.post("/v1/orders", order(), key="kept").body["number"]
        anew = again.till.post("/v1/orders", order(), key="lost").body["number"]
        assert lost != anew == again.till.post("/v1/orders", order(), key="lost").body["number"]


def test_restored_twice_does_no_harm(town, went_back):
    with went_back(lost=2) as again:
        again.restored()
        first = again.last_cursor()
        again.restored()
        refused = again.till.get("/v1/events", query={"after": first}).body["errors"][0]["facts"]
        assert refused["go_on"] == again.last_cursor()
        assert [] == again.events(again.last_cursor())


def test_a_shop_that_is_opened_after_a_restore_has_a_feed_of_its_own(town, went_back):
    with went_back(lost=0) as again:
        again.restored()
        other = new_shop(again.house).staff
        placed(other)
        assert ["first-1"] == [each["cursor"] for each in other.get("/v1/events").body["events"]]


def test_a_claim_of_before_holds_up_nothing(town, went_back):
    with receiving() as receiver:
        town.open_webhook(receiver.url)
        relay = Relay(town.context, Poster(10, anywhere=True), threading.Event())
        relay.stop.set()
        with went_back(lost=0) as again:
            again.restored()
            again.deliver()
            assert [1, 2, 3] == receiver.cursors

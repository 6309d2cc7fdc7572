import os
import signal
import subprocess
import sys
import threading
import time
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from uuid import uuid4

import pytest
from cloudevents.core.bindings.http import HTTPMessage, from_http_event
from cloudevents.core.formats.json import JSONFormat
from standardwebhooks import Webhook, WebhookVerificationError

from service.delivery.posting import Poster
from service.delivery.relay import Relay
from service.delivery.retries import wait_after, waits
from service.storage import webhooks
from service.storage.feeds import Cursor
from service.use_cases.events.webhooks import WebhookAsked, open_webhook, replay
from service.use_cases.idempotency import IdempotentRequest
from service.use_cases.orders.order_changes import move_order
from tests.databases import one_quickly
from tests.delivery.receiver import number_of, receiving
from tests.http.sheets import moved_along, placed
from tests.shops import new_desk, new_shop
from tests.waiting import PATIENCE_SECONDS, until

ANSWERED = 10.0
START = Cursor.read("0")


@pytest.fixture
def receiver():
    with receiving() as found:
        yield found


@pytest.fixture
def context(house):
    """Means that may send to this machine."""
    return replace(house.context, webhooks_anywhere=True)


@pytest.fixture
def relay(context):
    return Relay(context, Poster(2, anywhere=True), threading.Event())


@pytest.fixture
def hook(context, shop, receiver):
    def opened(url=None, **asked):
        answer = open_webhook(
            context, shop.caller, WebhookAsked(url or receiver.url, **asked), IdempotentRequest("t", None, ""), kept
        )
        return answer.document["id"], answer.document["secret"]

    return opened


def kept(webhook):
    return {"id": webhook.id}


def shown(context, shop, webhook_id):
    with context.database.reading() as tx:
        return webhooks.find_webhook(tx, shop.id, webhook_id)


def deliver_all(relay):
    while relay.deliver_next():
        pass


def test_who_is_behind_by_numbers_that_no_event_has_is_not_due_for_ever(relay, hook, context, shop, receiver):
    webhook_id, _ = hook()
    with context.database.writing() as tx:
        webhooks.start_again(tx, webhook_id, -1, context.now())
    assert relay.deliver_next()
    assert 0 == shown(context, shop, webhook_id).delivered_to
    assert not receiver.cursors


def life(staff):
    """An order placed and moved on twice: three events."""
    order = placed(staff)["id"]
    moved_along(staff, order, ("accepted", {}), ("in_workroom", {}))
    return order


def test_events_come_signed_in_their_envelope_and_in_order(context, shop, staff, receiver, hook):
    _, secret = hook()
    order = life(staff)
    # The standard's library holds a signature to the clock of the machine.
    deliver_all(Relay(replace(context, now=lambda: datetime.now(UTC)), Poster(2, anywhere=True), threading.Event()))

    assert ["order.placed", "order.moved", "order.moved"] == [each["type"] for each in receiver.told]
    assert ["marked", "accepted", "in_workroom"] == [each["data"]["state"] for each in receiver.told]
    assert {order} == {each["subject"] for each in receiver.told}
    for headers, body in receiver.got:
        assert receiver.told[0]["source"] == Webhook(secret).verify(body, headers)["source"]
        event = from_http_event(HTTPMessage({k.lower(): v for k, v in headers.items()}, body), JSONFormat())
        assert headers["webhook-id"] == event.get_id()
        assert event.get_time().utcoffset() == timedelta(0)
        assert order == event.get_data()["order"]


def test_another_secret_does_not_verify(context, staff, receiver, hook):
    _, secret = hook()
    placed(staff)
    deliver_all(Relay(replace(context, now=lambda: datetime.now(UTC)), Poster(2, anywhere=True), threading.Event()))
    headers, body = receiver.got[0]
    other = Webhook("whsec_" + "A" * 32)
    assert Webhook(secret).verify(body, headers)
    with pytest.raises(WebhookVerificationError):
        other.verify(body, headers)
    with pytest.raises(WebhookVerificationError):
        Webhook(secret).verify(body.replace(b"marked", b"sewn"), headers)


def test_only_the_types_that_are_wanted_come(context, shop, staff, receiver, hook, relay):
    opened, _ = hook(types=("order.placed",))
    life(staff)
    deliver_all(relay)
    assert ["order.placed"] == [each["type"] for each in receiver.told]
    # What is not wanted counts as told, and is not looked at again.
    assert 3 == shown(context, shop, opened).delivered_to
    assert not relay.deliver_next()


def test_a_webhook_begins_now_or_where_it_is_told_to(staff, receiver, hook, relay):
    placed(staff)
    hook()
    placed(staff)
    deliver_all(relay)
    assert [2] == receiver.cursors
    hook(after=START)
    deliver_all(relay)
    assert [2, 1, 2] == receiver.cursors


def test_a_failure_is_tried_again_by_the_table_and_nothing_overtakes_it(
    clock, context, shop, staff, receiver, hook, relay
):
    opened, _ = hook()
    life(staff)
    receiver.answer = lambda _, n: 500 if n in (2, 3) else 204
    deliver_all(relay)
    assert [1, 2] == receiver.cursors
    found = shown(context, shop, opened)
    assert ("failing", 1, "it answered 500") == (found.state, found.failures, found.last_failure)
    assert clock.now() + timedelta(seconds=5) == found.next_attempt_at

    clock.advance(seconds=4)
    deliver_all(relay)
    assert [1, 2] == receiver.cursors
    clock.advance(seconds=1)
    deliver_all(relay)
    assert ([1, 2, 2], 2) == (receiver.cursors, shown(context, shop, opened).failures)
    clock.advance(minutes=5)
    deliver_all(relay)
    assert [1, 2, 2, 2, 3] == receiver.cursors
    assert ("working", 0, None) == (
        shown(context, shop, opened).state,
        shown(context, shop, opened).failures,
        shown(context, shop, opened).failing_since,
    )
    ids = [headers["webhook-id"] for headers, _ in receiver.got]
    assert (1, 3) == (ids.count(ids[0]), ids.count(ids[1]))


def test_the_table_grows_from_seconds_to_a_day_and_ends():
    waits = [wait_after(failures) for failures in range(1, 10)]
    assert [5, 300, 1800, 7200, 18000, 36000, 50400, 72000, 86400] == [wait.total_seconds() for wait in waits]
    assert all(one < other for one, other in pairwise(waits))
    assert None is wait_after(10)


def test_after_three_days_of_failures_it_is_disabled_and_a_replay_wakes_it(
    clock, context, shop, staff, receiver, hook, relay
):
    opened, _ = hook()
    began = clock.now()
    life(staff)
    receiver.answer = lambda *_: 503
    for failures in range(1, 10):
        deliver_all(relay)
        assert failures == shown(context, shop, opened).failures
        clock.advance(seconds=wait_after(failures).total_seconds())
    deliver_all(relay)
    found = shown(context, shop, opened)
    assert ("disabled", began) == (found.state, found.failing_since)
    assert timedelta(days=3) < found.disabled_at - began < timedelta(days=4)
    assert [1] * 10 == receiver.cursors

    clock.advance(days=30)
    receiver.answer = lambda *_: 204
    deliver_all(relay)
    assert [1] * 10 == receiver.cursors
    assert "working" == replay(context, shop.caller, opened, Cursor("first", 1)).state
    deliver_all(relay)
    assert [2, 3] == receiver.cursors[10:]


def test_whoever_says_gone_is_sent_nothing_more(context, shop, staff, receiver, hook, relay):
    opened, _ = hook()
    placed(staff)
    receiver.answer = lambda *_: 410
    deliver_all(relay)
    assert ("disabled", "it answered 410") == (
        shown(context, shop, opened).state,
        shown(context, shop, opened).last_failure,
    )


def test_a_redirect_is_not_followed_and_is_a_failure(context, shop, staff, receiver, hook, relay):
    opened, _ = hook()
    placed(staff)
    receiver.answer = lambda *_: 307
    deliver_all(relay)
    assert (1, "it answered 307") == (len(receiver.got), shown(context, shop, opened).last_failure)


def test_one_webhook_that_fails_does_not_hold_up_another(shop, staff, receiver, hook, relay):
    hook("http://127.0.0.1:1/nobody")
    hook()
    life(staff)
    deliver_all(relay)
    assert [1, 2, 3] == receiver.cursors


def test_a_claimed_webhook_is_left_to_whoever_claimed_it_until_that_runs_out(
    clock, staff, receiver, hook, context, relay
):
    opened, _ = hook()
    life(staff)
    with context.database.writing() as tx:
        until = clock.now() + timedelta(seconds=4)
        assert webhooks.claim_due(tx, [opened], 1, str(uuid4()), clock.now(), until, waits())
    assert not relay.deliver_next()
    clock.advance(seconds=4)
    deliver_all(relay)
    assert [1, 2, 3] == receiver.cursors


def test_whoever_lost_his_claim_stops_and_changes_nothing(clock, context, shop, staff, receiver, hook, relay):
    opened, _ = hook()
    life(staff)

    def somebody_replays(_handler, n):
        if n == 1:
            replay(context, shop.caller, opened, START)
        return 204

    receiver.answer = somebody_replays
    relay.deliver_next()
    assert ([1], 0) == (receiver.cursors, shown(context, shop, opened).delivered_to)
    deliver_all(relay)
    assert [1, 1, 2, 3] == receiver.cursors


def test_told_to_stop_it_finishes_what_is_in_hand(context, shop, staff, receiver, hook, relay):
    opened, _ = hook()
    life(staff)
    receiver.answer = lambda *_: relay.stop.set() or 204
    relay.run()
    assert ([1], 1) == (receiver.cursors, shown(context, shop, opened).delivered_to)
    relay.stop.clear()
    receiver.answer = lambda *_: 204
    deliver_all(relay)
    assert [1, 2, 3] == receiver.cursors


def test_an_event_is_small(staff, receiver, hook, relay):
    hook()
    life(staff)
    deliver_all(relay)
    assert max(len(body) for _, body in receiver.got) < 1024


def test_several_relays_at_once_tell_everything_once_and_in_order(house, file_url, context):
    # Many shops, so that there is something for each; real time, so that claims stand.
    shops = [new_shop(house) for _ in range(6)]
    with receiving() as receiver:
        for shop in shops:
            open_webhook(context, shop.caller, WebhookAsked(receiver.url), IdempotentRequest("t", None, ""), kept)
            life(shop.staff)
            life(shop.staff)
        busy = []
        stop = threading.Event()

        def work():
            own = replace(new_desk(file_url, house.clock), webhooks_anywhere=True)
            relay = Relay(own, Poster(5, anywhere=True), stop)
            busy.append(len(list(iter(relay.deliver_next, 0))))
            own.database.close()

        receiver.answer = lambda *_: time.sleep(0.02) or 204
        relays = [threading.Thread(target=work) for _ in range(3)]
        for each in relays:
            each.start()
        for each in relays:
            each.join()
    mine = {f"urn:uuid:{shop.id}" for shop in shops}
    by_shop = {source: [number_of(each) for each in receiver.told if each["source"] == source] for source in mine}
    assert {source: list(range(1, 7)) for source in mine} == by_shop
    assert 1 < sum(1 for taken in busy if taken)


@one_quickly("file_url")
def test_a_relay_that_is_killed_loses_nothing_and_keeps_each_orders_order(house, file_url, shop, staff):
    kills = 6
    # The relay lives by the machine's clock, so what it is to deliver is due long since.
    with receiving() as receiver:
        receiver.answer = lambda *_: time.sleep(0.03) or 204
        context = replace(house.context, webhooks_anywhere=True)
        open_webhook(context, shop.caller, WebhookAsked(receiver.url), IdempotentRequest("t", None, ""), kept)
        orders = [placed(staff)["id"] for _ in range(10)]
        for order in orders:
            for to in ("accepted", "in_workroom", "sewn", "pressed"):
                said = {"pins_out": 0} if to == "pressed" else {}
                move_order(house.context, shop.caller, order, to, "tailor-1", **said)
        for round_ in range(1, kills + 1):
            relay = started(file_url)
            until(lambda goal=8 * round_: len(receiver.got) >= goal)
            relay.send_signal(signal.SIGKILL)
            relay.wait()
            # The dead one's claim would run out in two minutes, for a receiver may be slow on a busy machine.
            with house.context.database.writing() as tx:
                webhooks.drop_claims(tx)
        relay = started(file_url)
        until(lambda: len(set(receiver.cursors)) == 50)
        relay.send_signal(signal.SIGTERM)
        assert 0 == relay.wait(PATIENCE_SECONDS)
    told = receiver.cursors
    assert set(range(1, 51)) == set(told)
    # At least once, and at most once more for each time that it was killed.
    assert 50 <= len(told) <= 50 + kills
    firsts = list(dict.fromkeys(told))
    assert sorted(firsts) == firsts


def started(url):
    environment = {name: value for name, value in os.environ.items() if not name.startswith("FITTING_")}
    environment |= {"FITTING_DATABASE_URL": url, "FITTING_WEBHOOKS": "anywhere", "FITTING_WEBHOOK_SECONDS": "60"}
    return subprocess.Popen([sys.executable, "-m", "service", "deliver"], env=environment)

"""One relay, many webhooks: side by side, in turn, none at another's cost. A clock that was wrong leaves nothing."""

import threading
import time
from contextlib import contextmanager
from dataclasses import replace
from datetime import timedelta

import pytest

from service.delivery.posting import Poster
from service.delivery.relay import Relay
from service.delivery.retries import wait_after, waits
from service.storage import webhooks
from service.storage.webhooks import SLOW_MS
from service.use_cases.events.deliveries import Due, claim_next
from service.use_cases.events.webhooks import WebhookAsked, open_webhook
from service.use_cases.idempotency import IdempotentRequest
from tests.delivery.receiver import receiving
from tests.http.sheets import placed
from tests.shops import new_shop, open_house

PATIENCE_SECONDS = 120


@pytest.fixture
def house(own_url):
    """A service in a database of its own: what is due there is this test's."""
    with open_house(own_url) as found:
        yield found


@pytest.fixture
def context(house):
    return replace(house.context, webhooks_anywhere=True)


@pytest.fixture
def receiver():
    with receiving() as found:
        yield found


@pytest.fixture
def other():
    with receiving() as found:
        yield found


def hook(context, shop, url):
    asked, named = WebhookAsked(url), IdempotentRequest("t", None, "")
    return open_webhook(context, shop.caller, asked, named, lambda webhook: {"id": webhook.id}).document["id"]


def shown(context, shop, webhook_id):
    with context.database.reading() as tx:
        return webhooks.find_webhook(tx, shop.id, webhook_id)


@contextmanager
def running(context, **more):
    relay = Relay(context, Poster(PATIENCE_SECONDS, anywhere=True), threading.Event(), **more)
    thread = threading.Thread(target=relay.run, args=(0.05,))
    thread.start()
    try:
        yield relay
    finally:
        relay.stop.set()
        thread.join()


def until(done):
    ends_at = time.monotonic() + PATIENCE_SECONDS
    while not done():
        assert time.monotonic() < ends_at, "it took too long"
        time.sleep(0.01)


def set_pace(context, webhook_id, ms):
    with context.database.writing() as tx:
        tx.execute(webhooks.webhooks.update().where(webhooks.webhooks.c.id == webhook_id).values(took_ms=ms))


def test_a_receiver_that_does_not_answer_holds_up_no_other_shop(house, context, receiver, other):
    stuck, well = new_shop(house), new_shop(house)
    answering = threading.Event()
    receiver.answer = lambda *_: answering.wait(PATIENCE_SECONDS) and 204
    hook(context, stuck, receiver.url)
    hook(context, well, other.url)
    for _ in range(3):
        placed(stuck.staff)
        placed(well.staff)
    with running(context):
        until(lambda: other.cursors == [1, 2, 3])
        until(lambda: receiver.cursors == [1])
        placed(well.staff)
        until(lambda: other.cursors == [1, 2, 3, 4])
        answering.set()
        until(lambda: receiver.cursors == [1, 2, 3])


def test_slow_receivers_have_lanes_apart(house, context, receiver, other):
    answering = threading.Event()
    receiver.answer = lambda *_: answering.wait(PATIENCE_SECONDS) and 204
    slow, well = [new_shop(house) for _ in range(6)], new_shop(house)
    for shop in slow:
        set_pace(context, hook(context, shop, receiver.url), SLOW_MS)
        placed(shop.staff)
    hook(context, well, other.url)
    with running(context, lanes=2):
        until(lambda: len(receiver.got) == 2)
        for number in range(1, 4):
            placed(well.staff)
            until(lambda told=number: len(other.got) == told)
        # Two lanes are for slow receivers, however many wait.
        assert 2 == len(receiver.got)
        answering.set()
        until(lambda: len(receiver.got) == 6)


def test_receivers_that_were_quick_and_do_not_answer_any_more_fill_no_lane_of_the_others(
    house, context, receiver, other
):
    answering = threading.Event()
    receiver.answer = lambda *_: answering.wait(PATIENCE_SECONDS) and 204
    stuck, well = [new_shop(house) for _ in range(3)], new_shop(house)
    for shop in stuck:
        hook(context, shop, receiver.url)
        placed(shop.staff)
    house.clock.advance(seconds=1)
    hook(context, well, other.url)
    placed(well.staff)
    with running(context, lanes=1, turn_seconds=0.0):
        until(lambda: other.cursors == [1])
        assert 3 == len(receiver.got)
        answering.set()


def test_to_one_webhook_one_event_goes_at_a_time_and_in_order(house, context, receiver):
    shop = new_shop(house)
    hook(context, shop, receiver.url)
    for _ in range(12):
        placed(shop.staff)
    at_once, most = threading.Semaphore(1), []

    def answer(*_):
        most.append(at_once.acquire(blocking=False))
        time.sleep(0.01)
        at_once.release()
        return 204

    receiver.answer = answer
    with running(context, turn_seconds=0.0), running(context):
        until(lambda: len(receiver.got) >= 12)
    assert list(range(1, 13)) == receiver.cursors
    assert {True} == set(most)


def test_a_webhook_has_its_turn_and_the_next_one_has_its(house, context, receiver, other):
    first, second = new_shop(house), new_shop(house)
    hooks = [hook(context, first, receiver.url), hook(context, second, other.url)]
    for shop in (first, second):
        for _ in range(3):
            placed(shop.staff)
    relay = Relay(context, Poster(PATIENCE_SECONDS, anywhere=True), threading.Event(), turn_seconds=0.0)
    for told in (1, 2, 3):
        for _ in hooks:
            house.clock.advance(seconds=1)
            assert relay.deliver_next()
        assert [list(range(1, told + 1))] * 2 == [receiver.cursors, other.cursors]
    assert not relay.deliver_next()


def test_shops_take_turns_however_many_webhooks_each_has(house, context, receiver):
    large, small = new_shop(house), new_shop(house)
    for _ in range(8):
        hook(context, large, receiver.url)
    house.clock.advance(seconds=10)
    hook(context, small, receiver.url)
    for shop in (large, small):
        placed(shop.staff)

    def claimed(most):
        dues = claim_next(context, timedelta(seconds=30), waits(), most, 0)
        return [due.webhook.shop_id for due in dues]

    assert [large.id, small.id] == claimed(2)
    house.clock.advance(seconds=1)
    hook(context, small, receiver.url)
    placed(small.staff)
    # One lane is the large shop's already, and so is one the small shop's.
    assert [large.id, small.id, large.id] == claimed(3)


def test_how_long_the_last_exchange_took_is_known(house, context, receiver):
    shop = new_shop(house)
    opened = hook(context, shop, receiver.url)
    placed(shop.staff)
    assert not shown(context, shop, opened).is_slow
    relay = Relay(context, Poster(PATIENCE_SECONDS, anywhere=True), threading.Event())
    relay.deliver_next()
    assert 0 <= shown(context, shop, opened).took_ms
    receiver.answer = lambda *_: 500
    placed(shop.staff)
    relay.deliver_next()
    assert shown(context, shop, opened).is_slow


def test_a_fault_with_one_webhook_ends_no_relay_and_is_one_failure(house, context, receiver, caplog):
    broken, well = new_shop(house), new_shop(house)
    hooks = (
        hook(context, broken, receiver.url.replace("127.0.0.1", "broken.example")),
        hook(context, well, receiver.url),
    )

    def lookup(host, _port):
        if host == "broken.example":
            raise ValueError
        return ["127.0.0.1"]

    for shop in (broken, well):
        placed(shop.staff)
    relay = Relay(context, Poster(PATIENCE_SECONDS, anywhere=True, lookup=lookup), threading.Event())
    while relay.deliver_next():
        pass
    assert ("internal error", 1) == (
        shown(context, broken, hooks[0]).last_failure,
        shown(context, broken, hooks[0]).failures,
    )
    assert 1 == shown(context, well, hooks[1]).delivered_to
    assert "fault" in caplog.messages


@pytest.fixture
def ahead(house):
    """A machine whose clock runs a day ahead, till it is set right."""
    house.clock.advance(days=1)
    return lambda: house.clock.advance(days=-1)


def test_a_clock_that_was_a_day_ahead_silences_no_webhook_once_it_is_right(house, context, receiver, ahead):
    shop = new_shop(house)
    hook(context, shop, receiver.url)
    placed(shop.staff)
    relay = Relay(context, Poster(PATIENCE_SECONDS, anywhere=True), threading.Event())
    assert relay.deliver_next()
    ahead()
    placed(shop.staff)
    assert relay.deliver_next()
    assert [1, 2] == receiver.cursors


def test_nor_one_that_failed_meanwhile_nor_one_that_was_claimed(house, context, receiver, other, ahead):
    failing, claimed = new_shop(house), new_shop(house)
    hooks = hook(context, failing, receiver.url), hook(context, claimed, other.url)
    receiver.answer = lambda _, n: 500 if n == 1 else 204
    placed(failing.staff)
    relay = Relay(context, Poster(PATIENCE_SECONDS, anywhere=True), threading.Event())
    assert relay.deliver_next()
    placed(claimed.staff)
    # A relay that ends before it sends.
    (due,) = claim_next(context, timedelta(seconds=30), waits(), 1, 1)
    assert isinstance(due, Due)
    ahead()
    while relay.deliver_next():
        pass
    assert ([1, 1], [1]) == (receiver.cursors, other.cursors)
    assert {"working"} == {shown(context, failing, hooks[0]).state, shown(context, claimed, hooks[1]).state}


@pytest.mark.parametrize("failures", [1, 2, 9])
def test_a_failure_is_waited_after_by_the_table_whatever_the_clocks_of_two_machines_say(
    house, context, receiver, failures
):
    shop = new_shop(house)
    opened = hook(context, shop, receiver.url)
    placed(shop.staff)
    receiver.answer = lambda *_: 500
    relay = Relay(context, Poster(PATIENCE_SECONDS, anywhere=True), threading.Event())
    for tries in range(1, failures + 1):
        assert relay.deliver_next()
        assert tries == shown(context, shop, opened).failures
        if tries < failures:
            house.clock.advance(seconds=wait_after(tries).total_seconds())
    # Another machine's clock is half a minute behind: it does not try before its time.
    house.clock.advance(seconds=-30)
    assert not relay.deliver_next()
    house.clock.advance(seconds=30 + wait_after(failures).total_seconds())
    assert relay.deliver_next()

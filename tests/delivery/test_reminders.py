"""The relay says by itself, once, that an order waits longer than its shop's rule."""

import threading
from dataclasses import replace

import pytest
from click.testing import CliRunner

from service.console import main
from service.delivery.posting import Poster
from service.delivery.relay import Relay
from service.use_cases.events.webhooks import WebhookAsked, open_webhook
from service.use_cases.idempotency import IdempotentRequest
from tests.delivery.receiver import receiving
from tests.http.calendar.days import set_week
from tests.http.sheets import TO_READY, moved_along, placed
from tests.waiting import until


@pytest.fixture
def receiver(house, shop):
    """Somebody who is told of what waits, and of nothing else."""
    with receiving() as found:
        context = replace(house.context, webhooks_anywhere=True)
        asked = WebhookAsked(found.url, types=("order.waiting",))
        open_webhook(context, shop.caller, asked, IdempotentRequest("t", None, ""), lambda hook: {"id": hook.id})
        found.context = context
        yield found


def waiting_order(house, staff):
    assert 200 == set_week(staff, remind_after_days=14).status
    order = placed(staff)
    moved_along(staff, order["id"], *TO_READY)
    house.clock.advance(days=14)
    return order


def test_a_relay_that_runs_tells_what_waits_once(house, staff, receiver):
    order = waiting_order(house, staff)
    for _ in range(2):
        relay = Relay(receiver.context, Poster(2, anywhere=True), threading.Event())
        running = threading.Thread(target=relay.run, args=(0.01,))
        running.start()
        try:
            until(lambda: receiver.got)
        finally:
            relay.stop.set()
            running.join()
    (told,) = receiver.told
    assert ("order.waiting", order["number"]) == (told["type"].rpartition("fitting.")[2], told["data"]["number"])


def test_a_relay_whose_database_is_away_goes_on(house, staff, receiver, nowhere_url):
    away = Relay(
        replace(receiver.context, database=house.context.database.__class__(nowhere_url)), Poster(2), threading.Event()
    )
    away.remind()
    waiting_order(house, staff)
    Relay(receiver.context, Poster(2, anywhere=True), threading.Event()).remind()
    assert staff.get("/v1/orders/waiting").body["orders"][0]["reminded_at"]


def test_one_run_of_the_command_says_what_waits_too(house, staff, file_url):
    # The command has the machine's own clock: by that the order has been ready for years.
    house.clock.advance(days=-3650)
    order = placed(staff)
    moved_along(staff, order["id"], *TO_READY)
    assert 200 == set_week(staff, remind_after_days=14).status
    env = {"FITTING_DATABASE_URL": file_url}
    assert 0 == CliRunner().invoke(main, ["deliver", "--once"], env=env).exit_code
    events = staff.get(f"/v1/orders/{order['id']}").body["events"]
    assert ("waiting", "waiting") == (events[-1]["kind"], events[-1]["by"])

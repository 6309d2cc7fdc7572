"""Callers who hold their connections and send or read nothing more, without a proxy before the one worker.

They are waited for as long as the test lasts and much longer: whatever is answered meanwhile is answered beside them.
"""

import signal
import socket
from contextlib import ExitStack

import orjson
import pytest

from service.tailoring.work.prices import PriceList
from service.use_cases.shop.keys import SCOPES, give_key
from service.use_cases.shop.shops import open_shop
from tests.databases import one_quickly
from tests.days import Clock
from tests.faults.under_gunicorn import served
from tests.faults.wire import BODY, answered, asked, head, sized
from tests.http.sheets import TROUSERS, WAIST_IN
from tests.serving import listens
from tests.shops import UNHURRIED_SETTINGS, new_desk
from tests.waiting import until

MANY = 50
HEALTH = b"GET /health/ready HTTP/1.1\r\nHost: a\r\n\r\n"
HELD = {
    "idle": lambda key: b"",
    "slow with a line": lambda key: b"GET /v1/cha",
    "slow with a header": lambda key: b"GET /v1/charts HTTP/1.1\r\nHost: a\r\nX-Note: ",
    "slow with a body": lambda key: head(key, b"Content-Length: 68") + BODY[:10],
    "slow with chunks": lambda key: head(key, b"Transfer-Encoding: chunked") + b"5\r\nab",
    "slow with a batch": lambda key: head(
        key, b"Content-Length: 9000000", first=b"POST /v1/size-advice/batch HTTP/1.1"
    ),
}


@pytest.fixture
def service(tmp_path, database_url):
    context = new_desk(database_url, Clock())
    shop = open_shop(context, "Corner Tailors", "Europe/Dublin", PriceList())
    key = give_key(context, shop, "staff", frozenset(SCOPES))
    context.database.close()
    words = ("--graceful-timeout", "60")
    with served(tmp_path, database_url, *words, FITTING_READ_SECONDS="60", **UNHURRIED_SETTINGS) as running:
        yield running, key.encode()


def connected(stack, service, sends):
    running, key = service
    caller = stack.enter_context(socket.create_connection(("127.0.0.1", running.port), timeout=60))
    caller.sendall(sends(key))
    return caller


def is_waited_for(caller):
    caller.settimeout(0)
    try:
        return caller.recv(1) is None
    except BlockingIOError:
        return True


@one_quickly()
def test_health_and_an_advice_are_answered_beside_callers_who_are_idle_or_slow(service):
    with ExitStack() as stack:
        held = [connected(stack, service, sends) for sends in HELD.values() for _ in range(MANY)]
        assert 200 == answered(asked(service, HEALTH))[0]
        status, _, document = answered(asked(service, sized(BODY)))
        assert (200, True) == (status, bool(document["plans"]))
        # None of them was let go of for it.
        assert [] == [each for each in held if not is_waited_for(each)]


@one_quickly()
def test_they_are_answered_beside_callers_who_read_nothing_or_do_not_hang_up(service):
    with ExitStack() as stack:
        for request in (b"GET /openapi.json HTTP/1.1\r\nHost: a\r\n\r\n", HEALTH):
            for _ in range(MANY):
                caller = stack.enter_context(socket.socket())
                caller.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
                caller.connect(("127.0.0.1", service[0].port))
                caller.sendall(request)
        assert 200 == answered(asked(service, HEALTH))[0]
        assert 200 == answered(asked(service, sized(BODY)))[0]


def events(key, seconds):
    return head(key, first=b"GET /v1/events?wait=%d HTTP/1.1" % seconds)


def order(key):
    sheet = {"garments": [TROUSERS], "lines": [WAIST_IN], "to_be_pinned": True, "by": "fitter-1"}
    body = orjson.dumps(sheet)
    lines = (b"Idempotency-Key: one", b"Content-Length: %d" % len(body))
    return head(key, *lines, first=b"POST /v1/orders HTTP/1.1") + body


def test_who_waits_for_an_event_holds_up_nobody_and_hears_of_it_when_it_happens(service):
    with ExitStack() as stack:
        patient = [connected(stack, service, lambda key: events(key, 25)) for _ in range(MANY)]
        assert 200 == answered(asked(service, sized(BODY)))[0]
        assert [] == answered(asked(service, lambda key: events(key, 1)))[2]["events"]
        assert [] == [each for each in patient if not is_waited_for(each)]
        assert 201 == answered(asked(service, order))[0]
        for each in patient:
            each.settimeout(60)
            status, _, told = answered(each.makefile("rb").read())
            assert (200, ["order.placed"]) == (status, [event["type"] for event in told["events"]])


def test_when_the_server_ends_who_waits_for_an_event_is_told_of_none(service):
    running, _ = service
    with ExitStack() as stack:
        patient = connected(stack, service, lambda key: events(key, 25))
        assert 200 == answered(asked(service, HEALTH))[0]
        running.process.send_signal(signal.SIGTERM)
        status, _, told = answered(patient.makefile("rb").read())
        assert (200, []) == (status, told["events"])
        assert 0 == running.process.wait(60)


@one_quickly()
def test_when_the_server_ends_who_has_begun_is_answered_and_who_has_not_is_let_go_of(service):
    running, _ = service
    with ExitStack() as stack:
        idle = connected(stack, service, lambda key: b"")
        begun = connected(stack, service, lambda key: head(key, b"Content-Length: %d" % len(BODY)) + BODY[:10])
        assert 200 == answered(asked(service, HEALTH))[0]
        running.process.send_signal(signal.SIGTERM)
        assert b"" == idle.recv(1)
        # Who comes now is turned away at once, not queued behind who is still answered.
        until(lambda: not listens(running.port))
        begun.sendall(BODY[10:])
        assert 200 == answered(begun.makefile("rb").read())[0]
        assert 0 == running.process.wait(60)

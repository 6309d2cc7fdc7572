"""The demo's till: line down, server killed, answers lost, itself switched off: no sale is lost and none doubled."""

import importlib.util
import json
import os
import subprocess
import sys
import threading
import time
from contextlib import closing, contextmanager
from http.client import HTTPConnection
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest

from service.use_cases.shop.keys import give_key
from tests.conftest import either_database
from tests.faults.under_gunicorn import killed, launched
from tests.http.sheets import TROUSERS, WAIST_IN, inches
from tests.serving import free_port, until_it_listens
from tests.test_demo import HOUSE

SHEET = {"garments": [TROUSERS], "lines": [WAIST_IN], "hems": [{"pins": {"left": inches("30"), "right": inches("30")}}],
         "marked_by": "ann"}  # fmt: skip


def load_till():
    found = importlib.util.spec_from_file_location("till", HOUSE / "demo" / "till.py")
    module = importlib.util.module_from_spec(found)
    sys.modules["till"] = module
    found.loader.exec_module(module)
    return module


till = load_till()


@pytest.fixture
def key(house, shop):
    return give_key(house.context, shop.id, "till", frozenset({"order"}))


@contextmanager
def server(url, port):
    """The service under gunicorn, to be killed: when the block ends it is dead, not drained."""
    running = launched(url, Path(os.devnull), FITTING_BIND=f"127.0.0.1:{port}")
    try:
        until_it_listens(port, running)
        yield
    finally:
        killed(running)


@contextmanager
def opened(file, port, key, **more):
    service = till.Service(f"http://127.0.0.1:{port}", key, **more)
    with closing(till.Till(file, service, longest_wait_seconds=0.3)) as opened:
        yield opened


def orders_of(shop):
    """Every order of the shop, by the till's sale."""
    found, path = [], "/v1/orders?limit=100"
    while path:
        answer = shop.staff.get(path.partition("?")[0], query=path.partition("?")[2])
        found += answer.body["orders"]
        link = answer.headers.get("Link")
        path = link[1 : link.index(">")] if link else None
    return found


def assert_nothing_lost_or_doubled(queue, shop, sales):
    orders = orders_of(shop)
    assert sorted(sales) == sorted(order["sale_ref"] for order in orders)
    totals = {order["sale_ref"]: shop.staff.get(f"/v1/orders/{order['id']}").body["total"]["minor"] for order in orders}
    for sale in sales:
        kept = queue.sale(sale)
        assert "printed" == kept["state"]
        assert kept["number"] in kept["slip"]
        assert totals[sale] == sum(line["minor"] for line in queue.basket(sale))


@either_database
def test_a_sale_waits_in_the_file_while_the_line_is_down_and_goes_out_when_it_is_back(
    house, shop, key, tmp_path, capsys
):
    port = free_port()
    with opened(tmp_path / "queue", port, key) as queue:
        queue.ring_up("sale-1", SHEET)
        assert queue.send() is False
        assert ("waiting", 1) == (queue.sale("sale-1")["state"], queue.sale("sale-1")["tries"])
        assert [] == orders_of(shop)
    with server(house.url, port), opened(tmp_path / "queue", port, key) as queue:
        assert queue.send(20)
        assert_nothing_lost_or_doubled(queue, shop, ["sale-1"])
        assert queue.sale("sale-1")["number"] in capsys.readouterr().out


def test_a_server_killed_again_and_again_loses_and_doubles_nothing(house, shop, key, tmp_path):
    port, sales = free_port(), [f"sale-{number}" for number in range(16)]
    with opened(tmp_path / "queue", port, key, timeout_seconds=5) as queue:
        for sale in sales:
            queue.ring_up(sale, SHEET)
    rounds = 0
    sender = sending(tmp_path / "queue", port, key)
    try:
        while len(orders_of(shop)) < len(sales) and rounds < 12:
            before = len(orders_of(shop))
            with server(house.url, port):
                until = time.monotonic() + 10
                while len(orders_of(shop)) < min(before + 4, len(sales)) and time.monotonic() < until:
                    time.sleep(0.01)
            rounds += 1
        assert rounds > 3
        with server(house.url, port):
            assert 0 == sender.wait(120)
    finally:
        sender.kill()
        sender.wait()
    with opened(tmp_path / "queue", port, key) as queue:
        assert_nothing_lost_or_doubled(queue, shop, sales)


def sending(file, port, key):
    """The till in a process of its own, sending for a minute."""
    words = [sys.executable, HOUSE / "demo" / "till.py", file, "send", "--for", "120", "--longest-wait", "0.3"]
    environment = {**os.environ, "BASE_URL": f"http://127.0.0.1:{port}", "TILL_KEY": key}
    return subprocess.Popen(words, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)


def test_a_till_switched_off_in_the_middle_goes_on_where_it_was(house, shop, key, tmp_path):
    port, sales = free_port(), [f"sale-{number}" for number in range(24)]
    with opened(tmp_path / "queue", port, key) as queue:
        for sale in sales:
            queue.ring_up(sale, SHEET)
    killed = 0
    with server(house.url, port):
        while killed < 3:
            before = len(orders_of(shop))
            sender = sending(tmp_path / "queue", port, key)
            until = time.monotonic() + 20
            while len(orders_of(shop)) < before + 4 and time.monotonic() < until:
                time.sleep(0.01)
            sender.kill()
            assert -9 == sender.wait()
            killed += 1
        with opened(tmp_path / "queue", port, key) as queue:
            assert queue.unfinished()
            assert queue.send(60)
            assert_nothing_lost_or_doubled(queue, shop, sales)


@contextmanager
def losing_answers(port, lost):
    """A line that takes every request to the service and loses the answers of the first few placings."""
    left = [lost]

    class Line(BaseHTTPRequestHandler):
        def _pass_on(self):
            body = self.rfile.read(int(self.headers.get("Content-Length", 0)))
            with closing(HTTPConnection("127.0.0.1", port, timeout=10)) as service:
                service.request(self.command, self.path, body, dict(self.headers))
                answer = service.getresponse()
                content = answer.read()
            if self.command == "POST" and answer.status == 201 and left[0]:
                left[0] -= 1
                self.close_connection = True
                return
            self.send_response(answer.status)
            for name in ("Content-Type", "Content-Length"):
                self.send_header(name, answer.getheader(name))
            self.end_headers()
            self.wfile.write(content)

        do_GET = do_POST = _pass_on  # noqa: N815  the server's own names

        def log_message(self, *_):
            pass

    with ThreadingHTTPServer(("127.0.0.1", 0), Line) as line:
        thread = threading.Thread(target=line.serve_forever)
        thread.start()
        try:
            yield line.server_port, left
        finally:
            line.shutdown()
            thread.join()


def test_an_order_whose_answer_was_lost_is_asked_for_again_and_is_the_same(house, shop, key, tmp_path):
    port = free_port()
    with (
        server(house.url, port),
        losing_answers(port, 2) as (line, left),
        opened(tmp_path / "queue", line, key) as queue,
    ):
        queue.ring_up("sale-1", SHEET)
        assert queue.send() is False
        # The service has it; the till does not know.
        assert ("waiting", 1) == (queue.sale("sale-1")["state"], len(orders_of(shop)))
        assert queue.send(20)
        assert 0 == left[0]
        assert_nothing_lost_or_doubled(queue, shop, ["sale-1"])


@either_database
def test_what_the_service_refuses_is_put_aside_with_its_words_and_holds_up_nobody(house, shop, key, tmp_path):
    port = free_port()
    with server(house.url, port), opened(tmp_path / "queue", port, key) as queue:
        queue.ring_up("sale-1", {**SHEET, "lines": [{**WAIST_IN, "amount": inches(5)}]})
        queue.ring_up("sale-2", SHEET)
        assert queue.send(20)
        assert "refused" == queue.sale("sale-1")["state"]
        assert "trouser_waist_in goes to 3 in" in queue.sale("sale-1")["said"]
        assert_nothing_lost_or_doubled(queue, shop, ["sale-2"])


@either_database
def test_a_key_that_is_not_taken_keeps_the_sale_until_a_right_one_is_there(house, shop, key, tmp_path):
    port = free_port()
    with server(house.url, port):
        with opened(tmp_path / "queue", port, "a.b") as queue:
            queue.ring_up("sale-1", SHEET)
            assert queue.send() is False
            assert ("waiting", "answered 401") == (queue.sale("sale-1")["state"], queue.sale("sale-1")["said"])
        with opened(tmp_path / "queue", port, key) as queue:
            assert queue.send(20)
            assert_nothing_lost_or_doubled(queue, shop, ["sale-1"])


def test_a_sale_rung_up_twice_is_one_and_never_two_different_ones(key, tmp_path):
    with opened(tmp_path / "queue", free_port(), key) as queue:
        queue.ring_up("sale-1", SHEET)
        first = queue.sale("sale-1")["key"]
        queue.ring_up("sale-1", SHEET)
        assert [first] == [each["key"] for each in queue.sales()]
        with pytest.raises(till.RungUpOtherwise):
            queue.ring_up("sale-1", {**SHEET, "marked_by": "bob"})


@either_database
def test_it_is_used_by_words_on_the_command_line(house, shop, key, tmp_path):
    sheet = tmp_path / "sheet.json"
    sheet.write_text(json.dumps(SHEET))
    port = free_port()

    def said(*words):
        command = [sys.executable, HOUSE / "demo" / "till.py", tmp_path / "queue", *words]
        environment = {**os.environ, "BASE_URL": f"http://127.0.0.1:{port}", "TILL_KEY": key}
        return subprocess.run(command, env=environment, check=False, capture_output=True, text=True, timeout=60)

    assert 0 == said("ring-up", "sale-1", sheet).returncode
    assert 1 == said("send").returncode
    with server(house.url, port):
        sent = said("send", "--for", "20")
    assert 0 == sent.returncode, sent.stderr
    assert "sale-1: printed, order 1001" in said("list").stdout
    total = shop.staff.get(f"/v1/orders/{orders_of(shop)[0]['id']}").body["total"]["minor"]
    assert f"to pay  {total / 100:.2f}" in said("basket", "sale-1").stdout

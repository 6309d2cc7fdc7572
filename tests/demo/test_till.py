"""The demo's till: line down, server killed, answers lost, itself switched off: no sale is lost and none doubled."""

import json
import os
import signal
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
from tests.databases import either_database, one_quickly
from tests.demo.tills import SHEET, assert_nothing_lost_or_doubled, orders_of, till
from tests.faults.under_gunicorn import killed, launched
from tests.house import HOUSE
from tests.http.sheets import WAIST_IN, inches
from tests.serving import is_ready, serving
from tests.waiting import PATIENCE_SECONDS, until


@pytest.fixture
def key(house, shop):
    return give_key(house.context, shop.id, "till", frozenset({"order"}))


@contextmanager
def server(url, port):
    """The service under gunicorn, warm, to be killed: when the block ends it is dead, not drained."""
    running = launched(url, Path(os.devnull), FITTING_BIND=f"127.0.0.1:{port}")
    try:
        until(lambda: is_ready(port), running)
        yield
    finally:
        killed(running)


@pytest.fixture
def open_port(house):
    """Where the service answers, for what is not about its end."""
    with serving(house.contract.app) as address:
        yield int(address.rpartition(":")[2])


@contextmanager
def opened(file, port, key, seconds_of_an_answer=PATIENCE_SECONDS):
    service = till.Service(f"http://127.0.0.1:{port}", key, seconds_of_an_answer)
    with closing(till.Till(file, service, longest_wait_seconds=0.3)) as opened:
        yield opened


@either_database
def test_a_sale_waits_in_the_file_while_the_line_is_down_and_goes_out_when_it_is_back(
    house, shop, key, tmp_path, capsys, port
):
    with opened(tmp_path / "queue", port, key) as queue:
        queue.ring_up("sale-1", SHEET)
        assert queue.send() is False
        assert ("waiting", 1) == (queue.sale("sale-1")["state"], queue.sale("sale-1")["tries"])
        assert [] == orders_of(shop)
    with server(house.url, port), opened(tmp_path / "queue", port, key) as queue:
        assert queue.send(PATIENCE_SECONDS)
        assert_nothing_lost_or_doubled(queue, shop, ["sale-1"])
        assert queue.sale("sale-1")["number"] in capsys.readouterr().out


@contextmanager
def sending(file, port, key):
    """The till in a process of its own, sending as long as there is something to send; killed when the block ends."""
    words = [sys.executable, HOUSE / "demo" / "till.py", file, "send"]
    words += ["--for", str(PATIENCE_SECONDS), "--longest-wait", "0.3"]
    environment = {**os.environ, "BASE_URL": f"http://127.0.0.1:{port}", "TILL_KEY": key}
    with subprocess.Popen(words, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as sender:
        try:
            yield sender
        finally:
            sender.kill()


def rung_up(queue, round_, how_many):
    for number in range(how_many):
        queue.ring_up(f"sale-{round_}-{number}", SHEET)


@one_quickly()
def test_a_server_killed_again_and_again_loses_and_doubles_nothing(house, shop, key, tmp_path, port):
    with opened(tmp_path / "queue", port, key) as queue:
        for round_ in range(4):
            # However quick the till was in the round before, it has much to send in this one.
            rung_up(queue, round_, 4)
            already = len(orders_of(shop))
            with sending(tmp_path / "queue", port, key) as sender:
                with server(house.url, port):
                    until(lambda before=already: len(orders_of(shop)) >= before + 2)
                # It met a server that is gone, or had time to send all.
                assert sender.poll() in (None, 0)
        rung_up(queue, "last", 2)
        with server(house.url, port), sending(tmp_path / "queue", port, key) as sender:
            assert 0 == sender.wait(PATIENCE_SECONDS)
        assert_nothing_lost_or_doubled(queue, shop, [each["sale"] for each in queue.sales()])


class Line:
    """What lies between a till and the service, with its hands on the answers."""

    def __init__(self, port):
        self._service = port
        self.lose_placings = 0
        self.slow_seconds = 0.0
        # The answer of so many to come is not passed on: the line holds it until it is let go.
        self.hold_after = None
        self.held, self.let_go = threading.Event(), threading.Event()

    def passes_on(self, method, status):
        """Whether an answer goes on to the till."""
        if self.lose_placings and (method, status) == ("POST", 201):
            self.lose_placings -= 1
            return False
        if self.hold_after is None:
            return True
        self.hold_after -= 1
        if self.hold_after:
            return True
        self.held.set()
        self.let_go.wait(PATIENCE_SECONDS)
        return False

    def answer(self, method, path, body, headers):
        with closing(HTTPConnection("127.0.0.1", self._service, timeout=PATIENCE_SECONDS)) as service:
            time.sleep(self.slow_seconds)
            service.request(method, path, body, headers)
            answer = service.getresponse()
            return answer, answer.read()


@contextmanager
def lying_between(port):
    """A line to the service; gives its port and what it is told to do."""
    line = Line(port)

    class Handler(BaseHTTPRequestHandler):
        def _pass_on(self):
            body = self.rfile.read(int(self.headers.get("Content-Length", 0)))
            answer, content = line.answer(self.command, self.path, body, dict(self.headers))
            if not line.passes_on(self.command, answer.status):
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

    with ThreadingHTTPServer(("127.0.0.1", 0), Handler) as server:
        thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02})
        thread.start()
        try:
            yield server.server_port, line
        finally:
            line.let_go.set()
            server.shutdown()
            thread.join()


def test_a_till_switched_off_in_the_middle_goes_on_where_it_was(shop, key, tmp_path, open_port):
    sales = ["sale-1", "sale-2", "sale-3", "sale-4"]
    with opened(tmp_path / "queue", open_port, key) as queue:
        for sale in sales:
            queue.ring_up(sale, SHEET)
        # It asks three things a sale. It is switched off before it has the answer to a placing, then before it has
        # charges, then before it has a slip, each time after whole sales.
        for answers, stands in ((4, "waiting"), (2, "placed"), (2, "charged")):
            with lying_between(open_port) as (line_port, line), sending(tmp_path / "queue", line_port, key) as sender:
                line.hold_after = answers
                until(line.held.is_set, sender)
                sender.kill()
                assert -signal.SIGKILL == sender.wait()
            assert ["printed", stands] == [queue.sale(sale)["state"] for sale in sales[:2]]
        assert queue.send(PATIENCE_SECONDS)
        assert_nothing_lost_or_doubled(queue, shop, sales)


def test_an_order_whose_answer_was_lost_is_asked_for_again_and_is_the_same(shop, key, tmp_path, open_port):
    with (
        lying_between(open_port) as (line_port, line),
        opened(tmp_path / "queue", line_port, key) as queue,
    ):
        line.lose_placings = 2
        queue.ring_up("sale-1", SHEET)
        assert queue.send() is False
        # The service has it; the till does not know.
        assert ("waiting", 1) == (queue.sale("sale-1")["state"], len(orders_of(shop)))
        assert queue.send(PATIENCE_SECONDS)
        assert 0 == line.lose_placings
        assert_nothing_lost_or_doubled(queue, shop, ["sale-1"])


@either_database
def test_a_slow_service_is_waited_for_longer_with_each_try(shop, key, tmp_path, open_port):
    with (
        lying_between(open_port) as (line_port, line),
        opened(tmp_path / "queue", line_port, key, seconds_of_an_answer=0.05) as queue,
    ):
        # Every answer takes longer than the till waits at first, on any machine.
        line.slow_seconds = 0.2
        queue.ring_up("sale-1", SHEET)
        assert queue.send() is False
        assert queue.send(PATIENCE_SECONDS)
        assert_nothing_lost_or_doubled(queue, shop, ["sale-1"])


@either_database
def test_what_the_service_refuses_is_put_aside_with_its_words_and_holds_up_nobody(shop, key, tmp_path, open_port):
    with opened(tmp_path / "queue", open_port, key) as queue:
        queue.ring_up("sale-1", {**SHEET, "lines": [{**WAIST_IN, "amount": inches(5)}]})
        queue.ring_up("sale-2", SHEET)
        assert queue.send(PATIENCE_SECONDS)
        assert "refused" == queue.sale("sale-1")["state"]
        assert "trouser_waist_in goes up to 3 in" in queue.sale("sale-1")["said"]
        assert_nothing_lost_or_doubled(queue, shop, ["sale-2"])


@either_database
def test_a_key_that_is_not_taken_keeps_the_sale_until_a_right_one_is_there(shop, key, tmp_path, open_port):
    with opened(tmp_path / "queue", open_port, "a.b") as queue:
        queue.ring_up("sale-1", SHEET)
        assert queue.send() is False
        assert ("waiting", "answered 401") == (queue.sale("sale-1")["state"], queue.sale("sale-1")["said"])
    with opened(tmp_path / "queue", open_port, key) as queue:
        assert queue.send(PATIENCE_SECONDS)
        assert_nothing_lost_or_doubled(queue, shop, ["sale-1"])


def test_a_sale_rung_up_twice_is_one_and_never_two_different_ones(key, tmp_path, port):
    with opened(tmp_path / "queue", port, key) as queue:
        queue.ring_up("sale-1", SHEET)
        first = queue.sale("sale-1")["key"]
        queue.ring_up("sale-1", SHEET)
        assert [first] == [each["key"] for each in queue.sales()]
        with pytest.raises(till.RungUpOtherwise):
            queue.ring_up("sale-1", {**SHEET, "by": "tailor-1"})


@either_database
def test_it_is_used_by_words_on_the_command_line(house, shop, key, tmp_path, port):
    sheet = tmp_path / "sheet.json"
    sheet.write_text(json.dumps(SHEET))

    def said(*words):
        command = [sys.executable, HOUSE / "demo" / "till.py", tmp_path / "queue", *words]
        environment = {**os.environ, "BASE_URL": f"http://127.0.0.1:{port}", "TILL_KEY": key}
        return subprocess.run(command, env=environment, check=False, capture_output=True, text=True)

    assert 0 == said("ring-up", "sale-1", sheet).returncode
    assert 1 == said("send").returncode
    with server(house.url, port):
        sent = said("send", "--for", str(PATIENCE_SECONDS))
    assert 0 == sent.returncode, sent.stderr
    assert "sale-1: printed, order 1001" in said("list").stdout
    total = shop.staff.get(f"/v1/orders/{orders_of(shop)[0]['id']}").body["total"]["minor"]
    assert f"to pay  {total / 100:.2f}" in said("basket", "sale-1").stdout

"""What a caller waits for over HTTP, against a bare Flask under the same server that returns the same bytes.

A connection for each request, as the server closes each. Clients, servers and database share the machine.
"""

from __future__ import annotations

import http.client
import itertools
import json
import os
import statistics
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any, NamedTuple

from tests.bench.limit.questions import ADVICE
from tests.bench.limit.shop import CHECK, MOVE, OpenShop, opened
from tests.bench.limit.turns import MS, in_turns, row
from tests.faults.under_gunicorn import served
from tests.house import HOUSE
from tests.http.sheets import order
from tests.serving import held_port, is_ready
from tests.shops import UNHURRIED_SETTINGS
from tests.waiting import until

ROUNDS = int(os.environ.get("ROUNDS", "200"))
CALLERS, VISITS, SLICES = 4, 12, 4
_numbers = itertools.count()


class Ask(NamedTuple):
    """A request, and how it is known again by a server that only repeats what was answered."""

    method: str
    path: str
    body: Any = None
    headers: dict[str, str] = {}  # noqa: RUF012  never changed

    def of(self, port: int, key: str) -> tuple[int, bytes, http.client.HTTPResponse]:
        """What a server answers."""
        sent = None if self.body is None else json.dumps(self.body)
        headers = {"Authorization": f"Bearer {key}", "Content-Type": "application/json", **self.headers}
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        connection.request(self.method, self.path, sent, headers)
        response = connection.getresponse()
        data = response.read()
        connection.close()
        if response.status >= http.client.BAD_REQUEST:
            raise SystemExit(f"{self.method} {self.path} answered {response.status}: {data.decode()}")
        return response.status, data, response


class Pair(NamedTuple):
    """The two servers."""

    ours: int
    bare: int
    key: str
    masters: tuple[int, int]

    def turns(self, ask: Ask, rounds: int = ROUNDS) -> tuple[float, float]:
        """How long one caller waits for each, in ms."""
        return in_turns(lambda: ask.of(self.ours, self.key), lambda: ask.of(self.bare, self.key), rounds)

    def work(self, ask: Ask, rounds: int = ROUNDS) -> tuple[float, float]:
        """The CPU of a worker for a request to each, in ms: what a busy machine adds to a wait is not in it."""
        before = [_cpu_ms(master) for master in self.masters]
        for _ in range(rounds):
            ask.of(self.ours, self.key)
            ask.of(self.bare, self.key)
        ours, bare = ((_cpu_ms(master) - at) / rounds for master, at in zip(self.masters, before, strict=True))
        return ours, bare


def rows(folder: Path) -> None:
    """Every row that is measured over HTTP on SQLite."""
    with opened(folder) as shop:
        asks = _asks(shop)
        with _pair(folder, shop, [*asks.values(), *_visit(shop.order_id)], workers=1) as pair:
            for name, (ask, reach) in zip(asks, zip(asks.values(), _REACHES, strict=True), strict=True):
                row(name, *pair.turns(ask), reach, "bare Flask, same server")
                row(f"{name}: CPU", *pair.work(ask), reach, "bare Flask, same server")
        with _pair(folder, shop, _visit(shop.order_id), workers=2) as pair:
            _mix(pair, shop)
            _tail(pair)


_REACHES = ("<= 3.5", "<= 2.5", "<= 1.8", "<= 1.8", "<= 1.8", "<= 1.8")


def _asks(shop: OpenShop) -> dict[str, Ask]:
    whole = {
        "advice, full answer": Ask("POST", "/v1/size-advice", ADVICE),
        "advice, short answer": Ask("POST", "/v1/size-advice?view=short", ADVICE),
        "an order read": Ask("GET", f"/v1/orders/{shop.order_id}"),
    }
    kept = {"slip, 304": shop.slip, "charts, 304": "/v1/charts", "catalogue, 304": "/v1/alterations"}
    return whole | {name: Ask("GET", path, headers={"If-None-Match": shop.tag(path)}) for name, path in kept.items()}


def _visit(order_id: str) -> list[Ask]:
    """The mix of a day: advice, check, order, read, move."""
    return [
        Ask("POST", "/v1/size-advice", ADVICE),
        Ask("POST", "/v1/fit-checks", CHECK),
        Ask("POST", "/v1/orders", order()),
        Ask("GET", f"/v1/orders/{order_id}"),
        Ask("POST", f"/v1/orders/{order_id}/moves", MOVE),
    ]


@contextmanager
def _pair(folder: Path, shop: OpenShop, asks: list[Ask], workers: int) -> Iterator[Pair]:
    settings = UNHURRIED_SETTINGS | {"FITTING_WORKERS": str(workers)}
    answers = folder / "answers.json"
    with ExitStack() as stack:
        ours = stack.enter_context(served(folder, shop.url, **settings))
        answers.write_text(json.dumps(dict(_recorded(ours.port, shop, asks))), "utf-8")
        port = stack.enter_context(held_port())
        bare = stack.enter_context(_bare(port, answers, workers))
        yield Pair(ours.port, port, shop.key, (ours.process.pid, bare))
    (folder / "server.log").unlink()


def _recorded(port: int, shop: OpenShop, asks: list[Ask]) -> Iterator[tuple[str, str]]:
    """What ours answers to each; an order of its own is moved."""
    for ask in asks:
        if "If-None-Match" not in ask.headers:
            asked = ask
            if ask.path.endswith("/moves"):
                asked = _move_of(json.loads(_placed().of(port, shop.key)[1])["id"])
            elif ask.method == "POST":
                asked = ask._replace(headers=_fresh())
            yield f"{ask.method} {ask.path}", asked.of(port, shop.key)[1].decode()


@contextmanager
def _bare(port: int, answers: Path, workers: int) -> Iterator[int]:
    words = ["--config", "docker/gunicorn.conf.py", "--workers", str(workers), "--bind", f"127.0.0.1:{port}"]
    command = [sys.executable, "-m", "gunicorn", *words, "--log-level", "error", "tests.bench.limit.bare:bare()"]
    server = subprocess.Popen(command, cwd=HOUSE, env={**os.environ, "BARE_ANSWERS": str(answers)})
    try:
        until(lambda: is_ready(port), server)
        yield server.pid
    finally:
        server.terminate()
        server.wait(20)


def _cpu_ms(master: int) -> float:
    """What the workers of a server have worked so far."""
    workers = Path(f"/proc/{master}/task/{master}/children").read_text("ascii").split()
    return sum(int(Path(f"/proc/{each}/schedstat").read_text("ascii").split()[0]) for each in workers) / 1e6


def _fresh() -> dict[str, str]:
    return {"Idempotency-Key": f"bench-{os.getpid()}-{next(_numbers)}"}


def _placed() -> Ask:
    return Ask("POST", "/v1/orders", order(), _fresh())


def _move_of(order_id: str) -> Ask:
    return Ask("POST", f"/v1/orders/{order_id}/moves", MOVE, {"If-Match": '"1"', **_fresh()})


def _mix(pair: Pair, shop: OpenShop) -> None:
    """Requests a second of four callers, slices of ours and of the bare one in turns."""

    def ours() -> None:
        for _ in range(VISITS):
            for ask in _visit(shop.order_id)[:2]:
                ask._replace(headers=_fresh()).of(pair.ours, pair.key)
            placed = json.loads(_placed().of(pair.ours, pair.key)[1])["id"]
            Ask("GET", f"/v1/orders/{placed}").of(pair.ours, pair.key)
            _move_of(placed).of(pair.ours, pair.key)

    def bare() -> None:
        for _ in range(VISITS):
            for ask in _visit(shop.order_id):
                ask.of(pair.bare, pair.key)

    took = in_turns(lambda: at_once(ours, CALLERS), lambda: at_once(bare, CALLERS), SLICES)
    mine, theirs = (5 * VISITS * CALLERS * MS / each for each in took)
    row("four callers, the mix of a day", mine, theirs, ">= 0.35", "bare Flask, same server", "a s")


def _tail(pair: Pair) -> None:
    """The slowest of a hundred where half of the greatest rate is asked for, at even times."""
    ask = Ask("POST", "/v1/size-advice", ADVICE)
    many = 150

    def fast() -> None:
        for _ in range(many // CALLERS):
            ask.of(pair.ours, pair.key)

    start = time.perf_counter()
    at_once(fast, CALLERS)
    gap = 2 * (time.perf_counter() - start) / (many // CALLERS * CALLERS)
    found: list[float] = []
    turn = itertools.count()
    begun = time.perf_counter()

    def paced() -> None:
        while (nth := next(turn)) < 4 * many:
            due = begun + nth * gap
            time.sleep(max(0.0, due - time.perf_counter()))
            ask.of(pair.ours, pair.key)
            found.append((time.perf_counter() - due) * MS)

    at_once(paced, CALLERS)
    row(
        "advice at half the greatest rate, p99",
        statistics.quantiles(found, n=100)[98],
        statistics.median(found),
        "<= 4",
        "its median",
    )


def at_once(work: Callable[[], None], callers: int) -> None:
    """So many callers do the same, each in a thread."""
    threads = [threading.Thread(target=work) for _ in range(callers)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

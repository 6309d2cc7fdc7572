"""How long events take to their receivers while a tenth of these is slow or dead, on both databases.

50 shops of four webhooks each. Ten receivers take 4.5 s for each event, ten take a connection and never answer; 180
answer at once. In each shop something happens every ten seconds. The relay is a process of its own, as an operator
starts it; a delay is from the commit of the event to its arrival.
"""

from __future__ import annotations

import contextlib
import os
import signal
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import orjson
from alembic import command
from sqlalchemy import func, select
from typing_extensions import override

from service.console import alembic_config
from service.settings import Settings
from service.storage.events import announce
from service.storage.tables import events
from service.tailoring.garments.amounts import Amount
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.orders.lines.order_lines import LineAsked
from service.tailoring.orders.order_events import Announcement
from service.tailoring.orders.sheets.order_sheets import SheetAsked
from service.tailoring.quantities import length
from service.tailoring.work.prices import PriceList
from service.tailoring.workroom.placing import OrderAsked
from service.use_cases.context import ServiceContext, open_context
from service.use_cases.events.webhooks import WebhookAsked, open_webhook
from service.use_cases.idempotency import IdempotentRequest
from service.use_cases.orders.orders import place_order
from service.use_cases.shop.keys import give_key, identify
from service.use_cases.shop.shops import open_shop
from tests.bench import line
from tests.postgres import new_database, running_server

SHOPS, EACH = 50, 4
SLOW, DEAD = 10, 10
SLOW_SECONDS = 4.5
EVERY_SECONDS = 10.0
ROUNDS = 5
GOAL_MS = 2000.0
DRAIN_SECONDS = 60


class Receivers(ThreadingHTTPServer):
    """Every webhook's receiver at one port: /quick, /slow and /dead by the address; when each event came to which."""

    daemon_threads = True
    request_queue_size = 256

    def __init__(self) -> None:
        super().__init__(("127.0.0.1", 0), _Receiver)
        self.came: dict[tuple[str, str], float] = {}
        self.over = threading.Event()

    @override
    def handle_error(self, request: object, client_address: object) -> None:
        """A relay that hangs up is what is measured here."""


class _Receiver(BaseHTTPRequestHandler):
    server: Receivers  # type: ignore[assignment]  # its own kind

    def do_POST(self) -> None:
        came_at = time.monotonic()
        event = orjson.loads(self.rfile.read(int(self.headers["Content-Length"])))
        kind = self.path.split("/")[1]
        self.server.came.setdefault((self.path, event["id"]), came_at)
        if kind != "quick":
            self.server.over.wait(SLOW_SECONDS if kind == "slow" else None)
        with contextlib.suppress(OSError):
            self.send_response(204)
            self.send_header("Content-Length", "0")
            self.end_headers()

    @override
    def log_message(self, *_: object) -> None:
        pass


def main() -> None:
    with tempfile.TemporaryDirectory() as folder, running_server() as server, new_database(server) as postgres:
        for kind, url in (("SQLite", f"sqlite:///{folder}/bench.sqlite3"), ("PostgreSQL", postgres)):
            delays = _measured(url)
            quick, slow = sorted(delays["quick"]), sorted(delays["slow"])
            name = f"delay of the others, {kind}"
            line(f"{name}, median", 1000 * statistics.median(quick), GOAL_MS, "ms", "what was asked for")
            line(f"{name}, 95th percentile", 1000 * quick[int(len(quick) * 0.95)], GOAL_MS, "ms", "the same")
            line(f"{name}, longest", 1000 * quick[-1], GOAL_MS, "ms", "the same")
            line(f"delay of slow receivers, {kind}, median", 1000 * statistics.median(slow), GOAL_MS, "ms", "the same")


def _measured(url: str) -> dict[str, list[float]]:
    """Delays in seconds by kind of receiver. Raises RuntimeError where a quick one was not told of everything."""
    command.upgrade(alembic_config(url), "head")
    context = open_context(Settings(database_url=url, webhooks="anywhere"))
    receivers = Receivers()
    thread = threading.Thread(target=receivers.serve_forever, kwargs={"poll_interval": 0.05})
    thread.start()
    try:
        opened = _shops(context, receivers.server_port)
        with _relay(url):
            _wait_for_relay(context, receivers, opened)
            committed = _happening(context, list(opened))
            expected = len(committed) * sum(path.startswith("/quick") for paths in opened.values() for path in paths)
            expected = expected // len(opened) + EACH
            until = time.monotonic() + DRAIN_SECONDS
            while _quick(receivers) < expected and time.monotonic() < until:
                time.sleep(0.1)
            if _quick(receivers) < expected:
                raise RuntimeError(f"{_quick(receivers)} of {expected} came")
            receivers.over.set()
    finally:
        receivers.over.set()
        receivers.shutdown()
        thread.join()
        receivers.server_close()
        context.database.close()
    delays: dict[str, list[float]] = defaultdict(list)
    for (path, event), came_at in list(receivers.came.items()):
        if event in committed:
            delays[path.split("/")[1]].append(came_at - committed[event])
    return delays


def _quick(receivers: Receivers) -> int:
    return sum(path.startswith("/quick") for path, _ in list(receivers.came))


def _shops(context: ServiceContext, port: int) -> dict[tuple[str, str], list[str]]:
    """Shops with an order each, and where their webhooks are: every tenth is slow or dead, in as many shops."""
    found = {}
    sheet = SheetAsked(
        (GarmentPiece(1, "trousers"),),
        (LineAsked(1, "trouser_waist_in", Amount(length(1, "in"), "girth", "decrease")),),
    )
    for shop in range(SHOPS):
        shop_id = open_shop(context, "Bench", "UTC", PriceList())
        caller = identify(context, give_key(context, shop_id, "bench", frozenset({"order", "admin"})))
        placed = place_order(
            context, caller, OrderAsked(sheet, marked_by="bench"), IdempotentRequest("bench", "1", ""),
            lambda made: {"id": made.filed.id},
        ).document["id"]  # fmt: skip
        paths = []
        for nth in range(shop * EACH, shop * EACH + EACH):
            tenth = nth % (SHOPS * EACH // (SLOW + DEAD)) == 0
            kind = "quick" if not tenth else "slow" if nth % (2 * SHOPS * EACH // (SLOW + DEAD)) == 0 else "dead"
            paths.append(f"/{kind}/{nth}")
            asked = WebhookAsked(f"http://127.0.0.1:{port}{paths[-1]}")
            open_webhook(context, caller, asked, IdempotentRequest("t", None, ""), lambda hook: {"id": hook.id})
        found[shop_id, placed] = paths
    return found


@contextmanager
def _relay(url: str) -> Iterator[None]:
    environment = {name: value for name, value in os.environ.items() if not name.startswith("FITTING_")}
    environment |= {"FITTING_DATABASE_URL": url, "FITTING_WEBHOOKS": "anywhere", "NO_PROXY": "127.0.0.1"}
    words = [sys.executable, "-m", "service", "deliver"]
    relay = subprocess.Popen(words, env=environment, stderr=subprocess.DEVNULL)
    try:
        yield
    finally:
        relay.send_signal(signal.SIGTERM)
        relay.wait(timeout=60)


def _wait_for_relay(context: ServiceContext, receivers: Receivers, opened: dict[tuple[str, str], list[str]]) -> None:
    """Something happens in a shop with quick receivers only, to see that the relay has started."""
    order_id = next(order for (_, order), paths in opened.items() if all(path.startswith("/quick") for path in paths))
    _announce(context, order_id)
    while _quick(receivers) < EACH:
        time.sleep(0.05)


def _announce(context: ServiceContext, order_id: str) -> str:
    """Something that happened to an order; the id of its event."""
    with context.database.writing() as tx:
        announce(tx, order_id, [Announcement("order.moved", context.now(), "1001", "marked", "accepted", None)])
        newest = select(events.c.shop_id, func.max(events.c.cursor)).where(events.c.order_id == order_id)
        shop_id, number = tx.execute(newest.group_by(events.c.shop_id)).one()
    return f"{shop_id}-{number}"


def _happening(context: ServiceContext, shops: list[tuple[str, str]]) -> dict[str, float]:
    """Something happens in each shop in its turn, again and again; when each event was committed."""
    committed = {}
    began = time.monotonic()
    for n in range(ROUNDS * len(shops)):
        _, order_id = shops[n % len(shops)]
        time.sleep(max(0.0, began + n * EVERY_SECONDS / len(shops) - time.monotonic()))
        event = _announce(context, order_id)
        committed[event] = time.monotonic()
    return committed


if __name__ == "__main__":
    main()

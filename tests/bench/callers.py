"""Health while callers hold connections and do nothing with them: our worker against gunicorn's own two.

Each is served with one worker on loopback. Idle callers send nothing, slow ones half a head or half a body; deaf ones
ask for the contract and read none of it; staying ones are answered and do not hang up. What is printed is the longest
of three asks for health, from when all of them are connected; an ask is given up after 20 s. Last comes what our
worker computes while as many as may wait for an event do.
"""

from __future__ import annotations

import os
import socket
import tempfile
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

from alembic import command

from service.console import alembic_config
from service.tailoring.work.prices import PriceList
from service.use_cases.shop.keys import give_key
from service.use_cases.shop.shops import open_shop
from tests.days import Clock
from tests.faults.under_gunicorn import Served, served
from tests.shops import UNHURRIED_SETTINGS, new_desk

GIVEN_UP_SECONDS = 20
HEALTH = b"GET /health/live HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n"
CONTRACT = HEALTH.replace(b"/health/live", b"/openapi.json")
EVENTS = b"GET /v1/events?wait=25 HTTP/1.1\r\nHost: a\r\nAuthorization: Bearer %s\r\n\r\n"
COMPUTING_SECONDS = 10
CALLERS = {
    "idle": b"",
    "slow head": b"POST /v1/size-advice HTTP/1.1\r\nHost: a\r\nX-",
    "slow body": b"POST /v1/size-advice HTTP/1.1\r\nHost: a\r\nContent-Length: 100\r\n\r\n{",
    "deaf": CONTRACT,
    "staying": HEALTH,
}
WORKERS = {
    "ours": [],
    "gunicorn's sync": ["--worker-class", "sync"],
    "gunicorn's gthread, 16 threads": ["--worker-class", "gthread", "--threads", "16"],
}


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite:///{Path(folder)}/bench.sqlite3"
        command.upgrade(alembic_config(url), "head")
        for kind, sends in CALLERS.items():
            for many in (2, 8, 50):
                found = []
                for name, words in WORKERS.items():
                    with (
                        served(Path(folder), url, *words, **UNHURRIED_SETTINGS) as running,
                        held(running.port, sends, many),
                    ):
                        found.append(f"{name} {slowest(running.port)}")
                    (Path(folder) / "server.log").unlink()
                print(f"health beside {many:2} callers who are {kind}: {', '.join(found)}", flush=True)

        key = _key(url)
        for many in (0, 10, 100):
            with served(Path(folder), url, **UNHURRIED_SETTINGS) as running, held(running.port, EVENTS % key, many):
                # Once all are answered, or wait.
                asked(running.port, GIVEN_UP_SECONDS)
                took, health = _computes(running), slowest(running.port)
                print(
                    f"a worker beside {many:3} who wait for an event computes {took:.0f} ms a second, health {health}"
                )
            (Path(folder) / "server.log").unlink()


def _key(url: str) -> bytes:
    desk = new_desk(url, Clock())
    shop = open_shop(desk, "Corner Tailors", "Europe/Dublin", PriceList())
    key = give_key(desk, shop, "board", frozenset({"workroom"}))
    desk.database.close()
    return key.encode()


def _computes(running: Served) -> float:
    """Milliseconds of CPU that the one worker takes a second, over some of them."""
    children = Path(f"/proc/{running.process.pid}/task/{running.process.pid}/children").read_text("ascii").split()
    stat = Path(f"/proc/{children[-1]}/stat")

    def ticks() -> int:
        return sum(int(each) for each in stat.read_text("ascii").rpartition(")")[2].split()[11:13])

    before = ticks()
    time.sleep(COMPUTING_SECONDS)
    return 1000 * (ticks() - before) / os.sysconf("SC_CLK_TCK") / COMPUTING_SECONDS


@contextmanager
def held(port: int, sends: bytes, many: int) -> Iterator[None]:
    with ExitStack() as stack:
        for _ in range(many):
            caller = stack.enter_context(socket.socket())
            caller.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
            caller.connect(("127.0.0.1", port))
            caller.sendall(sends)
        yield


def slowest(port: int) -> str:
    took = []
    for _ in range(3):
        begun = time.monotonic()
        if not asked(port, GIVEN_UP_SECONDS):
            return f"over {GIVEN_UP_SECONDS} s"
        took.append(time.monotonic() - begun)
    return f"{1000 * max(took):.0f} ms"


def asked(port: int, seconds: float) -> bool:
    try:
        with socket.create_connection(("127.0.0.1", port), timeout=seconds) as caller:
            caller.sendall(HEALTH)
            return b"200" in caller.recv(64)
    except OSError:
        return False


if __name__ == "__main__":
    main()

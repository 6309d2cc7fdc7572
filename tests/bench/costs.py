"""What single requests cost at their dearest, against one size advice from three readings.

Per operation the dearest legal request that we know, and the dearest illegal ones of the contract's own bounds: CPU as
a multiple of that advice, the most memory held at once, bytes of the answer. Through the whole application, on SQLite,
without a server; memory is what Python and numpy asked for (tracemalloc).
"""

from __future__ import annotations

import sys
import tempfile
import time
import tracemalloc
from pathlib import Path

from alembic import command
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from service.app import create_app
from service.console import alembic_config
from service.settings import Settings
from service.starting import made_to_last
from service.tailoring.work.prices import PriceList
from service.use_cases.context import open_context
from service.use_cases.shop.keys import SCOPES, give_key
from service.use_cases.shop.shops import open_shop
from tests.bench.asked import Asked
from tests.bench.dear_requests import illegal_requests, legal_requests, plain_advice
from tests.shops import UNHURRIED

CPU_MOST, MEGABYTES_MOST = 40.0, 64.0
FAULT = 500
MEGABYTE = 1024 * 1024


class Till:
    """Asks as a till does, and measures."""

    def __init__(self, client: FlaskClient, key: str) -> None:
        self._client = client
        self._key = key
        self._asked = 0

    def ask(self, asked: Asked) -> TestResponse:
        """One request, with everything that a precondition may want."""
        self._asked += 1
        headers = {"Authorization": f"Bearer {self._key}", "Content-Type": "application/json"}
        headers |= {"Idempotency-Key": f"bench-{self._asked}", "If-Match": '"1"', **asked.headers}
        path, _, query = asked.path.partition("?")
        return self._client.open(path, method=asked.method, data=asked.body, headers=headers, query_string=query)

    def seconds(self, asked: Asked, times: int) -> float:
        """CPU of one of several, the least: what else the machine does adds, and never takes."""
        return min(self._seconds_once(asked) for _ in range(times))

    def _seconds_once(self, asked: Asked) -> float:
        start = time.process_time()
        self.ask(asked)
        return time.process_time() - start

    def megabytes(self, asked: Asked) -> tuple[float, TestResponse]:
        """The most memory that one held at once, and its answer."""
        tracemalloc.start()
        try:
            answer = self.ask(asked)
            return tracemalloc.get_traced_memory()[1] / MEGABYTE, answer
        finally:
            tracemalloc.stop()


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite:///{Path(folder)}/bench.sqlite3"
        command.upgrade(alembic_config(url), "head")
        context = open_context(Settings(database_url=url))
        shop = open_shop(context, "Bench", "UTC", PriceList())
        key = give_key(context, shop, "bench", frozenset(SCOPES))
        with made_to_last():  # as a worker starts
            app = create_app(Settings(database_url=url, **UNHURRIED), context)
        till = Till(app.test_client(), key)
        one = till.seconds(plain_advice(), 15)
        print(f"one size advice from three readings: {one * 1000:.1f} ms of CPU")
        print(f"{'':6} {'operation':42} {'what':34} {'status':>6} {'CPU':>8} {'MB':>7} {'bytes':>9}")
        for kind, requests in (("legal", legal_requests(till.ask)), ("wrong", illegal_requests(app))):
            for asked in requests:
                if len(sys.argv) < 2 or any(word in asked.operation for word in sys.argv[1:]):
                    _print(kind, till, asked, one)
        context.database.close()


def _print(kind: str, till: Till, asked: Asked, one: float) -> None:
    ratio = till.seconds(asked, 3) / one
    megabytes, answer = till.megabytes(asked)
    if answer.status_code == FAULT:
        raise SystemExit(f"{asked.operation}, {asked.what}: a fault of the service")
    beyond = " beyond" if ratio > CPU_MOST or megabytes > MEGABYTES_MOST else ""
    sizes = f"{answer.status_code:6} x{ratio:7.2f} {megabytes:7.1f} {len(answer.data):9}"
    print(f"{kind:6} {asked.operation:42} {asked.what:34} {sizes}{beyond}", flush=True)


if __name__ == "__main__":
    main()

"""Size advice over HTTP, against a bare Flask that parses the same body and returns as much JSON.

Both run under gunicorn with two sync workers on loopback; four clients, a bounded count of requests.
"""

from __future__ import annotations

import http.client
import json
import os
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

from alembic import command
from flask import Flask, Response, request

from service.console import alembic_config
from service.settings import Settings
from service.tailoring.work.prices import PriceList
from service.use_cases.context import open_context
from service.use_cases.shop.keys import give_key
from service.use_cases.shop.shops import open_shop
from tests.bench import line
from tests.serving import held_port, listens
from tests.waiting import until

CLIENTS = 4
REQUESTS = 150
QUESTION = {
    "readings": [
        {"dimension": "chest_girth", "value": "38 1/4", "unit": "in"},
        {"dimension": "trouser_waist_girth", "value": 33, "unit": "in"},
        {"dimension": "stature", "value": 178, "unit": "cm"},
    ]
}


def bare() -> Flask:
    """A Flask that does nothing but JSON."""
    app = Flask("bare")
    answer = os.environ["BARE_ANSWER"]

    @app.post("/v1/size-advice")
    def advice() -> Response:
        request.get_json()
        return Response(json.dumps(json.loads(answer)), content_type="application/json")

    return app


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite:///{Path(folder)}/bench.sqlite3"
        command.upgrade(alembic_config(url), "head")
        context = open_context(Settings(database_url=url))
        shop = open_shop(context, "Bench", "UTC", PriceList())
        key = give_key(context, shop, "bench", frozenset({"advise"}))
        context.database.close()
        ours, answer = _measured(
            "service.app:create_app()", {"FITTING_DATABASE_URL": url, "FITTING_KEY_PER_MINUTE": "1000000"}, key
        )
        theirs, _ = _measured("tests.bench.http:bare()", {"BARE_ANSWER": answer}, key)
    line("size advice over HTTP, median", ours[0], theirs[0], "ms", f"bare Flask returning {len(answer)} bytes")
    line("size advice over HTTP, p99", ours[1], theirs[1], "ms", "bare Flask")
    line("seconds per 1000 requests", ours[2], theirs[2], "s", "bare Flask")


def _measured(app: str, environment: dict[str, str], key: str) -> tuple[tuple[float, float, float], str]:
    with held_port() as port:
        return _measured_at(port, app, environment, key)


def _measured_at(port: int, app: str, environment: dict[str, str], key: str) -> tuple[tuple[float, float, float], str]:
    words = ["-m", "gunicorn", "--workers", "2", "--bind", f"127.0.0.1:{port}", "--log-level", "error"]
    server = subprocess.Popen([sys.executable, *words, "--no-control-socket", app], env={**os.environ, **environment})
    try:
        until(lambda: listens(port), server)
        answer = _ask(port, key, 3)[1]
        times: list[float] = []
        start = time.perf_counter()
        clients = [threading.Thread(target=lambda: times.extend(_ask(port, key, REQUESTS)[0])) for _ in range(CLIENTS)]
        for client in clients:
            client.start()
        for client in clients:
            client.join()
        each = (time.perf_counter() - start) / len(times) * 1000
        cuts = statistics.quantiles(times, n=100)
        return (statistics.median(times), cuts[98], each), answer
    finally:
        server.terminate()
        server.wait(10)


def _ask(port: int, key: str, times: int) -> tuple[list[float], str]:
    body = json.dumps(QUESTION)
    headers = {"Authorization": f"Bearer {key}", "Content-Type": "application/json"}
    found, answer = [], ""
    for _ in range(times):
        start = time.perf_counter()
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
        connection.request("POST", "/v1/size-advice", body, headers)
        response = connection.getresponse()
        answer = response.read().decode()
        if response.status != http.client.OK:
            raise SystemExit(f"{response.status}: {answer}")
        found.append((time.perf_counter() - start) * 1000)
        connection.close()
    return found, answer


if __name__ == "__main__":
    main()

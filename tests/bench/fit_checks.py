"""One fit check with its comparison and its diagnosis, against one size advice on the same readings.

In the core, and through the service in one process: what is compared is CPU time, both sides in one run.
"""

from __future__ import annotations

import statistics
import tempfile
from collections.abc import Callable
from datetime import date
from itertools import count
from pathlib import Path
from typing import Any

from alembic import command
from flask.testing import FlaskClient

from service.app import create_app
from service.console import alembic_config
from service.settings import Settings
from service.tailoring.body.body import Body, read_body
from service.tailoring.body.readings import reading
from service.tailoring.fitting.evidence import Worn
from service.tailoring.fitting.fit_checks import check_fit
from service.tailoring.fitting.options import compare, other_drops
from service.tailoring.fitting.sightings import Sighting
from service.tailoring.garments.charts import reference_chart
from service.tailoring.sizing.offers import Question
from service.tailoring.sizing.size_advice import size_advice
from service.tailoring.work.prices import PriceList
from service.use_cases.context import open_context
from service.use_cases.shop.keys import give_key
from service.use_cases.shop.shops import open_shop
from tests.bench import line, seconds_each

MS = 1000
TIMES, ROUNDS = 10, 9
DAY = date(2026, 3, 2)
READINGS = (
    {"dimension": "chest_girth", "value": "38 1/4", "unit": "in"},
    {"dimension": "trouser_waist_girth", "value": 33, "unit": "in"},
    {"dimension": "stature", "value": 178, "unit": "cm"},
)
WORN = {"jacket": "40R", "trousers": "34"}
SEEN = {
    "collar_gap": "right",
    "jacket_chest": "right",
    "jacket_back_length": "right",
    "shoulder": "right",
    "front_closure": "pulls",
    "trouser_seat": "right",
    "trouser_waist": "gapes",
}


def main() -> None:
    line("fit check, compared and diagnosed", *_in_the_core(), "ms", "one size advice in the core")
    line("fit check over the HTTP client", *_over_http(), "ms", "one size advice over the HTTP client")


def _in_the_core() -> tuple[float, float]:
    chart = reference_chart()
    question, worn = Question((chart,), PriceList()), Worn(chart, WORN)
    sightings = tuple(Sighting(point, seen, side=_side(point)) for point, seen in SEEN.items())

    def body() -> Body:
        return read_body(tuple(reading(each["dimension"], each["value"], str(each["unit"])) for each in READINGS))

    def check() -> object:
        return compare(check_fit(body(), question, worn, sightings), worn, other_drops(worn, ()), lambda _: DAY)

    return _in_turns(check, lambda: size_advice(body(), question))


def _over_http() -> tuple[float, float]:
    with tempfile.TemporaryDirectory() as folder:
        settings = Settings(database_url=f"sqlite:///{Path(folder)}/bench.sqlite3", key_per_minute=1_000_000)
        command.upgrade(alembic_config(settings.database_url), "head")
        context = open_context(settings)
        key = give_key(
            context, open_shop(context, "Bench", "UTC", PriceList()), "bench", frozenset({"advise", "measure"})
        )
        client = create_app(settings).test_client()
        advice = {"readings": list(READINGS)}
        worn = {garment: {"chart": "reference", "label": label} for garment, label in WORN.items()}
        observations = [
            {"point": point, "seen": seen, **({"side": side} if (side := _side(point)) else {})}
            for point, seen in SEEN.items()
        ]
        check = {**advice, "worn": worn, "observations": observations}
        numbers = count()
        return _in_turns(
            lambda: _asked(client, "/v1/fit-checks", check, key, next(numbers)),
            lambda: _asked(client, "/v1/size-advice", advice, key, next(numbers)),
        )


def _asked(client: FlaskClient, path: str, body: dict[str, Any], key: str, number: int) -> None:
    headers = {"Authorization": f"Bearer {key}", "Idempotency-Key": f"bench-{number}"}
    answer = client.post(path, json=body, headers=headers)
    if not answer.status_code // 100 == 2:
        raise SystemExit(f"{answer.status_code}: {answer.text}")


def _side(point: str) -> str | None:
    return "both" if point == "shoulder" else None


def _in_turns(check: Callable[[], object], advice: Callable[[], object]) -> tuple[float, float]:
    """The median CPU time of each in ms, measured in turns: a busy machine slows both."""
    times = [(seconds_each(check, TIMES, rounds=1), seconds_each(advice, TIMES, rounds=1)) for _ in range(ROUNDS)]
    of_check, of_advice = (statistics.median(each) * MS for each in zip(*times, strict=True))
    return of_check, of_advice


if __name__ == "__main__":
    main()

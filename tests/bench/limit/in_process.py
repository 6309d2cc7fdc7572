"""What is measured in one process, CPU against CPU."""

from __future__ import annotations

import itertools
import os
import random
import resource
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from sqlalchemy import insert

from service.storage.tables import workroom_days
from service.tailoring import tables
from service.tailoring.body.body import read_body
from service.tailoring.body.readings import reading
from service.tailoring.garments.charts import ChartHead, reference_chart
from service.tailoring.sizing.offers import Question
from service.tailoring.sizing.sizing import Sizing
from service.tailoring.work.prices import PriceList
from service.use_cases.shop.charts import load_chart
from tests.bench.limit.questions import ADVICE
from tests.bench.limit.shop import CHECK, WIDE, OpenShop, opened
from tests.bench.limit.turns import MS, in_turns, row
from tests.house import HOUSE
from tests.http.sheets import sheet

ROUNDS = 60
CROWD, CHARTS, SHOPS, YEARS = 500, 48, 1000, 5
CPU = time.process_time
LEAST_REQUESTS, SHOPS_OF_MEMORY = 1_000, 200


def rows(folder: Path) -> None:
    """Rows of the engine, of many, and of what grows."""
    row("next measures", *_next_measures(), "<= 0.4", "body and plans, in the core")
    with opened(folder) as shop:

        def advice() -> object:
            return shop.ask("POST", "/v1/size-advice", ADVICE)

        took = in_turns(lambda: shop.ask("POST", "/v1/fit-checks", CHECK), advice, ROUNDS, CPU)
        row("fit check, compared and diagnosed", *took, "<= 2.5", "one advice")
        _batch(shop, advice)
        _many_shops(shop, advice)
        _booked(shop)
        _charts(shop)


def _next_measures() -> tuple[float, float]:
    read = tuple(reading(each["dimension"], each["value"], str(each["unit"])) for each in ADVICE["readings"])  # type: ignore[arg-type]
    question = Question((reference_chart(),), PriceList())
    found: list[tuple[float, float]] = []
    for _ in range(ROUNDS):
        start = CPU()
        sizing = Sizing(read_body(read), question)
        sizing.advice()
        middle = CPU()
        sizing.next_measures()
        found.append(((CPU() - middle) * MS, (middle - start) * MS))
    measures, plans = (statistics.median(each) for each in zip(*found, strict=True))
    return measures, plans


def _batch(shop: OpenShop, advice: Callable[[], object]) -> None:
    chance = random.Random(1)
    means = dict(zip(("chest_girth", "trouser_waist_girth", "stature"), (39, 34, 178), strict=True))

    def read(each: dict[str, Any]) -> dict[str, Any]:
        return each | {"value": round(means[each["dimension"]] + chance.gauss(0, 1), 1)}

    people = [{"ref": f"p{i}", "readings": [read(each) for each in ADVICE["readings"]]} for i in range(CROWD)]
    asked = {"people": people, "limit": 1}
    many, one = in_turns(lambda: shop.ask("POST", "/v1/size-advice/batch", asked), advice, 6, CPU)
    row("batch, people a second of one core", CROWD * MS / many, MS / one, ">= 60", "one by one", "a s")


def _charts(shop: OpenShop) -> None:
    """A page of suits, each with a chart of its own, against a shop that has one chart."""
    keys = []
    for count in (CHARTS, 1):
        other, key = shop.another(PriceList())
        for nth in range(count):
            load_chart(shop.context, other, ChartHead(f"suit-{nth:02}", f"Suit {nth}"), _chart_rows(nth / 16))
        keys.append(key)
    many, one = ((lambda key=key: shop.ask("POST", "/v1/size-advice", ADVICE, key)) for key in keys)
    row(f"advice for {CHARTS} charts", *in_turns(many, one, 12, CPU), "<= 12", "one chart")


def _chart_rows(wider: float) -> list[dict[str, Any]]:
    """The reference block, its girths wider by so much."""
    girths = ("chest", "waist", "seat")
    return [
        {
            name: float(value) + wider if name in girths else value
            for name, value in each.items()
            if value and name != "source"
        }
        for each in tables.rows("garments/reference_chart")
    ]


def _many_shops(shop: OpenShop, first: Callable[[], object]) -> None:
    """Advice of the last of a thousand shops, each with prices of its own, after all others have been asked."""
    keys = [shop.another(own_prices(nth))[1] for nth in range(SHOPS)]
    for key in keys:
        shop.ask("POST", "/v1/size-advice", ADVICE, key)
    turns = itertools.cycle(keys)
    took = in_turns(lambda: shop.ask("POST", "/v1/size-advice", ADVICE, next(turns)), first, ROUNDS, CPU)
    row(f"advice of the {SHOPS:,}th shop with own prices", *took, "<= 1.2", "the first shop's")


def own_prices(nth: int) -> PriceList:
    """A price list that no other shop has."""
    return PriceList(plain_hem_minor=1500 + nth)


def _booked(shop: OpenShop) -> None:
    """A promise where every day of five years has something booked, against an empty calendar."""
    booked, booked_key = shop.another(PriceList())
    _, free_key = shop.another(PriceList())
    today = datetime.now(UTC).date()
    days = [
        {"shop_id": booked, "day": today + timedelta(days=ahead), "bench": bench, "booked_minutes": 60}
        for ahead in range(365 * YEARS)
        for bench in WIDE.minutes[0]
    ]
    with shop.context.database.writing() as tx:
        tx.execute(insert(workroom_days), days)
    full, free = (
        (lambda key=key: shop.ask("POST", "/v1/alteration-quotes", sheet(), key)) for key in (booked_key, free_key)
    )
    row(f"a promise with {YEARS} years booked", *in_turns(full, free, ROUNDS, CPU), "<= 1.3", "an empty calendar")


def rows_of_processes(folder: Path) -> None:
    """What starts anew: CPU of whole processes."""
    with opened(folder) as shop:
        environment = {**os.environ, "FITTING_DATABASE_URL": shop.url}

        def python(*words: str) -> Callable[[], object]:
            return lambda: subprocess.run(
                [sys.executable, *words], check=True, cwd=HOUSE, env=environment, stdout=subprocess.DEVNULL
            )

        first = ("-m", "tests.bench.limit.first_answer", shop.key)
        took = in_turns(python(*first), python("-c", "import flask, sqlalchemy, numpy"), 5, _of_children)
        row("first answer after start", *took, "<= 1.5", "import flask, sqlalchemy, numpy")
        command = ("-m", "service", "list-keys", shop.id)
        took = in_turns(python(*command), python("-c", "import sqlalchemy"), 5, _of_children)
        row("a console command", *took, "<= 1.3", "import sqlalchemy")
        many = int(os.environ.get("REQUESTS", "5000"))
        said = subprocess.run(
            [sys.executable, "-m", "tests.bench.limit.memory", str(many)],
            check=True, cwd=HOUSE, capture_output=True, text=True,
        ).stdout.split()  # fmt: skip
        after, before = map(float, said)
        row(f"memory after {many:,} requests, 200 shops", after, before, "<= 1.05", "after 1,000", "MB")


def _of_children() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime

"""What one of many costs in a batch, by kind, against one size advice from three readings; reading and writing too.

The first ratio is what was measured, the second what the batch is charged for it (`tailoring/sizing/batch_costs.py`).
"""

from __future__ import annotations

import json
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

from alembic import command

from service.app import create_app
from service.console import alembic_config
from service.http.advice.batch_costs import shape_of_json
from service.settings import Settings
from service.tailoring.body.population import men
from service.tailoring.body.readings import SOURCES
from service.tailoring.garments.charts import ChartHead
from service.tailoring.sizing.batch_costs import BatchCharge
from service.tailoring.work.prices import PriceList
from service.use_cases.context import open_context
from service.use_cases.shop.charts import load_chart
from service.use_cases.shop.keys import give_key
from service.use_cases.shop.shops import open_shop
from tests.bench import seconds_each

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from service.use_cases.context import ServiceContext

# Of the survey's mean, in the unit that it is read in.
MEAN = {
    name: (round(float(2.718281828459045**mean if log else mean)), "kg" if name == "body_mass" else "mm")
    for name, mean, log in zip(men().names[1:], men().mean[1:], men().logs[1:], strict=True)
}
THREE = ("chest_girth", "trouser_waist_girth", "stature")
Person = dict[str, Any]


def read(name: str, i: int, **more: Any) -> dict[str, Any]:
    size, unit = MEAN[name]
    return {"dimension": name, "value": size + i % 7, "unit": unit, **more}


def plain(i: int) -> Person:
    return {"readings": [read(name, i) for name in THREE], "age_years": 30 + i % 40}


def all_read(i: int) -> Person:
    return {"readings": [read(name, i) for name in MEAN]}


def repeated(i: int) -> Person:
    size = MEAN[THREE[0]][0] + i % 7
    return {"readings": [read(THREE[0], i, repeats=[size + 3]), *(read(name, i) for name in THREE[1:])]}


def unlike(i: int) -> Person:
    """Read like nobody else: a source a reading, counted on from one to the next."""
    tens = [i // 3**place % 3 for place in range(8)]
    return {"readings": [read(name, i, source=SOURCES[at]) for name, at in zip(MEAN, tens, strict=False)]}


def labelled(i: int) -> Person:
    return {"readings": [*(read(name, i) for name in THREE), read("waist_girth", i, source="label")]}


def at_odds(i: int) -> Person:
    """A chest in the wrong unit."""
    return {"readings": [{"dimension": "chest_girth", "value": 41, "unit": "cm"}, *(read(n, i) for n in THREE[1:])]}


def sixty(i: int) -> Person:
    """As many readings as are taken, each dimension three times and more."""
    names = [*MEAN, *MEAN, *MEAN, *MEAN][:60]
    return {"readings": [read(name, i) for name in names]}


KINDS = {
    "three readings, read alike": (plain, 1000),
    "all dimensions, read alike": (all_read, 300),
    "one reading repeated": (repeated, 300),
    "eight readings, read unlike": (unlike, 60),
    "a label": (labelled, 30),
    "a slip": (at_odds, 30),
    "sixty readings": (sixty, 5),
}


def large_chart(context: ServiceContext, shop: str, code: str) -> None:
    """A chart of as many sizes as there may be."""
    steps = [i / 4 for i in range(100)]
    jackets: list[dict[str, object]] = [
        {"garment": "jacket", "label": f"J{i}", "body": 30 + i, "chest": 34 + i, "waist": 28 + i, "sleeve": 20 + i / 3,
         "back_length": 26 + i / 4}
        for i in steps
    ]  # fmt: skip
    trousers: list[dict[str, object]] = [
        {"garment": "trousers", "label": f"T{i}", "body": 24 + i, "waist": 24.75 + i, "inside_leg": 30 + i / 3}
        for i in steps
    ]
    load_chart(context, shop, ChartHead(code, "Large"), [*jackets, *trousers])


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite:///{Path(folder)}/bench.sqlite3"
        command.upgrade(alembic_config(url), "head")
        context = open_context(Settings(database_url=url))
        shop = open_shop(context, "Bench", "UTC", PriceList())
        for code in "abcd":
            large_chart(context, shop, code)
        key = give_key(context, shop, "bench", frozenset({"advise"}))
        client = create_app(Settings(database_url=url, key_per_minute=1_000_000), context).test_client()
        client.environ_base["HTTP_AUTHORIZATION"] = f"Bearer {key}"
        _compare(client)
        context.database.close()


def _compare(client: FlaskClient) -> None:
    one = seconds_each(lambda: _ask(client, "", {**plain(0), "charts": ["reference"]}), 30)
    print(f"{'one size advice':60} {1000 * one:8.2f} ms")
    for charts in (["reference"], ["a"], ["a", "b", "c", "d"]):
        for more in ({"limit": 1}, {"limit": 20}, {"limit": 1, "whole": True}, {"limit": 20, "whole": True}):
            for words, (person, many) in KINDS.items():
                people = [{"ref": f"p{i}", **person(i)} for i in range(min(many, 10) if "whole" in more else many)]
                asked = {"people": people, "charts": charts, **more}
                each = seconds_each(lambda asked=asked: _ask(client, "/batch", asked), 1, rounds=2) / len(people)
                name = f"{words}, {len(charts)} {charts[0]}, {', '.join(f'{k} {v}' for k, v in more.items())}"
                sizes = [217 if code == "reference" else 250 for code in charts]
                charge = BatchCharge(sizes, asked["limit"], whole="whole" in more)
                charged = charge.points([shape_of_json(each) for each in people]) / len(people) / 100
                print(f"{name:60} {1000 * each:8.3f} ms x{each / one:7.3f}   charged x{charged:7.3f}", flush=True)


def _ask(client: FlaskClient, path: str, body: Person) -> None:
    answer = client.post(f"/v1/size-advice{path}", data=json.dumps(body), content_type="application/json")
    if answer.status_code != 200:
        raise SystemExit(f"{answer.status_code}: {answer.text[:300]}")


if __name__ == "__main__":
    main()

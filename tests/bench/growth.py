"""The ten commonest operations over HTTP on a chain's database after years, against the same on a young one.

PostgreSQL with durable commits; `python -m tests.bench.growth sqlite` does the same on SQLite, and a second word, as
100000, fills with fewer orders. Both databases are served by one worker each and asked in turns: of the same four
shops, which have the same newest orders in both; then, in the large one, of any shop. What each is asked is what a
fitter asks in a visit (which ten are the commonest: common practice, no source).
"""

from __future__ import annotations

import http.client
import itertools
import json
import random
import statistics
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, TypeAlias

from alembic import command
from sqlalchemy import create_engine

from service.console import alembic_config
from service.settings import Settings
from service.use_cases.context import ServiceContext, open_context
from service.use_cases.people.retention import forget_expired
from service.use_cases.shop.keys import SCOPES, give_key
from tests.bench import line
from tests.bench.chains import Chain, chain_of
from tests.bench.grown_shops import fill
from tests.faults.under_gunicorn import served
from tests.http.sheets import SLIM, WORN_UNREAD, order
from tests.postgres import new_database, own_server
from tests.shops import UNHURRIED_SETTINGS

FEW, MANY, SHOPS = 1_000, 1_000_000, 2_000
# Of the chain's shops by size; the first has every eighteenth order.
ASKED_RANKS = (1, 20, 200, 2_000)
ROUNDS, WARM = 200, 20
MS = 1000
# A chain's machine has more to spare than the default of 128 MB.
POSTGRES = "-c shared_buffers=1GB -c max_wal_size=8GB"


@dataclass
class Side:
    """A database that is served, and keys of its shops."""

    port: int
    context: ServiceContext
    keys: dict[str, str] = field(default_factory=dict)

    def ask(self, shop: str, method: str, path: str, document: Any = None, **headers: str) -> tuple[float, Any]:
        """How many ms an answer took, and its document."""
        body = None if document is None else json.dumps(document)
        headers |= {"Authorization": f"Bearer {self._key(shop)}", "Content-Type": "application/json"}
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        start = time.perf_counter()
        connection.request(method, path, body, {name.replace("_", "-"): value for name, value in headers.items()})
        answer = connection.getresponse()
        data = answer.read()
        took = (time.perf_counter() - start) * MS
        connection.close()
        if answer.status not in (200, 201):
            raise SystemExit(f"{method} {path} answered {answer.status}: {data.decode()}")
        return took, json.loads(data)

    def _key(self, shop: str) -> str:
        if shop not in self.keys:
            self.keys[shop] = give_key(self.context, shop, "bench", frozenset(SCOPES))
        return self.keys[shop]


Asked: TypeAlias = Callable[[Side, dict[str, Any]], dict[str, float]]
_numbers = itertools.count()


def visit(side: Side, row: dict[str, Any]) -> dict[str, float]:
    """A customer who comes again, and another who collects: ms by operation. `row` is an order of before."""
    shop, his = row["shop_id"], row["customer_ref"]
    took = {}

    def ask(name: str, method: str, path: str, document: Any = None, **headers: str) -> Any:
        if method == "POST":
            headers["Idempotency_Key"] = f"bench-{next(_numbers)}"
        took[name], answer = side.ask(shop, method, path, document, **headers)
        return answer

    readings = ask("measurements recorded", "POST", "/v1/measurement-sets", {"customer_ref": his, "readings": SLIM})
    ask("his measurements found", "GET", f"/v1/customers/{his}/measurement-sets")
    ask("size advice", "POST", "/v1/size-advice", {"measurement_set": readings["id"]})
    ask("fit check", "POST", "/v1/fit-checks", {"measurement_set": readings["id"], "customer_ref": his, **WORN_UNREAD})
    placed = ask("order placed", "POST", "/v1/orders", order(customer_ref=his))
    move = {"to": "accepted", "by": "tailor-1"}
    ask("order moved", "POST", f"/v1/orders/{placed['id']}/moves", move, If_Match='"1"')
    ask("order read", "GET", f"/v1/orders/{row['order_id']}")
    ask("his orders found", "GET", f"/v1/orders?customer_ref={his}")
    ask("day at the benches", "GET", "/v1/workroom/worklist")
    ask("slip read", "GET", f"/v1/collection-slips/{row['order_id'].replace('-', '')}")
    return took


def look_round(side: Side, row: dict[str, Any]) -> dict[str, float]:
    """What is asked less often, and reads more at once."""
    shop, his = row["shop_id"], row["customer_ref"]
    asked = {
        "orders at risk": "/v1/workroom/orders-at-risk",
        "open orders counted": "/v1/orders/counts",
        "days ahead": "/v1/workroom/days",
        "orders that are over": "/v1/orders?state=collected&limit=100",
        "events of the newest orders": f"/v1/events?limit=100&after=first-{row['cursor']}",
        "who was shown what of him": f"/v1/disclosures?customer_ref={his}",
        "all that is kept of him": f"/v1/customers/{his}/export",
    }
    return {name: side.ask(shop, "GET", path)[0] for name, path in asked.items()}


def main(kind: str = "postgres", many: str = str(MANY)) -> None:
    count = int(many)
    chain = chain_of(count, min(SHOPS, count // 500), datetime.now(UTC).date())
    ranked = sorted(chain.sizes, key=lambda shop: -chain.sizes[shop])
    young = chain.newest((ranked[min(rank, len(ranked)) - 1] for rank in ASKED_RANKS), FEW)
    with tempfile.TemporaryDirectory() as name, _databases(kind, Path(name)) as (few_url, many_url):
        began = time.perf_counter()
        folders = [Path(name) / part for part in ("few", "many")]
        with _side(folders[0], few_url, young) as few, _side(folders[1], many_url, chain) as large:
            print(f"{count:,} orders of {len(chain.sizes):,} shops, filled in {time.perf_counter() - began:.0f} s")
            _sizes(many_url, count)
            for asked in (visit, look_round):
                _compare(asked, few, large, young, chain)
            began = time.perf_counter()
            forgotten = forget_expired(large.context)
            print(f"forgotten in {time.perf_counter() - began:.1f} s: {forgotten}")


@contextmanager
def _databases(kind: str, folder: Path) -> Iterator[tuple[str, str]]:
    if kind == "sqlite":
        yield f"sqlite:///{folder}/few.sqlite3", f"sqlite:///{folder}/many.sqlite3"
        return
    with own_server(POSTGRES) as server, new_database(server.url) as few, new_database(server.url) as many:
        yield few, many


@contextmanager
def _side(folder: Path, url: str, chain: Chain) -> Iterator[Side]:
    folder.mkdir()
    command.upgrade(alembic_config(url), "head")
    fill(url, chain)
    context = open_context(Settings(database_url=url))
    with served(folder, url, **UNHURRIED_SETTINGS) as server:
        yield Side(server.port, context)
    context.database.close()


def _sizes(url: str, count: int) -> None:
    """What an order takes on disk, with all that belongs to it: by table, and its indexes of that."""
    engine = create_engine(url)
    with engine.connect() as connection:
        if engine.dialect.name == "sqlite":
            pages, size = (
                connection.exec_driver_sql(f"PRAGMA {name}").scalar_one() for name in ("page_count", "page_size")
            )
            print(f"{pages * size / count:10.0f} bytes an order")
        else:
            asked = "SELECT relname, n_live_tup, pg_total_relation_size(relid), pg_indexes_size(relid)"
            rows = connection.exec_driver_sql(f"{asked} FROM pg_stat_user_tables ORDER BY 3 DESC").all()
            for table, live, whole, indexes in rows:
                if whole > count:
                    each = f"{live / count:6.2f} rows, {whole / count:8.0f} bytes an order"
                    print(f"{table:40} {each}, {indexes / count:6.0f} of them indexes")
            print(f"{sum(row[2] for row in rows) / count:10.0f} bytes an order")
    engine.dispose()


def _compare(asked: Asked, few: Side, large: Side, young: Chain, chain: Chain) -> None:
    chance = random.Random(2)
    by_shop: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for row in young.orders:
        by_shop[row["shop_id"]].append(row)
    shops = itertools.cycle(by_shop)
    found: list[dict[str, list[float]]] = [defaultdict(list) for _ in range(3)]
    for nth in range(WARM + ROUNDS):
        same = chance.choice(by_shop[next(shops)])
        turns = ((few, same), (large, same), (large, chance.choice(chain.orders)))
        for turn in range(3):
            side = (nth + turn) % 3
            for name, took in asked(*turns[side]).items():
                if nth >= WARM:
                    found[side][name].append(took)
    yardstick = f"the same of {len(young.orders):,} orders"
    for name in found[0]:
        for words, of in (("median", statistics.median), ("p95", lambda times: statistics.quantiles(times, n=20)[18])):
            at_few, at_same, at_any = (of(side[name]) for side in found)
            line(f"{name}, {words}", at_same, at_few, "ms", yardstick)
            line(f"{name}, any shop, {words}", at_any, at_few, "ms", yardstick)


if __name__ == "__main__":
    main(*sys.argv[1:])

"""Listing 20 of a million orders against listing 20 of a thousand, on SQLite: by no filter, by each, and by two.

The thousand and the million are of one stream, so that each filter finds its 20 in both; the first 20 of the thousand
are as many as it has. The database is filled by bulk insert, which is not what is measured.
"""

from __future__ import annotations

import sqlite3
import statistics
import time
import uuid
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

from alembic import command

from service.app import open_desk
from service.console import alembic_config
from service.counter.desk import Caller, Desk
from service.counter.keys import give_key, identify
from service.counter.orders import list_orders
from service.counter.shops import open_shop
from service.settings import Settings
from service.storage.orders import OrderFilter
from service.tailoring.money import PriceList
from tests.bench import line

FEW, MANY = 1_000, 1_000_000
LISTED = 20
ROUNDS, CALLS = 41, 10
MS = 1000
FIRST_DAY = date(2016, 1, 4)
# Nearly all orders of a shop are over; of the others each state has some.
STATES = ("ready", "in_workroom", "sewn", "cancelled", *["collected"] * 16)
# So many customers and days that a thousand orders hold 20 of each.
CUSTOMERS, DAYS = 50, 50


def lines(folder: Path) -> None:
    """Print a line for each way of listing."""
    shops = [_shop(folder, count) for count in (FEW, MANY)]
    for name, wanted in _ways().items():
        few, many = _side_by_side(shops, wanted)
        line(f"of {MANY:,}: {name}", many, few, "ms", f"{LISTED} of {FEW:,}")
    for desk, _, _ in shops:
        desk.database.close()


def _ways() -> dict[str, dict[str, object]]:
    """Filters by name; a number is counted back from the newest."""
    day = FIRST_DAY + timedelta(days=7)
    return {
        "newest": {},
        "from the middle": {"below": -FEW // 2},
        "by number": {"number": -5},
        "by customer": {"customer_ref": "C-7"},
        "by sale": {"sale_ref": "S-7"},
        "by day": {"promised_for": day},
        "by state, few": {"state": "ready"},
        "by state, most": {"state": "collected"},
        "customer and state": {"customer_ref": "C-7", "state": "collected"},
        "day and state": {"promised_for": day, "state": "collected"},
        "customer, day, state": {"customer_ref": "C-7", "promised_for": day, "state": "collected"},
    }


def _shop(folder: Path, count: int) -> tuple[Desk, Caller, int]:
    path = folder / f"{count}.sqlite3"
    settings = Settings(database_url=f"sqlite:///{path}")
    command.upgrade(alembic_config(settings.database_url), "head")
    desk = open_desk(settings)
    shop_id = open_shop(desk, "Bench", "UTC", PriceList())
    caller = identify(desk, give_key(desk, shop_id, "bench", frozenset({"order"})))
    raw = sqlite3.connect(path)
    # Only for the filling: what is lost with the machine is filled again.
    raw.execute("PRAGMA synchronous = OFF")
    columns = "id, shop_id, number, version, state, customer_ref, sale_ref, promised_for, placed_at, marked_by"
    marks = ", ".join("?" * 11)
    raw.executemany(f"INSERT INTO orders ({columns}, collection_token) VALUES ({marks})", _rows(shop_id, count))
    raw.commit()
    raw.close()
    return desk, caller, count


def _rows(shop_id: str, count: int) -> Iterator[tuple[object, ...]]:
    """The newest `count` orders of the stream."""
    for number in range(MANY - count + 1, MANY + 1):
        back = MANY - number
        day = (FIRST_DAY + timedelta(days=back % DAYS)).isoformat()
        state = STATES[(back // CUSTOMERS) % len(STATES)]
        who = (f"C-{back % CUSTOMERS}", f"S-{back % CUSTOMERS}")
        order_id = str(uuid.UUID(int=hash((number, count)) & (2**128 - 1)))
        yield order_id, shop_id, number, 1, state, *who, day, "2026-03-02 09:00:00.000000", "bench", f"{number:032}"


def _side_by_side(shops: list[tuple[Desk, Caller, int]], wanted: dict[str, object]) -> tuple[float, float]:
    """Median ms of one listing of each, taken in turns so that both meet the same neighbours."""
    said = {name: MANY + value if isinstance(value, int) else value for name, value in wanted.items()}
    asked = OrderFilter(**said)  # type: ignore[arg-type]
    found: list[list[float]] = [[], []]
    for _ in range(ROUNDS):
        for (desk, caller, _count), times in zip(shops, found, strict=True):
            start = time.perf_counter()
            for _ in range(CALLS):
                list_orders(desk, caller, asked, LISTED)
            times.append((time.perf_counter() - start) / CALLS * MS)
    few, many = (statistics.median(times) for times in found)
    return few, many

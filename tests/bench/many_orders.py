"""Listing 20 of a million orders against listing 20 of a thousand, on SQLite: by no filter, by each, and by several.

The thousand and the million are the newest of one stream, and each filter finds at least 20 in both. The newest are
open, all others are over; so is the day at the benches, and what is counted. The databases are filled by bulk insert,
which is not what is measured.
"""

from __future__ import annotations

import sqlite3
import statistics
import time
import uuid
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from functools import partial
from pathlib import Path

from alembic import command

from service.console import alembic_config
from service.settings import Settings
from service.storage.orders.order_lists import OrderFilter
from service.tailoring.work.prices import PriceList
from service.use_cases.calendar.worklists import count_open_orders, day_list
from service.use_cases.context import Caller, ServiceContext, open_context
from service.use_cases.orders.orders import list_orders
from service.use_cases.shop.keys import give_key, identify
from service.use_cases.shop.shops import open_shop
from tests.bench import line

FEW, MANY = 1_000, 1_000_000
LISTED = 20
ROUNDS, CALLS = 41, 10
MS = 1000
FIRST_DAY = date(2016, 1, 4)
# A shop has so many orders open; whatever it has had besides is over.
OPEN = 300
OPEN_STATES = ("ready", "accepted", "in_workroom", "sewn", "query")
OVER_STATES = ("cancelled", *["collected"] * 9)
# So many customers and days that a thousand orders hold 20 of each.
CUSTOMERS, DAYS = 50, 50


def lines(folder: Path) -> None:
    """Print a line for each way of listing."""
    shops = [_shop(folder, count) for count in (FEW, MANY)]
    for name, wanted in _ways().items():
        few, many = _side_by_side(shops, wanted)
        line(f"of {MANY:,}: {name}", many, few, "ms", f"{LISTED} of {FEW:,}")
    for name, work in (("the day at the benches", day_list_of), ("open orders counted", count_of)):
        few, many = _in_turns([partial(work, context, caller) for context, caller in shops])
        line(f"of {MANY:,}: {name}", many, few, "ms", f"the same of {FEW:,}")
    for context, _ in shops:
        context.database.close()


def day_list_of(context: ServiceContext, caller: Caller) -> None:
    """What a bench asks for in the morning."""
    _, (bench,) = day_list(context, caller, FIRST_DAY + timedelta(days=DAYS), "trousers", 100)
    assert bench.jobs


def count_of(context: ServiceContext, caller: Caller) -> None:
    """How many orders stand where."""
    assert sum(count_open_orders(context, caller).states.values()) == OPEN


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


def _shop(folder: Path, count: int) -> tuple[ServiceContext, Caller]:
    path = folder / f"{count}.sqlite3"
    settings = Settings(database_url=f"sqlite:///{path}")
    command.upgrade(alembic_config(settings.database_url), "head")
    context = open_context(settings)
    shop_id = open_shop(context, "Bench", "UTC", PriceList())
    caller = identify(context, give_key(context, shop_id, "bench", frozenset({"order"})))
    raw = sqlite3.connect(path)
    # Only for the filling: what is lost with the machine is filled again.
    raw.execute("PRAGMA synchronous = OFF")
    columns = "id, shop_id, number, version, state, customer_ref, sale_ref, promised_for, placed_at, marked_by"
    marks = ", ".join("?" * 11)
    raw.executemany(f"INSERT INTO orders ({columns}, collection_token) VALUES ({marks})", _rows(shop_id, count))
    newest = raw.execute("SELECT id, promised_for FROM orders ORDER BY number DESC LIMIT ?", (OPEN,)).fetchall()
    raw.executemany("INSERT INTO bookings (order_id, day, bench, minutes) VALUES (?, ?, 'trousers', 20)", newest)
    raw.commit()
    raw.close()
    return context, caller


def _rows(shop_id: str, count: int) -> Iterator[tuple[object, ...]]:
    """The newest `count` orders of the stream."""
    for number in range(MANY - count + 1, MANY + 1):
        back = MANY - number
        day = (FIRST_DAY + timedelta(days=back % DAYS)).isoformat()
        states = OPEN_STATES if back < OPEN else OVER_STATES
        state = states[(back // CUSTOMERS) % len(states)]
        who = (f"C-{back % CUSTOMERS}", f"S-{back % CUSTOMERS}")
        order_id = str(uuid.UUID(int=hash((number, count)) & (2**128 - 1)))
        yield order_id, shop_id, number, 1, state, *who, day, "2026-03-02 09:00:00.000000", "bench", f"{number:032}"


def _side_by_side(shops: list[tuple[ServiceContext, Caller]], wanted: dict[str, object]) -> tuple[float, float]:
    """Median ms of one listing of each."""
    said = {name: MANY + value if isinstance(value, int) else value for name, value in wanted.items()}
    asked = OrderFilter(**said)  # type: ignore[arg-type]
    return _in_turns([partial(list_orders, context, caller, asked, LISTED) for context, caller in shops])


def _in_turns(works: list[Callable[[], object]]) -> tuple[float, float]:
    """Median ms of each of two, taken in turns so that both meet the same neighbours."""
    found: list[list[float]] = [[], []]
    for _ in range(ROUNDS):
        for work, times in zip(works, found, strict=True):
            start = time.perf_counter()
            for _ in range(CALLS):
                work()
            times.append((time.perf_counter() - start) / CALLS * MS)
    few, many = (statistics.median(times) for times in found)
    return few, many

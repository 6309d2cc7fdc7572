"""Placing an order, against one raw commit of a row of the same size, on SQLite with full sync; listing of many."""

from __future__ import annotations

import itertools
import sqlite3
import tempfile
import time
from pathlib import Path
from typing import Any

from alembic import command
from flask import Flask

from service.console import alembic_config
from service.http.orders.answers.order_answers import PLACED
from service.settings import Settings
from service.storage.orders.order_lists import OrderFilter
from service.tailoring.garments.amounts import Amount
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.orders.lines.order_lines import LineAsked
from service.tailoring.orders.sheets.order_sheets import SheetAsked
from service.tailoring.quantities import length
from service.tailoring.work.prices import PriceList
from service.tailoring.workroom.placing import OrderAsked
from service.tailoring.workroom.weeks import Week
from service.use_cases.context import Caller, open_context
from service.use_cases.idempotency import IdempotentRequest
from service.use_cases.orders.orders import list_orders, place_order
from service.use_cases.shop.keys import give_key, identify
from service.use_cases.shop.shops import open_shop
from tests.bench import line, many_orders

ORDERS = 300
MS = 1000


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        ours = _ours(Path(folder))
        raw = _raw(Path(folder))
        line("placing an order", ours[0], raw, "ms", "one raw commit of 1.4 kB")
        line("listing 20 orders", ours[1], raw, "ms", "one raw commit of 1.4 kB")
        many_orders.lines(Path(folder))


def _ours(folder: Path) -> tuple[float, float]:
    settings = Settings(database_url=f"sqlite:///{folder}/ours.sqlite3")
    command.upgrade(alembic_config(settings.database_url), "head")
    context = open_context(settings)
    wide = Week(minutes=({"trousers": 10**6, "jackets": 10**6, "finishing": 10**6},) * 7)
    shop = open_shop(context, "Bench", "UTC", PriceList(), wide)
    caller: Caller = identify(context, give_key(context, shop, "bench", frozenset({"order"})))
    waist = LineAsked(1, "trouser_waist_in", Amount(length(1, "in"), "girth", "decrease"))
    hem = LineAsked(1, "trouser_hem", Amount(length(4, "in"), "length", "decrease", "both"), marked_with="pins")
    asked = OrderAsked(SheetAsked((GarmentPiece(1, "trousers"),), (waist, hem)), marked_by="bench")
    numbers = itertools.count()

    def place() -> None:
        idempotent = IdempotentRequest("bench", f"key-{next(numbers)}", "digest")
        place_order(context, caller, asked, idempotent, _answer)

    placing = _wall(place, ORDERS)
    listing = _wall(lambda: list_orders(context, caller, OrderFilter(), 20), ORDERS)
    context.database.close()
    return placing, listing


def _answer(placed: object) -> Any:
    """The answer, made outside a request: lengths in their own units."""
    with Flask("bench").app_context():
        return PLACED.dump(placed)


def _raw(folder: Path) -> float:
    raw = sqlite3.connect(folder / "raw.sqlite3", isolation_level=None)
    raw.execute("PRAGMA journal_mode = WAL")
    raw.execute("PRAGMA synchronous = FULL")
    raw.execute("CREATE TABLE row (id INTEGER PRIMARY KEY, body TEXT)")

    def commit() -> None:
        raw.execute("BEGIN IMMEDIATE")
        raw.execute("INSERT INTO row (body) VALUES (?)", ("x" * 1400,))
        raw.execute("COMMIT")

    found = _wall(commit, ORDERS)
    raw.close()
    return found


def _wall(work: object, times: int) -> float:
    """Wall time of one call in ms: commits wait for the disk."""
    start = time.perf_counter()
    for _ in range(times):
        work()  # type: ignore[operator]
    return (time.perf_counter() - start) / times * MS


if __name__ == "__main__":
    main()

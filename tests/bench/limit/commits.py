"""Placing an order against raw commits of the same rows, in the same database, through the bare driver."""

from __future__ import annotations

import itertools
import json
import sqlite3
from pathlib import Path
from typing import Any, TypeAlias

import psycopg
from sqlalchemy import create_engine, make_url

from service.storage.caller_tables import repeats
from service.storage.tables import bookings, events, order_events, order_garments, order_lines, orders
from service.tailoring.work.prices import PriceList
from tests.bench.limit.served import Ask, at_once
from tests.bench.limit.shop import OpenShop, opened
from tests.bench.limit.turns import MS, in_turns, row
from tests.faults.under_gunicorn import served
from tests.http.sheets import order
from tests.postgres import new_database, own_server
from tests.shops import UNHURRIED_SETTINGS

# Each with the column that names the order.
OF_AN_ORDER = (
    (orders, "id"), (order_garments, "order_id"), (order_lines, "order_id"), (order_events, "order_id"),
    (bookings, "order_id"), (events, "order_id"), (repeats, "made"),
)  # fmt: skip
ROUNDS, CALLERS, EACH, SLICES = 150, 8, 12, 4
Rows: TypeAlias = list[tuple[str, list[Any]]]
_numbers = itertools.count()


def rows(folder: Path) -> None:
    """On SQLite one after the other, on PostgreSQL by eight callers of eight shops."""
    with opened(folder) as shop:
        raw = sqlite3.connect(shop.url.removeprefix("sqlite:///"), isolation_level=None)
        raw.execute("PRAGMA synchronous = FULL")
        rows = _rows_of(shop, "?")
        for table, _ in OF_AN_ORDER:
            raw.execute(f"CREATE TABLE raw_{table.name} AS SELECT * FROM {table.name} WHERE 0")

        def commit() -> None:
            raw.execute("BEGIN IMMEDIATE")
            for statement, values in rows:
                raw.executemany(statement, values)
            raw.execute("COMMIT")

        took = in_turns(lambda: shop.ask("POST", "/v1/orders", order()), commit, ROUNDS)
        row("an order placed, SQLite", *took, "<= 4", "a raw commit of the same rows, same file")
        raw.close()


def rows_on_postgres(folder: Path) -> None:
    """Orders a second of eight callers, each of a shop of its own."""
    with own_server("-c max_connections=60") as server, new_database(server.url) as url, opened(folder, url) as shop:
        keys = [shop.another(PriceList())[1] for _ in range(CALLERS)]
        rows = _rows_of(shop, "%s")
        address = make_url(url).set(drivername="postgresql").render_as_string(hide_password=False)
        with psycopg.connect(address, autocommit=True) as raw:
            for table, _ in OF_AN_ORDER:
                raw.execute(f"CREATE TABLE raw_{table.name} (LIKE {table.name})".encode())

        def commit() -> None:
            with psycopg.connect(address) as mine:
                for _ in range(EACH):
                    for statement, values in rows:
                        mine.cursor().executemany(statement.encode(), values)
                    mine.commit()

        with served(folder, url, **UNHURRIED_SETTINGS | {"FITTING_WORKERS": str(CALLERS)}) as ours:

            def place() -> None:
                key = keys[next(_numbers) % CALLERS]
                for _ in range(EACH):
                    said = {"Idempotency-Key": f"pg-{next(_numbers)}"}
                    Ask("POST", "/v1/orders", order(), said).of(ours.port, key)

            took = in_turns(lambda: at_once(place, CALLERS), lambda: at_once(commit, CALLERS), SLICES)
        mine, theirs = (CALLERS * EACH * MS / each for each in took)
        row(
            "orders a second, PostgreSQL, 8 callers", mine, theirs, ">= 0.35", "psycopg committing the same rows", "a s"
        )


def _rows_of(shop: OpenShop, mark: str) -> Rows:
    """By table a raw insert of the rows that the shop's order left, and their values as the driver takes them."""
    found = []
    engine = create_engine(shop.url)
    with engine.connect() as connection:
        for table, of in OF_AN_ORDER:
            columns = ", ".join(f'"{column.name}"' for column in table.columns)
            asked = f"SELECT {columns} FROM {table.name} WHERE {of} = '{shop.order_id}'"
            kept = [[_plain(value) for value in each] for each in connection.exec_driver_sql(asked)]
            marks = ", ".join(mark for _ in table.columns)
            found.append((f"INSERT INTO raw_{table.name} ({columns}) VALUES ({marks})", kept))
    engine.dispose()
    return found


def _plain(value: Any) -> Any:
    return json.dumps(value) if isinstance(value, dict | list) else value

"""Customers' visits, lived through the service itself: what of each is then in the tables.

A shop that is filled with a million orders is filled with copies of these. Each visit is lived in a shop of its own, on
a weekday and up to an age, so that the copies of a week stand in every state.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any, NamedTuple, TypeAlias

import orjson
from alembic import command
from sqlalchemy import Connection, Table, create_engine, select

from service.console import alembic_config
from service.storage.caller_tables import disclosures, repeats
from service.storage.tables import (
    bookings,
    events,
    fit_checks,
    measurement_sets,
    order_events,
    order_garments,
    order_lines,
    orders,
)
from tests.http.sheets import (
    JACKET,
    JACKET_WAIST_IN,
    PINNED,
    SLIM,
    TROUSERS,
    WAIST_IN,
    WORN_UNREAD,
    inches,
    moved,
    sheet,
)
from tests.shops import House, TestShop, new_house, new_shop

Row: TypeAlias = dict[str, Any]

# What a visit leaves behind, each table after those that its rows point to.
LEFT: tuple[Table, ...] = (
    measurement_sets,
    fit_checks,
    orders,
    order_garments,
    order_lines,
    order_events,
    bookings,
    events,
    repeats,
    disclosures,
)
MONDAY = date(2024, 1, 1)
WEEKDAYS = 6
# After so many open days every order is over.
OVER = 3
# In a visit's rows these stand where its own ids were.
ORDER, SET, CHECK = "{order}", "{set}", "{check}"
NUMBER = 1001

ONWARD = (
    (0, "accepted", {}),
    (1, "in_workroom", {}),
    (1, "sewn", {}),
    (2, "pressed", {"pins_out": 0}),
    (2, "ready", {"pins_out": 0}),
    (3, "collected", {"tried_on": True}),
)
ASKED = (
    (0, "accepted", {}),
    (1, "in_workroom", {}),
    (1, "query", {"question": "No inlay at the seat: go on?"}),
    (2, "in_workroom", {"answer": "Leave the seat as it is."}),
    (2, "sewn", {}),
    *ONWARD[3:],
)
GIVEN_UP = ((0, "accepted", {}), (1, "cancelled", {"reason": "he takes the other suit"}))
TWO_HEMS = [{"piece": piece, "pins": {"left": inches(30), "right": inches(30)}} for piece in (1, 2)]


@dataclass(frozen=True)
class Shape:
    """A kind of visit: its share of all, the order sheet (of a fit check, where None), and how the order goes on."""

    name: str
    share: int
    sheet: Row | None
    moves: tuple[tuple[int, str, Row], ...] = ONWARD


# Shares by common practice, no source: trousers and their hems are most of a shop's work.
SHAPES = (
    Shape("hem", 34, sheet()),
    Shape("hem and waist", 22, sheet(lines=[WAIST_IN])),
    Shape("jacket and hem", 12, sheet(garments=[TROUSERS, JACKET], lines=[JACKET_WAIST_IN])),
    Shape("jacket", 9, {"garments": [JACKET], "lines": [JACKET_WAIST_IN]}),
    Shape("two pairs", 8, sheet(garments=[TROUSERS, TROUSERS], hems=TWO_HEMS)),
    Shape("suit, checked", 10, None),
    Shape("asked", 3, sheet(lines=[WAIST_IN]), ASKED),
    Shape("given up", 2, sheet(), GIVEN_UP),
)


class Kind(NamedTuple):
    """Which of SHAPES a visit is, on which weekday it was made, and how many open days ago."""

    shape: int
    weekday: int
    age: int


@dataclass(frozen=True)
class Visit:
    """What a visit left behind, by the table's name; `day` is that on which the order was placed."""

    day: date
    rows: dict[str, list[Row]]


def lived_visits(kinds: Iterable[Kind]) -> dict[Kind, Visit]:
    """A visit of each of those kinds."""
    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite:///{folder}/visits.sqlite3"
        command.upgrade(alembic_config(url), "head")
        house, engine = new_house(url), create_engine(url, json_deserializer=orjson.loads)
        with engine.connect() as connection:
            visits = {kind: _visit(house, connection, kind) for kind in kinds}
        engine.dispose()
        house.context.database.close()
    return visits


def open_day(day: date, after: int) -> date:
    """So many open days after a day; before it, where less than none."""
    for _ in range(abs(after)):
        day += timedelta(days=1 if after > 0 else -1)
        if day.weekday() == WEEKDAYS:
            day += timedelta(days=1 if after > 0 else -1)
    return day


def _visit(house: House, connection: Connection, kind: Kind) -> Visit:
    shape, day = SHAPES[kind.shape], MONDAY + timedelta(days=kind.weekday)
    _at(house, day, hour=9)
    shop = new_shop(house, time_zone="UTC")
    ids = _ordered(shop, shape)
    for version, (after, to, said) in enumerate(shape.moves, start=1):
        if after <= kind.age:
            _at(house, open_day(day, after), hour=10 + version)
            answer = moved(shop.staff, next(iter(ids)), to, version, **said)
            assert 200 == answer.status, answer.body
    return Visit(day, _rows(connection, shop, ids))


def _at(house: House, day: date, *, hour: int) -> None:
    house.clock.time = datetime(day.year, day.month, day.day, hour, tzinfo=UTC)


def _ordered(shop: TestShop, shape: Shape) -> dict[str, str]:
    """Somebody is measured, maybe judged in what he wears, and his order is placed: what stands for each id."""
    his = {"customer_ref": "C-1"}
    readings = _made(shop, "/v1/measurement-sets", his | {"readings": SLIM})
    ids = {readings: SET}
    asked = shape.sheet
    if asked is None:
        check = _made(shop, "/v1/fit-checks", his | WORN_UNREAD | {"measurement_set": readings})
        ids[check] = CHECK
        asked = {"from_fit_check": check, "hems": [PINNED]}
    placed = _made(shop, "/v1/orders", his | asked | {"sale_ref": "S-1", "by": "fitter-1"})
    return {placed: ORDER, **ids}


def _made(shop: TestShop, path: str, document: Row) -> str:
    answer = shop.staff.post(path, document, key="errand" + path.replace("/", "-"))
    assert 201 == answer.status, answer.body
    return str(answer.body["id"])


def _rows(connection: Connection, shop: TestShop, ids: dict[str, str]) -> dict[str, list[Row]]:
    order = next(iter(ids))
    found = {}
    for table in LEFT:
        its = table.c.shop_id == shop.id if "shop_id" in table.c else table.c.order_id == order
        rows = connection.execute(select(table).where(its)).mappings()
        found[table.name] = [{name: _without(value, ids) for name, value in row.items()} for row in rows]
    return found


def _without(value: Any, ids: dict[str, str]) -> Any:
    if isinstance(value, str):
        return ids.get(value, value)
    if not isinstance(value, dict | list):
        return value
    text = orjson.dumps(value).decode()
    for each, stands in ids.items():
        text = text.replace(each, stands)
    return orjson.loads(text)

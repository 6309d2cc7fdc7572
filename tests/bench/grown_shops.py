"""A chain's database after years: a million orders of two thousand shops, with all that belongs to them.

Every order is a copy of a visit that was lived through the service, moved to its day by whole weeks, with ids, a number
and a customer of its own. The databases copy by themselves: a table of the orders to be (`plan`) is joined with the
rows of the visits. Of the answers that are kept for retries, ids and number are the copy's and the days the visit's.
"""

from __future__ import annotations

from typing import Any

import orjson
from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    ColumnElement,
    Connection,
    Date,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    and_,
    case,
    cast,
    create_engine,
    func,
    insert,
    literal,
    select,
    type_coerce,
    update,
)

from service.storage.caller_tables import disclosures, keys, repeats
from service.storage.columns import UtcDateTime
from service.storage.shops import Shop, add_shop
from service.storage.tables import bookings, orders, shops, workroom_days
from service.tailoring.work.prices import PriceList
from service.tailoring.workroom.weeks import Week
from tests.bench.chains import OPEN_DAYS, Chain
from tests.bench.visits import CHECK, LEFT, NUMBER, ORDER, SET, Kind, Row, Visit

BATCH = 10_000

plan = Table(
    "plan",
    MetaData(),
    *(Column(name, Integer) for name in Kind._fields),
    *(Column(name, String(36)) for name in ("shop_id", "key_id", "order_id", "set_id", "check_id")),
    *(Column(name, BigInteger) for name in ("number", "cursor")),
    *(Column(name, Integer) for name in ("days", "seconds")),
    Column("customer_ref", String(64)),
    Column("sale_ref", String(64)),
    Column("retried", Boolean),
    prefixes=["TEMPORARY"],
)


def fill(url: str, chain: Chain) -> None:
    """Fill a migrated database with a chain, and let it look at what it then has.

    A shop's one key has the shop's id, and no secret that anybody knows.
    """
    engine = create_engine(url, json_serializer=lambda value: orjson.dumps(value).decode())
    with engine.begin() as connection:
        _hurry(connection)
        _open(connection, chain)
        plan.create(connection)
        for start in range(0, len(chain.orders), BATCH):
            connection.execute(insert(plan), chain.orders[start : start + BATCH])
        for table in LEFT:
            _copy(connection, table, chain.visits)
        _add_up(connection)
    with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
        settled = ("VACUUM ANALYZE", "CHECKPOINT") if engine.dialect.name == "postgresql" else ("ANALYZE",)
        for statement in settled:
            connection.exec_driver_sql(statement)
    engine.dispose()


def _hurry(connection: Connection) -> None:
    """What is lost with the machine is filled again, and every key leads somewhere as it is copied."""
    hurried = {
        "postgresql": (
            "SET session_replication_role = replica",
            "SET synchronous_commit = off",
            "SET work_mem = '256MB'",
            "SET timezone = 'UTC'",
        ),
        "sqlite": ("PRAGMA synchronous = OFF", "PRAGMA cache_size = -2000000"),
    }
    for statement in hurried[connection.dialect.name]:
        connection.exec_driver_sql(statement)


def _open(connection: Connection, chain: Chain) -> None:
    opened = min(row["at"] for visit in chain.visits.values() for row in visit.rows["events"])
    for nth, (shop_id, size) in enumerate(chain.sizes.items()):
        # As many minutes as its orders need, and some to spare.
        benches = 1 + size // (3 * OPEN_DAYS)
        week = tuple({bench: minutes * benches for bench, minutes in day.items()} for day in Week().minutes)
        add_shop(connection, Shop(shop_id, f"Shop {nth}", "UTC", PriceList(), Week(minutes=week)), opened)
        nobody = {"name": "staff", "secret_hash": "", "scopes": [], "created_at": opened}
        connection.execute(insert(keys).values(id=shop_id, shop_id=shop_id, **nobody))
    last: dict[str, Row] = {row["shop_id"]: row for row in chain.orders}
    for shop_id, row in last.items():
        events = len(chain.visits[Kind(*(row[name] for name in Kind._fields))].rows["events"])
        counted = {"last_order_number": row["number"], "last_event": row["cursor"] + events}
        connection.execute(update(shops).where(shops.c.id == shop_id).values(counted))


def _copy(connection: Connection, table: Table, visits: dict[Kind, Visit]) -> None:
    """Copy what the visits left in a table, for each order of the plan."""
    kind = [Column(name, Integer) for name in Kind._fields]
    lived = Table(
        f"lived_{table.name}",
        MetaData(),
        *kind,
        *(Column(f"its_{column.name}", column.type) for column in table.c),
        prefixes=["TEMPORARY"],
    )
    lived.create(connection)
    rows = [
        of._asdict() | {f"its_{name}": value for name, value in row.items()}
        for of, visit in visits.items()
        for row in visit.rows[table.name]
    ]
    if not rows:
        return
    connection.execute(insert(lived), rows)
    same = and_(*(plan.c[name] == lived.c[name] for name in Kind._fields))
    # The database gives this one a number itself.
    columns = [column for column in table.c if column is not disclosures.c.number]
    copies = select(*(_its(connection, column, lived.c[f"its_{column.name}"]) for column in columns))
    copies = copies.select_from(plan.join(lived, same)).order_by(plan.c.days, plan.c.weekday, plan.c.seconds)
    if table is repeats:
        copies = copies.where(plan.c.retried)
    connection.execute(insert(table).from_select([column.name for column in columns], copies))


# What a copy has of its own, by the column's name; then what speaks of it by its ids.
_OWN: dict[str, ColumnElement[Any]] = {
    **{name: plan.c[name] for name in ("shop_id", "key_id", "order_id", "number", "customer_ref", "sale_ref")},
    "collection_token": func.replace(plan.c.order_id, "-", ""),
    "key": plan.c.order_id,
}
_SPEAKS_OF_IT = ("id", "made", "thing", "answer")


def _its(connection: Connection, column: Column[Any], lived: Column[Any]) -> ColumnElement[Any]:
    """A column of a copy."""
    postgres = connection.dialect.name == "postgresql"
    if column.name == "cursor":
        return plan.c.cursor + lived
    if column.name in _SPEAKS_OF_IT:
        renamed = _renamed(cast(lived, Text) if postgres else type_coerce(lived, Text))
        return cast(renamed, column.type) if postgres else renamed
    if isinstance(column.type, Date | UtcDateTime):
        return (_later_in_postgres if postgres else _later_in_sqlite)(lived, is_day=isinstance(column.type, Date))
    return _OWN.get(column.name, lived)


def _later_in_postgres(lived: Column[Any], *, is_day: bool) -> ColumnElement[Any]:
    return lived + (plan.c.days if is_day else func.make_interval(0, 0, 0, plan.c.days, 0, 0, plan.c.seconds))


def _later_in_sqlite(lived: Column[Any], *, is_day: bool) -> ColumnElement[Any]:
    days, seconds = func.printf("%d days", plan.c.days), func.printf("%d seconds", plan.c.seconds)
    # As the driver writes them: it compares them as text.
    return func.date(lived, days) if is_day else func.datetime(lived, days, seconds) + ".000000"


def _renamed(text: ColumnElement[str]) -> ColumnElement[str]:
    for stands, own in ((ORDER, plan.c.order_id), (SET, plan.c.set_id), (CHECK, plan.c.check_id)):
        text = func.replace(text, stands, own)
    number = literal('"number":"') + cast(plan.c.number, String) + '"'
    return func.replace(text, f'"number":"{NUMBER}"', number)


def _add_up(connection: Connection) -> None:
    """The sums that are kept beside the bookings."""
    its = bookings.c
    asked = (
        select(
            orders.c.shop_id,
            its.day,
            its.bench,
            func.sum(its.minutes),
            func.sum(its.hard_minutes),
            func.sum(case((its.reserve, its.minutes), else_=0)),
            func.sum(case((its.reserve, its.hard_minutes), else_=0)),
        )
        .join_from(bookings, orders)
        .group_by(orders.c.shop_id, its.day, its.bench)
    )
    sums = ["booked_minutes", "hard_minutes", "reserve_minutes", "reserve_hard_minutes"]
    connection.execute(insert(workroom_days).from_select(["shop_id", "day", "bench", *sums], asked))

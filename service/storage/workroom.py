"""The workroom's days: minutes that the shop set and minutes that orders have booked."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from functools import cache
from typing import Any, TypeAlias, TypeVar

from sqlalchemy import Connection, Select, bindparam, delete, insert, select, update
from sqlalchemy.dialects import postgresql, sqlite
from typing_extensions import override

from service.storage.orders.order_rows import piece_state
from service.storage.tables import bookings, order_garments, orders, workroom_days
from service.tailoring.garments.alterations import BENCHES, Bench
from service.tailoring.workroom.bookings import BookedMinutes, Claim
from service.tailoring.workroom.calendar import BookedAtBench, KeptDay
from service.tailoring.workroom.worklists import is_to_do

_OfDay = TypeVar("_OfDay")
HeldDays: TypeAlias = dict[date, dict[Bench, BookedAtBench]]
KeptDays: TypeAlias = dict[date, KeptDay]

# What a row has for a piece where none is known: releases before 0020 booked an order as a whole.
OF_NONE_KNOWN = 0
# So many days are read at once.
SPAN_DAYS = 28
_SUMS = ("booked_minutes", "hard_minutes", "reserve_minutes", "reserve_hard_minutes")
_DAYS = select(workroom_days).where(
    workroom_days.c.shop_id == bindparam("of_shop"),
    workroom_days.c.day.between(bindparam("first"), bindparam("last")),
)
_BOOK = insert(bookings)
# Both databases know the same upsert, each by its own insert.
_INSERTS: dict[str, Any] = {"postgresql": postgresql.insert, "sqlite": sqlite.insert}


def days_from(tx: Connection, shop_id: str, first: date, last: date = date.max) -> tuple[HeldDays, KeptDays]:
    """What is booked and what the shop set, by day, from `first` to `last`."""
    held: HeldDays = defaultdict(dict)
    kept: dict[date, tuple[dict[Bench, int], dict[Bench, int], str]] = {}
    for row in tx.execute(_DAYS, {"of_shop": shop_id, "first": first, "last": last}):
        if row.booked_minutes:
            held[row.day][row.bench] = BookedAtBench(
                row.booked_minutes, row.hard_minutes, row.reserve_minutes, row.reserve_hard_minutes
            )
        if row.kept_minutes is not None:
            minutes, skilled, _ = kept.setdefault(row.day, ({}, {}, row.reason or ""))
            minutes[row.bench] = row.kept_minutes
            if row.kept_skilled_minutes is not None:
                skilled[row.bench] = row.kept_skilled_minutes
    return dict(held), {day: KeptDay(*said) for day, said in kept.items()}


def days_ahead(
    tx: Connection, shop_id: str, first: date
) -> tuple[Mapping[date, Mapping[Bench, BookedAtBench]], Mapping[date, KeptDay]]:
    """The same from `first` on, read a few weeks at a time as days are asked for, while the transaction lasts.

    Most promises are for one of the next days: five years that are booked cost nobody anything.
    """
    spans: dict[date, tuple[HeldDays, KeptDays]] = {}

    def around(day: date) -> tuple[HeldDays, KeptDays]:
        start = first + timedelta(days=(day - first).days // SPAN_DAYS * SPAN_DAYS)
        if start not in spans:
            spans[start] = days_from(tx, shop_id, start, start + timedelta(days=SPAN_DAYS - 1))
        return spans[start]

    return _AsAsked(lambda day: around(day)[0]), _AsAsked(lambda day: around(day)[1])


class _AsAsked(Mapping[date, _OfDay]):
    """What there is of days, found as they are asked for; nobody goes through all of them."""

    def __init__(self, around: Callable[[date], Mapping[date, _OfDay]]) -> None:
        self._around = around

    @override
    def __getitem__(self, day: date) -> _OfDay:
        return self._around(day)[day]

    @override
    def __iter__(self) -> Iterator[date]:
        raise NotImplementedError

    @override
    def __len__(self) -> int:
        raise NotImplementedError


def keep_day(tx: Connection, shop_id: str, day: date, kept: KeptDay) -> None:
    """Set a date's minutes at the benches that are named; the others follow the week again.

    The shop's row must be locked.
    """
    nothing = dict.fromkeys(("kept_minutes", "kept_skilled_minutes", "reason"))
    mine = (workroom_days.c.shop_id == shop_id) & (workroom_days.c.day == day)
    tx.execute(update(workroom_days).where(mine).values(**nothing))
    for bench in BENCHES:
        if bench in kept.minutes:
            said = {
                "kept_minutes": kept.minutes[bench],
                "kept_skilled_minutes": kept.skilled.get(bench),
                "reason": kept.reason,
            }
            fresh = _INSERTS[tx.dialect.name](workroom_days).values(
                shop_id=shop_id, day=day, bench=bench, booked_minutes=0, **said
            )
            tx.execute(fresh.on_conflict_do_update(index_elements=["shop_id", "day", "bench"], set_=said))


def take_minutes(tx: Connection, shop_id: str, order_id: str, taken: Sequence[BookedMinutes]) -> None:
    """Book minutes for an order. The shop's row must be locked (`shops.next_order_numbers`)."""
    rows = [
        {
            "order_id": order_id,
            "day": each.date,
            "bench": each.bench,
            "minutes": each.minutes,
            "hard_minutes": each.hard,
            "reserve": each.reserve,
            "piece": each.piece or OF_NONE_KNOWN,
        }
        for each in taken
    ]
    if rows:
        tx.execute(_BOOK, rows)
        _add_booked(tx, shop_id, taken, 1)


def free_minutes(
    tx: Connection,
    shop_id: str,
    order_id: str,
    first: date | None = None,
    benches: tuple[Bench, ...] = BENCHES,
    pieces: Collection[int | None] | None = None,
) -> tuple[BookedMinutes, ...]:
    """Give back the minutes of an order at `benches` from the day `first` on, and say which they were.

    Of certain `pieces`; where none are named, of all. The shop's row must be locked (`shops.lock_shop`).
    """
    mine = (bookings.c.order_id == order_id) & bookings.c.bench.in_(benches)
    if first is not None:
        mine &= bookings.c.day >= first
    if pieces is not None:
        mine &= bookings.c.piece.in_(sorted(piece or OF_NONE_KNOWN for piece in pieces))
    freed = _taken(tx, mine)
    if freed:
        _add_booked(tx, shop_id, freed, -1)
    tx.execute(delete(bookings).where(mine))
    return freed


def bookings_of(tx: Connection, order_id: str) -> tuple[BookedMinutes, ...]:
    """The minutes that an order has booked, by day, bench and piece."""
    return _taken(tx, bookings.c.order_id == order_id)


def claims_on(tx: Connection, shop_id: str, days: Collection[date]) -> dict[tuple[date, Bench], dict[str, Claim]]:
    """What every order has booked on `days`, by day and bench and the order's id."""
    return _claims(tx, shop_id, bookings.c.day.in_(days)) if days else {}


def _claims(tx: Connection, shop_id: str, wanted: Any) -> dict[tuple[date, Bench], dict[str, Claim]]:  # noqa: ANN401
    found: dict[tuple[date, Bench], dict[str, Claim]] = defaultdict(dict)
    for row in tx.execute(_with_states(shop_id).where(wanted)):
        done = not is_to_do(piece_state(row, row.state_of_order), row.bench)
        claim = Claim(row.number, row.minutes, row.hard_minutes, row.reserve, done)
        mine = found[row.day, row.bench]
        mine[row.order_id] = mine[row.order_id].and_more(claim) if row.order_id in mine else claim
    return dict(found)


def _with_states(shop_id: str) -> Select[Any]:
    """Bookings of a shop, each with its order's number and state, and where its piece is."""
    piece = (order_garments.c.order_id == bookings.c.order_id) & (order_garments.c.piece == bookings.c.piece)
    of_order = (orders.c.number, orders.c.state.label("state_of_order"))
    asked = select(bookings, *of_order, order_garments.c.state, order_garments.c.order_state)
    both = bookings.join(orders).outerjoin(order_garments, piece)
    return asked.select_from(both).where(orders.c.shop_id == shop_id)


def booked_by_order(tx: Connection, shop_id: str, first: date) -> HeldDays:
    """What the orders themselves have booked, for checking the sums kept beside the days."""
    found: HeldDays = defaultdict(dict)
    for row in tx.execute(_with_states(shop_id).where(bookings.c.day >= first)):
        so_far = found[row.day].get(row.bench, BookedAtBench())
        found[row.day][row.bench] = so_far.plus(row.minutes, hard=row.hard_minutes, reserve=row.reserve)
    return dict(found)


def _taken(tx: Connection, wanted: Any) -> tuple[BookedMinutes, ...]:  # noqa: ANN401  a clause
    its = bookings.c
    return tuple(
        BookedMinutes(row.day, row.bench, row.minutes, row.hard_minutes, row.reserve, row.piece or None)
        for row in tx.execute(select(bookings).where(wanted).order_by(its.day, its.bench, its.piece))
    )


def _add_booked(tx: Connection, shop_id: str, booked: Iterable[BookedMinutes], sign: int) -> None:
    """Add to the sums of days and benches, or take off them; each row of a statement once, as PostgreSQL wants it."""
    sums: dict[tuple[date, Bench], BookedAtBench] = {}
    for each in booked:
        so_far = sums.get((each.date, each.bench), BookedAtBench())
        sums[each.date, each.bench] = so_far.plus(each.minutes, hard=each.hard, reserve=each.reserve)
    rows = [
        {"shop_id": shop_id, "day": day, "bench": bench}
        | dict(zip(_SUMS, (sign * n for n in (of.minutes, of.hard, of.reserve, of.reserve_hard)), strict=True))
        for (day, bench), of in sums.items()
    ]
    tx.execute(_sums_added(tx.dialect.name), rows)


@cache
def _sums_added(dialect: str) -> Any:  # noqa: ANN401  an insert of either database
    row = _INSERTS[dialect](workroom_days)
    together = {name: workroom_days.c[name] + row.excluded[name] for name in _SUMS}
    return row.on_conflict_do_update(index_elements=["shop_id", "day", "bench"], set_=together)

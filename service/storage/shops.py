"""Shops, and the tables that each keeps for itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from datetime import datetime
from functools import lru_cache
from typing import Any

import orjson
from sqlalchemy import JSON, Connection, Text, bindparam, cast, insert, select, update

from service.storage.records import read, written
from service.storage.statements import Question
from service.storage.tables import orders, shops
from service.storage.weeks import counter_row, week_of, week_row
from service.tailoring.body.own_men import OwnMen
from service.tailoring.fitting.own_fit_points import OwnPoint
from service.tailoring.garments.places import OwnEase
from service.tailoring.work.prices import PriceList
from service.tailoring.workroom.weeks import Week

FIRST_ORDER_NUMBER = 1001
# What a `Shop` is made of; JSON as its text, for a row that is as it was is not read again (`_shop`).
_NAMES = (
    "id", "name", "time_zone", "prices", "week", "counter", "ease", "prices_version", "ease_version", "fit_points",
    "fit_points_version", "week_version", "ready_from", "ask_at", "checked_by_anyone", "own_men", "own_men_off",
    "advice_key", "language",
)  # fmt: skip
# They stand first in whatever is asked, each by a name that no other table has.
COLUMNS_OF_SHOP = tuple(
    (cast(shops.c[name], Text) if isinstance(shops.c[name].type, JSON) else shops.c[name]).label(f"its_{name}")
    for name in _NAMES
)
# So many shops are kept as they were read: a worker of a chain of a thousand serves all of them.
SHOPS_KEPT = 1024
_ONE = Question(select(*COLUMNS_OF_SHOP).where(shops.c.id == bindparam("shop_id")))
_BUMPED = (
    update(shops)
    .where(shops.c.id == bindparam("of_shop"))
    .values(last_order_number=shops.c.last_order_number + bindparam("more"))
    .returning(*COLUMNS_OF_SHOP, shops.c.last_order_number)
)
# As strong as an update and no stronger: measurements and checks of the shop are recorded meanwhile.
_HELD = select(*COLUMNS_OF_SHOP).where(shops.c.id == bindparam("shop_id")).with_for_update(key_share=True, of=shops)


@dataclass(frozen=True, slots=True)
class Shop:
    """A shop: its name, its local time, its prices, its workroom's week, and the ease and fit points it judges by.

    Prices, ease, fit points and the calendar each have a version, which counts their changes. `ready_from` is the hour
    from which a piece may be collected on its day, as 16:00, and `ask_at` where a customer asks; "" where nobody said.
    `checked_by_anyone`: whoever sewed a line may check it too, for there is one tailor. `own_men` are those that advice
    goes by; None: men in general.
    """

    id: str
    name: str
    time_zone: str
    prices: PriceList
    week: Week
    ease: tuple[OwnEase, ...] = ()
    prices_version: int = 1
    ease_version: int = 1
    fit_points: tuple[OwnPoint, ...] = ()
    fit_points_version: int = 1
    week_version: int = 1
    ready_from: str = ""
    ask_at: str = ""
    checked_by_anyone: bool = False
    own_men: OwnMen | None = None
    advice_key: str = field(default="", repr=False)
    language: str = ""


def add_shop(tx: Connection, shop: Shop, now: datetime) -> None:
    """Keep a new shop."""
    tx.execute(
        insert(shops).values(
            id=shop.id,
            name=shop.name,
            time_zone=shop.time_zone,
            prices=written(shop.prices),
            week=week_row(shop.week),
            last_order_number=FIRST_ORDER_NUMBER - 1,
            created_at=now,
            ease=_ease_row(shop.ease),
            prices_version=shop.prices_version,
            ease_version=shop.ease_version,
            fit_points=written(shop.fit_points),
            fit_points_version=shop.fit_points_version,
            week_version=shop.week_version,
            counter=counter_row(shop.week),
        )
    )


def find_shop(tx: Connection, shop_id: str) -> Shop | None:
    """The shop of that id."""
    row = _ONE.one(tx, shop_id=shop_id)
    return shop_of_row(row) if row else None


def every_shop(tx: Connection) -> tuple[Shop, ...]:
    """All shops."""
    return tuple(shop_of_row(row) for row in tx.execute(select(*COLUMNS_OF_SHOP).order_by(shops.c.id)))


def replace_prices(tx: Connection, shop_id: str, prices: PriceList, version: int) -> None:
    """Put another price list in the place of the shop's."""
    tx.execute(update(shops).where(shops.c.id == shop_id).values(prices=written(prices), prices_version=version))


def replace_ease(tx: Connection, shop_id: str, ease: tuple[OwnEase, ...], version: int) -> None:
    """Put another ease table in the place of the shop's."""
    tx.execute(update(shops).where(shops.c.id == shop_id).values(ease=_ease_row(ease), ease_version=version))


def replace_fit_points(tx: Connection, shop_id: str, own: tuple[OwnPoint, ...], version: int) -> None:
    """Put other fit points in the place of the shop's own."""
    row = {"fit_points": written(own), "fit_points_version": version}
    tx.execute(update(shops).where(shops.c.id == shop_id).values(**row))


def replace_week(tx: Connection, shop_id: str, week: Week, version: int) -> None:
    """Put another week in the place of the shop's."""
    tx.execute(
        update(shops)
        .where(shops.c.id == shop_id)
        .values(week=week_row(week), counter=counter_row(week), week_version=version)
    )


def say_on_slips(tx: Connection, shop_id: str, **given: str | None) -> bool:
    """Keep what slips say of the shop (`ready_from`, `ask_at`) and in which `language`, what is None as it was.

    Whether there is such a shop.
    """
    said = {name: value for name, value in given.items() if value is not None}
    # With nothing to say it is only looked for.
    return tx.execute(update(shops).where(shops.c.id == shop_id).values(said or {"id": shop_id})).rowcount == 1


def let_check(tx: Connection, shop_id: str, *, anyone: bool) -> bool:
    """Keep who may check what is sewn; whether there is such a shop."""
    return tx.execute(update(shops).where(shops.c.id == shop_id).values(checked_by_anyone=anyone)).rowcount == 1


def judge_by(tx: Connection, shop_id: str, *, own: bool) -> bool:
    """Keep whether a shop's own men are counted and its customers judged by them; whether there is such a shop."""
    return tx.execute(update(shops).where(shops.c.id == shop_id).values(own_men_off=not own)).rowcount == 1


def advice_key(tx: Connection, shop_id: str, new: str) -> str:
    """The key that the shop signs its advice with; `new` where it has none yet."""
    tx.execute(update(shops).where(shops.c.id == shop_id, shops.c.advice_key.is_(None)).values(advice_key=new))
    return str(tx.execute(select(shops.c.advice_key).where(shops.c.id == shop_id)).scalar_one())


def count_calendar(tx: Connection, shop_id: str, version: int) -> None:
    """Count a change of the shop's calendar that is not one of its week."""
    tx.execute(update(shops).where(shops.c.id == shop_id).values(week_version=version))


def next_order_numbers(tx: Connection, shop_id: str, many: int = 1) -> tuple[range, Shop]:
    """The shop's next order numbers, and the shop as it is now.

    Its row stays locked until the transaction ends: orders of one shop are placed one after the other, so that no
    two book the same minute.
    """
    row = tx.execute(_BUMPED, {"of_shop": shop_id, "more": many}).one()
    return range(row.last_order_number - many + 1, row.last_order_number + 1), shop_of_row(row)


def skip_order_numbers(tx: Connection, most: int) -> None:
    """Go on that much further with every shop's order numbers; holds all their rows until the transaction ends."""
    tx.execute(update(shops).values(last_order_number=shops.c.last_order_number + most))


def skip_versions(tx: Connection, most: int) -> None:
    """Go on that much further with the version of all that is changed by `If-Match`."""
    of_shops = (shops.c.prices_version, shops.c.ease_version, shops.c.fit_points_version, shops.c.week_version)
    # A version of the shop's own men is none of these, but its number is given out in advice.
    counted = (*of_shops, shops.c.own_men_version)
    tx.execute(update(shops).values({column: column + most for column in counted}))
    tx.execute(update(orders).values(version=orders.c.version + most))


def lock_shop(tx: Connection, shop_id: str) -> Shop | None:
    """Hold the shop's row until the transaction ends; the shop as it is now."""
    row = tx.execute(_HELD, {"shop_id": shop_id}).one_or_none()
    return shop_of_row(row) if row else None


def shop_of_row(row: Sequence[Any]) -> Shop:
    """A shop of a row that begins with `COLUMNS_OF_SHOP`."""
    return _shop(*row[: len(_NAMES)])


@lru_cache(SHOPS_KEPT)
def _shop(*row: Any) -> Shop:  # noqa: ANN401  its columns
    """Every request reads its shop's row; to make the shop of it takes as long as asking for it (25 us)."""
    kept: dict[str, Any] = dict(zip(_NAMES, row, strict=True))
    content: dict[str, Any] = {
        name: orjson.loads(kept[name]) if kept[name] else None
        for name in ("prices", "week", "counter", "ease", "fit_points", "own_men")
    }
    return Shop(
        id=kept["id"],
        name=kept["name"],
        time_zone=kept["time_zone"],
        prices=read(content["prices"], PriceList),
        week=week_of(content["week"], content["counter"]),
        ease=_ease(content["ease"]),
        prices_version=kept["prices_version"],
        ease_version=kept["ease_version"],
        fit_points=_points(content["fit_points"]),
        fit_points_version=kept["fit_points_version"],
        week_version=kept["week_version"],
        ready_from=kept["ready_from"] or "",
        ask_at=kept["ask_at"] or "",
        checked_by_anyone=bool(kept["checked_by_anyone"]),
        advice_key=kept["advice_key"] or "",
        language=kept["language"] or "",
        own_men=None if kept["own_men_off"] else _own_men(content["own_men"]),
    )


def _ease_row(ease: tuple[OwnEase, ...]) -> list[dict[str, Any]]:
    # By hand: in these rows ideal ease has its wish for a name, and a pair in the core.
    return [{**asdict(each), "ideal_mm": dict(each.ideal_mm)} for each in ease]


def _ease(kept: list[dict[str, Any]] | None) -> tuple[OwnEase, ...]:
    # A shop that was opened before there was such a table has none.
    return tuple(OwnEase(**{**each, "ideal_mm": tuple(each["ideal_mm"].items())}) for each in kept or ())


def _own_men(kept: dict[str, Any] | None) -> OwnMen | None:
    return OwnMen(kept["version"], tuple((name, sds) for name, sds in kept["away"])) if kept else None


def _points(kept: list[dict[str, Any]] | None) -> tuple[OwnPoint, ...]:
    # A shop that was opened before there was such a table has none.
    return read(kept or [], tuple[OwnPoint, ...])

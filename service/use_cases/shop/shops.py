"""Opening a shop, and the tables that it keeps for itself: its price list, its ease and its fit points.

Each change of a table is made on the version that was read.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TypeVar
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from service.storage import shops
from service.storage.database import Transaction
from service.storage.shops import Shop
from service.tailoring.fitting.own_fit_points import OwnPoint
from service.tailoring.garments.places import OwnEase
from service.tailoring.refusals import Refusal
from service.tailoring.work.prices import PriceList
from service.tailoring.workroom.weeks import Week
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.versions import check_version

_Own = TypeVar("_Own")


def open_shop(context: ServiceContext, name: str, time_zone: str, prices: PriceList, week: Week | None = None) -> str:
    """A new shop with its prices and its workroom's week; its id. Raises Refusal `time_zone_unknown`."""
    try:
        ZoneInfo(time_zone)
    except (ZoneInfoNotFoundError, ValueError):
        raise Refusal("time_zone_unknown", ("time_zone",), given=time_zone) from None
    shop = Shop(context.new_id(), name, time_zone, prices, week or Week())
    with context.database.writing() as tx:
        shops.add_shop(tx, shop, context.now())
    return shop.id


def say_on_slips(
    context: ServiceContext,
    shop_id: str,
    ready_from: str | None = None,
    ask_at: str | None = None,
    language: str | None = None,
) -> None:
    """What customers' slips say of the shop: the hour of collection, where to ask, in which language; None stays.

    Raises Refusal `shop_unknown`.
    """
    with context.database.writing() as tx:
        if not shops.say_on_slips(tx, shop_id, ready_from=ready_from, ask_at=ask_at, language=language):
            raise Refusal("shop_unknown", ("shop",), given=shop_id)


def let_check(context: ServiceContext, shop_id: str, *, anyone: bool) -> None:
    """Whether whoever sewed a line may check it too. Raises Refusal `shop_unknown`."""
    with context.database.writing() as tx:
        if not shops.let_check(tx, shop_id, anyone=anyone):
            raise Refusal("shop_unknown", ("shop",), given=shop_id)


def judge_by(context: ServiceContext, shop_id: str, *, own: bool) -> None:
    """Whether a shop's own men are counted, and its customers judged by them. Raises Refusal `shop_unknown`.

    What was counted stays when it is turned off: to count anew would tell who was erased in between.
    """
    with context.database.writing() as tx:
        if not shops.judge_by(tx, shop_id, own=own):
            raise Refusal("shop_unknown", ("shop",), given=shop_id)


def replace_price_list(context: ServiceContext, caller: Caller, prices: PriceList, version: int) -> int:
    """Put another price list in the shop's place; its version. Orders keep the prices that they were placed at.

    Raises Refusal `version_stale`.
    """
    return replace_own(
        context, caller, prices, version, lambda shop: (shop.prices, shop.prices_version), shops.replace_prices
    )


def replace_ease_table(context: ServiceContext, caller: Caller, ease: tuple[OwnEase, ...], version: int) -> int:
    """Put another ease table in the shop's place; its version. Raises Refusal `version_stale`."""
    return replace_own(context, caller, ease, version, lambda shop: (shop.ease, shop.ease_version), shops.replace_ease)


def replace_fit_points(context: ServiceContext, caller: Caller, own: tuple[OwnPoint, ...], version: int) -> int:
    """Put other fit points in the place of the shop's own; their version. Raises Refusal `version_stale`."""
    return replace_own(
        context, caller, own, version, lambda shop: (shop.fit_points, shop.fit_points_version), shops.replace_fit_points
    )


def replace_own(
    context: ServiceContext,
    caller: Caller,
    own: _Own,
    version: int,
    kept: Callable[[Shop], tuple[_Own, int]],
    write: Callable[[Transaction, str, _Own, int], None],
) -> int:
    """Put another table of a shop in the place of the one that is `kept`; its version. The same one is no change.

    Raises Refusal `version_stale`.
    """
    with context.database.writing() as tx:
        shop = hold(tx, caller).shop
        before, at = kept(shop)
        check_version(at, version)
        if own == before:
            return at
        write(tx, shop.id, own, at + 1)
        return at + 1


def hold(tx: Transaction, caller: Caller) -> Caller:
    """The caller with his shop as it is now, held until the transaction ends."""
    return replace(caller, shop=shops.lock_shop(tx, caller.shop.id) or caller.shop)


def take_numbers(tx: Transaction, caller: Caller, many: int = 1) -> tuple[range, Caller]:
    """The shop's next order numbers, and the caller with his shop as it is now.

    Prices and calendar may have changed since he was identified; from here on they are held.
    """
    numbers, shop = shops.next_order_numbers(tx, caller.shop.id, many)
    return numbers, replace(caller, shop=shop)

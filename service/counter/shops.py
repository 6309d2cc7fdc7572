"""Opening a shop, and the tables that it keeps for itself: its price list, its ease and its fit points.

Each change of a table is made on the version that was read.
"""

from __future__ import annotations

from dataclasses import replace
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from service.counter.desk import Caller, Desk
from service.counter.versions import check_version
from service.storage import shops
from service.storage.database import Transaction
from service.storage.shops import Shop
from service.tailoring.money import PriceList
from service.tailoring.own_fit_points import OwnPoint
from service.tailoring.places import OwnEase
from service.tailoring.refusals import Refusal
from service.tailoring.workroom import Week


def open_shop(desk: Desk, name: str, time_zone: str, prices: PriceList, week: Week | None = None) -> str:
    """A new shop with its prices and its workroom's week; its id. Raises Refusal `time_zone_unknown`."""
    try:
        ZoneInfo(time_zone)
    except (ZoneInfoNotFoundError, ValueError):
        raise Refusal("time_zone_unknown", ("time_zone",), given=time_zone) from None
    shop = Shop(desk.new_id(), name, time_zone, prices, week or Week())
    with desk.database.writing() as tx:
        shops.add_shop(tx, shop, desk.now())
    return shop.id


def replace_price_list(desk: Desk, caller: Caller, prices: PriceList, version: int) -> int:
    """Put another price list in the shop's place; its version. Orders keep the prices that they were placed at.

    Raises Refusal `version_stale`.
    """
    with desk.database.writing() as tx:
        shop = hold(tx, caller).shop
        check_version(shop.prices_version, version)
        if prices == shop.prices:
            return shop.prices_version
        shops.replace_prices(tx, shop.id, prices, shop.prices_version + 1)
        return shop.prices_version + 1


def replace_ease_table(desk: Desk, caller: Caller, ease: tuple[OwnEase, ...], version: int) -> int:
    """Put another ease table in the shop's place; its version. Raises Refusal `version_stale`."""
    with desk.database.writing() as tx:
        shop = hold(tx, caller).shop
        check_version(shop.ease_version, version)
        if ease == shop.ease:
            return shop.ease_version
        shops.replace_ease(tx, shop.id, ease, shop.ease_version + 1)
        return shop.ease_version + 1


def replace_fit_points(desk: Desk, caller: Caller, own: tuple[OwnPoint, ...], version: int) -> int:
    """Put other fit points in the place of the shop's own; their version. Raises Refusal `version_stale`."""
    with desk.database.writing() as tx:
        shop = hold(tx, caller).shop
        check_version(shop.fit_points_version, version)
        if own == shop.fit_points:
            return shop.fit_points_version
        shops.replace_fit_points(tx, shop.id, own, shop.fit_points_version + 1)
        return shop.fit_points_version + 1


def hold(tx: Transaction, caller: Caller) -> Caller:
    """The caller with his shop as it is now, held until the transaction ends."""
    shops.lock_shop(tx, caller.shop.id)
    return as_now(tx, caller)


def as_now(tx: Transaction, caller: Caller) -> Caller:
    """The caller with his shop as it is now: prices and calendar may have changed since he was identified."""
    return replace(caller, shop=shops.find_shop(tx, caller.shop.id) or caller.shop)

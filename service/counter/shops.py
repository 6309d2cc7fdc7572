"""Opening a shop."""

from __future__ import annotations

from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from service.counter.desk import Desk
from service.storage import shops
from service.storage.shops import Shop
from service.tailoring.money import PriceList
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

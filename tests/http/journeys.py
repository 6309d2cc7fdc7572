"""Orders on their way through the shop, for tests."""

from __future__ import annotations

from service.storage import workroom
from tests.days import MONDAY

TO_PRESSED = [("accepted", {}), ("in_workroom", {}), ("sewn", {}), ("pressed", {"pins_out": 0})]
TO_COLLECTED = [*TO_PRESSED, ("ready", {"pins_out": 0}), ("collected", {"tried_on": True})]


def booked(shop):
    """The minutes that are booked, by the days and by the orders."""
    with shop.house.context.database.reading() as tx:
        held, _ = workroom.days_from(tx, shop.id, MONDAY)
        return held, workroom.booked_by_order(tx, shop.id, MONDAY)

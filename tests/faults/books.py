"""What the books say after a fault: nothing lost, nothing doubled, no minute promised twice."""

from datetime import UTC, datetime, timedelta

from service.storage import workroom
from service.storage.orders.order_lists import OrderFilter
from service.tailoring.workroom.weeks import Week
from service.use_cases.orders.orders import list_orders
from tests.days import MONDAY

# A pair of hems takes 20 minutes at the trousers bench; a day has 255 to promise.
WEEK = Week(minutes=({"trousers": 300, "jackets": 300, "finishing": 3000},) * 7, horizon_days=360)
MOST_A_DAY = 255
# What every request is answered while there is no database to write to.
AWAY = (503, "database_away", [])


def all_orders(context, caller):
    found, below = [], None
    while True:
        page = list_orders(context, caller, OrderFilter(below=below), 100)
        found += page.orders
        if page.below is None:
            return found
        below = page.below


def on_file(shop):
    """Everything that an order leaves: orders, what is booked, what is told."""
    with shop.house.context.database.reading() as tx:
        held, _ = workroom.days_from(tx, shop.id, MONDAY)
        assert held == workroom.booked_by_order(tx, shop.id, MONDAY)
    return shop.staff.get("/v1/orders").body, held, shop.staff.get("/v1/events").body["events"]


def check(context, caller, tills):
    """Hold what the tills were told against what the service has."""
    told = [number for till in tills for number, _ in till.placed]
    assert [] == [refused for till in tills for refused in till.refused]
    kept = [order.number for order in all_orders(context, caller)]
    assert len(set(told)) == len(told)
    assert sorted(told, key=int) == sorted(kept, key=int)

    today = datetime.now(UTC).date() - timedelta(days=1)
    with context.database.reading() as tx:
        days, _ = workroom.days_from(tx, caller.shop.id, today)
        by_order = workroom.booked_by_order(tx, caller.shop.id, today)
    assert days == by_order
    booked = [benches["trousers"].minutes for benches in days.values() if "trousers" in benches]
    assert max(booked) <= MOST_A_DAY
    assert sum(booked) == 20 * len(told)


ORDER = {
    "garments": [{"garment": "trousers", "chart": "reference", "label": "30"}],
    "lines": [
        {
            "alteration": "trouser_hem",
            "amount": {"value": 2, "unit": "in"},
            "basis": "length",
            "direction": "decrease",
            "side": "both",
        }
    ],
    "by": "fitter-1",
}

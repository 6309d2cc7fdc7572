"""The demo's till, loaded as a module, and what it must not lose."""

from tests.demo.scripts import demo_script
from tests.http.sheets import TROUSERS, WAIST_IN, inches

SHEET = {"garments": [TROUSERS], "lines": [WAIST_IN], "hems": [{"pins": {"left": inches("30"), "right": inches("30")}}],
         "by": "fitter-1"}  # fmt: skip


till = demo_script("till")


def orders_of(shop):
    """Every order of the shop, by the till's sale."""
    found, path = [], "/v1/orders?limit=100"
    while path:
        answer = shop.staff.get(path.partition("?")[0], query=path.partition("?")[2])
        found += answer.body["orders"]
        link = answer.headers.get("Link")
        path = link[1 : link.index(">")] if link else None
    return found


def assert_nothing_lost_or_doubled(queue, shop, sales):
    orders = orders_of(shop)
    assert sorted(sales) == sorted(order["sale_ref"] for order in orders)
    totals = {order["sale_ref"]: shop.staff.get(f"/v1/orders/{order['id']}").body["total"]["minor"] for order in orders}
    for sale in sales:
        kept = queue.sale(sale)
        assert "printed" == kept["state"]
        assert kept["number"] in kept["slip"]
        assert totals[sale] == sum(line["minor"] for line in queue.basket(sale))

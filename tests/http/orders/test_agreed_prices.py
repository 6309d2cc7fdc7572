"""Prices with a reason, tax said or unsaid, and what is paid down on pieces bought here or brought in."""

import pytest

from tests.http.sheets import HEMMED, JACKET, JACKET_WAIST_IN, SLIM, TO_READY, WAIST_IN, WORN, moved_along, placed
from tests.shops import new_shop

SUIT = {"garments": [HEMMED, JACKET], "hems": [], "lines": [WAIST_IN, JACKET_WAIST_IN]}


def changed(client, order, version, why="the customer wants it so", **asked):
    path, headers = f"/v1/orders/{order['id']}/line-changes", {"If-Match": f'"{version}"'}
    return client.post(path, {"by": "fitter-1", "reason": why, **asked}, headers=headers)


def priced_by(shop, **terms):
    """The shop's price list with some of its terms changed."""
    listed = shop.staff.get("/v1/price-list")
    body = {name: value for name, value in listed.body.items() if name != "prices"} | terms
    answer = shop.staff.ask("PUT", "/v1/price-list", body, headers={"If-Match": listed.headers["ETag"]})
    assert 200 == answer.status, answer.body
    assert answer.body == shop.staff.get("/v1/price-list").body
    return answer.body


def charges_of(shop, order):
    return shop.staff.get(f"/v1/orders/{order['id']}/charges").body


def test_the_counter_waives_a_fee_and_the_charges_say_which_and_why(house):
    shop = new_shop(house)
    order = placed(shop.staff, **SUIT)
    moved_along(shop.staff, order["id"], *TO_READY)
    waist = next(line for line in order["lines"] if line["alteration"] == "trouser_waist_in")
    asked = [{"number": waist["number"], "price": {"kind": "waived"}}]
    answer = changed(shop.staff, order, 6, "a day late", change=asked)
    assert (200, "ready") == (answer.status, answer.body["state"])
    charged = charges_of(shop, order)
    charge = next(each for each in charged["charges"] if each["alteration"] == "trouser_waist_in")
    assert (0, waist["price"]) == (charge["amount"]["minor"], charge["list_amount"])
    assert ("waived", "fitter-1", "a day late") == tuple(
        charge["price_reason"][part] for part in ("kind", "by", "reason")
    )
    assert (
        order["total"]["minor"] - waist["price"]["minor"] == charged["total"]["minor"] == answer.body["total"]["minor"]
    )
    assert [None] == [each["price_reason"] for each in charged["charges"] if each["alteration"] != "trouser_waist_in"]
    assert {"total_minor_before": order["total"]["minor"]}.items() <= answer.body["events"][-1]["facts"].items()
    moved = shop.staff.post(
        f"/v1/orders/{order['id']}/moves", {"to": "collected", "tried_on": True}, headers={"If-Match": '"7"'}
    )
    assert 200 == moved.status
    assert (409, "price_settled", [""]) == changed(shop.staff, order, 8, price={"kind": "waived"}).problem


def test_goodwill_on_the_whole_order_is_told_beside_the_total(house):
    shop = new_shop(house)
    order = placed(shop.staff, **SUIT)
    answer = changed(shop.staff, order, 1, "the first fitting went wrong", price={"kind": "goodwill", "percent": 50})
    charged = charges_of(shop, order)
    assert (order["total"]["minor"] + 1) // 2 == charged["total"]["minor"]
    assert "the first fitting went wrong" == charged["price_reason"]["reason"] == answer.body["price_reason"]["reason"]
    assert [line["price"] for line in order["lines"]] == [line["list_price"] for line in answer.body["lines"]]


@pytest.mark.parametrize(
    ("included", "tax", "to_pay"), [(True, 1150, 6150), (False, 1415, 7565)], ids=["included", "on top"]
)
def test_charges_say_their_tax_and_whether_it_is_in_them(house, included, tax, to_pay):
    shop = new_shop(house)
    rates = [{"category": "standard", "percent": 23}]
    fixed = [{"alteration": "trouser_waist_in", "minor": 6150}]
    priced_by(shop, prices_include_tax=included, tax_rates=rates, fixed=fixed)
    order = placed(shop.staff, garments=[HEMMED], hems=[], lines=[WAIST_IN])
    # Whatever the list says later, the order has what it was placed at.
    priced_by(shop, prices_include_tax=None, tax_rates=[])
    charged = charges_of(shop, order)
    (part,) = charged["taxes"]
    assert included is charged["prices_include_tax"]
    assert ("standard", 23, 6150, tax) == (
        part["category"], part["percent"], part["charged"]["minor"], part["tax"]["minor"],
    )  # fmt: skip
    assert (6150, to_pay, to_pay) == tuple(charged[name]["minor"] for name in ("total", "to_pay", "balance"))


@pytest.mark.parametrize("included", [True, False, None])
def test_wherever_a_price_is_it_is_clear_whether_tax_is_in_it(house, included):
    shop = new_shop(house)
    priced_by(shop, prices_include_tax=included)
    check = shop.staff.post("/v1/fit-checks", WORN).body["id"]
    answers = [
        shop.staff.post("/v1/size-advice", {"readings": SLIM}),
        shop.staff.post("/v1/size-advice", {"readings": SLIM}, query={"view": "short"}),
        shop.staff.post("/v1/alteration-quotes", SUIT),
        shop.staff.get(f"/v1/fit-checks/{check}"),
        shop.staff.get(f"/v1/fit-checks/{check}", query={"view": "short"}),
    ]
    said = [answer.body["prices_include_tax"] for answer in answers]
    assert [included] * 6 == [*said, placed(shop.staff, **SUIT)["prices_include_tax"]]


def test_where_the_shop_says_nothing_of_tax_nothing_is_said(house):
    shop = new_shop(house)
    charged = charges_of(shop, placed(shop.staff, **SUIT))
    assert (None, [], charged["total"]) == (charged["prices_include_tax"], charged["taxes"], charged["to_pay"])


def test_more_is_paid_down_on_what_was_brought_in(house):
    shop = new_shop(house)
    fixed = [{"alteration": "trouser_waist_in", "minor": 2000}, {"alteration": "jacket_waist_in", "minor": 3000}]
    priced_by(shop, deposit_percent=20, deposit_percent_brought_in=100, fixed=fixed)
    order = placed(shop.staff, garments=[HEMMED, JACKET | {"brought_in": True}], hems=[], lines=SUIT["lines"])
    assert [False, True] == [piece["brought_in"] for piece in order["garments"]]
    assert 400 + 3000 == order["deposit"]["minor"]
    # A piece without a chart was not sold here.
    bare = placed(shop.staff, garments=[{"garment": "jacket"}], hems=[], lines=[JACKET_WAIST_IN])
    assert 3000 == bare["deposit"]["minor"]


@pytest.mark.parametrize(
    ("price", "at"),
    [
        ({"kind": "override"}, "/price/minor"),
        ({"kind": "discount", "percent": 101}, "/price/percent"),
        ({"kind": "waived", "minor": 5}, "/price/minor"),
        ({"kind": "free"}, "/price/kind"),
    ],
    ids=["no price", "over all of it", "waived by so much", "no kind"],
)
def test_a_price_that_is_said_wrong_is_refused(staff, price, at):
    answer = changed(staff, placed(staff, **SUIT), 1, price=price)
    assert (422, [at]) == (answer.status, answer.problem[2])


@pytest.mark.parametrize("percent", [-1, 101, "23"])
def test_a_tax_rate_that_is_none_is_refused(staff, percent):
    listed = staff.get("/v1/price-list")
    body = {name: value for name, value in listed.body.items() if name != "prices"}
    body |= {"prices_include_tax": True, "tax_rates": [{"category": "standard", "percent": percent}]}
    answer = staff.ask("PUT", "/v1/price-list", body, headers={"If-Match": listed.headers["ETag"]})
    assert (422, ["/tax_rates/0/percent"]) == (answer.status, answer.problem[2])

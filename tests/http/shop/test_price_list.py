import threading

import pytest

from service.tailoring.garments.alterations import catalogue
from tests.http.sheets import HEMMED, SLIM, WAIST_IN, inches, moved, moved_along, placed, sheet

LIST = {
    "currency": "GBP",
    "plain_hem_minor": 2000,
    "round_to_minor": 100,
    "minute_minor": 30,
    "tax_category": "services.reduced",
    "fixed": [{"alteration": "trouser_waist_in", "minor": 2750}, {"alteration": "trouser_hem", "minor": 0}],
}
# What a list that does not say them has.
UNSAID = {
    "bands": [],
    "modifiers": [],
    "rush_percent": 0,
    "deposit_percent": 0,
    "deposit_percent_brought_in": None,
    "prices_include_tax": None,
    "tax_rates": [],
}

BAND = {"alteration": "trouser_waist_in", "over": inches(1), "minor": 3300}
VELVET = {"what": "cloth", "word": "velvet", "percent": 25}


def put(client, version=1, **changed):
    return client.ask("PUT", "/v1/price-list", LIST | changed, headers={"If-Match": version and f'"{version}"'})


def said(answer):
    return {name: value for name, value in answer.body.items() if name != "prices"}


def test_a_new_shop_shows_what_it_was_opened_with(staff):
    answer = staff.get("/v1/price-list")
    assert ('"1"', "EUR", 1200, []) == (
        answer.headers["ETag"],
        *(answer.body[name] for name in ("currency", "plain_hem_minor", "fixed")),
    )
    assert list(catalogue()) == [each["alteration"] for each in answer.body["prices"]]


def test_a_price_list_is_replaced_whole(staff):
    answer = put(staff)
    assert (200, '"2"', LIST | UNSAID) == (answer.status, answer.headers["ETag"], said(answer))
    assert answer.raw == staff.get("/v1/price-list").raw
    prices = {each["alteration"]: each["minor"] for each in answer.body["prices"]}
    assert (0, 2750) == (prices["trouser_hem"], prices["trouser_waist_in"])
    assert all(minor % 100 == 0 for code, minor in prices.items() if code != "trouser_waist_in")


def test_the_same_list_again_is_no_change(staff):
    assert ['"2"', '"2"'] == [put(staff, version).headers["ETag"] for version in (1, 2)]


def test_the_version_that_was_read_is_wanted(staff):
    assert (428, "version_missing", ["/If-Match"]) == put(staff, None).problem
    assert (412, "version_stale", [""]) == put(staff, 2).problem
    put(staff)
    assert (412, "version_stale", [""]) == put(staff, 1, currency="EUR").problem
    assert "GBP" == staff.get("/v1/price-list").body["currency"]


def test_of_two_at_once_one_is_stale(shop):
    answers = []
    threads = [
        threading.Thread(target=lambda hem=hem: answers.append(put(shop.staff, plain_hem_minor=hem).status))
        for hem in (1500, 1600, 1700, 1800)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [200, 412, 412, 412] == sorted(answers)


@pytest.mark.parametrize(
    ("changed", "code", "pointer"),
    [
        ({"currency": "eur"}, "field_wrong", "/currency"),
        ({"currency": "EURO"}, "field_wrong", "/currency"),
        ({"plain_hem_minor": 0}, "field_wrong", "/plain_hem_minor"),
        ({"plain_hem_minor": 1_000_001}, "field_wrong", "/plain_hem_minor"),
        ({"plain_hem_minor": 12.5}, "field_wrong", "/plain_hem_minor"),
        ({"round_to_minor": 0}, "field_wrong", "/round_to_minor"),
        ({"minute_minor": -1}, "field_wrong", "/minute_minor"),
        ({"tax_category": "a b"}, "field_wrong", "/tax_category"),
        ({"tax_category": ""}, "field_wrong", "/tax_category"),
        ({"fixed": [{"alteration": "trouser_hem", "minor": -1}]}, "field_wrong", "/fixed/0/minor"),
        ({"fixed": [{"alteration": "new_lining", "minor": 1}]}, "alteration_unknown", "/fixed/0/alteration"),
        ({"fixed": [{"alteration": "trouser_hem", "minor": 1}] * 2}, "price_repeated", "/fixed/1"),
        ({"bands": [BAND | {"alteration": "new_lining"}]}, "alteration_unknown", "/bands/0/alteration"),
        ({"bands": [BAND | {"alteration": "jacket_press"}]}, "amount_not_taken", "/bands/0/over"),
        ({"bands": [BAND, BAND | {"over": {"value": 2.54, "unit": "cm"}}]}, "price_repeated", "/bands/1"),
        ({"bands": [BAND | {"over": inches(-1)}]}, "quantity_negative", "/bands/0/over/value"),
        ({"modifiers": [VELVET | {"percent": 0}]}, "field_wrong", "/modifiers/0/percent"),
        ({"modifiers": [VELVET | {"percent": 301}]}, "field_wrong", "/modifiers/0/percent"),
        ({"modifiers": [VELVET, VELVET | {"word": "Velvet"}]}, "price_repeated", "/modifiers/1"),
        ({"modifiers": [VELVET | {"what": "lining"}]}, "lining_unknown", "/modifiers/0/word"),
        ({"deposit_percent": 101}, "field_wrong", "/deposit_percent"),
        ({"rush_percent": -1}, "field_wrong", "/rush_percent"),
        ({"colour": "navy"}, "field_wrong", "/colour"),
    ],
)
def test_a_wrong_list_is_refused_and_the_old_one_stays(staff, changed, code, pointer):
    status, found, pointers = put(staff, **changed).problem
    assert (422, code, {pointer}) == (status, found, set(pointers))
    assert ('"1"', "EUR") == (staff.get("/v1/price-list").headers["ETag"], staff.get("/v1/price-list").body["currency"])


def test_every_part_must_be_there(staff):
    answer = staff.ask("PUT", "/v1/price-list", {}, headers={"If-Match": '"1"'})
    assert sorted(f"/{name}" for name in LIST) == sorted(answer.problem[2])


def test_an_order_keeps_the_prices_that_it_was_placed_at(staff):
    order = placed(staff)
    put(staff)
    assert order["total"] == staff.get(f"/v1/orders/{order['id']}").body["total"]
    later = placed(staff)
    assert ("EUR", "GBP") == (order["total"]["currency"], later["total"]["currency"])
    assert order["total"]["minor"] != later["total"]["minor"]


def test_the_list_drives_what_advice_expects_to_cost(staff):
    def costs():
        plans = staff.post("/v1/size-advice", {"readings": SLIM}).body["plans"]
        return [plan["ranking"]["expected_cost"] for plan in plans]

    before = costs()
    put(staff, currency="EUR", plain_hem_minor=2400, minute_minor=50, fixed=[], round_to_minor=1)
    after = costs()
    assert [pytest.approx(2 * cost["minor"], rel=0.02) for cost in before] == [cost["minor"] for cost in after]


def test_another_shops_list_is_its_own(staff, other_shop):
    put(staff)
    assert ('"1"', "EUR") == (
        other_shop.staff.get("/v1/price-list").headers["ETag"],
        other_shop.staff.get("/v1/price-list").body["currency"],
    )


def test_a_wide_change_of_a_dear_cloth_costs_what_its_band_and_its_modifier_say(staff):
    assert 200 == put(staff, bands=[BAND], modifiers=[VELVET]).status
    lines = [[WAIST_IN], [WAIST_IN | {"amount": inches("1 1/2")}]]
    prices = [
        placed(staff, hems=[], lines=work, garments=[HEMMED | {"cloth": cloth}])["lines"][0]["price"]["minor"]
        for cloth in ("flannel", "black velvet")
        for work in lines
    ]
    # 33.00 and a quarter is 41.25, to whole pounds 41.00; 27.50 and a quarter is 34.38, to 34.00.
    assert [2750, 3300, 3400, 4100] == prices


def test_a_band_is_shown_in_both_units(staff):
    (band,) = put(staff, bands=[BAND]).body["bands"]
    assert BAND | {"over": {"value": 1.0, "unit": "in", "mm": 25.4, "text": "1 in"}} == band


def test_charges_say_the_deposit_what_is_left_and_how_it_was_rounded(staff):
    put(staff, deposit_percent=30, fixed=[])
    order = placed(staff, sale_ref="S-7")
    put(staff, 2, deposit_percent=0, round_to_minor=1)
    body = staff.get(f"/v1/orders/{order['id']}/charges").body
    # Two single hems, 10.00 each; 30 % is 6.00.
    assert (order["id"], "S-7", 2000, 600, 1400, 100) == (
        *(body[name] for name in ("order", "sale_ref")),
        *(body[name]["minor"] for name in ("total", "deposit", "balance")),
        body["rounding"]["to_minor"],
    )
    assert [(1, 1, 1), (2, 1, 1)] == [(each["number"], each["piece"], each["quantity"]) for each in body["charges"]]
    assert "half up" in body["rounding"]["words"]


def test_of_a_cancelled_order_nothing_is_charged_nor_paid_down(staff):
    put(staff, deposit_percent=30)
    order = placed(staff)
    assert 200 == moved(staff, order["id"], "cancelled", 1, reason="returned").status
    body = staff.get(f"/v1/orders/{order['id']}/charges").body
    assert ([], 0, 0, 0) == (body["charges"], *(body[name]["minor"] for name in ("total", "deposit", "balance")))


def test_a_rush_is_a_charge_of_its_own_and_a_redo_is_none(staff):
    put(staff, rush_percent=50, deposit_percent=10, fixed=[])
    order = placed(staff, rush=True)
    charged = staff.get(f"/v1/orders/{order['id']}/charges").body
    # Two single hems, 10.00 each; half of it on top.
    assert [("trouser_hem", 1, 1000), ("trouser_hem", 2, 1000), (None, None, 1000)] == [
        (each["alteration"], each["number"], each["amount"]["minor"]) for each in charged["charges"]
    ]
    assert (3000, 300, 2700) == tuple(charged[name]["minor"] for name in ("total", "deposit", "balance"))
    assert (3000, 300) == (order["total"]["minor"], order["deposit"]["minor"])
    quoted = staff.post("/v1/alteration-quotes", sheet(rush=True)).body
    assert (3000, 1000, 300) == tuple(quoted[name]["minor"] for name in ("total", "rush_surcharge", "deposit"))
    moved_along(
        staff, order["id"], ("accepted", {}), ("in_workroom", {}), ("sewn", {}), ("pressed", {"pins_out": 0}),
        ("in_workroom", {"reason": "left leg long"}),
    )  # fmt: skip
    again = staff.get(f"/v1/orders/{order['id']}/charges").body
    assert charged | {"pieces": again["pieces"]} == again

"""Several people, each with an order, and one promise."""

from uuid import uuid4

import pytest

from service.storage import workroom
from service.tailoring.workroom.weeks import Week
from tests.days import MONDAY
from tests.http.sheets import HEMMED, JACKET, JACKET_WAIST_IN, WAIST_IN, moved, moved_along
from tests.shops import new_shop

TIGHT = Week(minutes=({"trousers": 60, "jackets": 100, "finishing": 60},) * 7, fill_percent=100, horizon_days=6)
GROOM = {"garments": [JACKET], "lines": [JACKET_WAIST_IN], "customer_ref": "C-1"}
USHER = {"garments": [HEMMED], "lines": [WAIST_IN], "customer_ref": "C-2"}
TO_READY = [
    ("accepted", {}),
    ("in_workroom", {}),
    ("sewn", {}),
    ("pressed", {"pins_out": 0}),
    ("ready", {"pins_out": 0}),
]


def group(*orders, **more):
    return {"by": "fitter-1", "group_ref": "party-7", "orders": list(orders)} | more


def placed_group(client, *orders, **more):
    answer = client.post("/v1/order-groups", group(*orders, **more), key=str(uuid4()))
    assert 201 == answer.status, answer.body
    return answer.body


def shown(client, made):
    return client.get(f"/v1/order-groups/{made['id']}").body


def booked(shop):
    with shop.house.context.database.reading() as tx:
        held, _ = workroom.days_from(tx, shop.id, MONDAY)
        assert held == workroom.booked_by_order(tx, shop.id, MONDAY)
    return {day.isoformat(): {bench: each.minutes for bench, each in held[day].items()} for day in sorted(held)}


def promises(found):
    return {order["promised_for"] for order in found["orders"]}


def test_a_party_is_promised_for_the_day_of_the_last_of_them(house):
    shop = new_shop(house, week=TIGHT)
    made = placed_group(shop.staff, GROOM, USHER, USHER, USHER)
    # 35 minutes a pair of trousers: the third is sewn on the second day.
    assert {"2026-03-04"} == promises(made) == {made["promised_for"]}
    assert ["1001", "1002", "1003", "1004"] == [order["number"] for order in made["orders"]]
    assert ["C-1", "C-2", "C-2", "C-2"] == [order["customer_ref"] for order in made["orders"]]
    assert 105 == sum(benches.get("trousers", 0) for benches in booked(shop).values())


def test_a_group_is_read_back_and_its_orders_are_found_by_it(staff):
    made = placed_group(staff, GROOM, USHER, needed_by="2026-03-20")
    found = shown(staff, made)
    said_once = {"warnings", "to_look_at"}
    kept = [{part: order[part] for part in order if part not in said_once} for order in made["orders"]]
    assert kept == found["orders"]
    assert {part: made[part] for part in made if part != "orders"} == {
        part: found[part] for part in found if part != "orders"
    }
    assert {made["id"]} == {order["group"] for order in found["orders"]}
    assert {"2026-03-20"} == {order["needed_by"] for order in found["orders"]}
    listed = staff.get("/v1/orders", query={"group": made["id"]}).body["orders"]
    assert ["1002", "1001"] == [order["number"] for order in listed]


def test_a_group_that_cannot_be_ready_by_its_day_leaves_nothing(house):
    shop = new_shop(house, week=TIGHT)
    refused = shop.staff.post("/v1/order-groups", group(GROOM, USHER, USHER, needed_by="2026-03-03"), key="k")
    assert (409, "needed_by_too_early", ["/needed_by"]) == refused.problem
    days = {"earliest": "2026-03-04", "earliest_rush": "2026-03-03", "needed_by": "2026-03-03"}
    assert days == refused.body["errors"][0]["facts"]
    assert ({}, []) == (booked(shop), shop.staff.get("/v1/orders").body["orders"])
    assert {"2026-03-03"} == promises(placed_group(shop.staff, GROOM, USHER, USHER, needed_by="2026-03-03", rush=True))


def test_one_order_that_cannot_be_refuses_all_of_them_where_it_stands(house):
    shop = new_shop(house, week=TIGHT)
    wrong = USHER | {"lines": [WAIST_IN, WAIST_IN]}
    answer = shop.staff.post("/v1/order-groups", group(GROOM, wrong), key="k")
    assert (422, "line_repeated", ["/orders/1/lines/1"]) == answer.problem
    full = shop.staff.post("/v1/order-groups", group(*[USHER] * 11), key="k")
    assert (409, "no_free_day", ["/orders/10"]) == full.problem
    assert ({}, []) == (booked(shop), shop.staff.get("/v1/orders").body["orders"])
    assert "1001" == placed_group(shop.staff, GROOM, USHER)["orders"][0]["number"]


def test_a_retry_places_no_second_group(staff):
    first = staff.post("/v1/order-groups", group(GROOM, USHER), key="k")
    again = staff.post("/v1/order-groups", group(GROOM, USHER), key="k")
    assert (first.raw, "true") == (again.raw, again.headers["Answer-Repeated"])
    assert 2 == len(staff.get("/v1/orders").body["orders"])
    other = staff.post("/v1/order-groups", group(GROOM, GROOM), key="k")
    assert (422, "key_used_otherwise", [""]) == other.problem


def test_a_group_is_ready_once_all_of_it_is(staff):
    made = placed_group(staff, GROOM, USHER)
    first, second = made["orders"]
    moved_along(staff, first["id"], *TO_READY)
    waiting = shown(staff, made)
    assert (False, {"ready": 1, "marked": 1}) == (waiting["ready"], waiting["states"])
    moved_along(staff, second["id"], *TO_READY)
    assert True is shown(staff, made)["ready"]


def test_nobody_waits_for_one_who_has_cancelled(staff):
    made = placed_group(staff, GROOM, USHER)
    first, second = made["orders"]
    moved(staff, second["id"], "cancelled", 1, reason="he does not come")
    moved_along(staff, first["id"], *TO_READY)
    assert True is shown(staff, made)["ready"]


def test_when_one_is_promised_anew_the_whole_group_follows(house):
    shop = new_shop(house, week=TIGHT)
    made = placed_group(shop.staff, GROOM, USHER)
    groom, usher = made["orders"]
    more = {"by": "fitter-1", "lines": [JACKET_WAIST_IN | {"piece": 1}, JACKET_WAIST_IN | {"piece": 2}]}
    asked = more | {"garments": [JACKET, JACKET]}
    answer = shop.staff.ask("PATCH", f"/v1/orders/{groom['id']}", asked, headers={"If-Match": '"1"'})
    assert "2026-03-04" == answer.body["promised_for"]
    assert {"2026-03-04"} == promises(shown(shop.staff, made))
    follows = shop.staff.get(f"/v1/orders/{usher['id']}").body["events"][-1]
    assert ("promised", "one day for the whole group") == (follows["kind"], follows["facts"]["reason"])


def test_when_one_needs_less_the_group_is_promised_sooner(house):
    shop = new_shop(house, week=TIGHT)
    made = placed_group(shop.staff, USHER, USHER)
    assert {"2026-03-04"} == promises(made)
    amount = {"amount": {"value": "1/4", "unit": "in"}, "basis": "girth", "direction": "decrease"}
    asked = {"lines": [{"alteration": "trouser_band_button_move", **amount}]}
    answer = shop.staff.ask("PATCH", f"/v1/orders/{made['orders'][1]['id']}", asked, headers={"If-Match": '"1"'})
    assert 200 == answer.status, answer.body
    assert {"2026-03-03"} == promises(shown(shop.staff, made))
    assert answer.headers["ETag"] == shop.staff.get(f"/v1/orders/{made['orders'][1]['id']}").headers["ETag"]


@pytest.mark.parametrize(
    ("wrong", "pointer"),
    [
        ({"orders": [USHER]}, "/orders"),
        ({"orders": [USHER] * 31}, "/orders"),
        ({"orders": [USHER, USHER | {"needed_by": "2026-03-20"}]}, "/orders/1/needed_by"),
        ({"orders": [USHER, USHER | {"rush": True}]}, "/orders/1/rush"),
        ({"orders": [USHER, USHER | {"by": "tailor-1"}]}, "/orders/1/by"),
        ({"group_ref": "the  wedding"}, "/group_ref"),
    ],
    ids=["one", "too many", "a day of his own", "a haste of his own", "signed apart", "a name"],
)
def test_what_is_no_group_is_refused_where_it_stands(staff, wrong, pointer):
    assert (422, "field_wrong", [pointer]) == staff.post(
        "/v1/order-groups", group(USHER, USHER) | wrong, key="k"
    ).problem


def test_another_shops_group_is_not_there(staff, other_shop):
    made = placed_group(other_shop.staff, GROOM, USHER)
    assert (404, "not_found", [""]) == staff.get(f"/v1/order-groups/{made['id']}").problem
    assert [] == staff.get("/v1/orders", query={"group": made["id"]}).body["orders"]


def test_a_groups_ticket_says_which_of_its_orders_it_is(staff):
    made = placed_group(staff, GROOM, USHER, USHER)
    first, second, last = made["orders"]

    def group_on_ticket(order):
        return staff.get(f"/v1/orders/{order['id']}/ticket", headers={"Accept": "application/json"}).body["group"]

    assert ["GROUP party-7, order 1 of 3", "GROUP party-7, order 3 of 3"] == [
        group_on_ticket(first),
        group_on_ticket(last),
    ]
    moved(staff, second["id"], "cancelled", 1, reason="the shop has no such trousers")
    # What is cancelled is not waited for.
    assert "GROUP party-7, order 2 of 2" == group_on_ticket(last)

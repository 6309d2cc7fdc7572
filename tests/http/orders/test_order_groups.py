"""Several people, each with an order, and one promise."""

from dataclasses import replace
from uuid import uuid4

import pytest

from service.storage import workroom
from service.tailoring.workroom.weeks import Week
from tests.days import MONDAY
from tests.http.sheets import HEMMED, JACKET, JACKET_WAIST_IN, TO_READY, WAIST_IN, moved, moved_along
from tests.shops import new_shop

TIGHT = Week(minutes=({"trousers": 60, "jackets": 100, "finishing": 60},) * 7, fill_percent=100, horizon_days=6)
GROOM = {"garments": [JACKET], "lines": [JACKET_WAIST_IN], "customer_ref": "C-1"}
USHER = {"garments": [HEMMED], "lines": [WAIST_IN], "customer_ref": "C-2"}


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


def test_what_fails_in_the_house_brings_no_group_forward(house):
    # Ordinary work begins in three days; a redo takes of today what is kept for it.
    shop = new_shop(house, week=replace(TIGHT, start_after_days=3, fill_percent=60))
    made = placed_group(shop.staff, GROOM, USHER)
    told = {made["promised_for"]}
    groom, usher = (order["id"] for order in made["orders"])
    moved_along(shop.staff, usher, *TO_READY, ("collected", {"tried_on": True}))
    moved_along(shop.staff, groom, *TO_READY[:3])
    assert 200 == moved(shop.staff, groom, "in_workroom", 4, reason="the waist is wide").status
    assert told == promises(shown(shop.staff, made))
    assert 200 == moved(shop.staff, groom, "sewn", 5).status
    assert told == promises(shown(shop.staff, made))


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

    assert ["GROUP party-7, order 1 of 3, wearer C-1", "GROUP party-7, order 3 of 3, wearer C-2"] == [
        group_on_ticket(first),
        group_on_ticket(last),
    ]
    moved(staff, second["id"], "cancelled", 1, reason="the shop has no such trousers")
    # What is cancelled is not waited for.
    assert "GROUP party-7, order 2 of 2, wearer C-2" == group_on_ticket(last)


# ---------------------------------------------------------------- members join, leave, and change size


def join(client, made, member=USHER, key="join", **more):
    return client.post(f"/v1/order-groups/{made['id']}/members", {"by": "fitter-2"} | member | more, key=key)


def leave(client, made, order_id):
    version = client.get(f"/v1/orders/{order_id}").headers["ETag"]
    path = f"/v1/order-groups/{made['id']}/members/{order_id}?by=fitter-2&reason=does+not+come"
    return client.ask("DELETE", path, headers={"If-Match": version})


def test_who_joins_is_promised_with_the_others_and_who_leaves_goes_on_alone(house):
    shop = new_shop(house, week=TIGHT)
    made = placed_group(shop.staff, GROOM, USHER)
    assert {"2026-03-03"} == promises(made)
    joined = join(shop.staff, made)
    assert (201, "2026-03-04", made["id"]) == (
        joined.status,
        joined.body["promised_for"],
        joined.body["group"],
    )
    assert {"2026-03-04"} == promises(shown(shop.staff, made))
    assert joined.raw == join(shop.staff, made).raw
    left = leave(shop.staff, made, joined.body["id"])
    assert (200, None, "2026-03-04") == (left.status, left.body["group"], left.body["promised_for"])
    assert (["group"], "does not come", "fitter-2") == (
        left.body["events"][-1]["facts"]["changed"],
        left.body["events"][-1]["note"],
        left.body["events"][-1]["by"],
    )
    assert ({"2026-03-03"}, 2) == (promises(shown(shop.staff, made)), len(shown(shop.staff, made)["orders"]))
    assert 70 == sum(benches.get("trousers", 0) for benches in booked(shop).values())


def test_a_member_changes_size_until_the_work_begins(staff):
    made = placed_group(staff, GROOM, USHER)
    groom = made["orders"][0]
    larger = {"garments": [JACKET | {"label": "38R"}]}
    answer = staff.ask("PATCH", f"/v1/orders/{groom['id']}", larger, headers={"If-Match": '"1"'})
    assert 200 == answer.status, answer.body
    assert "38R" == answer.body["garments"][0]["label"]
    moved_along(staff, made["orders"][1]["id"], *TO_READY[:2])
    late = staff.ask(
        "PATCH", f"/v1/orders/{made['orders'][1]['id']}", {"garments": [HEMMED]}, headers={"If-Match": '"3"'}
    )
    assert (409, "amendment_too_late") == (late.status, late.problem[1])


def test_nobody_leaves_once_the_work_has_begun_and_no_one_joins_what_is_over(staff):
    made = placed_group(staff, GROOM, USHER)
    first, second = made["orders"]
    moved_along(staff, first["id"], *TO_READY[:2])
    assert (409, "group_left_too_late", [""]) == leave(staff, made, first["id"]).problem
    for version, order in ((3, first), (1, second)):
        answer = moved(staff, order["id"], "cancelled", version, reason="no party", cloth_cut=False)
        assert 200 == answer.status, answer.body
    assert (409, "group_over", [""]) == join(staff, made).problem


def test_once_work_has_begun_who_joins_keeps_the_others_day(house):
    shop = new_shop(house, week=TIGHT)
    made = placed_group(shop.staff, GROOM, USHER)
    moved_along(shop.staff, made["orders"][0]["id"], *TO_READY[:2])
    before, minutes = shown(shop.staff, made), booked(shop)
    refused = join(shop.staff, made)
    assert (409, "group_day_kept") == (refused.status, refused.problem[1])
    assert {"promised": "2026-03-03", "earliest": "2026-03-04"} == refused.body["errors"][0]["facts"]
    assert (before, minutes) == (shown(shop.staff, made), booked(shop))
    # Where there is room on the day, or ahead of it, a latecomer is welcome.
    wide = new_shop(house)
    made = placed_group(wide.staff, GROOM, USHER)
    moved_along(wide.staff, made["orders"][0]["id"], *TO_READY[:2])
    joined = join(wide.staff, made)
    assert (201, promises(made)) == (joined.status, {joined.body["promised_for"]})


def test_a_group_that_is_needed_takes_nobody_who_would_be_late(house):
    shop = new_shop(house, week=TIGHT)
    made = placed_group(shop.staff, GROOM, USHER, needed_by="2026-03-03")
    before = shown(shop.staff, made)
    assert "needed_by_too_early" == join(shop.staff, made).problem[1]
    assert before == shown(shop.staff, made)


def test_another_shops_group_takes_nobody(staff, other_shop):
    made = placed_group(other_shop.staff, GROOM, USHER)
    mine = placed_group(staff, GROOM, USHER)
    assert (404, "not_found", [""]) == join(staff, made).problem
    stranger = made["orders"][0]["id"]
    path = f"/v1/order-groups/{mine['id']}/members/{stranger}"
    assert (404, "not_found", [""]) == staff.ask("DELETE", path, headers={"If-Match": '"1"'}).problem
    assert (404, "not_found", [""]) == leave(staff, made, mine["orders"][0]["id"]).problem


@pytest.mark.parametrize(
    "media", ["text/plain", "application/json", "application/pdf", "image/svg+xml", "application/octet-stream"]
)
def test_one_sheet_has_everybody_of_a_group(staff, media):
    made = placed_group(staff, GROOM, USHER, USHER | {"customer_ref": "C-3"}, needed_by="2026-03-20")
    moved(staff, made["orders"][1]["id"], "cancelled", 1, reason="he does not come")
    answer = staff.get(f"/v1/order-groups/{made['id']}/sheet", headers={"Accept": media})
    assert (200, media) == (answer.status, answer.headers["Content-Type"].partition(";")[0])
    if media == "application/json":
        people = [(each["place"], each["number"], each["wearer"]) for each in answer.body["members"]]
        assert [("1 of 2", "1001", "C-1"), ("2 of 2", "1003", "C-3")] == people
        (piece,) = answer.body["members"][0]["pieces"]
        assert ("jacket 36R", "marked") == (piece["what"], piece["state"])
        assert "2 orders, 2 pieces, 0 of them ready or collected" == answer.body["counts"]
    if media == "text/plain":
        assert {"party-7", "C-1", "C-3", "1001", "1003", "36R:"} <= set(answer.body.split())
        assert max(map(len, answer.body.splitlines())) <= 42

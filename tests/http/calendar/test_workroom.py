"""The workroom's calendar: its week, its days, holidays, and orders at risk when minutes fall away."""

import pytest

from service.storage import workroom
from service.tailoring.workroom.weeks import Week
from tests.days import MONDAY
from tests.http.calendar.days import set_day, set_week, version
from tests.http.sheets import HEMMED, JACKET, JACKET_WAIST_IN, WAIST_IN, moved_along, named, placed
from tests.shops import new_shop

TIGHT = Week(minutes=({"trousers": 60, "jackets": 60, "finishing": 60},) * 7, fill_percent=100, horizon_days=10)
SHOULDER = {"alteration": "jacket_collar_lower", "amount": {"value": "3/8", "unit": "in"}, "basis": "length"}
ILL = "the trouser tailor is ill"


def days(client, first="2026-03-02", last="2026-03-08"):
    return client.get("/v1/workroom/days", query={"from": first, "to": last})


def bench(day, name):
    return next(each for each in day["benches"] if each["bench"] == name)


def trousers(minutes, **more):
    return [{"bench": "trousers", "minutes": minutes, **more}]


def sums_agree(shop):
    with shop.house.context.database.reading() as tx:
        return workroom.days_from(tx, shop.id, MONDAY)[0] == workroom.booked_by_order(tx, shop.id, MONDAY)


# ---------------------------------------------------------------- days


def test_a_day_says_its_minutes_what_is_booked_and_what_is_free(staff):
    placed(staff)
    monday, tuesday = days(staff, last="2026-03-03").body["days"]
    assert ("2026-03-02", False, "") == (monday["date"], monday["closed"], monday["reason"])
    assert {
        "bench": "trousers",
        "minutes": 360,
        "skilled_minutes": 360,
        "booked": 20,
        "booked_hard": 0,
        "free": 286,
        "free_for_rush": 340,
        "short": 0,
    } == bench(tuesday, "trousers")


def test_four_weeks_from_today_are_shown_where_nothing_is_said(staff):
    shown = [day["date"] for day in staff.get("/v1/workroom/days").body["days"]]
    assert (28, "2026-03-02", "2026-03-29") == (len(shown), shown[0], shown[-1])


def test_days_that_end_before_they_begin_are_none_and_no_more_are_shown_than_may_be(staff):
    assert [] == days(staff, last="2026-03-01").body["days"]
    many = days(staff, last="2027-03-01").body["days"]
    assert (92, "2026-06-01") == (len(many), many[-1]["date"])
    assert ["9999-12-31"] == [day["date"] for day in staff.get("/v1/workroom/days?from=9999-12-31").body["days"]]
    assert 28 == len(staff.get("/v1/workroom/days?from=0001-01-01").body["days"])


def test_a_closed_day_is_passed_over_and_says_why(staff):
    answer = set_day(staff, "2026-03-03", closed=True, reason="stocktaking")
    assert (200, True, "stocktaking") == (answer.status, answer.body["day"]["closed"], answer.body["day"]["reason"])
    assert "2026-03-04" == placed(staff)["promised_for"]


def test_a_day_set_with_nothing_is_as_the_week_has_it_again(staff):
    set_day(staff, "2026-03-03", closed=True, reason="stocktaking")
    assert (False, "") == tuple(set_day(staff, "2026-03-03").body["day"][part] for part in ("closed", "reason"))
    assert "2026-03-03" == placed(staff)["promised_for"]


def test_a_bench_that_is_not_named_keeps_the_weeks_minutes(staff):
    day = set_day(staff, "2026-03-03", benches=trousers(10), reason=ILL).body["day"]
    assert (10, 360) == (bench(day, "trousers")["minutes"], bench(day, "jackets")["minutes"])


def test_without_a_coat_maker_hard_work_waits_and_plain_work_does_not(staff):
    no_coat_maker = [{"bench": "jackets", "minutes": 360, "skilled_minutes": 0}]
    set_day(staff, "2026-03-03", benches=no_coat_maker, reason="the coat maker is at the fair")
    assert "2026-03-05" == placed(staff, garments=[JACKET], hems=[], lines=[SHOULDER])["promised_for"]
    assert "2026-03-03" == placed(staff, garments=[JACKET], hems=[], lines=[JACKET_WAIST_IN])["promised_for"]


def test_a_day_is_set_with_the_version_that_was_read(staff):
    read = days(staff).headers["ETag"]
    first = staff.ask("PUT", "/v1/workroom/days/2026-03-03", {"closed": True}, headers={"If-Match": read})
    stale = staff.ask("PUT", "/v1/workroom/days/2026-03-03", {}, headers={"If-Match": read})
    assert (200, (412, "version_stale", [""])) == (first.status, stale.problem)
    assert first.headers["ETag"] == days(staff).headers["ETag"] == version(staff)
    missing = staff.ask("PUT", "/v1/workroom/days/2026-03-03", {})
    assert (428, "version_missing", ["/If-Match"]) == missing.problem


@pytest.mark.parametrize("on", ["2026-03-01", "2028-03-03"])
def test_yesterday_and_the_far_future_are_not_set(staff, on):
    assert (422, "day_out_of_reach", [""]) == set_day(staff, on, closed=True).problem


def test_a_day_that_no_calendar_has_is_not_found(staff):
    assert 404 == set_day(staff, "2026-02-30").status


@pytest.mark.parametrize(
    ("wrong", "pointer"),
    [
        ({"benches": trousers(60, skilled_minutes=61)}, "/benches/0/skilled_minutes"),
        ({"benches": trousers(60) * 2}, "/benches/1"),
        ({"benches": trousers(60), "closed": True}, "/benches"),
        ({"benches": trousers(-1)}, "/benches/0/minutes"),
        ({"benches": [{"bench": "shirts", "minutes": 1}]}, "/benches/0/bench"),
        ({"reason": "x" * 201}, "/reason"),
    ],
    ids=named,
)
def test_what_is_no_day_is_refused_where_it_stands(staff, wrong, pointer):
    assert (422, "field_wrong", [pointer]) == set_day(staff, "2026-03-03", **wrong).problem


# ---------------------------------------------------------------- the week and its holidays


def test_a_week_is_read_and_put_as_it_was_read(staff):
    answer = staff.get("/v1/workroom/week")
    again = set_week(staff)
    assert (answer.body, answer.headers["ETag"]) == (again.body, again.headers["ETag"])


def test_public_holidays_are_closed_by_their_names(staff):
    # Saint Patrick's Day, as the library of public holidays has it.
    assert 200 == set_week(staff, country="IE").status
    (day,) = days(staff, "2026-03-17", "2026-03-17").body["days"]
    assert (True, "Saint Patrick's Day") == (day["closed"], day["reason"])


def test_holidays_of_a_part_of_a_country_are_its_own(staff):
    def closed(subdivision):
        set_week(staff, country="DE", subdivision=subdivision)
        return days(staff, "2026-06-04", "2026-06-04").body["days"][0]["closed"]

    # Corpus Christi is kept in Bavaria and not in Berlin.
    assert (True, False) == (closed("BY"), closed("BE"))


def test_a_shop_may_open_on_a_holiday(staff):
    set_week(staff, country="IE")
    day = set_day(staff, "2026-03-17", benches=trousers(120), reason="open in the morning").body["day"]
    assert (False, 120) == (day["closed"], bench(day, "trousers")["minutes"])


@pytest.mark.parametrize(
    ("changes", "problem"),
    [
        ({"country": "ZZ"}, (422, "country_unknown", ["/country"])),
        ({"country": "DE", "subdivision": "ZZ"}, (422, "country_unknown", ["/subdivision"])),
        ({"subdivision": "BY"}, (422, "week_wrong", ["/subdivision"])),
        ({"country": "de"}, (422, "field_wrong", ["/country"])),
        ({"rush_start_after_days": 2}, (422, "week_wrong", ["/rush_start_after_days"])),
        ({"fill_percent": 0}, (422, "field_wrong", ["/fill_percent"])),
        ({"weekdays": [{"weekday": "monday", "benches": []}] * 2}, (422, "field_wrong", ["/weekdays/1"])),
    ],
    ids=named,
)
def test_what_is_no_week_is_refused_where_it_stands(staff, changes, problem):
    assert problem == set_week(staff, **changes).problem


def test_closures_of_the_shop_are_passed_over(staff):
    set_week(staff, closed=["2026-03-03"])
    assert "2026-03-04" == placed(staff)["promised_for"]


def test_a_week_decides_how_much_of_a_day_is_promised_and_when_work_begins(staff):
    weekdays = [{"weekday": "thursday", "benches": [*trousers(40), {"bench": "finishing", "minutes": 200}]}]
    set_week(staff, weekdays=weekdays, fill_percent=50, start_after_days=3)
    assert ["2026-03-05", "2026-03-12"] == [placed(staff)["promised_for"] for _ in range(2)]


def test_only_who_keeps_the_shops_tables_puts_its_week(shop):
    answer = shop.client("workroom").ask("PUT", "/v1/workroom/week", {}, headers={"If-Match": '"1"'})
    assert (403, "scope_missing", [""]) == answer.problem


# ---------------------------------------------------------------- at risk


def test_a_day_with_fewer_minutes_lists_the_orders_that_were_promised_last(house):
    shop = new_shop(house, week=TIGHT)
    orders = [placed(shop.staff) for _ in range(3)]
    assert {"2026-03-03"} == {order["promised_for"] for order in orders}
    answer = set_day(shop.staff, "2026-03-03", benches=trousers(45), reason=ILL).body
    assert ["1003"] == [each["number"] for each in answer["at_risk"]]
    assert [{"day": "2026-03-03", "bench": "trousers", "minutes": 20}] == answer["at_risk"][0]["shortages"]
    assert 15 == bench(answer["day"], "trousers")["short"]
    assert answer["at_risk"] == shop.staff.get("/v1/workroom/orders-at-risk").body["orders"]
    assert {"2026-03-03"} == {each["promised_for"] for each in shop.staff.get("/v1/orders").body["orders"]}


def test_orders_at_risk_are_promised_anew_all_together_with_the_reason(house):
    shop = new_shop(house, week=TIGHT)
    orders = [placed(shop.staff, **more) for more in ({}, {"needed_by": "2026-03-03"}, {"needed_by": "2026-03-20"})]
    set_day(shop.staff, "2026-03-03", benches=trousers(20), reason=ILL)
    answer = shop.staff.post("/v1/workroom/promises", {"by": "tailor-1", "reason": ILL}).body["orders"]
    assert [("1002", "2026-03-03", "2026-03-04", True), ("1003", "2026-03-03", "2026-03-04", False)] == [
        (each["number"], each["promised_before"], each["promised_for"], each["too_late"]) for each in answer
    ]
    assert [] == shop.staff.get("/v1/workroom/orders-at-risk").body["orders"]
    last = shop.staff.get(f"/v1/orders/{orders[2]['id']}").body["events"][-1]
    assert ("promised", "tailor-1", ILL) == (last["kind"], last["by"], last["facts"]["reason"])
    assert sums_agree(shop)


def test_a_rush_keeps_its_minutes_and_others_give_way(house):
    shop = new_shop(house, week=TIGHT)
    week = {"rush_start_after_days": 1}
    set_week(shop.staff, **week)
    first, hurried = placed(shop.staff), placed(shop.staff, rush=True)
    assert "2026-03-03" == first["promised_for"] == hurried["promised_for"]
    answer = set_day(shop.staff, "2026-03-03", benches=trousers(20), reason=ILL).body
    assert ["1001"] == [each["number"] for each in answer["at_risk"]]


def test_what_is_done_is_not_at_risk(house):
    shop = new_shop(house, week=TIGHT)
    first = placed(shop.staff)
    placed(shop.staff)
    moved_along(
        shop.staff, first["id"], ("accepted", {}), ("in_workroom", {}), ("sewn", {}), ("pressed", {"pins_out": 0})
    )
    assert ["1002"] == [each["number"] for each in set_day(shop.staff, "2026-03-03", closed=True).body["at_risk"]]


def test_where_no_day_is_free_nothing_is_promised_anew(house):
    shop = new_shop(house, week=TIGHT)
    placed(shop.staff)
    set_week(shop.staff, weekdays=[])
    answer = shop.staff.post("/v1/workroom/promises", {"reason": "closed for good"})
    assert (409, "no_free_day", [""]) == answer.problem
    assert "2026-03-03" == shop.staff.get("/v1/orders").body["orders"][0]["promised_for"]
    assert sums_agree(shop)


def test_another_shops_days_are_not_touched(house, staff, other_shop):
    set_day(other_shop.staff, "2026-03-03", closed=True)
    assert "2026-03-03" == placed(staff)["promised_for"]


# ---------------------------------------------------------------- who


def test_what_nobody_signs_is_signed_by_the_key(shop):
    order = placed(shop.staff, garments=[HEMMED], hems=[], lines=[WAIST_IN])
    answer = shop.client("workroom").post(
        f"/v1/orders/{order['id']}/moves", {"to": "accepted"}, headers={"If-Match": '"1"'}
    )
    assert "test" == answer.body["events"][-1]["by"]

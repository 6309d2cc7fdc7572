"""The hours of a shop: until when today's minutes count, what a late rush is promised for, and when to collect."""

import pytest

from service.tailoring.workroom.weeks import Week
from tests.http.calendar.days import set_week
from tests.http.sheets import JACKET, JACKET_WAIST_IN, moved, moved_along, placed
from tests.shops import new_shop

SHOULDER = {"alteration": "jacket_collar_lower", "amount": {"value": "3/8", "unit": "in"}, "basis": "length"}
AT_ONCE = Week(start_after_days=0, rush_start_after_days=0)
DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday")
OPEN = [{"weekday": day, "opens": "09:00", "closes": "18:00"} for day in DAYS]


@pytest.fixture
def at_once(house):
    return new_shop(house, week=AT_ONCE).staff


def at(house, hour, minute=0):
    house.clock.time = house.clock.time.replace(hour=hour, minute=minute)


def slip(client, order):
    return client.get(f"/v1/orders/{order['id']}/customer-slip", headers={"Accept": "application/json"}).body


def test_before_the_cut_off_today_counts_and_from_it_on_it_does_not(house, at_once):
    assert 200 == set_week(at_once, cut_off="15:00").status
    at(house, 14, 59)
    assert "2026-03-02" == placed(at_once)["promised_for"]
    at(house, 15)
    assert ["2026-03-03"] * 2 == [placed(at_once)["promised_for"], placed(at_once, rush=True)["promised_for"]]


def test_a_rush_at_a_minute_to_closing_is_for_the_next_day_that_is_open(house, staff):
    assert 200 == set_week(staff, opening=OPEN).status
    at(house, 17)
    assert "2026-03-02" == placed(staff, rush=True)["promised_for"]
    at(house, 17, 59)
    assert "2026-03-03" == placed(staff, rush=True)["promised_for"]


def test_late_rushes_together_take_no_more_than_is_left_of_the_day(house, staff):
    assert 200 == set_week(staff, opening=OPEN).status
    at(house, 17)
    # An hour of nine is left: of the presser's 180 minutes it is twenty, and a pair of trousers takes fifteen.
    assert ["2026-03-02", "2026-03-03"] == [placed(staff, rush=True)["promised_for"] for _ in range(2)]


def test_without_hours_a_rush_at_a_minute_to_midnight_is_not_for_that_day(house, staff):
    at(house, 23, 59)
    assert "2026-03-03" == placed(staff, rush=True)["promised_for"]


def test_what_is_done_on_a_day_on_which_the_shop_is_closed_is_promised_for_the_next_that_is_open(staff):
    assert 200 == set_week(staff, opening=[day for day in OPEN if day["weekday"] != "tuesday"]).status
    assert "2026-03-04" == placed(staff)["promised_for"]


@pytest.mark.parametrize(
    ("collect_from", "hour"), [(None, "by 18:00"), ("16:00", "from 16:00 to 18:00"), ("09:00", "from 09:00 to 18:00")]
)
def test_the_slip_says_the_hour_of_collection_on_its_day(staff, collect_from, hour):
    opening = [day | {"collect_from": collect_from} for day in OPEN]
    assert 200 == set_week(staff, opening=opening).status
    assert hour == slip(staff, placed(staff))["hour"]


@pytest.mark.parametrize(
    ("day", "pointer"),
    [
        ({"opens": "18:00", "closes": "09:00"}, "/opening"),
        ({"collect_from": "18:00"}, "/opening"),
        ({"opens": "9 o'clock"}, "/opening/0/opens"),
        ({"opens": 9}, "/opening/0/opens"),
        ({"closes": "24:00"}, "/opening/0/closes"),
    ],
)
def test_hours_that_are_none_are_pointed_at(staff, day, pointer):
    answer = set_week(staff, opening=[OPEN[0] | day])
    assert (422, pointer) == (answer.status, answer.body["errors"][0]["pointer"])


def test_a_day_is_named_once_and_what_was_set_is_shown(staff):
    twice = set_week(staff, opening=[OPEN[0], OPEN[0]])
    assert (422, "/opening/1") == (twice.status, twice.body["errors"][0]["pointer"])
    kept = set_week(staff, opening=OPEN, cut_off="15:30", fitting_after_days=2).body
    assert kept == staff.get("/v1/workroom/week").body
    assert ("15:30", 2, "09:00") == (kept["cut_off"], kept["fitting_after_days"], kept["opening"][0]["opens"])


# ---------------------------------------------------------------- what is basted is fitted before it is closed


def test_a_promise_leaves_room_for_a_fitting_and_says_which_day(staff):
    order = placed(staff, garments=[JACKET], lines=[SHOULDER], hems=[])
    # Basted on Tuesday, fitted on Wednesday, closed and pressed on the same day.
    assert ([{"piece": 1, "on": "2026-03-04"}], "2026-03-04") == (order["planned_fittings"], order["promised_for"])
    ticket = staff.get(f"/v1/orders/{order['id']}/ticket", headers={"Accept": "text/plain"}).body
    assert "fitting Wednesday" in " ".join(ticket.split())
    assert ["Wednesday 4 March 2026: jacket"] == slip(staff, order)["fittings"]


def test_a_fitting_is_on_a_day_on_which_the_shop_is_open(staff):
    set_week(staff, opening=[day for day in OPEN if day["weekday"] not in {"wednesday", "thursday"}])
    order = placed(staff, garments=[JACKET], lines=[SHOULDER], hems=[])
    assert ([{"piece": 1, "on": "2026-03-06"}], "2026-03-06") == (order["planned_fittings"], order["promised_for"])


def test_a_shop_that_leaves_no_room_for_fittings_promises_without(staff):
    set_week(staff, fitting_after_days=0)
    order = placed(staff, garments=[JACKET], lines=[SHOULDER], hems=[])
    assert ([], "2026-03-03") == (order["planned_fittings"], order["promised_for"])


def test_what_is_not_hard_needs_no_fitting(staff):
    assert [] == placed(staff, garments=[JACKET], lines=[JACKET_WAIST_IN], hems=[])["planned_fittings"]


def test_a_fitting_that_has_its_day_is_planned_no_more(house, staff):
    order = placed(staff, garments=[JACKET], lines=[SHOULDER], hems=[])
    house.clock.advance(days=1)
    moved(staff, order["id"], "accepted", 1)
    moved(staff, order["id"], "in_workroom", 2)
    basted = moved(staff, order["id"], "basted_for_fitting", 3, fitting_on="2026-03-05").body
    assert ([], "2026-03-05", "2026-03-05") == (
        basted["planned_fittings"],
        basted["fitting_on"],
        basted["promised_for"],
    )


def test_a_fitting_that_is_planned_no_more_is_told_though_the_day_stays(house, staff):
    order = placed(staff, garments=[JACKET], lines=[SHOULDER], hems=[])
    set_week(staff, fitting_after_days=0)
    house.clock.advance(days=1)
    asked = {"by": "tailor-1", "reason": "no fitting room until Thursday"}
    again = staff.post(f"/v1/orders/{order['id']}/promises", asked, headers={"If-Match": '"1"'}).body
    assert ([], order["promised_for"]) == (again["planned_fittings"], again["promised_for"])
    assert ["placed", "promised"] == [each["kind"] for each in again["events"]]
    assert "order.promised" == staff.get("/v1/events").body["events"][-1]["type"]


def test_what_is_put_right_is_not_fitted_once_more(house, staff):
    order = placed(staff, garments=[JACKET], lines=[SHOULDER], hems=[])
    house.clock.advance(days=1)
    steps = [("accepted", {}), ("in_workroom", {}), ("basted_for_fitting", {"fitting_on": "2026-03-04"})]
    steps += [("in_workroom", {}), ("sewn", {}), ("pressed", {"pins_out": 0}), ("ready", {"pins_out": 0})]
    moved_along(staff, order["id"], *steps)
    house.clock.advance(days=1)
    redone = moved(staff, order["id"], "in_workroom", 8, reason="the collar stands off").body
    # By hand: a redo takes of today's minutes what is kept for it, and waits for no fitting.
    assert ([], "2026-03-04") == (redone["planned_fittings"], redone["promised_for"])
    ticket = staff.get(f"/v1/orders/{order['id']}/ticket", headers={"Accept": "text/plain"}).body
    assert "baste and fit" not in " ".join(ticket.split())
    assert "fitted by" in " ".join(ticket.split())

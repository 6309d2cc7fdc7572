"""Zones whose clocks move at midnight: a day there begins at one o'clock, or ends twice; the shop's days do neither."""

from datetime import UTC, date, datetime, timedelta
from uuid import uuid4

import pytest

from service.use_cases.people.retention import forget_expired, keep_readings_for
from tests.faults.books import WEEK
from tests.http.sheets import SLIM, placed
from tests.http.sheets import order as order_sheet
from tests.shops import new_shop


def at(text):
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


# Zone, a second before the clocks move, the local day and hour of it, and those of a second later (IANA tzdata 2026).
MOVES = [
    ("America/Havana", at("2026-03-08 04:59:59"), date(2026, 3, 7), "23:59", date(2026, 3, 8), "01:00"),
    ("America/Havana", at("2026-11-01 04:59:59"), date(2026, 11, 1), "00:59", date(2026, 11, 1), "00:00"),
    ("Africa/Cairo", at("2026-04-23 21:59:59"), date(2026, 4, 23), "23:59", date(2026, 4, 24), "01:00"),
    ("Africa/Cairo", at("2026-10-29 20:59:59"), date(2026, 10, 29), "23:59", date(2026, 10, 29), "23:00"),
    ("Asia/Beirut", at("2026-03-28 21:59:59"), date(2026, 3, 28), "23:59", date(2026, 3, 29), "01:00"),
    ("Asia/Beirut", at("2026-10-24 20:59:59"), date(2026, 10, 24), "23:59", date(2026, 10, 24), "23:00"),
]
moves = pytest.mark.parametrize(
    ("zone", "moment", "before", "hour_before", "after", "hour_after"), MOVES, ids=[f"{m[0]}-{m[2]}" for m in MOVES]
)


@moves
def test_orders_of_either_side_are_promised_by_their_shops_day(
    house, zone, moment, before, hour_before, after, hour_after
):
    staff = new_shop(house, time_zone=zone, week=WEEK).staff
    for now, day, hour in ((moment, before, hour_before), (moment + timedelta(seconds=1), after, hour_after)):
        house.clock.time = now
        order = placed(staff)
        # Work begins on the day after the order, and a hem is done on it.
        assert (day + timedelta(days=1)).isoformat() == order["promised_for"]
        paper = staff.get(f"/v1/orders/{order['id']}/ticket", headers={"Accept": "text/plain"}).body
        assert f"{day:%A} {day.day} {day:%B %Y}, {hour}" in paper
        refused = staff.post("/v1/orders", order_sheet(needed_by=day.isoformat()), key=str(uuid4()))
        assert 409 == refused.status
        told = refused.body["errors"][0]["facts"]
        assert (day + timedelta(days=1)).isoformat() == told["earliest"]
        # In the last minute of a day there is no time for a hem.
        rush_day = day + timedelta(days=1) if hour == "23:59" else day
        assert rush_day.isoformat() == told["earliest_rush"]


@moves
def test_the_calendar_has_every_day_once(house, zone, moment, before, hour_before, after, hour_after):
    staff = new_shop(house, time_zone=zone, week=WEEK).staff
    for now, day in ((moment, before), (moment + timedelta(seconds=1), after)):
        house.clock.time = now
        shown = [each["date"] for each in staff.get("/v1/workroom/days").body["days"]]
        assert [(day + timedelta(days=n)).isoformat() for n in range(28)] == shown
        work = staff.get("/v1/workroom/worklist")
        assert 200 == work.status


@moves
def test_readings_are_of_their_shops_day_and_kept_for_as_many_hours_as_anywhere(
    house, zone, moment, before, hour_before, after, hour_after
):
    shop = new_shop(house, time_zone=zone)
    keep_readings_for(house.context, shop.id, 30)
    for now, day in ((moment, before), (moment + timedelta(seconds=1), after)):
        house.clock.time = now
        asked = {"readings": SLIM, "customer_ref": "C-1"}
        assert day.isoformat() == shop.staff.post("/v1/measurement-sets", asked).body["taken_on"]
        tomorrow = {**asked, "taken_on": (day + timedelta(days=1)).isoformat()}
        assert "taken_in_future" == shop.staff.post("/v1/measurement-sets", tomorrow).body["code"]
    for later, left in ((0, 2), (1, 1), (2, 0)):
        house.clock.time = moment + timedelta(days=30, seconds=later)
        forget_expired(house.context)
        assert left == len(shop.staff.get("/v1/customers/C-1/measurement-sets").body["measurement_sets"])

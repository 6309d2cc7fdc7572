"""The workroom's day over HTTP."""

import pytest

from service.tailoring.workroom.weeks import Week
from tests.http.sheets import HEMMED, JACKET, JACKET_WAIST_IN, WAIST_IN, moved, moved_along, placed
from tests.shops import new_shop

TUESDAY, WEDNESDAY = "2026-03-03", "2026-03-04"
QUESTION = {"question": "which leg?"}


def day_of(client, **query):
    answer = client.get("/v1/workroom/worklist", query=query)
    assert 200 == answer.status, answer.body
    return {each["bench"]: each for each in answer.body["benches"]}


def listed(bench):
    return [(job["number"], job["urgency"]) for job in bench["jobs"]]


def test_each_bench_has_its_day_with_the_lines_of_its_orders(staff):
    # Placed on Monday, so sewn and pressed on Tuesday.
    body = placed(staff, garments=[HEMMED, JACKET], hems=[], lines=[WAIST_IN, JACKET_WAIST_IN], needed_by="2026-03-20")
    benches = day_of(staff, day=TUESDAY)
    assert ["trousers", "jackets", "finishing"] == list(benches)
    (job,) = benches["trousers"]["jobs"]
    (line,), (piece,) = job.pop("lines"), job.pop("pieces")
    assert {
        "id": body["id"],
        "number": "1001",
        "state": "marked",
        "rush": False,
        "urgency": "today",
        "reasons": [],
        "promised_for": body["promised_for"],
        "needed_by": "2026-03-20",
        "booked_for": TUESDAY,
        "minutes": 35,
        "minutes_planned": 35,
        "minutes_taken": 0,
        "version": 1,
    } == job
    amount, target = line.pop("amount"), line.pop("target")
    assert ("1 in", "29 3/4 in") == (amount["text"], target["text"])
    assert {
        "number": 1,
        "piece": 1,
        "alteration": "trouser_waist_in",
        "words": "take in waist at centre back",
        "side": None,
        "basis": "girth",
        "direction": "decrease",
        "sides_differ": False,
        "note": "",
        "sewn_by": [],
        "minutes": 35,
        "minutes_taken": 0,
        "assigned_to": None,
        "at_work": [],
    } == line
    assert (1, "trousers", "", "marked", ["accepted", "cancelled", "lost"], 0, 35) == tuple(
        piece[name] for name in ("piece", "garment", "cloth", "state", "may_move_to", "pins_in", "minutes")
    )
    assert [2] == [line["number"] for line in benches["jackets"]["jobs"][0]["lines"]]
    assert [] == benches["finishing"]["jobs"][0]["lines"]


def test_the_day_is_the_shops_today_where_none_is_said(staff, clock):
    placed(staff)
    assert 0 == day_of(staff)["trousers"]["count"]
    clock.advance(days=1)
    assert 1 == day_of(staff)["trousers"]["count"]
    answer = staff.get("/v1/workroom/worklist")
    assert TUESDAY == answer.body["day"]


def test_one_bench_may_be_asked_for(staff):
    placed(staff)
    assert ["finishing"] == list(day_of(staff, day=TUESDAY, bench="finishing"))


def test_what_is_late_comes_before_what_is_behind_and_that_before_the_days_own(staff, clock):
    late, behind = placed(staff), placed(staff)
    moved_along(staff, late["id"], ("accepted", {}))
    moved_along(staff, behind["id"], ("accepted", {}), ("in_workroom", {}), ("sewn", {}))
    clock.advance(days=1)
    fresh = placed(staff)
    jobs = day_of(staff, day=WEDNESDAY)
    assert [(late["number"], "late"), (fresh["number"], "today")] == listed(jobs["trousers"])
    assert [(late["number"], "late"), (behind["number"], "late"), (fresh["number"], "today")] == listed(
        jobs["finishing"]
    )
    assert "promised for 2026-03-03" in jobs["trousers"]["jobs"][0]["reasons"]


def test_a_question_to_the_fitter_puts_the_day_at_risk(staff):
    first, second = placed(staff), placed(staff)
    moved_along(staff, second["id"], ("accepted", {}), ("in_workroom", {}), ("query", QUESTION))
    bench = day_of(staff, day=TUESDAY)["trousers"]
    assert [(second["number"], "at_risk"), (first["number"], "today")] == listed(bench)
    assert ["the fitter has not answered"] == bench["jobs"][0]["reasons"]


# What a query must say.
QUESTION = {"question": "which leg?"}


def test_what_is_done_or_cancelled_leaves_the_list(staff):
    done, dropped = placed(staff), placed(staff)
    moved_along(staff, done["id"], ("accepted", {}), ("in_workroom", {}), ("sewn", {}), ("pressed", {"pins_out": 0}))
    moved(staff, dropped["id"], "cancelled", 1, reason="returned")
    assert [0, 0, 0] == [bench["count"] for bench in day_of(staff, day=TUESDAY).values()]


def test_a_short_list_still_says_how_much_there_is(staff):
    minutes = [placed(staff)["minutes"] for _ in range(3)]
    bench = day_of(staff, day=TUESDAY, limit=2)["trousers"]
    assert (3, sum(minutes), 2) == (bench["count"], bench["minutes"], len(bench["jobs"]))


def test_another_shops_work_is_not_on_the_list_nor_counted(staff, other_shop):
    placed(other_shop.staff)
    assert 0 == sum(bench["count"] for bench in day_of(staff, day=TUESDAY).values())
    assert 0 == sum(each["orders"] for each in staff.get("/v1/orders/counts").body["states"])


@pytest.mark.parametrize(
    ("query", "pointer"),
    [
        ({"day": "03/03/2026"}, "/day"),
        ({"bench": "shirts"}, "/bench"),
        ({"limit": "0"}, "/limit"),
        ({"limit": "501"}, "/limit"),
        ({"days": "1"}, "/days"),
    ],
)
def test_what_is_no_day_is_refused_where_it_stands(staff, query, pointer):
    assert (422, "field_wrong", [pointer]) == staff.get("/v1/workroom/worklist", query=query).problem


def test_the_list_is_the_workrooms_and_the_counts_are_anybodys_who_follows_orders(shop):
    clients = [shop.client(scope) for scope in ("workroom", "order", "measure")]
    paths = ("/v1/workroom/worklist", "/v1/orders/counts")
    assert [[200, 200], [403, 200], [403, 403]] == [[each.get(path).status for path in paths] for each in clients]


def test_open_orders_are_counted_by_state_and_by_their_day(staff, clock):
    first, second, third = (placed(staff) for _ in range(3))
    moved_along(staff, first["id"], ("accepted", {}), ("in_workroom", {}))
    moved(staff, third["id"], "cancelled", 1, reason="returned")
    clock.advance(days=1)
    body = staff.get("/v1/orders/counts").body
    counted = {each["state"]: each["orders"] for each in body["states"]}
    assert {"in_workroom": 1, "marked": 1} == {state: count for state, count in counted.items() if count}
    assert {"collected", "cancelled"}.isdisjoint(counted)
    assert (TUESDAY, 0, 2, 0) == (body["day"], body["late"], body["due"], body["due_in_a_week"])
    clock.advance(days=1)
    body = staff.get("/v1/orders/counts").body
    assert (2, 0) == (body["late"], body["due"])
    assert {first["promised_for"], second["promised_for"]} == {TUESDAY}


TIGHT = Week(minutes=({"trousers": 60, "jackets": 60, "finishing": 60},) * 7, fill_percent=100, horizon_days=10)


def test_the_list_and_the_orders_at_risk_agree_where_a_day_is_cut_short(house):
    shop = new_shop(house, week=TIGHT)
    for _ in range(3):
        placed(shop.staff)
    read = shop.staff.get("/v1/workroom/week").headers["ETag"]
    cut = {"benches": [{"bench": "trousers", "minutes": 45}], "reason": "the trouser tailor is ill"}
    shop.staff.ask("PUT", f"/v1/workroom/days/{TUESDAY}", cut, headers={"If-Match": read})
    at_risk = [each["number"] for each in shop.staff.get("/v1/workroom/orders-at-risk").body["orders"]]
    benches = day_of(shop.staff, day=TUESDAY)
    assert [("1003", "at_risk"), ("1001", "today"), ("1002", "today")] == listed(benches["trousers"])
    assert ["too few minutes at trousers"] == benches["finishing"]["jobs"][0]["reasons"]
    assert ["1003"] == at_risk

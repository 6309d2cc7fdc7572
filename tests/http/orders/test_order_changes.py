"""Orders moved along, amended and promised anew, with the calendar following them."""

from dataclasses import replace

import pytest

from service.storage import workroom
from service.tailoring.workroom.weeks import Week
from tests.days import MONDAY
from tests.http.sheets import (
    HEMMED,
    IN_WORKROOM,
    JACKET,
    JACKET_WAIST_IN,
    PINNED,
    TO_READY,
    TROUSERS,
    WAIST_IN,
    inches,
    moved,
    moved_along,
    named,
    placed,
)
from tests.shops import new_shop

TIGHT = Week(minutes=({"trousers": 60, "jackets": 60, "finishing": 60},) * 7, fill_percent=100, horizon_days=10)
UNCUT = {"inside_leg": inches(36)}


def booked(shop):
    """Minutes that are booked, by day and bench; the sums agree with the orders."""
    with shop.house.context.database.reading() as tx:
        held, _ = workroom.days_from(tx, shop.id, MONDAY)
        assert held == workroom.booked_by_order(tx, shop.id, MONDAY)
    return {day.isoformat(): {bench: each.minutes for bench, each in held[day].items()} for day in sorted(held)}


def amended(client, order, version=1, **changes):
    asked = {"by": "fitter-1", **changes}
    return client.ask("PATCH", f"/v1/orders/{order['id']}", asked, headers={"If-Match": f'"{version}"'})


def promised_anew(client, order, version, **more):
    asked = {"by": "tailor-1", "reason": "the coat maker is ill", **more}
    return client.post(f"/v1/orders/{order['id']}/promises", asked, headers={"If-Match": f'"{version}"'})


# ---------------------------------------------------------------- questions and answers


def test_a_question_waits_for_its_answer_and_both_are_kept(staff):
    order = placed(staff)
    asked = moved_along(staff, order["id"], *IN_WORKROOM, ("query", {"question": "No inlay at the seat: go on?"}))
    assert "No inlay at the seat: go on?" == asked.body["question"]
    assert (422, "answer_missing", ["/answer"]) == moved(staff, order["id"], "in_workroom", 4).problem
    answered = moved(staff, order["id"], "in_workroom", 4, answer="Leave the seat as it is.").body
    assert None is answered["question"]
    assert [{"question": "No inlay at the seat: go on?"}, {"answer": "Leave the seat as it is."}] == [
        event["facts"] for event in answered["events"][-2:]
    ]


def test_a_query_without_a_question_is_refused(staff):
    order = placed(staff)
    moved_along(staff, order["id"], *IN_WORKROOM)
    assert (422, "question_missing", ["/question"]) == moved(staff, order["id"], "query", 3).problem


# ---------------------------------------------------------------- second fitting


def test_what_follows_a_second_fitting_is_booked_after_it_and_the_day_moves(house):
    shop = new_shop(house, week=TIGHT)
    order = placed(shop.staff)
    assert {"2026-03-03": {"finishing": 15, "trousers": 20}} == booked(shop)
    basted = moved_along(
        shop.staff, order["id"], *IN_WORKROOM, ("basted_for_fitting", {"fitting_on": "2026-03-06"})
    ).body
    assert ("2026-03-06", "2026-03-06") == (basted["fitting_on"], basted["promised_for"])
    assert {"2026-03-06": {"finishing": 15, "trousers": 20}} == booked(shop)
    facts = {"fitting_on": "2026-03-06", "promised_for": "2026-03-06", "promised_before": "2026-03-03"}
    assert facts == basted["events"][-1]["facts"]
    assert None is moved(shop.staff, order["id"], "sewn", 4).body["fitting_on"]


@pytest.mark.parametrize("day", ["2026-03-01", "2026-07-01"])
def test_a_fitting_is_neither_past_nor_beyond_the_calendar(staff, day):
    order = placed(staff)
    moved_along(staff, order["id"], *IN_WORKROOM)
    answer = moved(staff, order["id"], "basted_for_fitting", 3, fitting_on=day)
    assert (422, "fitting_day_wrong", ["/fitting_on"]) == answer.problem
    assert (422, "fitting_on_missing", ["/fitting_on"]) == moved(staff, order["id"], "basted_for_fitting", 3).problem


# ---------------------------------------------------------------- redo


def test_a_redo_books_minutes_again_for_a_new_day_and_costs_nothing(house):
    shop = new_shop(house, week=TIGHT)
    order = placed(shop.staff)
    moved_along(shop.staff, order["id"], *TO_READY)
    house.clock.advance(days=4)
    redo = moved(shop.staff, order["id"], "in_workroom", 6, reason="the left leg is long").body
    assert "2026-03-06" == redo["promised_for"]
    assert {"finishing": 15, "trousers": 20} == booked(shop)["2026-03-06"]
    assert ("moved", "the left leg is long") == (redo["events"][-1]["kind"], redo["events"][-1]["facts"]["reason"])
    assert order["total"] == shop.staff.get(f"/v1/orders/{order['id']}/charges").body["total"]


@pytest.mark.parametrize("collected", [False, True])
def test_what_fails_in_the_house_is_promised_no_sooner_than_the_customer_was_told(house, collected):
    # Ordinary work begins in three days; a redo takes of today what is kept for it.
    shop = new_shop(house, week=replace(TIGHT, start_after_days=3, fill_percent=60))
    order = placed(shop.staff)
    assert "2026-03-05" == order["promised_for"]
    steps = [*TO_READY, ("collected", {"tried_on": True})] if collected else TO_READY[:3]
    moved_along(shop.staff, order["id"], *steps)
    redo = moved(shop.staff, order["id"], "in_workroom", len(steps) + 1, reason="the left leg is long").body
    assert ("2026-03-02" if collected else "2026-03-05") == redo["promised_for"]


def test_only_the_lines_that_are_done_again_are_booked(house):
    shop = new_shop(house, week=TIGHT)
    order = placed(shop.staff, garments=[TROUSERS, JACKET], lines=[WAIST_IN, JACKET_WAIST_IN])
    jacket = next(line for line in order["lines"] if line["alteration"] == "jacket_waist_in")
    moved_along(shop.staff, order["id"], *TO_READY)
    house.clock.advance(days=7)
    moved(shop.staff, order["id"], "in_workroom", 6, reason="it pulls", redo_lines=[jacket["number"]])
    again = {day: benches for day, benches in booked(shop).items() if day >= "2026-03-09"}
    assert {"2026-03-09": {"jackets": 60}, "2026-03-10": {"jackets": 8, "finishing": 23}} == again


def test_a_line_that_is_none_is_not_done_again(staff):
    order = placed(staff)
    moved_along(staff, order["id"], *TO_READY)
    answer = moved(staff, order["id"], "in_workroom", 6, reason="it pulls", redo_lines=[1, 3])
    assert (422, "line_unknown", ["/redo_lines/1"]) == answer.problem


def test_a_redo_may_take_of_the_minutes_that_were_kept_for_it(house):
    # common practice, no source: 10 to 15 % are kept free for redo and rush
    week = Week(minutes=({"trousers": 100, "jackets": 0, "finishing": 100},) * 7, fill_percent=20)
    shop = new_shop(house, week=week)
    order, *others = [placed(shop.staff) for _ in range(3)]
    assert ["2026-03-04", "2026-03-05"] == [other["promised_for"] for other in others]
    moved_along(shop.staff, order["id"], *TO_READY)
    house.clock.advance(days=2)
    assert "2026-03-04" == moved(shop.staff, order["id"], "in_workroom", 6, reason="hem").body["promised_for"]


# ---------------------------------------------------------------- minutes given back


def test_work_that_is_done_sooner_gives_its_minutes_back(house):
    shop = new_shop(house, week=TIGHT)
    order = placed(shop.staff, garments=[JACKET], hems=[], lines=[JACKET_WAIST_IN])
    assert {"2026-03-03": {"jackets": 60}, "2026-03-04": {"jackets": 8, "finishing": 23}} == booked(shop)
    house.clock.advance(days=1)
    moved_along(shop.staff, order["id"], *IN_WORKROOM, ("sewn", {}))
    assert {"2026-03-03": {"jackets": 60}, "2026-03-04": {"finishing": 23}} == booked(shop)
    moved(shop.staff, order["id"], "pressed", 4, pins_out=0)
    assert {"2026-03-03": {"jackets": 60}} == booked(shop)


def test_cancelling_frees_what_is_ahead_and_records_whether_cloth_was_cut(house):
    shop = new_shop(house, week=TIGHT)
    order = placed(shop.staff)
    moved_along(shop.staff, order["id"], *IN_WORKROOM)
    answer = moved(shop.staff, order["id"], "cancelled", 3, reason="the wedding is off", cloth_cut=True).body
    assert {} == booked(shop)
    assert {"reason": "the wedding is off", "cloth_cut": True} == answer["events"][-1]["facts"]


# ---------------------------------------------------------------- rush


def test_a_rush_is_sooner_and_says_so(staff):
    assert ("2026-03-03", False) == tuple(placed(staff)[part] for part in ("promised_for", "rush"))
    assert ("2026-03-02", True) == tuple(placed(staff, rush=True)[part] for part in ("promised_for", "rush"))


def test_a_day_that_only_a_rush_can_meet_is_refused_with_both_days(staff):
    answer = staff.post(
        "/v1/orders", {"garments": [HEMMED], "lines": [WAIST_IN], "by": "fitter-1", "needed_by": "2026-03-02"},
        key="k",
    )  # fmt: skip
    assert (409, "needed_by_too_early", ["/needed_by"]) == answer.problem
    days = {"earliest": "2026-03-03", "earliest_rush": "2026-03-02", "needed_by": "2026-03-02"}
    assert days == answer.body["errors"][0]["facts"]
    hurried = placed(staff, garments=[HEMMED], hems=[], lines=[WAIST_IN], needed_by="2026-03-02", rush=True)
    assert "2026-03-02" == hurried["promised_for"]


def test_a_quote_says_the_day_of_a_rush_too(staff):
    quote = staff.post("/v1/alteration-quotes", {"garments": [TROUSERS], "lines": [WAIST_IN]}).body
    assert ("2026-03-03", "2026-03-02") == (quote["earliest"], quote["earliest_rush"])


# ---------------------------------------------------------------- amendments


def test_lines_that_are_amended_are_priced_booked_and_promised_anew(house):
    shop = new_shop(house, week=TIGHT)
    order = placed(shop.staff, garments=[HEMMED], hems=[PINNED | {"leg": UNCUT}])
    answer = amended(shop.staff, order, lines=[WAIST_IN], hems=[], reason="it sits better with it")
    assert (200, '"2"') == (answer.status, answer.headers["ETag"])
    assert ["trouser_waist_in"] == [line["alteration"] for line in answer.body["lines"]]
    assert {"2026-03-03": {"finishing": 15, "trousers": 35}} == booked(shop)
    event = answer.body["events"][-1]
    assert ("amended", "it sits better with it", "marked") == (event["kind"], event["note"], event["to"])
    total = answer.body["total"]["minor"]
    assert {"changed": ["lines"], "total_minor": total, "total_minor_before": 1200} == event["facts"]
    assert total == sum(line["price"]["minor"] for line in answer.body["lines"])
    kept = staff_view(shop, order)
    assert {part: value for part, value in answer.body.items() if part not in {"warnings", "to_look_at"}} == kept


def staff_view(shop, order):
    return shop.staff.get(f"/v1/orders/{order['id']}").body


def test_more_work_moves_the_day_and_the_history_says_so(house):
    shop = new_shop(house, week=TIGHT)
    order = placed(shop.staff, garments=[HEMMED, JACKET], hems=[PINNED | {"leg": UNCUT}])
    answer = amended(shop.staff, order, lines=[JACKET_WAIST_IN]).body
    assert "2026-03-04" == answer["promised_for"]
    facts = answer["events"][-1]["facts"]
    assert ("2026-03-03", "2026-03-04") == (facts["promised_before"], facts["promised_for"])


def test_a_new_pin_takes_the_place_of_the_old_hem_and_leaves_the_rest(staff):
    order = placed(staff, lines=[WAIST_IN])
    pins = {"left": inches("29 1/2"), "right": inches("29 3/4")}
    answer = amended(staff, order, hems=[{"pins": pins}]).body
    waist, *hems = answer["lines"]
    assert order["lines"][0] == waist
    assert [("left", "29 1/2 in"), ("right", "29 3/4 in")] == [(hem["side"], hem["target"]["text"]) for hem in hems]


def test_other_lines_leave_the_hems_as_they_were_pinned(staff):
    # The customer has gone home in their shoes: who takes the waist in by more does not ask them to stand for it again.
    order = placed(staff, lines=[WAIST_IN])
    more = WAIST_IN | {"amount": inches("1 1/2")}
    answer = amended(staff, order, lines=[more])
    assert 200 == answer.status, answer.body
    waist, *hems = answer.body["lines"]
    assert "1 1/2 in" == waist["amount"]["text"]
    assert order["lines"][1:] == hems
    pinned = {"left": inches("29 1/2"), "right": inches("29 1/2")}
    again = amended(staff, order, 2, lines=[WAIST_IN], hems=[{"pins": pinned}]).body
    assert ["29 1/2 in", "29 1/2 in"] == [hem["target"]["text"] for hem in again["lines"][1:]]


def test_pins_and_cloth_of_a_piece_are_amended_without_touching_its_lines(staff):
    order = placed(staff)
    answer = amended(staff, order, garments=[TROUSERS | {"cloth": "grey flannel", "pins_left_in": 6}]).body
    assert ("grey flannel", 6) == (answer["garments"][0]["cloth"], answer["garments"][0]["pins_left_in"])
    assert order["lines"] == answer["lines"]
    assert order["promised_for"] == answer["promised_for"]


def test_a_note_and_a_later_day_change_neither_booking_nor_day(house):
    shop = new_shop(house, week=TIGHT)
    order = placed(shop.staff)
    before = booked(shop)
    answer = amended(shop.staff, order, note="he calls before he comes", needed_by="2026-03-20").body
    assert ("he calls before he comes", "2026-03-20") == (answer["note"], answer["needed_by"])
    assert (before, "2026-03-03") == (booked(shop), answer["promised_for"])
    assert None is amended(shop.staff, order, 2, needed_by=None).body["needed_by"]


def test_a_rush_may_be_asked_for_afterwards_at_its_price(house):
    shop = new_shop(house, week=TIGHT)
    listed = shop.staff.get("/v1/price-list")
    terms = {name: value for name, value in listed.body.items() if name != "prices"} | {"rush_percent": 50}
    shop.staff.ask("PUT", "/v1/price-list", terms, headers={"If-Match": listed.headers["ETag"]})
    order = placed(shop.staff)
    answer = amended(shop.staff, order, rush=True).body
    assert ("2026-03-02", 1800) == (answer["promised_for"], answer["total"]["minor"])


def test_what_cannot_be_amended_leaves_order_and_minutes_as_they_were(house):
    shop = new_shop(house, week=TIGHT)
    order = placed(shop.staff)
    before = booked(shop), staff_view(shop, order)
    too_much = [JACKET_WAIST_IN | {"piece": n} for n in range(2, 11)]
    refused = [
        amended(shop.staff, order, needed_by="2026-03-02").problem[1],
        amended(shop.staff, order, garments=[HEMMED, *[JACKET] * 9], lines=too_much).problem[1],
        amended(shop.staff, order, lines=[WAIST_IN, WAIST_IN]).problem[1],
        amended(shop.staff, order, garments=[HEMMED], lines=[], hems=[]).problem[1],
        # With them all hems are others from now on, and the uncut legs have no mark any more.
        amended(shop.staff, order, lines=[WAIST_IN], hems=[]).problem[1],
    ]
    assert ["needed_by_too_early", "no_free_day", "line_repeated", "order_empty", "hem_not_marked"] == refused
    assert before == (booked(shop), staff_view(shop, order))


def test_once_work_has_begun_nothing_is_amended(staff):
    order = placed(staff)
    assert 200 == amended(staff, order, note="one").status
    moved(staff, order["id"], "accepted", 2)
    assert 200 == amended(staff, order, 3, note="two").status
    moved(staff, order["id"], "in_workroom", 4)
    answer = amended(staff, order, 5, note="three")
    assert (409, "amendment_too_late", [""]) == answer.problem
    assert ["marked", "accepted"] == answer.body["errors"][0]["facts"]["still"]


def test_an_amendment_that_changes_nothing_is_no_event(staff):
    order = placed(staff, note="as it is")
    answer = amended(staff, order, note="as it is", rush=False)
    assert ('"1"', 1) == (answer.headers["ETag"], len(answer.body["events"]))


def test_an_amendment_needs_the_version_that_was_read(staff):
    order = placed(staff)
    asked = {"by": "fitter-1", "note": "x"}
    assert (428, "version_missing", ["/If-Match"]) == staff.ask("PATCH", f"/v1/orders/{order['id']}", asked).problem
    assert (412, "version_stale", [""]) == amended(staff, order, 2, note="x").problem


@pytest.mark.parametrize(
    "wrong", [{"state": "ready"}, {"garments": []}, {"note": "x" * 501}, {"lines": None}, {"rush": 1}], ids=named
)
def test_what_is_no_amendment_is_refused_where_it_stands(staff, wrong):
    answer = amended(staff, placed(staff), **wrong)
    assert (422, "field_wrong", [f"/{name}" for name in wrong]) == answer.problem


# ---------------------------------------------------------------- promised anew


def test_an_order_is_promised_anew_with_the_reason(house):
    shop = new_shop(house, week=TIGHT)
    order = placed(shop.staff)
    house.clock.advance(days=3)
    answer = promised_anew(shop.staff, order, 1).body
    assert "2026-03-06" == answer["promised_for"]
    event = answer["events"][-1]
    facts = {"reason": "the coat maker is ill", "promised_for": "2026-03-06", "promised_before": "2026-03-03"}
    assert ("promised", facts, "tailor-1") == (event["kind"], event["facts"], event["by"])
    assert {"2026-03-06": {"finishing": 15, "trousers": 20}} == booked(shop)


def test_of_a_begun_order_only_what_is_still_to_be_done_is_booked_again(house):
    shop = new_shop(house, week=TIGHT)
    order = placed(shop.staff, garments=[JACKET], hems=[], lines=[JACKET_WAIST_IN])
    moved_along(shop.staff, order["id"], *IN_WORKROOM)
    house.clock.advance(days=2)
    assert "2026-03-05" == promised_anew(shop.staff, order, 3).body["promised_for"]
    assert {"2026-03-03": {"jackets": 60}, "2026-03-05": {"jackets": 8, "finishing": 23}} == booked(shop)


def test_a_late_order_may_take_of_the_reserve(house):
    shop = new_shop(house, week=TIGHT)
    order = placed(shop.staff)
    house.clock.advance(days=3)
    assert "2026-03-05" == promised_anew(shop.staff, order, 1, from_reserve=True).body["promised_for"]


def test_of_a_sewn_order_its_finishing_is_booked_again(house):
    shop = new_shop(house, week=TIGHT)
    order = placed(shop.staff)
    moved_along(shop.staff, order["id"], *IN_WORKROOM, ("sewn", {}))
    house.clock.advance(days=3)
    promised_anew(shop.staff, order, 4)
    assert {"finishing": 15} == booked(shop)["2026-03-06"]


def test_an_order_with_nothing_ahead_is_not_promised_anew(staff):
    order = placed(staff)
    moved_along(staff, order["id"], *TO_READY)
    assert (409, "nothing_to_promise", [""]) == promised_anew(staff, order, 6).problem

"""Lines changed, added and struck while an order is in question, at its second fitting, or done again."""

import pytest

from service.tailoring.workroom.weeks import Week
from tests.http.journeys import booked
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
    placed,
)
from tests.shops import new_shop

TIGHT = Week(minutes=({"trousers": 60, "jackets": 60, "finishing": 60},) * 7, fill_percent=100, horizon_days=10)
UNCUT = {"inside_leg": inches(36)}
IN_QUERY = [*IN_WORKROOM, ("query", {"question": "3/4 is tight over the seat: less?"})]
BASTED = [*IN_WORKROOM, ("basted_for_fitting", {"fitting_on": "2026-03-06"})]
SUIT = {"garments": [HEMMED, JACKET], "hems": [], "lines": [WAIST_IN, JACKET_WAIST_IN]}


def minutes(booking):
    """All the minutes that are booked."""
    return sum(each.minutes for benches in booking[0].values() for each in benches.values())


def changed(client, order, version, why="the customer wants it so", by="fitter-1", **asked):
    path, headers = f"/v1/orders/{order['id']}/line-changes", {"If-Match": f'"{version}"'}
    return client.post(path, {"by": by, "reason": why, **asked}, headers=headers)


def line_of(order, alteration, side=None):
    found = (line for line in order["lines"] if line["alteration"] == alteration)
    return next(line for line in found if side in {None, line["side"]})


def edit(order, alteration, side=None, **what):
    return {"number": line_of(order, alteration, side)["number"], **what}


def test_at_the_second_fitting_a_quarter_more_comes_off(staff):
    order = placed(staff, **SUIT)
    moved_along(staff, order["id"], *BASTED)
    answer = changed(staff, order, 4, change=[edit(order, "jacket_waist_in", amount=inches("1 1/2"))], why="1/4 more")
    assert (200, '"5"') == (answer.status, answer.headers["ETag"])
    was, now = line_of(order, "jacket_waist_in"), line_of(answer.body, "jacket_waist_in")
    assert (was["id"], was["price"], was["minutes"]) == (now["id"], now["price"], now["minutes"])
    assert "1 1/2 in" == now["amount"]["text"]
    # The finished measure follows the amount.
    assert was["target"]["mm"] - 6.35 == pytest.approx(now["target"]["mm"], abs=0.1)
    (kept,) = answer.body["line_changes"]
    assert ("changed", "fitter-1", "1/4 more", was["id"]) == (kept["kind"], kept["by"], kept["reason"], kept["id"])
    assert ("1 1/4 in", "1 1/2 in") == (kept["before"]["amount"]["text"], kept["after"]["amount"]["text"])
    # What was not named stays to the letter, and the order that is read is the one that was answered.
    assert line_of(order, "trouser_waist_in") == line_of(answer.body, "trouser_waist_in")
    seen = staff.get(f"/v1/orders/{order['id']}").body
    assert seen == {name: answer.body[name] for name in seen}


def test_an_answer_carries_the_change_itself(house):
    shop = new_shop(house, week=TIGHT)
    order = placed(shop.staff, garments=[HEMMED], hems=[], lines=[WAIST_IN])
    moved_along(shop.staff, order["id"], *IN_QUERY)
    before = booked(shop)
    asked = {"change": [edit(order, "trouser_waist_in", amount=inches("1/2"))]}
    answer = moved(shop.staff, order["id"], "in_workroom", 4, answer="1/2 in", line_changes=asked).body
    assert ("in_workroom", "1/2 in") == (answer["state"], answer["lines"][0]["amount"]["text"])
    assert ["amended", "moved"] == [event["kind"] for event in answer["events"][-2:]]
    assert ("tailor-1", "1/2 in") == (answer["line_changes"][0]["by"], answer["line_changes"][0]["reason"])
    assert before == booked(shop)
    # The bench has it again: nothing more is changed but by another query.
    closed = changed(shop.staff, order, 5, strike=[1])
    assert (409, "lines_fixed", [""]) == closed.problem


def test_lines_that_are_added_and_struck_take_minutes_price_and_day_along(house):
    shop = new_shop(house, week=TIGHT)
    order = placed(shop.staff, **SUIT)
    moved_along(shop.staff, order["id"], *IN_QUERY)
    before = booked(shop)
    answer = changed(
        shop.staff, order, 4, strike=[line_of(order, "trouser_waist_in")["number"]], add=[
            {"alteration": "trouser_seat_in", "amount": inches("1/2"), "basis": "girth"}
        ],
    )  # fmt: skip
    assert 200 == answer.status, answer.body
    assert {"jacket_waist_in", "trouser_seat_in"} == {line["alteration"] for line in answer.body["lines"]}
    assert sum(line["price"]["minor"] for line in answer.body["lines"]) == answer.body["total"]["minor"]
    less, more = line_of(order, "trouser_waist_in"), line_of(answer.body, "trouser_seat_in")
    assert more["id"] > max(line["id"] for line in order["lines"])
    assert minutes(before) - less["minutes"] + more["minutes"] == minutes(booked(shop))
    held, by_order = booked(shop)
    assert held == by_order
    assert answer.body["promised_for"] == max(held).isoformat()
    assert ["struck", "added"] == [each["kind"] for each in answer.body["line_changes"]]
    assert (None, None) == (answer.body["line_changes"][0]["after"], answer.body["line_changes"][1]["before"])


def test_a_leg_that_was_sewn_is_pinned_again_from_where_it_is_cut(staff):
    order = placed(staff, hems=[PINNED | {"leg": UNCUT}])
    moved_along(staff, order["id"], *TO_READY)
    left = line_of(order, "trouser_hem", "left")
    assert "32 in" == left["cut"]["text"]
    longer = {"hems": [{"pins": {"left": inches("30 1/2")}}]}
    refused = moved(staff, order["id"], "in_workroom", 6, reason="the left is short", line_changes=longer)
    assert (422, "hem_cloth_short", ["/line_changes/hems/0/pins/left"]) == refused.problem
    assert "30" == refused.body["errors"][0]["facts"]["longest_in"]
    shorter = {"change": [edit(order, "trouser_hem", "left", target=inches("29 1/2"))]}
    redo = moved(
        staff,
        order["id"],
        "in_workroom",
        6,
        reason="the left is long",
        line_changes=shorter,
        redo_lines=[left["number"]],
    )
    assert 200 == redo.status, redo.body
    now = line_of(redo.body, "trouser_hem", "left")
    # Reckoned from the raw edge at 32, not from the leg as it was sold.
    assert ("29 1/2 in", "31 1/2 in", "2 1/2 in") == tuple(now[part]["text"] for part in ("target", "cut", "amount"))
    assert "the leg is cut at 32 in now" in now["note"]
    assert line_of(order, "trouser_hem", "right") == line_of(redo.body, "trouser_hem", "right")
    assert [now["number"]] == redo.body["events"][-1]["facts"]["redo_lines"]


def test_a_redo_leaves_its_lines_open_until_they_are_sewn(staff):
    order = placed(staff, **SUIT)
    moved_along(staff, order["id"], *TO_READY)
    moved(staff, order["id"], "in_workroom", 6, reason="the waist is loose")
    answer = changed(staff, order, 7, change=[edit(order, "trouser_waist_in", amount=inches("1 1/4"))])
    assert (200, "1 1/4 in") == (answer.status, line_of(answer.body, "trouser_waist_in")["amount"]["text"])
    assert order["total"] == answer.body["total"]
    moved(staff, order["id"], "sewn", 8)
    assert (409, "lines_fixed", [""]) == changed(staff, order, 9, strike=[1]).problem


def test_one_pin_leaves_the_other_leg(staff):
    order = placed(staff)
    moved_along(staff, order["id"], *IN_QUERY)
    answer = changed(staff, order, 4, hems=[{"pins": {"left": inches("29 3/4")}}]).body
    assert ["29 3/4 in", "30 1/4 in"] == [
        line_of(answer, "trouser_hem", side)["target"]["text"] for side in ("left", "right")
    ]
    assert [line_of(order, "trouser_hem", "left")["id"]] == [each["id"] for each in answer["line_changes"]]


def test_an_amendment_before_the_work_keeps_the_history_of_its_lines_too(staff):
    order = placed(staff, lines=[WAIST_IN])
    asked = {
        "by": "fitter-1",
        "reason": "pinned again",
        "hems": [{"pins": {"left": inches(29), "right": inches("30 1/4")}}],
    }
    answer = staff.ask("PATCH", f"/v1/orders/{order['id']}", asked, headers={"If-Match": '"1"'}).body
    change = next(each for each in answer["line_changes"] if each["id"] == line_of(order, "trouser_hem", "left")["id"])
    assert ("changed", "pinned again", "30 in") == (
        change["kind"],
        change["reason"],
        change["before"]["target"]["text"],
    )


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({}, (422, "field_wrong", ["/change"])),
        ({"strike": [9]}, (422, "line_unknown", ["/strike/0"])),
        ({"strike": [1, 1]}, (422, "line_named_twice", ["/strike/1"])),
        ({"strike": [1], "change": [{"number": 1, "note": "x"}]}, (422, "line_named_twice", ["/strike/0"])),
        ({"strike": [1, 2]}, (422, "order_empty", ["/lines"])),
        ({"change": [{"number": 1, "amount": inches(9)}]}, (422, "alteration_beyond_limit", ["/change/0/amount"])),
        ({"change": [{"number": 1, "target": inches(60)}]}, (422, "target_unreachable", ["/change/0/target"])),
        ({"add": [JACKET_WAIST_IN]}, (422, "line_repeated", ["/add/0"])),
        ({"strike": [1], "reason": ""}, (422, "field_wrong", ["/reason"])),
    ],
    ids=["nothing", "unknown", "twice", "struck and changed", "empty", "beyond", "unreachable", "repeated", "no why"],
)  # fmt: skip
def test_what_cannot_be_changed_is_refused_and_leaves_all_as_it_was(house, asked, said):
    shop = new_shop(house, week=TIGHT)
    order = placed(shop.staff, **SUIT)
    moved_along(shop.staff, order["id"], *IN_QUERY)
    before = booked(shop), shop.staff.get(f"/v1/orders/{order['id']}").body
    assert said == changed(shop.staff, order, 4, **asked).problem
    assert before == (booked(shop), shop.staff.get(f"/v1/orders/{order['id']}").body)


def test_lines_are_changed_by_the_version_that_was_read(staff):
    order = placed(staff, garments=[TROUSERS])
    assert (412, "version_stale", [""]) == changed(staff, order, 2, strike=[1]).problem
    asked = {"by": "fitter-1", "reason": "x", "strike": [1]}
    assert 428 == staff.post(f"/v1/orders/{order['id']}/line-changes", asked).status


@pytest.mark.parametrize("way", ["amended", "pinned", "another_target"])
def test_shoes_that_were_lent_stay_lent_until_others_are_said(staff, way):
    # A pin over other shoes than will be worn is no mark to cut by (common practice, no source).
    lent, to_be_pinned = {"shoes": "lent", "heel": inches(1)}, {"to_be_pinned": True}
    made = placed(staff, hems=[PINNED if way == "another_target" else to_be_pinned], dressed=lent)
    path, headers = f"/v1/orders/{made['id']}", {"If-Match": '"1"'}
    if way == "amended":
        answer = staff.ask("PATCH", path, {"hems": [PINNED], "by": "fitter-1"}, headers=headers)
    else:
        both = [{"number": line["number"], "target": inches("30 1/2")} for line in made["lines"]]
        named = {"hems": [PINNED]} if way == "pinned" else {"change": both}
        answer = changed(staff, made, 1, **named)
    assert 200 == answer.status, answer.body
    doubt = "look again before cutting: pinned in lent shoes: ask for the heel of their own"
    assert [[doubt], [doubt]] == [line["look_again"] for line in answer.body["lines"]]
    assert all("marked in shoes with a heel of 1 in" in line["note"] for line in answer.body["lines"])


def test_an_order_was_fitted_over_what_its_legs_were_pinned_over(staff):
    lent, own = {"shoes": "lent", "heel": inches(1), "pockets": "full"}, {"shoes": "own", "heel": inches("1 1/4")}
    made = placed(staff, hems=[PINNED | {"dressed": own}], dressed=lent)
    worn = made["dressed"]
    assert ("own", "1 1/4 in", "full") == (worn["shoes"], worn["heel"]["text"], worn["pockets"])
    ended = changed(staff, made, 1, change=[{"number": 1, "target": inches("30 1/2")}]).body
    assert [[], []] == [line["look_again"] for line in ended["lines"]]
    assert all("marked in shoes with a heel of 1 1/4 in" in line["note"] for line in ended["lines"])


def test_legs_that_are_pinned_later_say_over_which_shoes(staff):
    lent = {"shoes": "lent", "heel": inches(1), "shirt_cuff": "double"}
    made = placed(staff, hems=[{"to_be_pinned": True}], dressed=lent)
    assert ("lent", "double") == (made["dressed"]["shoes"], made["dressed"]["shirt_cuff"])
    own = {"shoes": "own", "heel": inches("1 1/4"), "held_up_by": "braces"}
    pinned = PINNED | {"dressed": own}
    path = f"/v1/orders/{made['id']}"
    amended = staff.ask("PATCH", path, {"hems": [pinned], "by": "fitter-1"}, headers={"If-Match": '"1"'})
    assert 200 == amended.status, amended.body
    # The shirt was not worn once more: what was said of it stays.
    now = amended.body["dressed"]
    assert ("own", "1 1/4 in", "braces", "double") == (
        now["shoes"], now["heel"]["text"], now["held_up_by"], now["shirt_cuff"]
    )  # fmt: skip
    assert [[], []] == [line["look_again"] for line in amended.body["lines"]]
    ticket = " ".join(staff.get(f"{path}/ticket", headers={"Accept": "text/plain"}).body.split())
    assert "own shoes, heel 1 1/4 in; on braces" in ticket
    assert "marked in shoes with a heel of 1 1/4 in" in ticket

import pytest

from service.tailoring.workroom.calendar import Week
from tests.http.journeys import TO_COLLECTED, TO_PRESSED, booked
from tests.http.sheets import (
    JACKET,
    JACKET_WAIST_IN,
    TROUSERS,
    moved,
    moved_along,
    named,
    placed,
)
from tests.shops import new_shop


def test_an_order_lives_from_marking_to_collection(staff, clock):
    order_id = placed(staff)["id"]
    last = moved_along(staff, order_id, *TO_COLLECTED)
    assert ("collected", ["in_workroom"], '"7"') == (
        last.body["state"],
        last.body["may_move_to"],
        last.headers["ETag"],
    )
    assert ["marked", *(to for to, _ in TO_COLLECTED)] == [event["to"] for event in last.body["events"]]
    assert {"tried_on": True} == last.body["events"][-1]["facts"]
    assert last.body == staff.get(f"/v1/orders/{order_id}").body


def test_a_move_without_the_version_is_428_and_with_a_stale_one_412(staff):
    order_id = placed(staff)["id"]
    path, asked = f"/v1/orders/{order_id}/moves", {"to": "accepted", "by": "bob"}
    assert (428, "version_missing", ["/If-Match"]) == staff.post(path, asked).problem
    assert 200 == moved(staff, order_id, "accepted", 1).status
    stale = moved(staff, order_id, "in_workroom", 1)
    assert (412, "version_stale", [""]) == stale.problem
    assert 2 == stale.body["errors"][0]["facts"]["current"]
    assert "accepted" == staff.get(f"/v1/orders/{order_id}").body["state"]


@pytest.mark.parametrize("etag", ["1", '"x"', 'W/"1"', "*", '""', '"1", "2"', '"0x1"', f'"{"9" * 10}"', '"\u0661"'])
def test_a_version_that_is_none_is_refused(staff, etag):
    path = f"/v1/orders/{placed(staff)['id']}/moves"
    etag = etag.encode().decode("latin-1")
    answer = staff.post(path, {"to": "accepted", "by": "bob"}, headers={"If-Match": etag})
    assert (400, "header_wrong", ["/If-Match"]) == answer.problem


def test_a_move_that_cannot_be_is_refused_with_those_that_can(staff):
    answer = moved(staff, placed(staff)["id"], "ready", 1)
    assert (409, "move_not_allowed", ["/to"]) == answer.problem
    assert ["accepted", "cancelled"] == answer.body["errors"][0]["facts"]["legal"]


def test_what_an_order_says_it_may_move_to_is_what_it_may(staff):
    body = placed(staff)
    reason = {"cancelled": {"reason": "the wedding is off"}}
    for to in body["may_move_to"]:
        other = placed(staff)
        assert 200 == moved(staff, other["id"], to, 1, **reason.get(to, {})).status


def test_pins_are_counted_at_pressing_and_again_at_hand_over(staff):
    order_id = placed(staff, garments=[TROUSERS | {"pins_left_in": 4}])["id"]
    moved_along(staff, order_id, *TO_PRESSED[:-1])
    for version, to in ((4, "pressed"), (5, "ready")):
        short = moved(staff, order_id, to, version, pins_out=3)
        assert (409, "pins_not_counted", ["/pins_out"]) == short.problem
        assert {"expected": 4, "counted": 3} == short.body["errors"][0]["facts"]
        assert 200 == moved(staff, order_id, to, version, pins_out=4).status


def test_a_pin_that_stays_lost_is_signed_for(staff):
    order_id = placed(staff, garments=[TROUSERS | {"pins_left_in": 4}])["id"]
    moved_along(staff, order_id, *TO_PRESSED[:-1])
    said = {"pins_out": 3, "pins_lost": 1}
    assert (422, "pins_lost_unsigned", ["/searched_by"]) == moved(staff, order_id, "pressed", 4, **said).problem
    signed = said | {"searched_by": "bob", "swept_with_magnet": True}
    pressed = moved(staff, order_id, "pressed", 4, **signed)
    assert 200 == pressed.status
    assert signed == pressed.body["events"][-1]["facts"]
    assert "1 PIN LOST, searched for by bob" in " ".join(staff.get(f"/v1/orders/{order_id}/ticket").body.split())


def test_what_a_move_must_say_is_asked_for(staff):
    order_id = placed(staff)["id"]
    assert (422, "reason_missing", ["/reason"]) == moved(staff, order_id, "cancelled", 1).problem
    assert (422, "reason_missing", ["/reason"]) == moved(staff, order_id, "cancelled", 1, reason=" ").problem
    moved_along(staff, order_id, *TO_PRESSED[:2])
    asked = moved(staff, order_id, "cancelled", 3, reason="the wedding is off")
    assert (422, "cloth_cut_missing", ["/cloth_cut"]) == asked.problem


def test_collection_says_whether_it_was_tried_on(staff):
    order_id = placed(staff)["id"]
    moved_along(staff, order_id, *TO_COLLECTED[:-1])
    assert (422, "tried_on_missing", ["/tried_on"]) == moved(staff, order_id, "collected", 6).problem


@pytest.mark.parametrize(
    "wrong",
    [
        {"tried_on": 1},
        {"tried_on": "true"},
        {"cloth_cut": "no"},
        {"pins_out": "4"},
        {"pins_out": -1},
        {"pins_in": 201},
        {"to": "lost"},
        {"by": ""},
        {"note": "a\nb"},
        {"when": "now"},
    ],
    ids=named,
)
def test_what_is_no_move_is_refused_where_it_stands(staff, wrong):
    answer = moved(staff, placed(staff)["id"], **{"to": "accepted", "version": 1} | wrong)
    assert (422, "field_wrong", {f"/{name}" for name in wrong}) == (*answer.problem[:2], set(answer.problem[2]))


def test_a_cancelled_order_gives_its_minutes_back_and_charges_nothing(shop, staff):
    kept, dropped = placed(staff), placed(staff, garments=[JACKET], hems=[], lines=[JACKET_WAIST_IN])
    assert 200 == moved(staff, dropped["id"], "cancelled", 1, reason="the wedding is off").status
    days, orders = booked(shop)
    assert days == orders
    assert kept["minutes"] == sum(benches["trousers"].minutes for benches in orders.values())
    charged = staff.get(f"/v1/orders/{dropped['id']}/charges").body
    assert ([], 0) == (charged["charges"], charged["total"]["minor"])


def test_freed_minutes_are_promised_again(house):
    week = Week(minutes=({"trousers": 24, "jackets": 0, "finishing": 60},) * 7)
    client = new_shop(house, week=week).staff
    first, second = placed(client), placed(client)
    assert ["2026-03-03", "2026-03-04"] == [each["promised_for"] for each in (first, second)]
    moved(client, first["id"], "cancelled", 1, reason="the wedding is off")
    assert "2026-03-03" == placed(client)["promised_for"]


def test_a_redo_is_free(staff):
    order_id = placed(staff)["id"]
    before = staff.get(f"/v1/orders/{order_id}/charges").body
    moved_along(staff, order_id, *TO_COLLECTED)
    assert 200 == moved(staff, order_id, "in_workroom", 7, reason="the left leg is long").status
    assert before == staff.get(f"/v1/orders/{order_id}/charges").body

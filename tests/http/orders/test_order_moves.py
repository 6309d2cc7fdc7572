import pytest

from service.storage import workroom
from service.tailoring.workroom.weeks import Week
from tests.days import MONDAY
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
    path, asked = f"/v1/orders/{order_id}/moves", {"to": "accepted", "by": "tailor-1"}
    assert (428, "version_missing", ["/If-Match"]) == staff.post(path, asked).problem
    assert 200 == moved(staff, order_id, "accepted", 1).status
    stale = moved(staff, order_id, "in_workroom", 1)
    assert (412, "version_stale", [""]) == stale.problem
    assert 2 == stale.body["errors"][0]["facts"]["current"]
    assert "accepted" == staff.get(f"/v1/orders/{order_id}").body["state"]


@pytest.mark.parametrize("etag", ["1", '"x"', "W/1", "*", '""', '"1", "2"', '"0x1"', f'"{"9" * 10}"', '"\u0661"'])
def test_a_version_that_is_none_is_refused(staff, etag):
    path = f"/v1/orders/{placed(staff)['id']}/moves"
    etag = etag.encode().decode("latin-1")
    answer = staff.post(path, {"to": "accepted", "by": "tailor-1"}, headers={"If-Match": etag})
    assert (400, "header_wrong", ["/If-Match"]) == answer.problem


def test_a_move_that_cannot_be_is_refused_with_those_that_can(staff):
    answer = moved(staff, placed(staff)["id"], "ready", 1)
    assert (409, "move_not_allowed", ["/to"]) == answer.problem
    assert ["accepted", "cancelled", "lost"] == answer.body["errors"][0]["facts"]["legal"]


def test_what_an_order_says_it_may_move_to_is_what_it_may(staff):
    body = placed(staff)
    reason = {"cancelled": {"reason": "the wedding is off"}, "lost": {"searched_by": "tailor-1", "where": "all rails"}}
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
    signed = said | {"searched_by": "tailor-1", "swept_with_magnet": True}
    pressed = moved(staff, order_id, "pressed", 4, **signed)
    assert 200 == pressed.status
    assert signed == pressed.body["events"][-1]["facts"]
    assert "1 PIN LOST, searched for by tailor-1" in " ".join(staff.get(f"/v1/orders/{order_id}/ticket").body.split())


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
        {"to": "mislaid"},
        {"pieces": 1},
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
    after = staff.get(f"/v1/orders/{order_id}/charges").body
    assert before | {"pieces": after["pieces"]} == after


TROUSERS_READY = [
    ("accepted", {}),
    ("in_workroom", {}),
    ("sewn", {"pieces": [1]}),
    ("pressed", {"pieces": [1], "pins_out": 0}),
    ("ready", {"pieces": [1], "pins_out": 0}),
]
SUIT = {"garments": [TROUSERS, JACKET], "lines": [JACKET_WAIST_IN | {"piece": 2}]}


def test_the_trousers_are_collected_before_the_jacket_is_sewn(shop, staff):
    order = placed(staff, **SUIT)
    ready = moved_along(staff, order["id"], *TROUSERS_READY).body
    assert ("in_workroom", ["ready", "in_workroom"]) == (
        ready["state"],
        [each["state"] for each in ready["garments"]],
    )
    # Of the trousers nothing is ahead; the jacket keeps its minutes, and its day.
    assert order["promised_for"] == ready["promised_for"]
    with shop.house.context.database.reading() as tx:
        assert {2} == {each.piece for each in workroom.bookings_of(tx, order["id"]) if each.date > MONDAY}
    taken = moved(staff, order["id"], "collected", 6, pieces=[1], tried_on=True).body
    assert ("in_workroom", ["collected", "in_workroom"]) == (
        taken["state"],
        [each["state"] for each in taken["garments"]],
    )
    assert {"pieces": [1], "tried_on": True} == taken["events"][-1]["facts"]
    told = staff.get("/v1/events").body["events"][-1]["data"]
    assert ("in_workroom", [{"piece": 1, "garment": "trousers", "from": "ready", "state": "collected"}]) == (
        told["state"],
        told["pieces"],
    )
    counts = {each["state"]: (each["orders"], each["pieces"]) for each in staff.get("/v1/orders/counts").body["states"]}
    assert ((1, 1), (0, 0)) == (counts["in_workroom"], counts["ready"])
    listed = staff.get("/v1/orders?state=in_workroom").body["orders"]
    assert [order["id"]] == [each["id"] for each in listed]


def test_part_of_an_order_that_was_collected_is_told_on_slip_and_charges(staff):
    order = placed(staff, **SUIT)
    moved_along(staff, order["id"], *TROUSERS_READY, ("collected", {"pieces": [1], "tried_on": True}))
    charged = staff.get(f"/v1/orders/{order['id']}/charges").body
    assert [(1, "collected"), (2, "in_workroom")] == [(each["piece"], each["state"]) for each in charged["pieces"]]
    assert charged["pieces"][0]["collected_at"]
    assert charged["pieces"][1]["collected_at"] is None
    slip = staff.get(f"/v1/orders/{order['id']}/customer-slip").body
    assert "1 pair of trousers: collected" in " ".join(slip.split())
    assert "1 jacket: in the workroom" in " ".join(slip.split())


def test_a_piece_that_is_not_there_or_cannot_go_is_named(staff):
    order_id = placed(staff, **SUIT)["id"]
    assert (422, "piece_unknown", ["/pieces/0"]) == moved(staff, order_id, "accepted", 1, pieces=[3]).problem
    moved_along(staff, order_id, *TROUSERS_READY)
    held = moved(staff, order_id, "collected", 6, tried_on=True)
    assert (409, "move_not_allowed", ["/to"]) == held.problem
    assert {"piece": 2, "state": "in_workroom"}.items() <= held.body["errors"][0]["facts"].items()


def test_a_lost_piece_says_who_looked_where_and_is_found_or_written_off(shop, staff):
    order = placed(staff, **SUIT)
    moved_along(staff, order["id"], *TROUSERS_READY)
    unsaid = moved(staff, order["id"], "lost", 6, pieces=[2], searched_by="tailor-1")
    assert (422, "where_missing", ["/where"]) == unsaid.problem
    unsigned = moved(staff, order["id"], "lost", 6, pieces=[2], where="all rails")
    assert (422, "searched_by_missing", ["/searched_by"]) == unsigned.problem
    said = {"pieces": [2], "searched_by": "tailor-1", "where": "all rails, the fitting room"}
    lost = moved(staff, order["id"], "lost", 6, **said).body
    assert ("ready", "lost", said["where"]) == (
        lost["state"],
        *(lost["garments"][1][name] for name in ("state", "where")),
    )
    # Nothing is charged for it, and nothing is booked for it.
    charged = staff.get(f"/v1/orders/{order['id']}/charges").body["charges"]
    assert {1} == {each["piece"] for each in charged}
    assert 2 not in booked_pieces(shop, order["id"])
    found = moved(staff, order["id"], "in_workroom", 7, pieces=[2], where="behind the press").body
    assert "in_workroom" == found["state"]
    assert 2 in booked_pieces(shop, order["id"])
    moved(staff, order["id"], "lost", 8, **said)
    unsigned = moved(staff, order["id"], "written_off", 9, pieces=[2], reason="paid for")
    assert (422, "decided_by_missing", ["/decided_by"]) == unsigned.problem
    off = moved(staff, order["id"], "written_off", 9, pieces=[2], reason="paid for", decided_by="fitter-1").body
    assert ["ready", "written_off"] == [each["state"] for each in off["garments"]]
    types = [each["type"] for each in staff.get("/v1/events").body["events"][-4:]]
    assert ["order.lost", "order.found", "order.lost", "order.written_off"] == types


def booked_pieces(shop, order_id):
    with shop.house.context.database.reading() as tx:
        return [each.piece for each in workroom.bookings_of(tx, order_id)]

import re
from uuid import uuid4

import pytest

from service.storage import workroom
from service.tailoring.workroom import Week
from tests.days import MONDAY
from tests.http.sheets import (
    JACKET,
    JACKET_WAIST_IN,
    PINNED,
    SLIM,
    TROUSERS,
    WAIST_IN,
    WORN,
    inches,
    moved,
    moved_along,
    named,
    order,
    placed,
    reading,
)
from tests.shops import new_shop

TO_PRESSED = [("accepted", {}), ("in_workroom", {}), ("sewn", {}), ("pressed", {})]
TO_COLLECTED = [*TO_PRESSED, ("ready", {"pins_out": 0}), ("collected", {"tried_on": True})]


def booked(shop):
    """The minutes that are booked, by the days and by the orders."""
    with shop.house.desk.database.reading() as tx:
        held, _ = workroom.days_from(tx, shop.id, MONDAY)
        return held, workroom.booked_by_order(tx, shop.id, MONDAY)


# ---------------------------------------------------------------- placing


def test_an_order_is_placed_with_number_day_total_lines_and_slip(staff):
    answer = staff.post("/v1/orders", order(customer_ref="C-1", sale_ref="S-1"), key="k")
    body = answer.body
    assert (201, '"1"', f"/v1/orders/{body['id']}") == (
        answer.status,
        answer.headers["ETag"],
        answer.headers["Location"],
    )
    assert ("1001", "marked", "2026-03-03", {"minor": 1200, "currency": "EUR"}, "C-1", "S-1") == tuple(
        body[part] for part in ("number", "state", "promised_for", "total", "customer_ref", "sale_ref")
    )
    assert f"/v1/collection-slips/{body['collection_slip']['token']}" == body["collection_slip"]["path"]


def test_it_is_read_back_as_it_was_placed(staff):
    body = placed(staff, lines=[WAIST_IN])
    read = staff.get(f"/v1/orders/{body['id']}")
    assert {part: value for part, value in body.items() if part != "warnings"} == read.body
    assert '"1"' == read.headers["ETag"]


def test_explicit_lines_stay_in_the_callers_order_and_know_when_they_are_sewn(staff):
    hem = {"alteration": "trouser_hem", "amount": inches(2), "basis": "length", "direction": "decrease", "side": "both"}
    lines = placed(staff, hems=[], lines=[hem, WAIST_IN])["lines"]
    assert [("trouser_hem", 2), ("trouser_waist_in", 1)] == [(line["alteration"], line["number"]) for line in lines]


def test_pins_make_a_line_for_each_leg(staff):
    lines = placed(staff)["lines"]
    assert [("left", "30 in"), ("right", "30 1/4 in")] == [(line["side"], line["target"]["text"]) for line in lines]


def test_a_fit_check_brings_the_garments_and_the_work(staff):
    check = staff.post("/v1/fit-checks", WORN).body
    body = placed(staff, garments=[], hems=[], from_fit_check=check["id"])
    plan = check["plans"][0]
    assert [plan["jacket"]["label"], plan["trousers"]["label"]] == [piece["label"] for piece in body["garments"]]
    assert [(each["code"], each["amount"]["mm"]) for each in plan["alterations"]] == [
        (line["alteration"], line["amount"]["mm"]) for line in body["lines"]
    ]
    assert ["hem_not_pinned"] == [each["code"] for each in body["warnings"] if each["code"] == "hem_not_pinned"]


def test_another_plan_of_the_check_may_be_taken(staff):
    check = staff.post("/v1/fit-checks", WORN).body
    body = placed(staff, garments=[], hems=[], from_fit_check=check["id"], plan=1)
    plan = check["plans"][1]
    assert [each["code"] for each in plan["alterations"]] == [line["alteration"] for line in body["lines"]]
    assert plan["trousers"]["label"] == body["garments"][-1]["label"]


def test_pins_take_the_place_of_the_hem_that_was_predicted_and_are_checked_by_a_taped_leg(staff):
    taped = {"readings": [*SLIM, reading("inside_leg_length", 33)]}
    check = staff.post("/v1/fit-checks", WORN | taped).body["id"]
    body = placed(staff, garments=[], from_fit_check=check)
    hems = [line for line in body["lines"] if line["alteration"] == "trouser_hem"]
    assert [("left", "30 in"), ("right", "30 1/4 in")] == [(line["side"], line["target"]["text"]) for line in hems]
    codes = {(each["code"], each["pointer"]) for each in body["warnings"]}
    assert {("look_again", "/hems/0/pins/left"), ("look_again", "/hems/0/pins/right")} <= codes
    assert "hem_not_pinned" not in {code for code, _ in codes}


@pytest.mark.parametrize(("pin", "expected"), [("30", set()), ("28 1/8", {"/hems/0/pins/left", "/hems/0/pins/right"})])
def test_a_leg_that_the_check_only_reckoned_calls_a_pin_wrong_only_far_off(staff, pin, expected):
    check = staff.post("/v1/fit-checks", WORN).body["id"]
    hems = [{"pins": {"left": inches(pin), "right": inches(pin)}}]
    body = placed(staff, garments=[], from_fit_check=check, hems=hems)
    assert expected == {each["pointer"] for each in body["warnings"] if each["code"] == "look_again"}


def test_a_caller_may_add_to_what_the_check_brings(staff):
    check = staff.post("/v1/fit-checks", WORN).body["id"]
    body = placed(
        staff, garments=[{"garment": "jacket", "cloth": "navy"}], from_fit_check=check, lines=[JACKET_WAIST_IN]
    )
    assert ["navy", ""] == [piece["cloth"] for piece in body["garments"]]
    assert "jacket_waist_in" == body["lines"][0]["alteration"]


def test_two_pieces_of_one_kind_are_told_apart_by_their_numbers(staff):
    body = placed(staff, garments=[TROUSERS, TROUSERS], hems=[PINNED | {"piece": 1}, PINNED | {"piece": 2}])
    assert [1, 1, 2, 2] == [line["piece"] for line in body["lines"]]


def test_long_work_takes_the_days_that_it_needs(staff):
    days = [placed(staff, garments=[JACKET], hems=[], lines=[JACKET_WAIST_IN])["promised_for"] for _ in range(9)]
    # 306 of 360 minutes are promised a day, and each takes 68: four a day and what is left of the fifth.
    assert ["2026-03-03"] * 4 + ["2026-03-04"] * 5 == days


def test_a_day_that_cannot_be_met_is_refused_with_the_earliest(staff):
    answer = staff.post("/v1/orders", order(needed_by="2026-03-02"), key="k")
    assert (409, "needed_by_too_early", ["/needed_by"]) == answer.problem
    days = {"earliest": "2026-03-03", "earliest_rush": "2026-03-02", "needed_by": "2026-03-02"}
    assert days == answer.body["errors"][0]["facts"]


def test_a_workroom_without_a_free_day_refuses_with_its_benches(house):
    week = Week(minutes=({"trousers": 0, "jackets": 0, "finishing": 0},) * 7)
    answer = new_shop(house, week=week).staff.post("/v1/orders", order(), key="k")
    assert (409, "no_free_day", [""]) == answer.problem
    assert ["trousers", "finishing"] == answer.body["errors"][0]["facts"]["benches"]


@pytest.mark.parametrize(
    ("wrong", "pointers"),
    [
        ({"marked_by": None}, ["/marked_by"]),
        ({"marked_by": "a b"}, ["/marked_by"]),
        ({"marked_by": "ann\n"}, ["/marked_by"]),
        ({"customer_ref": "C" * 65}, ["/customer_ref"]),
        ({"sale_ref": "<script>"}, ["/sale_ref"]),
        ({"needed_by": "20260305"}, ["/needed_by"]),
        ({"plan": -1}, ["/plan"]),
        ({"plan": True}, ["/plan"]),
        ({"number": "7"}, ["/number"]),
    ],
    ids=named,
)
def test_what_is_no_order_is_refused_where_it_stands(staff, wrong, pointers):
    assert (422, "field_wrong", pointers) == staff.post("/v1/orders", order(**wrong), key="k").problem


def test_a_refused_order_leaves_nothing_behind_not_even_its_number(shop, staff):
    refused = [
        staff.post("/v1/orders", order(needed_by="2026-03-02"), key="a"),
        staff.post("/v1/orders", order(hems=[{"pins": {"left": inches(40)}}]), key="b"),
        staff.post("/v1/orders", order(lines=[WAIST_IN, WAIST_IN]), key="c"),
    ]
    assert [409, 422, 422] == [answer.status for answer in refused]
    assert ({}, {}) == booked(shop)
    assert {"orders": []} == staff.get("/v1/orders").body
    assert "1001" == placed(staff)["number"]


def test_a_key_that_stood_on_a_refused_order_can_be_used_again(staff):
    assert 409 == staff.post("/v1/orders", order(needed_by="2026-03-02"), key="k").status
    assert 201 == staff.post("/v1/orders", order(needed_by="2026-03-09"), key="k").status


# ---------------------------------------------------------------- retries


def test_an_order_needs_an_idempotency_key(staff):
    assert (400, "header_wrong", ["/Idempotency-Key"]) == staff.post("/v1/orders", order()).problem


@pytest.mark.parametrize("key", ["x" * 201, "a b", "é"])
def test_a_key_that_is_none_is_refused(staff, key):
    answer = staff.post("/v1/orders", order(), key=key)
    assert (400, "header_wrong", ["/Idempotency-Key"]) == answer.problem


def test_a_retry_gets_the_same_answer_byte_for_byte_and_places_nothing(shop, staff):
    first = staff.post("/v1/orders", order(), key="k")
    again = staff.post("/v1/orders", order(), key="k")
    assert (201, first.raw, first.headers["Location"], '"1"', "true") == (
        again.status,
        again.raw,
        again.headers["Location"],
        again.headers["ETag"],
        again.headers["Idempotent-Replayed"],
    )
    assert "Idempotent-Replayed" not in first.headers
    assert 1 == len(staff.get("/v1/orders").body["orders"])
    days, orders = booked(shop)
    assert days == orders


def test_a_retry_after_the_order_moved_on_still_gets_the_first_answer(staff, clock):
    first = staff.post("/v1/orders", order(), key="k")
    moved(staff, first.body["id"], "accepted", 1)
    clock.advance(days=2)
    assert first.raw == staff.post("/v1/orders", order(), key="k").raw


@pytest.mark.parametrize("more", [{"sale_ref": "S-2"}, {"hems": [PINNED | {"break": "none"}]}], ids=named)
def test_the_same_key_with_another_body_is_refused(staff, more):
    staff.post("/v1/orders", order(), key="k")
    assert (422, "key_used_otherwise", [""]) == staff.post("/v1/orders", order(**more), key="k").problem


def test_a_key_is_kept_for_each_operation_and_each_shop_apart(staff, other_shop):
    first = [
        staff.post("/v1/fit-checks", WORN, key="k"),
        staff.post("/v1/orders", order(), key="k"),
        other_shop.staff.post("/v1/orders", order(), key="k"),
    ]
    again = [
        staff.post("/v1/fit-checks", WORN, key="k"),
        staff.post("/v1/orders", order(), key="k"),
        other_shop.staff.post("/v1/orders", order(), key="k"),
    ]
    assert 3 == len({answer.body["id"] for answer in first})
    assert [answer.raw for answer in first] == [answer.raw for answer in again]


# ---------------------------------------------------------------- lists


def listed(client, **query):
    return [each["number"] for each in client.get("/v1/orders", query=query).body["orders"]]


def pages(client, path):
    """Every page from a path on, as the numbers on it."""
    while path:
        answer = client.get(path)
        yield [each["number"] for each in answer.body["orders"]]
        following = re.fullmatch('<(.*)>; rel="next"', answer.headers.get("Link", ""))
        path = following and following[1]


def test_orders_are_listed_newest_first(staff):
    for _ in range(3):
        placed(staff)
    assert ["1003", "1002", "1001"] == listed(staff)


def test_link_next_leads_through_every_page_and_ends(staff):
    for _ in range(5):
        placed(staff)
    assert [["1005", "1004"], ["1003", "1002"], ["1001"]] == list(pages(staff, "/v1/orders?limit=2"))


def test_a_last_page_that_is_full_has_no_next(staff):
    for _ in range(4):
        placed(staff)
    assert [["1004", "1003"], ["1002", "1001"]] == list(pages(staff, "/v1/orders?limit=2"))


def test_orders_placed_meanwhile_move_no_page(staff):
    for _ in range(4):
        placed(staff)
    seen = []
    for page in pages(staff, "/v1/orders?limit=2"):
        seen += page
        placed(staff)
    assert ["1004", "1003", "1002", "1001"] == seen


def test_link_next_keeps_the_filter(staff):
    for ref in ("C-1", "C-2", "C-1", "C-2", "C-1"):
        placed(staff, customer_ref=ref)
    assert [["1005"], ["1003"], ["1001"]] == list(pages(staff, "/v1/orders?limit=1&customer_ref=C-1"))


def test_orders_are_found_by_state_customer_sale_and_day(staff):
    first, _ = placed(staff, customer_ref="C-1", sale_ref="S-1"), placed(staff, customer_ref="C-2")
    moved(staff, first["id"], "accepted", 1)
    found = [
        listed(staff, state="accepted"),
        listed(staff, customer_ref="C-2"),
        listed(staff, sale_ref="S-1"),
        listed(staff, promised_for="2026-03-03"),
        listed(staff, promised_for="2026-03-04"),
        listed(staff, customer_ref="C-1", state="marked"),
    ]
    assert [["1001"], ["1002"], ["1001"], ["1002", "1001"], [], []] == found


def test_an_order_is_found_by_its_number_among_the_shops_own(staff, other_shop):
    for _ in range(2):
        placed(staff)
    placed(other_shop.staff)
    placed(other_shop.staff)
    assert (["1002"], [], ["1001"]) == (
        listed(staff, number="1002"),
        listed(staff, number="1003"),
        listed(staff, number="1001", state="marked", promised_for="2026-03-03"),
    )
    assert [] == listed(staff, number="1001", state="sewn")


@pytest.mark.parametrize("seen", range(16))
def test_every_filter_narrows_every_other(staff, seen):
    # Each order differs from the first in one thing alone: only the first is found by all that is asked.
    said = {"customer_ref": "C-1", "sale_ref": "S-1"}
    wanted = placed(staff, **said)
    moved(staff, wanted["id"], "accepted", 1)
    for other in ({"customer_ref": "C-2"}, {"sale_ref": "S-2"}):
        moved(staff, placed(staff, **said | other)["id"], "accepted", 1)
    placed(staff, **said)
    asked = {**said, "state": "accepted", "promised_for": wanted["promised_for"]}
    assert [wanted["number"]] == listed(staff, **asked)
    fewer = {name: value for bit, (name, value) in enumerate(asked.items()) if seen >> bit & 1}
    found = listed(staff, **fewer)
    differing = {"1002": "customer_ref", "1003": "sale_ref", "1004": "state"}
    assert sorted(["1001", *(number for number, part in differing.items() if part not in fewer)]) == sorted(found)


@pytest.mark.parametrize(
    ("query", "pointer"),
    [
        ({"number": "0"}, "/number"),
        ({"number": "1001a"}, "/number"),
        ({"limit": "0"}, "/limit"),
        ({"limit": "101"}, "/limit"),
        ({"limit": "two"}, "/limit"),
        ({"limit": "2.0"}, "/limit"),
        ({"limit": "1_0"}, "/limit"),
        ({"limit": "\u0663"}, "/limit"),
        ({"limit": " 3"}, "/limit"),
        ({"limit": "+3"}, "/limit"),
        ({"limit": ""}, "/limit"),
        ({"limit": "9" * 5000}, "/limit"),
        ({"below": "-1"}, "/below"),
        ({"below": str(2**53 + 1)}, "/below"),
        ({"state": "lost"}, "/state"),
        ({"customer_ref": "a b"}, "/customer_ref"),
        ({"customer_ref": "a\x00"}, "/customer_ref"),
        ({"promised_for": "tomorrow"}, "/promised_for"),
        ({"page": "2"}, "/page"),
    ],
    ids=named,
)
def test_a_list_that_cannot_be_is_refused_where_it_stands(staff, query, pointer):
    assert (422, "field_wrong", [pointer]) == staff.get("/v1/orders", query=query).problem


# ---------------------------------------------------------------- moves


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
    assert (428, "version_missing", [""]) == staff.post(path, asked).problem
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


def test_pins_are_counted_out_before_it_is_ready(staff):
    order_id = placed(staff, garments=[TROUSERS | {"pins_left_in": 4}])["id"]
    moved_along(staff, order_id, *TO_PRESSED)
    short = moved(staff, order_id, "ready", 5, pins_out=3)
    assert (409, "pins_not_counted", ["/pins_out"]) == short.problem
    assert {"expected": 4, "counted": 3} == short.body["errors"][0]["facts"]
    assert 200 == moved(staff, order_id, "ready", 5, pins_out=4).status


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


# ---------------------------------------------------------------- ticket and charges


def test_charges_are_the_lines_for_the_tills_basket(staff):
    order_id = placed(staff, garments=[TROUSERS, JACKET], lines=[JACKET_WAIST_IN])["id"]
    body = staff.get(f"/v1/orders/{order_id}/charges").body
    assert [("jacket_waist_in", 3600), ("trouser_hem", 600), ("trouser_hem", 600)] == [
        (each["code"], each["amount"]["minor"]) for each in body["charges"]
    ]
    assert ({"minor": 4800, "currency": "EUR"}, {"standard"}) == (
        body["total"],
        {each["tax_category"] for each in body["charges"]},
    )


@pytest.mark.parametrize("accept", [None, "text/plain", "*/*", "text/*", "application/json;q=0.1, text/plain"])
def test_the_ticket_is_text_of_42_columns(staff, accept):
    order_id = placed(staff)["id"]
    answer = staff.get(f"/v1/orders/{order_id}/ticket", headers={"Accept": accept})
    assert (200, "text/plain; charset=utf-8") == (answer.status, answer.headers["Content-Type"])
    assert 42 >= max(len(line) for line in answer.body.splitlines())
    assert "1001" in answer.body
    assert "TO 30 1/4 in" in answer.body


def test_an_order_that_is_none_is_404_everywhere(staff):
    nothing = f"/v1/orders/{uuid4()}"
    paths = [nothing, *(f"{nothing}/{part}" for part in ("charges", "ticket", "customer-slip"))]
    assert [(404, "not_found", [""])] * 4 == [staff.get(path).problem for path in paths]
    assert (404, "not_found", [""]) == moved(staff, uuid4(), "accepted", 1).problem

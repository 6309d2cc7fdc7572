from uuid import uuid4

import pytest

from service.tailoring.workroom.weeks import Week
from tests.http.journeys import booked
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
    assert {part: value for part, value in body.items() if part not in {"warnings", "to_look_at"}} == read.body
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
    body = placed(staff, garments=[], hems=[], from_fit_check=check["id"], to_be_pinned=True)
    plan = check["plans"][0]
    assert [plan["jacket"]["label"], plan["trousers"]["label"]] == [piece["label"] for piece in body["garments"]]
    # What is sewn was seen, and the predicted hem waits for its pins.
    seen = [(each["alteration"], each["amount"]["mm"]) for each in plan["alterations"] if each["seen"]]
    found = [(line["alteration"], line["amount"]["mm"]) for line in body["lines"] if not line["to_be_pinned"]]
    assert [each for each in seen if each[0] != "trouser_hem"] == found
    assert ["trouser_hem"] == [line["alteration"] for line in body["lines"] if line["to_be_pinned"]]
    assert ["hem_to_be_pinned"] == [each["code"] for each in body["warnings"]]


def test_a_hem_that_nobody_marked_is_refused(staff):
    check = staff.post("/v1/fit-checks", WORN).body["id"]
    asked = order(garments=[], hems=[], from_fit_check=check)
    assert (422, "hem_not_marked", ["/hems"]) == staff.post("/v1/orders", asked, key="a").problem
    # The web shop quotes before anybody can pin.
    quote = staff.post("/v1/alteration-quotes", {"from_fit_check": check}).body
    assert [True] == [line["to_be_pinned"] for line in quote["lines"] if line["alteration"] == "trouser_hem"]
    assert "hem_not_marked" in [each["code"] for each in quote["warnings"]]
    group = {"by": "fitter-1", "orders": [{"from_fit_check": check}, {"from_fit_check": check}]}
    refused = staff.post("/v1/order-groups", group, key="b")
    assert (422, "hem_not_marked", ["/orders/0/hems"]) == refused.problem


def test_no_bench_begins_on_a_hem_before_an_amendment_marks_it(staff):
    body = placed(staff, hems=[{"to_be_pinned": True}])
    assert [(None, None, 20)] == [(line["amount"], line["target"], line["minutes"]) for line in body["lines"]]
    paper = " ".join(staff.get(f"/v1/orders/{body['id']}/ticket").body.split())
    assert "TO ______________ NOT PINNED" in paper
    assert "HEM NOT PINNED, piece 1" in paper
    moved_along(staff, body["id"], ("accepted", {}))
    assert (409, "hem_to_be_pinned", ["/to"]) == moved(staff, body["id"], "in_workroom", 2).problem
    marked = staff.ask("PATCH", f"/v1/orders/{body['id']}", {"hems": [PINNED]}, headers={"If-Match": '"2"'})
    assert ["30 in", "30 1/4 in"] == [line["target"]["text"] for line in marked.body["lines"]]
    assert body["promised_for"] == marked.body["promised_for"]
    assert 200 == moved(staff, body["id"], "in_workroom", 3).status


def test_another_plan_is_of_a_size_that_nobody_tried_on(staff):
    check = staff.post("/v1/fit-checks", WORN).body
    assert "30" != check["plans"][1]["trousers"]["label"]
    body = placed(staff, garments=[], hems=[], from_fit_check=check["id"], plan=1)
    assert ["jacket"] == [piece["garment"] for piece in body["garments"]]
    (warning,) = [each for each in body["warnings"] if each["code"] == "swap_not_tried_on"]
    assert "trousers reference 31 was not tried on" in warning["text"]


def test_pins_take_the_place_of_the_hem_that_was_predicted_and_are_checked_by_a_taped_leg(staff):
    taped = {"readings": [*SLIM, reading("inside_leg_length", 33)]}
    check = staff.post("/v1/fit-checks", WORN | taped).body["id"]
    body = placed(staff, garments=[], from_fit_check=check)
    hems = [line for line in body["lines"] if line["alteration"] == "trouser_hem"]
    assert [("left", "30 in"), ("right", "30 1/4 in")] == [(line["side"], line["target"]["text"]) for line in hems]
    codes = {(each["code"], each["pointer"]) for each in body["warnings"]}
    assert {("look_again", "/hems/0/pins/left"), ("look_again", "/hems/0/pins/right")} <= codes
    left = next(line for line in hems if line["side"] == "left")
    assert ["look again before cutting: pinned 30 in, expected 31 1/4 in"] == left["look_again"]
    assert left["look_again"][0] in " ".join(staff.get(f"/v1/orders/{body['id']}/ticket").body.split())


@pytest.mark.parametrize(("pin", "expected"), [("30", set()), ("28 1/8", {"/hems/0/pins/left", "/hems/0/pins/right"})])
def test_a_leg_that_the_check_only_reckoned_calls_a_pin_wrong_only_far_off(staff, pin, expected):
    check = staff.post("/v1/fit-checks", WORN).body["id"]
    hems = [{"pins": {"left": inches(pin), "right": inches(pin)}}]
    body = placed(staff, garments=[], from_fit_check=check, hems=hems)
    assert expected == {each["pointer"] for each in body["warnings"] if each["code"] == "look_again"}


def test_a_caller_may_add_to_what_the_check_brings(staff):
    check = staff.post("/v1/fit-checks", WORN).body["id"]
    body = placed(
        staff,
        garments=[{"garment": "jacket", "cloth": "navy"}],
        from_fit_check=check,
        lines=[{"alteration": "jacket_lapel_reroll", "piece": 1}],
    )
    assert ["navy", ""] == [piece["cloth"] for piece in body["garments"]]
    assert "jacket_lapel_reroll" in [line["alteration"] for line in body["lines"]]


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
        ({"by": None}, ["/by"]),
        ({"by": "a  b"}, ["/by"]),
        ({"by": "fitter-1\n"}, ["/by"]),
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


def test_charges_are_the_lines_for_the_tills_basket(staff):
    order_id = placed(staff, garments=[TROUSERS, JACKET], lines=[JACKET_WAIST_IN])["id"]
    body = staff.get(f"/v1/orders/{order_id}/charges").body
    assert [("jacket_waist_in", 3600), ("trouser_hem", 600), ("trouser_hem", 600)] == [
        (each["alteration"], each["amount"]["minor"]) for each in body["charges"]
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

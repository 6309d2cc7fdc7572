import pytest

from tests.http.sheets import (
    HEMMED,
    JACKET,
    JACKET_WAIST_IN,
    PINNED,
    TROUSERS,
    WAIST_IN,
    WORN,
    inches,
    named,
    placed,
    sheet,
)


def quote(staff, **asked):
    return staff.post("/v1/alteration-quotes", sheet(**asked))


def test_a_quote_says_lines_price_minutes_and_the_earliest_day(staff):
    body = quote(staff, garments=[TROUSERS, JACKET], lines=[WAIST_IN, JACKET_WAIST_IN]).body
    assert ["trouser_waist_in", "jacket_waist_in", "trouser_hem", "trouser_hem"] == [
        line["alteration"] for line in body["lines"]
    ]
    assert sum(line["price"]["minor"] for line in body["lines"]) == body["total"]["minor"]
    assert sum(line["minutes"] for line in body["lines"]) == body["minutes"]
    assert "2026-03-03" == body["earliest"]


def test_a_quote_books_nothing(staff):
    assert {"2026-03-03"} == {quote(staff).body["earliest"] for _ in range(40)}
    assert {"orders": []} == staff.get("/v1/orders").body


def test_an_order_is_what_its_quote_said(staff):
    said, done = quote(staff).body, placed(staff)
    # Only a line of an order has a number that stays its own.
    lines = [line | {"id": 0} for line in done["lines"]]
    assert (said["lines"], said["total"], said["earliest"]) == (lines, done["total"], done["promised_for"])


def test_each_leg_is_cut_to_its_own_pin(staff):
    lines = quote(staff).body["lines"]
    assert [("left", "6 in", "30 in"), ("right", "5 3/4 in", "30 1/4 in")] == [
        (line["side"], line["amount"]["text"], line["target"]["text"]) for line in lines
    ]


def test_one_pinned_leg_is_warned_of(staff):
    warnings = quote(staff, hems=[{"pins": {"left": inches(30)}}]).body["warnings"]
    assert [("one_leg_pinned", "/hems/0/pins")] == [(each["code"], each["pointer"]) for each in warnings]


@pytest.mark.parametrize(
    "note",
    ["follows from: shoulder narrowed (pair)", "not seen or taped at the fitting: look before it is sewn"],
)
def test_a_caller_who_types_the_houses_own_sentence_changes_nothing(staff, note):
    # A let-out, whose warning points into the line.
    out = WAIST_IN | {"alteration": "trouser_waist_out"}
    plain = quote(staff, garments=[HEMMED], lines=[out], hems=[]).body
    typed = quote(staff, garments=[HEMMED], lines=[out | {"note": note}], hems=[]).body
    assert ("asked", True) == (typed["lines"][0]["origin"], typed["lines"][0]["seen"])
    assert [note] == [line.pop("note") for line in typed["lines"]]
    assert [""] == [line.pop("note") for line in plain["lines"]]
    assert plain == typed


def test_a_let_out_is_subject_to_the_inlay_until_it_is_seen(staff):
    out = {"alteration": "trouser_waist_out", "amount": inches(1), "basis": "girth"}
    unseen = quote(staff, garments=[HEMMED], lines=[out], hems=[]).body
    seen = quote(staff, garments=[HEMMED], lines=[out | {"inlay_seen": inches(2)}], hems=[]).body
    assert (True, False) == (unseen["lines"][0]["subject_to_inlay"], seen["lines"][0]["subject_to_inlay"])
    assert (["/lines/0/inlay_seen"], []) == tuple([each["pointer"] for each in b["warnings"]] for b in (unseen, seen))


def test_a_hem_after_the_waist_is_marked_again_and_the_warning_points_at_its_pins(staff):
    warnings = quote(staff, lines=[WAIST_IN]).body["warnings"]
    assert [("hem_remark", "/hems/0")] == [(each["code"], each["pointer"]) for each in warnings]


def test_trousers_from_elsewhere_are_hemmed_by_the_leg_that_is_measured_on_them(staff):
    leg = {"inside_leg": inches(33), "cloth_inside": inches(2)}
    hem = PINNED | {"leg": leg, "inside_leg": inches(31), "heel": inches("3/4"), "break": "half"}
    body = quote(staff, garments=[{"garment": "trousers"}], hems=[hem]).body
    assert [("left", "3 in", "30 in"), ("right", "2 3/4 in", "30 1/4 in")] == [
        (line["side"], line["amount"]["text"], line["target"]["text"]) for line in body["lines"]
    ]


def test_a_turn_up_is_another_work_than_a_plain_hem(staff):
    hem = PINNED | {"finish": "turn_up", "turn_up": inches("1 1/2")}
    assert {"trouser_hem_turn_up"} == {line["alteration"] for line in quote(staff, hems=[hem]).body["lines"]}


@pytest.mark.parametrize(
    ("asked", "problem"),
    [
        ({"lines": [], "hems": []}, ("order_empty", ["/lines"])),
        ({"lines": [WAIST_IN | {"amount": inches(5)}]}, ("alteration_beyond_limit", ["/lines/0/amount"])),
        ({"lines": [WAIST_IN | {"amount": inches(0)}]}, ("amount_zero", ["/lines/0/amount"])),
        ({"lines": [WAIST_IN | {"basis": "length"}]}, ("basis_wrong", ["/lines/0/basis"])),
        ({"lines": [WAIST_IN | {"side": "left"}]}, ("side_not_taken", ["/lines/0/side"])),
        ({"lines": [WAIST_IN | {"direction": "increase"}]}, ("direction_impossible", ["/lines/0/direction"])),
        ({"lines": [WAIST_IN | {"piece": 7}]}, ("piece_unknown", ["/lines/0/piece"])),
        ({"lines": [WAIST_IN | {"piece": 0}]}, ("field_wrong", ["/lines/0/piece"])),
        ({"lines": [WAIST_IN, WAIST_IN]}, ("line_repeated", ["/lines/1"])),
        ({"lines": [{"alteration": "trouser_waist_in"}]}, ("amount_missing", ["/lines/0/amount"])),
        ({"lines": [{"alteration": "trouser_waist_in", "amount": inches(1)}]}, ("basis_missing", ["/lines/0/basis"])),
        ({"lines": [{"alteration": "trouser_waist_in", "basis": "girth"}]}, ("amount_missing", ["/lines/0/amount"])),
        (
            {"lines": [{"alteration": "trouser_leg_swing", "amount": inches("1/2"), "basis": "per_leg"}]},
            ("direction_missing", ["/lines/0/direction"]),
        ),
        (
            {"lines": [{"alteration": "trouser_thigh_in", "amount": inches("1/2"), "basis": "per_leg"}]},
            ("side_missing", ["/lines/0/side"]),
        ),
        (
            {"lines": [{"alteration": "trouser_press", "amount": inches(1), "basis": "girth"}]},
            ("amount_not_taken", ["/lines/0/amount"]),
        ),
        ({"lines": [WAIST_IN | {"inlay_seen": inches("x")}]}, ("quantity_unreadable", ["/lines/0/inlay_seen/value"])),
        ({"lines": [{"alteration": "trouser_dye"}]}, ("field_wrong", ["/lines/0/alteration"])),
        ({"lines": [JACKET_WAIST_IN | {"piece": 1}]}, ("garment_mismatch", ["/lines/0/alteration"])),
        ({"lines": [JACKET_WAIST_IN]}, ("piece_missing", ["/lines/0/piece"])),
        ({"lines": [WAIST_IN] * 41}, ("field_wrong", ["/lines"])),
        ({"lines": [WAIST_IN | {"note": "x" * 201}]}, ("field_wrong", ["/lines/0/note"])),
        ({"lines": [WAIST_IN | {"note": "a\u0000b"}]}, ("field_wrong", ["/lines/0/note"])),
        ({"hems": [{"pins": {}}]}, ("hem_not_marked", ["/hems/0/pins"])),
        ({"hems": [{}]}, ("hem_not_marked", ["/hems/0/pins"])),
        # A reckoned leg is no mark.
        ({"hems": [{"inside_leg": inches(32)}]}, ("hem_not_marked", ["/hems/0/pins"])),
        ({"hems": [PINNED | {"to_be_pinned": True}]}, ("pinned_already", ["/hems/0/to_be_pinned"])),
        ({"take_up": ["trouser_thigh_out"]}, ("not_to_look_at", ["/take_up/0"])),
        ({"take_up": ["nothing"]}, ("field_wrong", ["/take_up/0"])),
        ({"garments": [TROUSERS | {"pleats": 9}]}, ("field_wrong", ["/garments/0/pleats"])),
        ({"hems": [{"pins": {"left": inches(40)}}]}, ("hem_cloth_short", ["/hems/0/pins/left"])),
        ({"hems": [{"pins": {"left": inches(2)}}]}, ("hem_quantity_outside", ["/hems/0/pins/left"])),
        ({"hems": [PINNED | {"turn_up": inches("1 1/2")}]}, ("turn_up_not_taken", ["/hems/0/turn_up"])),
        (
            {"hems": [PINNED | {"finish": "turn_up", "slant": inches("1/2")}]},
            ("slant_with_turn_up", ["/hems/0/slant"]),
        ),
        ({"hems": [PINNED | {"finish": "raw"}]}, ("field_wrong", ["/hems/0/finish"])),
        ({"hems": [PINNED | {"break": "wide"}]}, ("field_wrong", ["/hems/0/break"])),
        ({"hems": [PINNED | {"piece": 4}]}, ("piece_unknown", ["/hems/0/piece"])),
        ({"garments": [{"garment": "trousers"}]}, ("leg_unknown", ["/hems/0/leg"])),
        ({"garments": []}, ("piece_missing", ["/hems/0/piece"])),
        ({"garments": [TROUSERS, TROUSERS]}, ("piece_missing", ["/hems/0/piece"])),
        ({"garments": [TROUSERS | {"piece": 1}, JACKET | {"piece": 1}]}, ("piece_repeated", ["/garments/1/piece"])),
        ({"garments": [TROUSERS] * 11}, ("field_wrong", ["/garments"])),
        ({"garments": [TROUSERS | {"label": "99"}]}, ("label_unknown", ["/garments/0/label"])),
        ({"garments": [TROUSERS | {"chart": "none"}]}, ("chart_unknown", ["/garments/0/chart"])),
        ({"garments": [TROUSERS | {"pattern": "tartan"}]}, ("field_wrong", ["/garments/0/pattern"])),
        ({"garments": [TROUSERS | {"garment": "hat"}]}, ("field_wrong", ["/garments/0/garment"])),
        ({"garments": [TROUSERS | {"pins_left_in": -1}]}, ("field_wrong", ["/garments/0/pins_left_in"])),
        ({"garments": [TROUSERS | {"pins_left_in": 2.5}]}, ("field_wrong", ["/garments/0/pins_left_in"])),
        ({"garments": [TROUSERS | {"worked_buttonholes": 1}]}, ("field_wrong", ["/garments/0/worked_buttonholes"])),
        ({"garments": [TROUSERS | {"worked_buttonholes": "yes"}]}, ("field_wrong", ["/garments/0/worked_buttonholes"])),
        ({"needed_by": "soon"}, ("field_wrong", ["/needed_by"])),
        ({"from_fit_check": "00000000-0000-4000-8000-000000000000"}, ("fit_check_unknown", ["/from_fit_check"])),
    ],
    ids=named,
)
def test_what_cannot_be_done_is_refused_where_it_stands(staff, asked, problem):
    assert (422, *problem) == quote(staff, **asked).problem


def test_worked_cuff_holes_forbid_the_cuff_and_name_the_other_way(staff):
    sleeve = {
        "alteration": "jacket_sleeve_shorten_at_cuff",
        "amount": inches("1/2"),
        "basis": "length",
        "side": "both",
    }
    answer = quote(staff, garments=[JACKET | {"worked_buttonholes": True}], lines=[sleeve], hems=[])
    assert (422, "cuff_holes_worked", ["/lines/0/alteration"]) == answer.problem
    assert "jacket_sleeve_shorten_at_shoulder" in answer.body["detail"]


def test_a_plan_that_a_check_has_not_is_refused(staff):
    check = staff.post("/v1/fit-checks", WORN).body["id"]
    answer = quote(staff, from_fit_check=check, plan=9, garments=[], hems=[])
    assert (422, "plan_unknown", ["/plan"]) == answer.problem


def test_a_day_that_cannot_be_met_is_refused_with_the_earliest(staff):
    answer = quote(staff, needed_by="2026-03-02")
    assert (409, "needed_by_too_early", ["/needed_by"]) == answer.problem
    assert "2026-03-03" == answer.body["errors"][0]["facts"]["earliest"]


def test_a_day_that_can_be_met_is_taken(staff):
    assert "2026-03-03" == quote(staff, needed_by="2026-03-03").body["earliest"]

"""What is known of a man beside his readings: posture, what he wears, his age; and what is contradictory or nothing."""

from itertools import permutations

import pytest

from service.tailoring import tables
from service.tailoring.garments.charts import ChartHead
from service.use_cases.shop.charts import load_chart
from tests.http.sheets import SLIM, WORN, inches, named, placed, reading

LOW_LEFT = {"note": "low_shoulder", "side": "left", "amount": inches("1/4")}
LONG_LEG = {"note": "longer_leg", "side": "right", "amount": inches("1/2")}
SAYS_40 = {"garment": "jacket", "chart": "reference", "label": "40R", "how": "says"}
FITS_34 = {"garment": "trousers", "chart": "reference", "label": "34", "how": "fits"}


def advise(staff, **asked):
    return staff.post("/v1/size-advice", asked)


def estimate(body, dimension):
    return next(each for each in body["body"] if each["dimension"] == dimension)


def pads(lines, code="alteration"):
    return [(each["side"], each["amount"]["text"]) for each in lines if each[code] == "jacket_pad_one_shoulder"]


def warned(body):
    return [(each["code"], each["pointer"]) for each in body["warnings"]]


# ---------------------------------------------------------------- posture


def test_a_low_left_shoulder_brings_a_pad_on_the_left_to_every_plan(staff):
    plans = advise(staff, readings=SLIM, posture=[LOW_LEFT]).body["plans"]
    assert [[("left", "1/4 in")]] * 3 == [pads(plan["alterations"]) for plan in plans]


def test_where_to_look_is_said_at_the_note(staff):
    body = advise(staff, readings=SLIM, posture=[LONG_LEG, LOW_LEFT]).body
    assert {("posture_look", "/posture/0"), ("posture_look", "/posture/1")} <= set(warned(body))


def test_more_than_can_be_sewn_is_said_at_the_note(staff):
    low = LOW_LEFT | {"amount": inches("3/4")}
    body = advise(staff, readings=SLIM, posture=[low]).body
    assert ("posture_beyond_cloth", "/posture/0") in warned(body)
    assert [("left", "3/8 in")] == pads(body["plans"][0]["alterations"])


def test_legs_of_two_lengths_have_a_hem_each(staff):
    alterations = advise(staff, readings=SLIM, posture=[LONG_LEG]).body["plans"][0]["alterations"]
    hems = {each["side"]: each["amount"]["mm"] for each in alterations if each["alteration"] == "trouser_hem"}
    assert 12.7 == pytest.approx(hems["left"] - hems["right"], abs=0.11)


def test_posture_changes_neither_the_sizes_nor_the_body(staff):
    bare, noted = (advise(staff, readings=SLIM, **more).body for more in ({}, {"posture": [LOW_LEFT, LONG_LEG]}))
    assert bare["body"] == noted["body"]
    for garment in ("jacket", "trousers"):
        assert [plan[garment] for plan in bare["plans"]] == [plan[garment] for plan in noted["plans"]]


@pytest.mark.parametrize(
    ("wrong", "problem"),
    [
        ({"note": "limp"}, ("field_wrong", ["/posture/0/note"])),
        ({"note": None}, ("field_wrong", ["/posture/0/note"])),
        ({"side": "both"}, ("field_wrong", ["/posture/0/side"])),
        ({"side": None}, ("field_wrong", ["/posture/0/side"])),
        ({"note": "stoop"}, ("side_not_taken", ["/posture/0/side"])),
        ({"amount": inches("1 1/8")}, ("note_beyond_cloth", ["/posture/0/amount"])),
        ({"amount": inches(0)}, ("note_beyond_cloth", ["/posture/0/amount"])),
        ({"amount": inches("-1/4")}, ("quantity_negative", ["/posture/0/amount/value"])),
        ({"amount": {"value": 1, "unit": "ell"}}, ("field_wrong", ["/posture/0/amount/unit"])),
        ({"amount": {"value": 1}}, ("field_wrong", ["/posture/0/amount/unit"])),
        ({"diagnosis": "x"}, ("field_wrong", ["/posture/0/diagnosis"])),
    ],
    ids=named,
)
def test_a_note_that_cannot_be_is_refused_where_it_stands(staff, wrong, problem):
    for path, asked in (
        ("/v1/size-advice", {}),
        ("/v1/measurement-sets", {"readings": SLIM}),
        ("/v1/fit-checks", WORN),
    ):
        assert (422, *problem) == staff.post(path, asked | {"posture": [LOW_LEFT | wrong]}).problem


def test_a_note_without_its_side_is_refused_at_the_side(staff):
    bare = {part: value for part, value in LOW_LEFT.items() if part != "side"}
    answer = advise(staff, posture=[LONG_LEG, bare])
    assert (422, "side_missing", ["/posture/1/side"]) == answer.problem


def test_more_notes_than_a_man_has_are_refused(staff):
    assert (422, "field_wrong", ["/posture"]) == advise(staff, posture=[LOW_LEFT] * 11).problem


def test_a_recorded_set_keeps_its_notes(staff):
    recorded = staff.post("/v1/measurement-sets", {"readings": SLIM, "posture": [LOW_LEFT]})
    assert [("low_shoulder", "left", "1/4 in")] == [
        (each["note"], each["side"], each["amount"]["text"]) for each in recorded.body["posture"]
    ]
    assert recorded.body == staff.get(recorded.headers["Location"]).body


def test_the_notes_of_a_recorded_set_reach_the_ticket_of_the_order(staff):
    recorded = staff.post("/v1/measurement-sets", {"readings": SLIM, "posture": [LOW_LEFT]}).body["id"]
    asked = {part: value for part, value in WORN.items() if part != "readings"}
    check = staff.post("/v1/fit-checks", asked | {"measurement_set": recorded}).body
    assert [("left", "1/4 in")] == pads(check["plans"][0]["alterations"])
    order = placed(staff, garments=[], hems=[], from_fit_check=check["id"], to_be_pinned=True)
    assert [("left", "1/4 in")] == pads(order["lines"], "alteration")
    ticket = " ".join(staff.get(f"/v1/orders/{order['id']}/ticket").body.split())
    assert "LEFT ONLY: add to pad +1/4 in / +6 mm" in ticket


def test_notes_that_are_said_stand_in_place_of_those_recorded(staff):
    recorded = staff.post("/v1/measurement-sets", {"readings": SLIM, "posture": [LOW_LEFT]}).body["id"]
    right = LOW_LEFT | {"side": "right"}
    plan = advise(staff, measurement_set=recorded, posture=[right]).body["plans"][0]
    assert [("right", "1/4 in")] == pads(plan["alterations"])


# ---------------------------------------------------------------- what he wears


def test_a_40_regular_says_a_chest_of_about_40(staff):
    chest = estimate(advise(staff, wears=[SAYS_40]).body, "chest_girth")
    assert not chest["read"]
    assert 40 * 25.4 == pytest.approx(chest["mm"], abs=13)
    # 1.5 in: see tests/tailoring/test_wears.py.
    assert 25 < chest["sd_mm"] < 41


def test_what_fits_him_tells_more_than_what_he_says(staff):
    says, fits = (
        estimate(advise(staff, wears=[SAYS_40 | {"how": how}]).body, "chest_girth") for how in ("says", "fits")
    )
    assert fits["sd_mm"] < says["sd_mm"]


def test_a_label_is_said_to_be_an_interval_where_it_stands(staff):
    body = advise(staff, readings=SLIM, wears=[SAYS_40, FITS_34]).body
    assert {("label_is_an_interval", "/wears/0"), ("label_is_an_interval", "/wears/1")} <= set(warned(body))


def test_of_a_label_alone_plans_are_unsure_and_the_next_measure_is_named(staff):
    body = advise(staff, wears=[SAYS_40]).body
    assert "40" == body["plans"][0]["jacket"]["label"][:2]
    assert body["plans"][0]["confidence"]["together"]["best"] < 0.1
    assert body["next_measures"][0]["ranking"]["gain"]["minor"] > 0
    assert not any(each["read"] for each in body["body"])


def test_what_he_wears_counts_at_a_fit_check_too(staff):
    asked = {part: value for part, value in WORN.items() if part != "readings"} | {"observations": []}
    small, large = (
        estimate(staff.post("/v1/fit-checks", asked | {"wears": [SAYS_40 | {"label": label}]}).body, "chest_girth")
        for label in ("36R", "44R")
    )
    assert small["mm"] < large["mm"]


@pytest.mark.parametrize(
    ("wrong", "problem"),
    [
        ({"chart": "everyday"}, ("chart_unknown", ["/wears/0/chart"])),
        ({"label": "41R"}, ("label_unknown", ["/wears/0/label"])),
        ({"label": "34"}, ("label_unknown", ["/wears/0/label"])),
        ({"garment": "trousers"}, ("label_unknown", ["/wears/0/label"])),
        ({"garment": "hat"}, ("field_wrong", ["/wears/0/garment"])),
        ({"how": "hopes"}, ("field_wrong", ["/wears/0/how"])),
        ({"label": ""}, ("field_wrong", ["/wears/0/label"])),
        ({"label": 40}, ("field_wrong", ["/wears/0/label"])),
        ({"size": "40R"}, ("field_wrong", ["/wears/0/size"])),
    ],
    ids=named,
)
def test_what_cannot_be_worn_is_refused_where_it_stands(staff, wrong, problem):
    for path, asked in (("/v1/size-advice", {}), ("/v1/fit-checks", WORN)):
        assert (422, *problem) == staff.post(path, asked | {"wears": [SAYS_40 | wrong]}).problem


# ---------------------------------------------------------------- a label of whatever maker

FIFTY = {"garment": "jacket", "label": "50", "how": "says"}
SAID = [
    {"dimension": "stature", "value": 178, "unit": "cm", "source": "self_reported"},
    {"dimension": "body_mass", "value": 76, "unit": "kg", "source": "self_reported"},
]


def test_a_slim_customers_fifty_is_continental_and_said_to_be(staff):
    body = advise(staff, readings=SAID, wears=[FIFTY]).body
    (taken,) = (each for each in body["warnings"] if each["pointer"] == "/wears/0")
    assert ("label_is_an_interval", {"eu_jacket", "german"}) == (taken["code"], set(taken["facts"]["systems"]))
    assert 975 < estimate(body, "chest_girth")["mm"] < 1041


def test_a_fifty_in_doubt_is_asked_about_and_named_it_counts(staff):
    heavy = [SAID[0], SAID[1] | {"value": 95}]
    without, asked, answered = (
        advise(staff, readings=heavy, **more).body
        for more in ({}, {"wears": [FIFTY]}, {"wears": [FIFTY | {"system": "german"}]})
    )
    (question,) = (each for each in asked["warnings"] if each["pointer"] == "/wears/0")
    assert "which_size_system" == question["code"]
    assert {"given": "50", "candidates": ["eu_jacket", "german", "inch_jacket"]} == question["facts"]
    assert without["body"] == asked["body"]
    assert estimate(answered, "chest_girth")["mm"] < estimate(asked, "chest_girth")["mm"]


def test_a_short_form_and_a_system_name_a_size_of_a_chart(staff):
    of_chart = {"garment": "jacket", "chart": "reference", "how": "fits"}
    whole = advise(staff, wears=[of_chart | {"label": "40R"}]).body["body"]
    for said in ({"label": "40 regular"}, {"label": "50", "system": "eu_jacket"}):
        assert whole == advise(staff, wears=[of_chart | said]).body["body"]


@pytest.mark.parametrize(
    ("wrong", "problem"),
    [
        ({"system": "somewhere"}, ("designation_system_unknown", ["/wears/0/system"])),
        ({"system": "inch_trouser"}, ("designation_not_of_garment", ["/wears/0/system"])),
        ({"system": "german", "label": "51"}, ("designation_outside", ["/wears/0/label"])),
        ({"system": "en_letter", "label": "40R"}, ("designation_outside", ["/wears/0/label"])),
        ({"system": "jis_l_4004"}, ("designation_unreadable", ["/wears/0/label"])),
        ({"label": "medium-ish"}, ("label_of_no_system", ["/wears/0/label"])),
        ({"chart": "reference", "system": "german", "label": "51"}, ("designation_outside", ["/wears/0/label"])),
        ({"chart": "reference", "system": "en_letter", "label": "XXS"}, ("label_unknown", ["/wears/0/label"])),
    ],
    ids=named,
)
def test_a_label_that_cannot_be_read_is_refused_where_it_stands(staff, wrong, problem):
    assert (422, *problem) == staff.post("/v1/size-advice", {"wears": [FIFTY | wrong]}).problem


def test_the_chart_of_another_shop_is_unknown(staff, other_shop):
    load_chart(
        other_shop.house.context, other_shop.id, ChartHead("theirs", "Theirs"), tables.rows("garments/reference_chart")
    )
    theirs = FITS_34 | {"chart": "theirs"}
    assert 200 == advise(other_shop.staff, wears=[theirs]).status
    assert (422, "chart_unknown", ["/wears/0/chart"]) == advise(staff, wears=[theirs]).problem


# ---------------------------------------------------------------- contradictory, nothing, beyond


def test_a_chest_of_36_with_a_waist_of_52_is_pointed_out_at_both(staff):
    body = advise(staff, readings=[reading("chest_girth", 36), reading("waist_girth", 52)]).body
    assert {("reading_unlikely", "/readings/0"), ("reading_unlikely", "/readings/1")} <= set(warned(body))
    # Neither is overruled: a tape has been right before.
    assert 36 * 25.4 == pytest.approx(estimate(body, "chest_girth")["mm"], abs=13)
    assert 52 * 25.4 == pytest.approx(estimate(body, "waist_girth")["mm"], abs=13)


def test_of_whom_nothing_is_known_no_plan_is_made_and_measures_are_listed(staff):
    body = advise(staff, readings=[], wears=[], posture=[]).body
    assert ([], [("nothing_known", "")]) == (body["plans"], warned(body))
    assert "chest_girth" == body["next_measures"][0]["dimension"]


def test_of_posture_alone_no_plan_is_made(staff):
    body = advise(staff, posture=[LOW_LEFT]).body
    assert [] == body["plans"]
    assert body["next_measures"]


def test_beyond_the_men_surveyed_the_tape_is_asked_for_and_no_gain_is_claimed(staff):
    body = advise(staff, readings=[reading("stature", 175, "cm")], age_years=90).body
    assert [] == body["plans"]
    assert ("outside_model", "") in warned(body)
    gains = {each["dimension"]: each["ranking"]["gain"]["minor"] for each in body["next_measures"]}
    # By these a garment is sized at all; the others say whether it serves.
    assert {"chest_girth", "arm_length", "trouser_waist_girth", "hip_girth", "thigh_girth"} <= set(gains)
    assert {0} == set(gains.values())


def test_the_age_that_is_said_stands_in_place_of_the_recorded_one(staff):
    recorded = staff.post("/v1/measurement-sets", {"readings": SLIM, "age_years": 30}).body["id"]
    codes = [code for code, _ in warned(advise(staff, measurement_set=recorded, age_years=90).body)]
    assert "outside_model" in codes


# ---------------------------------------------------------------- the same question


EVERYTHING = {
    "readings": [*SLIM, reading("hip_girth", 38, source="self_measured")],
    "age_years": 44,
    "posture": [LOW_LEFT, LONG_LEG],
    "wears": [SAYS_40 | {"label": "36R"}, FITS_34 | {"label": "30"}],
}


def test_the_same_question_has_the_same_bytes_for_an_answer(staff, other_shop):
    assert advise(staff, **EVERYTHING).raw == advise(staff, **EVERYTHING).raw
    assert advise(staff, **EVERYTHING).raw == advise(other_shop.staff, **EVERYTHING).raw


def test_the_order_of_evidence_of_every_kind_does_not_matter(staff):
    def answered(**asked):
        body = advise(staff, **asked).body
        sizes = [
            (plan["jacket"], plan["trousers"], plan["ranking"], plan["confidence"]["together"])
            for plan in body["plans"]
        ]
        return body["body"], sizes, body["next_measures"], sorted(code for code, _ in warned(body))

    plain = answered(**EVERYTHING)
    for readings in list(permutations(EVERYTHING["readings"]))[::5]:
        turned = {kind: list(reversed(EVERYTHING[kind])) for kind in ("posture", "wears")}
        assert plain == answered(**EVERYTHING | turned | {"readings": list(readings)})


def test_a_label_in_doubt_is_asked_about_in_words_and_both_in_inches_and_centimetres(staff):
    asked = {"wears": [{"garment": "jacket", "label": "50", "how": "says"}]}
    for language, system in {"en-GB": "European size or German size", "de": "europäische Größe oder deutsche"}.items():
        answer = staff.post(f"/v1/size-advice?lang={language}", asked).body
        words = answer["warnings"][0]["text"]
        for said in (system, "38 3/8", "41 in / 97", "104 cm"):
            assert said in words
        # A fitter reads no codes.
        assert "_" not in words


@pytest.mark.parametrize(
    ("first", "second", "unit", "apart"), [("40", "42", "in", "1/2 in"), ("101", "104", "cm", "1.4 cm")]
)
def test_two_readings_too_far_apart_say_by_how_much_in_the_units_of_the_tape(staff, first, second, unit, apart):
    twice = {"dimension": "chest_girth", "value": first, "unit": unit, "repeats": [second]}
    (found,) = (w for w in advise(staff, readings=[twice]).body["warnings"] if w["code"] == "repeats_disagree")
    assert f"differ by more than {apart}. Take another." in found["text"]

import pytest

from tests.http.sheets import inches, named, reading

TOLD = {
    "readings": [
        reading("stature", 178, "cm", source="self_reported"),
        reading("body_mass", 76, "kg", source="self_reported"),
    ],
    "age_years": 34,
}
PINS = {"pins": {"left": inches("30 1/4"), "right": inches("30 1/2")}}


def plan(staff, asked, **more):
    answer = staff.post("/v1/hem-plans", asked, **more)
    assert 200 == answer.status, answer.body
    return answer.body


def codes(body):
    return [each["code"] for each in body["warnings"]]


def test_each_leg_is_cut_to_its_own_pin_with_the_cloth_below_it(staff):
    # By hand: 30 1/4 finished and 2 in inside are cut at 32 1/4; of 36 in, 3 3/4 are left.
    left, right = plan(staff, PINS)["legs"]
    assert ("left", "pinned", "30 1/4 in", "32 1/4 in", "3 3/4 in") == (
        left["side"], left["basis"], left["finished"]["text"], left["cut"]["text"], left["left_over"]["text"],
    )  # fmt: skip
    assert ("right", "30 1/2 in", "5 1/2 in") == (right["side"], right["finished"]["text"], right["change"]["text"])


def test_a_turn_up_takes_twice_its_depth_and_the_inside_turn(staff):
    hem = plan(staff, PINS | {"finish": "turn_up", "turn_up": inches("1 1/2"), "inside_turn": inches(1)})["hem"]
    assert ("4 in", "0 in") == (hem["cloth_below"]["text"], hem["slant"]["text"])


def test_a_turn_up_follows_his_height_where_nobody_says_its_depth(staff):
    body = plan(staff, PINS | {"finish": "turn_up", "readings": [reading("stature", 190, "cm")]})
    assert "turn-up of 2 in, 1 in inside" == body["hem"]["words"]
    assert "turn_up_by_height" in codes(body)


def test_a_man_who_cannot_be_pinned_gets_an_interval_and_a_warning_to_pin(staff):
    body = plan(staff, TOLD)
    assert ["formula", "formula"] == [leg["basis"] for leg in body["legs"]]
    assert "pin_first" in codes(body)
    for part, middle in (("inside_leg", "middle"), ("reckoned", "finished")):
        told = body[part]
        assert told["low"]["mm"] < told[middle]["mm"] < told["high"]["mm"]
        assert 0.8 == told["share"]
    # A guess of his leg is wider than a break, and says so.
    assert body["reckoned"]["sd_mm"] > body["inside_leg"]["sd_mm"] > 10


def test_a_recorded_set_with_a_taped_leg_narrows_the_interval_to_the_formulas_own(staff):
    readings = [reading("inside_leg_length", 32), reading("stature", 178, "cm")]
    recorded = staff.post("/v1/measurement-sets", {"readings": readings}).body["id"]
    body = plan(staff, {"measurement_set": recorded})
    assert body["inside_leg"]["read"]
    assert body["reckoned"]["sd_mm"] < plan(staff, TOLD)["reckoned"]["sd_mm"]


def test_a_recorded_set_that_was_looked_up_is_noted_as_shown(staff):
    asked = {"readings": [reading("inside_leg_length", 32)], "customer_ref": "C-77"}
    recorded = staff.post("/v1/measurement-sets", asked).body["id"]
    before = len(staff.get("/v1/disclosures").body["disclosures"])
    plan(staff, {"measurement_set": recorded})
    assert before + 1 == len(staff.get("/v1/disclosures").body["disclosures"])


def test_the_formula_checks_a_pin_and_says_how_it_falls(staff):
    # By hand: 32 + 1 - 1/2 - 2 - 1/4 = 30 1/4; a pin at 31 1/2 is 1 1/4 off, its front 1 3/4 too long.
    body = plan(staff, {"pins": {"left": inches("31 1/2"), "right": inches("30 1/4")}, "inside_leg": inches(32)})
    assert "30 1/4 in" == body["reckoned"]["finished"]["text"]
    assert [("look_again", "/pins/left"), ("leg_difference", "/pins")] == [
        (each["code"], each["pointer"]) for each in body["warnings"]
    ]
    assert ["too_long", "half"] == [leg["falls"]["name"] for leg in body["legs"]]
    assert 44.5 == body["legs"][0]["falls"]["surplus_mm"]


def test_a_higher_heel_takes_a_longer_leg(staff):
    low, high = (plan(staff, {"inside_leg": inches(32), "heel": inches(heel)}) for heel in ("3/4", "1 1/2"))
    assert ("30 in", "30 3/4 in") == (low["reckoned"]["finished"]["text"], high["reckoned"]["finished"]["text"])


def test_the_leg_comes_from_a_chart_a_name_or_the_tape(staff):
    def first(**leg):
        return plan(staff, PINS | leg)["legs"][0]["left_over"]["text"]

    assert "3 3/4 in" == first(chart="reference", label="30")
    assert "6 1/4 in" == first(sold_as="unfinished_long")
    assert "1 3/4 in" == first(leg={"inside_leg": inches(32), "cloth_inside": inches(2)})


def test_which_legs_as_sold_would_serve_is_said(staff):
    body = plan(staff, {"inside_leg": inches(34)})
    assert {"unfinished_long", "unfinished_regular", "hemmed_33"} == {
        each["sold_as"] for each in body["as_sold"] if each["serves"]
    }


def test_every_plan_says_to_mind_blades_and_pins(staff):
    assert any("pins" in each for each in plan(staff, PINS)["cautions"])


@pytest.mark.parametrize(
    ("asked", "problem"),
    [
        ({}, ("inside_leg_unknown", ["/pins"])),
        ({"age_years": 30}, ("inside_leg_unknown", ["/pins"])),
        ({"readings": [reading("stature", 210, "cm")]}, ("inside_leg_unknown", ["/pins"])),
        (PINS | {"finish": "turn_up", "slant": inches("1/2")}, ("slant_with_turn_up", ["/slant"])),
        (PINS | {"turn_up": inches(1)}, ("turn_up_not_taken", ["/turn_up"])),
        ({"pins": {"left": inches(35)}}, ("hem_cloth_short", ["/pins/left"])),
        ({"inside_leg": inches(79)}, ("hem_quantity_outside", ["/inside_leg"])),
        (PINS | {"heel": inches(10)}, ("hem_quantity_outside", ["/heel"])),
        (PINS | {"fork_gap": inches(10)}, ("hem_quantity_outside", ["/fork_gap"])),
        (PINS | {"hem_girth": inches(50)}, ("hem_quantity_outside", ["/hem_girth"])),
        (PINS | {"chart": "reference"}, ("leg_said_twice", ["/label"])),
        (PINS | {"label": "30"}, ("leg_said_twice", ["/chart"])),
        (PINS | {"sold_as": "hemmed_31", "chart": "reference", "label": "30"}, ("leg_said_twice", ["/leg"])),
        (PINS | {"chart": "none", "label": "30"}, ("chart_unknown", ["/chart"])),
        (PINS | {"chart": "reference", "label": "99"}, ("label_unknown", ["/label"])),
        (PINS | {"break": "puddle"}, ("field_wrong", ["/break"])),
        (PINS | {"sold_as": "capri"}, ("field_wrong", ["/sold_as"])),
        (PINS | {"steamed": 1}, ("field_wrong", ["/steamed"])),
    ],
    ids=named,
)  # fmt: skip
def test_what_cannot_be_hemmed_is_refused_where_it_stands(staff, asked, problem):
    assert (422, *problem) == staff.post("/v1/hem-plans", asked).problem

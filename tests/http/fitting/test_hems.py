import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.tailoring import tables
from service.tailoring.garments.charts import ChartHead
from service.use_cases.shop.charts import load_chart
from tests.http.sheets import TROUSERS, inches, named, reading, sheet

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
    for part, middle in (("inside_leg", "middle"), ("estimated", "finished")):
        told = body[part]
        narrow, wide = told["intervals"]
        assert (0.8, 0.95) == (narrow["share"], wide["share"])
        ends = [wide["low"], narrow["low"], told[middle], narrow["high"], wide["high"]]
        assert sorted(end["mm"] for end in ends) == [end["mm"] for end in ends]
        # Of a normal 1.2816 SDs either way hold 80 of 100, 1.96 hold 95.
        off = [each["high"]["mm"] - told[middle]["mm"] for each in (narrow, wide)]
        assert [1.2816 * told["sd_mm"], 1.96 * told["sd_mm"]] == pytest.approx(off, abs=0.2)
    # A guess of his leg is wider than a break, and says so.
    assert body["estimated"]["sd_mm"] > body["inside_leg"]["sd_mm"] > 10


def test_a_recorded_set_with_a_taped_leg_narrows_the_interval_to_the_formulas_own(staff):
    readings = [reading("inside_leg_length", 32), reading("stature", 178, "cm")]
    recorded = staff.post("/v1/measurement-sets", {"readings": readings}).body["id"]
    body = plan(staff, {"measurement_set": recorded})
    assert body["inside_leg"]["read"]
    assert body["estimated"]["sd_mm"] < plan(staff, TOLD)["estimated"]["sd_mm"]


def test_a_recorded_set_that_was_looked_up_is_noted_as_shown(staff):
    asked = {"readings": [reading("inside_leg_length", 32)], "customer_ref": "C-77"}
    recorded = staff.post("/v1/measurement-sets", asked).body["id"]
    before = len(staff.get("/v1/disclosures").body["disclosures"])
    plan(staff, {"measurement_set": recorded})
    assert before + 1 == len(staff.get("/v1/disclosures").body["disclosures"])


def test_the_formula_checks_a_pin_and_says_how_it_falls(staff):
    # By hand: 32 + 1 - 1/2 - 2 - 1/4 = 30 1/4; a pin at 31 1/2 is 1 1/4 off, its front 1 3/4 too long.
    body = plan(staff, {"pins": {"left": inches("31 1/2"), "right": inches("30 1/4")}, "inside_leg": inches(32)})
    assert "30 1/4 in" == body["estimated"]["finished"]["text"]
    assert [("look_again", "/pins/left"), ("legs_apart", "/pins"), ("leg_difference", "/pins")] == [
        (each["code"], each["pointer"]) for each in body["warnings"]
    ]
    assert ["too_long", "half"] == [leg["falls"]["name"] for leg in body["legs"]]
    assert 44.5 == body["legs"][0]["falls"]["surplus"]["mm"]
    assert [("1 1/4 in", True), ("0 in", False)] == [
        (leg["formula"]["pin_off"]["text"], leg["formula"]["look_again"]) for leg in body["legs"]
    ]


def test_a_higher_heel_takes_a_longer_leg(staff):
    low, high = (plan(staff, {"inside_leg": inches(32), "heel": inches(heel)}) for heel in ("3/4", "1 1/2"))
    assert ("30 in", "30 3/4 in") == (low["estimated"]["finished"]["text"], high["estimated"]["finished"]["text"])


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
        (PINS | {"front_height": inches(9)}, ("hem_quantity_outside", ["/front_height"])),
        ({"readings": [reading("inside_leg_length", 45)]}, ("hem_quantity_outside", ["/readings/0"])),
        ({"pins": {"left": {"value": 30, "unit": "mm"}}}, ("hem_quantity_outside", ["/pins/left"])),
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


# I finished inside leg, F inside leg to the floor, h heel, g fork gap, c back hem above the floor, s slant, v height at
# which the front meets the shoe, b surplus (derived here): I = F + h - g - c - s/2, b = v - c - s.
@pytest.mark.parametrize(
    ("asked", "finished_in", "surplus_in"),
    [
        # 32 + 1 - 1/2 - 2 - 1/4; 3 - 2 - 1/2
        ({}, 30.25, 0.5),
        # 32 + 1 1/2 - 1/2 - 2 - 1/4
        ({"heel": inches("1 1/2")}, 30.75, 0.5),
        # 32 + 1 - 3/4 - 2 - 1/4
        ({"fork_gap": inches("3/4")}, 30, 0.5),
        # 32 + 1 - 1/2 - 1 1/2 - 1/4; 3 - 1 1/2 - 1/2
        ({"break": "full"}, 30.75, 1),
        # 32 + 1 - 1/2 - 2 1/2 - 1/4; 3 - 2 1/2 - 1/2
        ({"break": "none"}, 29.75, 0),
        # the back ends at 3 - 1/2 - 0: 32 + 1 - 1/2 - 2 1/2 - 0
        ({"slant": inches(0)}, 30, 0.5),
        # at 3 - 1/2 - 3/4: 32 + 1 - 1/2 - 1 3/4 - 3/8
        ({"slant": inches("3/4")}, 30.375, 0.5),
        # a turn-up is cut straight: as without a slant
        ({"finish": "turn_up"}, 30, 0.5),
        # at 3 1/2 - 1/2 - 1/2: 32 + 1 - 1/2 - 2 1/2 - 1/4
        ({"front_height": inches("3 1/2")}, 29.75, 0.5),
        # at 2 1/2 + 3/4 - 1/4: 32 + 3/4 - 1/4 - 3 - 1/8
        (
            {"heel": inches("3/4"), "fork_gap": inches("1/4"), "break": "cropped", "slant": inches("1/4")}
            | {"front_height": inches("2 1/2")},
            29.375,
            -0.75,
        ),
    ],
    ids=["usual", "heel", "fork", "full", "none", "straight", "slant", "turn-up", "front height", "all of them"],
)
def test_the_formula_and_the_break_are_reckoned_as_by_hand(staff, asked, finished_in, surplus_in):
    body = plan(staff, {"inside_leg": inches(32)} | asked)
    assert [finished_in] * 2 == [leg["finished"]["value"] for leg in body["legs"]]
    assert surplus_in == body["break"]["surplus"]["value"]


@pytest.mark.parametrize(
    ("depth", "turn", "cloth_in"),
    [(None, None, 4), ("1 1/4", None, 3.5), ("1 1/2", "3/4", 3.75), (2, "1 1/2", 5.5)],
)
def test_cuts_of_turn_ups_are_as_by_hand(staff, depth, turn, cloth_in):
    # 2C + t below the finished edge: of 36 in, 30 and that are cut, the rest is left.
    said = {"turn_up": depth, "inside_turn": turn}
    asked = {name: inches(value) for name, value in said.items() if value}
    body = plan(staff, {"pins": {"left": inches(30)}, "finish": "turn_up"} | asked)
    leg = body["legs"][0]
    assert cloth_in == body["hem"]["cloth_below"]["value"]
    assert (30 + cloth_in, 6 - cloth_in, 36 - cloth_in) == tuple(
        leg[part]["value"] for part in ("cut", "left_over", "longest")
    )


def test_cloth_that_is_missing_is_said_with_what_would_serve(staff):
    # Of 36 in, 33 + 4 is one too many, 31 + 4 leaves one. The shallowest turn-up takes 33 + 3 1/2 = 36 1/2.
    body = plan(staff, {"pins": {"left": inches(31), "right": inches(33)}, "finish": "turn_up"})
    left, right = body["legs"]
    assert (1, 0, None) == (left["left_over"]["value"], left["missing"]["value"], left["instead"])
    assert (0, 1, 32) == tuple(right[part]["value"] for part in ("left_over", "missing", "longest"))
    assert "plain, 2 in inside" == right["instead"]
    assert [("hem_cloth_short", "/pins/right"), ("legs_apart", "/pins"), ("leg_difference", "/pins")] == [
        (each["code"], each["pointer"]) for each in body["warnings"]
    ]


def test_a_leg_that_was_hemmed_before_is_let_down_out_of_its_own_cloth(staff):
    # 31 + 2 inside = 33: 31 1/2 with a turn of 1 1/2 takes all of it, 32 misses 1/2.
    leg = {"inside_leg": inches(31), "cloth_inside": inches(2)}
    pins = {"left": inches("31 1/2"), "right": inches(32)}
    body = plan(staff, {"leg": leg, "pins": pins, "inside_turn": inches("1 1/2")})
    left, right = body["legs"]
    assert ("increase", 0.5, 0) == (left["direction"], left["change"]["value"], left["left_over"]["value"])
    assert ("increase", 1, 0.5) == (right["direction"], right["change"]["value"], right["missing"]["value"])
    assert (True, None) == (body["leg"]["measured"], body["leg"]["unfinished"])


def test_the_chart_says_whether_the_leg_is_uncut(shop, staff):
    head = ChartHead("finished", "Finished legs", unfinished=False)
    load_chart(shop.house.context, shop.id, head, tables.rows("garments/reference_chart"))
    uncut, done = (plan(staff, PINS | {"chart": chart, "label": "30"})["leg"] for chart in ("reference", "finished"))
    assert (True, 0, False) == (uncut["unfinished"], uncut["cloth_inside"]["value"], uncut["measured"])
    # The least that a finished leg keeps inside (common practice, no source).
    assert (False, 1.5) == (done["unfinished"], done["cloth_inside"]["value"])
    assert ("finished", 1, "30") == tuple(done[part] for part in ("chart", "revision", "label"))


def test_a_shoe_and_fork_that_were_measured_narrow_the_interval(staff):
    def sd(**asked):
        return plan(staff, TOLD | asked)["estimated"]["sd_mm"]

    assert sd(heel=inches(1), fork_gap=inches("1/2")) < sd(heel=inches(1)) < sd()


def test_a_longer_leg_is_reckoned_longer_and_its_pin_checked_by_it(staff):
    # 1/4 in either side of 30 1/4.
    known = {"inside_leg": inches(32)}
    known["posture"] = [{"note": "longer_leg", "side": "right", "amount": inches("1/2")}]
    assert [30, 30.5] == [leg["finished"]["value"] for leg in plan(staff, known)["legs"]]
    pinned = plan(staff, known | {"pins": {"left": inches("30 7/8"), "right": inches("30 7/8")}})
    assert [(0.875, True), (0.375, False)] == [
        (leg["formula"]["pin_off"]["value"], leg["formula"]["look_again"]) for leg in pinned["legs"]
    ]


@pytest.mark.parametrize(
    ("asked", "code"),
    [
        # 36 - 21 = 15 in; a hem takes up to 14 off.
        ({"pins": {"left": inches(21), "right": inches(30)}}, "alteration_beyond_limit"),
        # Turn-ups are made of what is there, and never lengthen.
        (
            {
                "leg": {"inside_leg": inches(30), "cloth_inside": inches(5)},
                "pins": {"left": inches(31), "right": inches(30)},
                "finish": "turn_up",
            },
            "direction_impossible",
        ),
    ],
)
def test_what_an_order_would_not_take_is_warned_of_at_its_pin(staff, asked, code):
    found = [(each["code"], each["pointer"]) for each in plan(staff, asked)["warnings"]]
    assert (code, "/pins/left") in found
    assert (code, "/pins/right") not in found


def test_lengths_are_written_in_the_unit_that_is_asked_for(staff):
    body = plan(staff, PINS | {"inside_leg": inches(32)}, query={"units": "cm"})
    leg = body["legs"][0]
    assert (76.84, "cm", 768.4) == tuple(leg["finished"][part] for part in ("value", "unit", "mm"))
    assert {"cm"} == {body["break"]["surplus"]["unit"], leg["formula"]["pin_off"]["unit"], leg["missing"]["unit"]}


@pytest.mark.parametrize(("scope", "status"), [("advise", 200), ("order", 200), ("workroom", 403)])
def test_whoever_advises_or_orders_may_plan(shop, scope, status):
    assert status == shop.client(scope).post("/v1/hem-plans", PINS).status


def test_a_page_may_have_a_leg_reckoned_but_sees_no_recorded_set(shop, staff):
    recorded = staff.post("/v1/measurement-sets", {"readings": [reading("inside_leg_length", 32)]}).body["id"]
    page = shop.page("https://shop.example")
    assert "pin_first" in codes(plan(page, TOLD))
    refused = page.post("/v1/hem-plans", {"measurement_set": recorded})
    assert (422, "set_unknown", ["/measurement_set"]) == refused.problem


def test_nothing_is_booked(staff):
    def earliest():
        return staff.post("/v1/alteration-quotes", sheet()).body["earliest"]

    before = earliest()
    for _ in range(20):
        plan(staff, PINS)
    assert before == earliest()
    assert {"orders": []} == staff.get("/v1/orders").body


eighths = st.integers(27 * 8, 35 * 8).map(lambda count: {"value": count / 8, "unit": "in"})
endings = st.fixed_dictionaries(
    {},
    optional={
        "inside_turn": st.sampled_from(["1", "1 1/2", "2"]).map(inches),
        "heel": st.sampled_from(["0", "1", "1 1/2"]).map(inches),
        "break": st.sampled_from(["cropped", "none", "quarter", "half", "full"]),
        "inside_leg": st.sampled_from([30, 32, 34]).map(inches),
    },
) | st.fixed_dictionaries({"finish": st.just("turn_up"), "turn_up": st.sampled_from(["1 1/4", "1 3/4"]).map(inches)})


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(left=eighths, right=eighths, ending=endings)
def test_an_orders_hem_is_the_plan_of_it(staff, left, right, ending):
    pins = {"left": left, "right": right}
    body = plan(staff, {"chart": "reference", "label": "30", "pins": pins, **ending})
    quoted = staff.post("/v1/alteration-quotes", sheet(garments=[TROUSERS], hems=[{"pins": pins, **ending}]))
    short = [each for each in body["legs"] if each["missing"]["mm"]]
    if short:
        # Where cloth is missing an order is refused, at the first such pin, for as much.
        assert (422, "hem_cloth_short", [f"/hems/0/pins/{short[0]['side']}"]) == quoted.problem
        assert (
            f"{short[0]['missing']['text']} ({short[0]['missing']['mm']} mm) short"
            in quoted.body["errors"][0]["detail"]
        )
        return
    limits = [each for each in body["warnings"] if each["code"] == "alteration_beyond_limit"]
    if limits:
        assert quoted.problem[1] in ("alteration_beyond_limit", "lines_refused")
        assert len(limits) == len(quoted.body["errors"])
        return
    lines = quoted.body["lines"]
    assert [(each["side"], each["change"], each["finished"]) for each in body["legs"]] == [
        (line["side"], line["amount"], line["target"]) for line in lines
    ]
    for each, line in zip(body["legs"], lines, strict=True):
        assert each["cut"] == line["cut"]
        assert body["hem"]["words"] in line["note"]
    # And the same is to be looked at.
    assert [(each["code"], f"/hems/0{each['pointer']}", each["text"]) for each in body["warnings"]] == [
        (each["code"], each["pointer"], each["text"]) for each in quoted.body["warnings"]
    ]

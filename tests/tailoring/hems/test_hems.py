import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.tailoring import tables
from service.tailoring.garments.alterations import alteration
from service.tailoring.garments.amounts import check_amount
from service.tailoring.hems.breaks import Shoe, Wearer
from service.tailoring.hems.dressed import Dressed
from service.tailoring.hems.hem_checks import Fitting
from service.tailoring.hems.hems import Hem, Leg, Pins, plan_hem, turn_up_depth
from service.tailoring.quantities import Length, inches
from service.tailoring.refusals import Refusal


def inch(count):
    return Length(inches(count), "in")


# Unfinished leg 36 in regular (common practice, no source).
UNFINISHED = Leg(inch(36))


def refusal_of(ask, *given_values, **named):
    with pytest.raises(Refusal) as caught:
        ask(*given_values, **named)
    return caught.value


def codes(plan):
    return [notice.code for notice in plan.notices]


@pytest.mark.parametrize("row", tables.rows("hems/turn_up_cloth"), ids=lambda row: row["depth_in"])
@pytest.mark.parametrize(
    ("column", "turn_in"),
    [("cloth_with_turn_0_75_in", 0.75), ("cloth_with_turn_1_in", 1), ("cloth_with_turn_1_5_in", 1.5)],
)
def test_a_turn_up_takes_the_cloth_of_the_trades_table(row, column, turn_in):
    # Source: the trade's table of cloth for turn-ups (common practice, no source; derived as 2C + t).
    hem = Hem("turn_up", inch(float(row["depth_in"])), inch(turn_in))
    assert inches(float(row[column])) == pytest.approx(hem.cloth_below_mm)


def test_a_plain_hem_usually_keeps_two_inches_inside_and_a_slant_of_half_an_inch():
    # US Navy Uniform Regulations art. 3501.94; common practice, no source.
    assert (inches(2), inches(0.5)) == (Hem().cloth_below_mm, Hem().slant_mm)


def test_turn_ups_have_no_slant():
    # US Army TM 10-227 (slacks).
    assert 0 == Hem("turn_up").slant_mm
    assert "slant_with_turn_up" == refusal_of(Hem, "turn_up", slant=inch(0.25)).code
    assert 0 == Hem("turn_up", slant=Length(0.0)).slant_mm


@pytest.mark.parametrize(
    ("parts", "code", "at"),
    [
        ({"finish": "raw"}, "finish_unknown", ("finish",)),
        ({"turn_up": inch(1.5)}, "turn_up_not_taken", ("turn_up",)),
        ({"finish": "turn_up", "turn_up": inch(4)}, "hem_quantity_outside", ("turn_up",)),
        ({"inside_turn": inch(6)}, "hem_quantity_outside", ("inside_turn",)),
        ({"slant": inch(2)}, "hem_quantity_outside", ("slant",)),
    ],
    ids=["finish", "plain with turn-up", "turn-up too deep", "turn too deep", "slant too steep"],
)
def test_a_hem_that_cannot_be_sewn_is_refused(parts, code, at):
    refusal = refusal_of(Hem, **parts)
    assert (code, at) == (refusal.code, refusal.at)


@pytest.mark.parametrize(("stature_in", "depth_in"), [(64, 1.25), (66, 1.5), (73, 1.5), (74, 2), (84, 2)])
def test_the_turn_up_follows_the_mans_height(stature_in, depth_in):
    # Source: common practice, no source (short to 65, middle 66 to 73, tall from 74 in).
    assert inch(depth_in) == turn_up_depth(inch(stature_in))


@pytest.mark.parametrize(("stature_in", "depth_in"), [(70, 1.625), (71, 1.75)])
def test_another_scale_of_turn_ups_is_known(stature_in, depth_in):
    # Source: common practice, no source (to 5 ft 10, and taller).
    assert inch(depth_in) == turn_up_depth(inch(stature_in), "other")


def test_each_leg_goes_to_its_own_pin():
    # Failure guarded against: both legs made equal when marked unequal.
    plan = plan_hem(Pins(inch(30), inch(30.5)), UNFINISHED, Hem())
    left, right = plan.legs
    assert ("left", inches(30), inches(32)) == (left.side, left.finished.mm, left.cut.mm)
    assert inches(4) == pytest.approx(left.left_over.mm)
    assert ("right", inches(30.5), "decrease") == (right.side, right.finished.mm, right.direction)
    assert inches(5.5) == pytest.approx(right.change.mm)
    assert inches(0.5) == pytest.approx(plan.apart.mm)
    assert [] == codes(plan)


def test_a_finished_leg_is_lengthened_out_of_the_cloth_inside_it():
    plan = plan_hem(Pins(inch(31.5), inch(31)), Leg(inch(31), inch(2)), Hem(inside_turn=inch(1.5)))
    left, right = plan.legs
    assert ("increase", inches(0.5)) == (left.direction, pytest.approx(left.change.mm))
    assert (None, None) == (right.direction, right.amount)
    assert 0 == pytest.approx(left.left_over.mm)


def test_a_plan_gives_the_amount_that_an_order_takes():
    plan = plan_hem(Pins(inch(30), inch(30)), UNFINISHED, Hem())
    for leg in plan.legs:
        check_amount(alteration("trouser_hem"), leg.amount)


def test_a_leg_too_short_for_its_turn_up_is_refused_with_what_would_serve():
    refusal = refusal_of(plan_hem, Pins(inch(30), inch(33)), UNFINISHED, Hem("turn_up", inch(1.5)))
    assert ("hem_cloth_short", ("pins", "right")) == (refusal.code, refusal.at)
    assert ("32", 812.8) == (refusal.facts["longest_in"], refusal.facts["longest_mm"])
    assert "plain, 2 in inside" == refusal.facts["instead"]


@pytest.mark.parametrize(
    ("pin_in", "hem", "instead"),
    [
        (31.75, Hem("turn_up", inch(2)), "turn-up of 1 5/8 in, 1 in inside"),
        (34.5, Hem(), "plain, 1 1/2 in inside"),
        (35, Hem(), "plain, 1 in inside: enough to hold, little to let down later"),
        (
            35.5,
            Hem(),
            "faced hem: 1/2 in of cloth and a strip of like cloth sewn on inside; nothing is left to let down",
        ),
        (35.75, Hem(), "trousers of a longer inside leg"),
        (35.75, Hem("turn_up", inch(1.5)), "trousers of a longer inside leg"),
    ],
    ids=["shallower turn-up", "scant plain hem", "less turned in", "faced", "other trousers", "no turn-up either"],
)
def test_what_serves_instead_is_the_first_finish_that_the_cloth_allows(pin_in, hem, instead):
    refusal = refusal_of(plan_hem, Pins(inch(pin_in), None), UNFINISHED, hem)
    assert instead == refusal.facts["instead"]


def test_a_hem_is_worded_as_it_was_said_and_else_in_the_unit_of_the_order():
    # Four centimetres written as 1 5/8 in are four centimetres no more.
    turned_up = Hem("turn_up", Length(40, "cm"), Length(20, "cm"))
    assert "turn-up of 4 cm, 2 cm inside" == turned_up.words("cm") == turned_up.words("in")
    assert "turn-up of 4 cm, 1 in inside" == Hem("turn_up", Length(40, "cm")).words("in")
    assert ("turn-up of 3.8 cm, 2.5 cm inside", "plain, 2 in inside") == (Hem("turn_up").words("cm"), Hem().words("in"))
    refusal = refusal_of(plan_hem, Pins(Length(885, "cm"), None), UNFINISHED, Hem())
    assert "plain, 2.5 cm inside: enough to hold, little to let down later" == refusal.facts["instead"]


@pytest.mark.parametrize(
    ("front_height_in", "slant_in", "disagrees"),
    [(3, 0.5, False), (3.5, 0.5, False), (2.5, 0.5, False), (2.5, 1, True), (3.5, 0, True), (4.25, 0.5, True)],
)
def test_break_slant_and_shoe_that_do_not_agree_are_pointed_out(front_height_in, slant_in, disagrees):
    # A back hem more than 1/2 in off its usual height (derived here; common practice, no source).
    wearer = Wearer(inch(32), shoe=Shoe(inch(1), inch(front_height_in)))
    plan = plan_hem(Pins(), UNFINISHED, Hem(slant=inch(slant_in)), wearer)
    assert disagrees == ("break_disagrees" in {notice.code for notice in plan.notices})


def test_a_hem_needs_a_pin_or_the_mans_inside_leg():
    refusal = refusal_of(plan_hem, Pins(), UNFINISHED, Hem())
    assert ("pins_missing", ("pins",)) == (refusal.code, refusal.at)


def test_without_pins_both_legs_follow_the_formula():
    plan = plan_hem(Pins(), UNFINISHED, Hem(), Wearer(inch(32)))
    assert ["formula", "formula"] == [leg.basis for leg in plan.legs]
    assert plan.formula == plan.legs[0].finished
    assert inches(30.25) == pytest.approx(plan.formula.mm)
    assert ["pin_first"] == codes(plan)


@pytest.mark.parametrize(("pin_in", "expected"), [(31, []), (31.125, ["look_again", "look_again"])])
def test_a_pin_over_three_quarters_from_the_formula_is_looked_at_again(pin_in, expected):
    # Common practice, no source: the formula checks the pin, 3/4 in either way.
    plan = plan_hem(Pins(inch(pin_in), inch(pin_in)), UNFINISHED, Hem(), Wearer(inch(32)))
    assert expected == codes(plan)
    assert inches(pin_in) == plan.legs[0].finished.mm


@pytest.mark.parametrize(("sd_mm", "expected"), [(5, ["look_again"] * 2), (25, [])])
def test_a_leg_that_is_only_reckoned_calls_no_pin_wrong_within_its_own_spread(sd_mm, expected):
    plan = plan_hem(Pins(inch(31.5), inch(31.5)), UNFINISHED, Hem(), Wearer(inch(32), sd_mm=sd_mm))
    assert expected == codes(plan)
    # And what the pin does on the shoe is told only of a leg that was taped.
    assert (sd_mm == 5) == all(leg.falls for leg in plan.legs)


# Worked by hand, in inches: back hem c = 32 + 1 - 1/2 - 1/4 - pin; surplus b = 3 - c - 1/2.
@pytest.mark.parametrize(
    ("pin_in", "surplus_in", "name"),
    [
        (28.75, -1, "cropped"),  # c = 3 1/2
        (29.75, 0, "none"),  # c = 2 1/2
        (30, 0.25, "quarter"),  # c = 2 1/4
        (30.25, 0.5, "half"),  # c = 2
        (30.75, 1, "full"),  # c = 1 1/2
        (31.25, 1.5, "too_long"),  # c = 1
    ],
)
def test_a_pin_tells_how_the_front_falls(pin_in, surplus_in, name):
    plan = plan_hem(Pins(inch(pin_in), inch(pin_in)), UNFINISHED, Hem(), Wearer(inch(32)))
    for leg in plan.legs:
        assert (name, pytest.approx(inches(surplus_in))) == (leg.falls.name, leg.surplus_mm)


def test_a_turn_up_falls_by_the_same_arithmetic_without_slant():
    # By hand: c = 32 + 1 - 1/2 - 30 1/2 = 2, b = 3 - 2 = 1.
    plan = plan_hem(Pins(inch(30.5), None), UNFINISHED, Hem("turn_up"), Wearer(inch(32)))
    assert ("full", pytest.approx(inches(1))) == (plan.legs[0].falls.name, plan.legs[0].surplus_mm)


def test_legs_that_are_apart_are_reckoned_apart():
    # The left leg is 1/2 in longer: 1/4 either side of the middle of 30 1/4.
    plan = plan_hem(Pins(), UNFINISHED, Hem(), Wearer(inch(32), aside_mm=(-inches(0.25), inches(0.25))))
    assert [inches(30.5), inches(30)] == pytest.approx([leg.finished.mm for leg in plan.legs])


@pytest.mark.parametrize(("right_in", "expected"), [(30, []), (30.0625, ["legs_nearly_alike"]), (30.125, [])])
def test_less_than_an_eighth_apart_is_the_pins_own_error(right_in, expected):
    assert expected == codes(plan_hem(Pins(inch(30), inch(right_in)), UNFINISHED, Hem()))


@pytest.mark.parametrize(
    ("fitting", "expected"),
    [
        (Fitting(dressed=Dressed(heel=inch(1))), []),
        (Fitting(dressed=Dressed(heel=inch(1.5))), ["other_shoes"]),
        (Fitting(hem_girth=inch(16.5)), []),
        (Fitting(hem_girth=inch(13)), ["narrow_for_foot", "narrow_for_break"]),
        (Fitting(hem_girth=inch(15.5), foot_girth=inch(16)), ["narrow_for_foot"]),
        (Fitting(hem_girth=inch(18.5)), ["wide_for_break"]),
        (Fitting(steamed=False), ["may_shrink"]),
        (Fitting(steamed=True), []),
        # 43 less 1 1/4 to 2 less a rise of 11: 30 to 30 3/4.
        (Fitting(waist_to_floor=inch(43), side_rise=inch(11)), []),
        (Fitting(waist_to_floor=inch(45), side_rise=inch(11)), ["outside_leg_disagrees"] * 2),
        # Without his rise anything from 9 1/2 to 13 in may be it.
        (Fitting(waist_to_floor=inch(45)), []),
    ],
    ids=repr,
)
def test_shoe_foot_hem_and_side_check_the_pins(fitting, expected):
    plan = plan_hem(Pins(inch(30.25), inch(30.25)), UNFINISHED, Hem(), Wearer(inch(32)), fitting)
    assert expected == codes(plan)


@pytest.mark.parametrize(
    ("right_in", "expected"),
    [(30.5, []), (30.625, ["legs_apart"]), (30.75, ["legs_apart"]), (31, ["legs_apart", "leg_difference"])],
)
def test_legs_over_half_an_inch_apart_are_looked_at_again_and_over_three_quarters_raised(right_in, expected):
    # common practice, no source
    plan = plan_hem(Pins(inch(30), inch(right_in)), UNFINISHED, Hem())
    assert expected == codes(plan)
    assert all(re.search("shoe raise|look again before cutting", notice.text) for notice in plan.notices)


def test_a_leg_that_loses_more_than_eight_inches_is_wider_at_its_hem():
    # An uncut 36 is cut to any leg (common practice, no source).
    plan = plan_hem(Pins(inch(27), inch(28)), UNFINISHED, Hem())
    (notice,) = [each for each in plan.notices if each.code == "leg_narrows"]
    assert (("pins", "left"), "trouser_leg_taper") == (notice.at, dict(notice.facts)["alteration"])
    assert "taper" in notice.text


def test_one_pinned_leg_is_planned_alone_and_said():
    # common practice, no source: a forgotten pin looks the same as one leg ordered.
    plan = plan_hem(Pins(None, inch(30)), UNFINISHED, Hem())
    assert (["right"], ["one_leg_pinned"]) == ([leg.side for leg in plan.legs], codes(plan))


def test_a_deep_turn_does_not_lie_on_a_slant():
    # US Army TM 10-227 (slacks); common practice, no source: not over 2 in.
    pins = Pins(inch(30), inch(30))
    assert ["deep_turn_on_slant"] == codes(plan_hem(pins, UNFINISHED, Hem(inside_turn=inch(2.5))))
    assert [] == codes(plan_hem(pins, UNFINISHED, Hem(inside_turn=inch(2.5), slant=Length(0.0))))


@pytest.mark.parametrize("pin_mm", [30, 2000])
def test_a_pin_in_the_wrong_unit_is_refused_at_its_side(pin_mm):
    refusal = refusal_of(Pins, left=Length(pin_mm))
    assert ("hem_quantity_outside", ("left",)) == (refusal.code, refusal.at)


@given(
    left_in=st.integers(26 * 8, 33 * 8),
    right_in=st.integers(26 * 8, 33 * 8),
    hem=st.sampled_from([Hem(), Hem("turn_up"), Hem(inside_turn=inch(1.5)), Hem("turn_up", inch(1.25))]),
)
def test_no_cloth_is_made_or_lost(left_in, right_in, hem):
    pins = Pins(inch(left_in / 8), inch(right_in / 8))
    try:
        plan = plan_hem(pins, UNFINISHED, hem)
    except Refusal as refusal:
        assert max(pins.left.mm, pins.right.mm) > refusal.facts["longest_mm"]  # noqa: PT017
        return
    for leg in plan.legs:
        assert UNFINISHED.cloth_mm == pytest.approx(leg.cut.mm + leg.left_over.mm)
        assert leg.cut.mm == pytest.approx(leg.finished.mm + plan.cloth_below.mm)
        assert UNFINISHED.inside_leg.mm == pytest.approx(leg.finished.mm + leg.change.mm)

"""Order sheets drawn up from a fit check's record: what is planned becomes a line, to the last millimetre."""

from dataclasses import replace

import pytest

from service.tailoring.fitting.left_open import LeftToFitter, LookAgain, OpenDoubt
from service.tailoring.garments.amounts import Amount
from service.tailoring.garments.charts import ChartSize, reference_chart
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.hems.hems import Hem, Pins
from service.tailoring.hems.inside_legs import InsideLeg
from service.tailoring.orders.lines.order_lines import LineAsked
from service.tailoring.orders.sheets.order_hems import HemAsked
from service.tailoring.orders.sheets.order_sheets import SheetAsked, SheetSources, charts_named, draw_up
from service.tailoring.orders.sheets.planned_lines import NOT_SEEN
from service.tailoring.quantities import Length
from service.tailoring.refusals import Refusal
from service.tailoring.sizing.plans import PlannedAlteration
from service.tailoring.work.prices import Money, PriceList
from tests.records import a_plan, a_record

UNPINNED = SheetAsked(from_fit_check="its id")
FROM_CHECK = replace(UNPINNED, to_be_pinned=True)
CHARTS = {"reference": reference_chart()}
PINNED = HemAsked(0, Pins(Length(762.0, "in"), Length(762.0, "in")))
# A number that no answer writes out.
WAIST = Amount(Length(19.123456789, "in"), "girth", "decrease", None)


def recorded(*work, **parts):
    plan = replace(a_plan("jacket", "trousers"), alterations=tuple(work))
    return a_record(plans=(plan,), keeping=plan, **parts)


def planned(code="jacket_waist_in", amount=WAIST, *, garment="jacket", seen=True):
    return PlannedAlteration(garment, code, amount, 30, Money(2500, "EUR"), seen)


def drawn(asked, check):
    return draw_up(asked, SheetSources(PriceList(), CHARTS, check))


def test_what_was_planned_becomes_a_line_at_full_precision():
    line, _ = drawn(FROM_CHECK, recorded(planned())).lines
    assert (WAIST, "planned", True, "") == (line.amount, line.origin, line.seen, line.note)


THIGH = planned(
    "trouser_thigh_out", Amount(Length(12.7, "in"), "per_leg", "increase", "both"), garment="trousers", seen=False
)
HEM = planned("trouser_hem", Amount(Length(50.8, "in"), "length", "decrease", "both"), garment="trousers", seen=False)


def test_what_nobody_saw_is_offered_and_not_ordered():
    sheet = drawn(FROM_CHECK, recorded(planned(), THIGH))
    assert ["jacket_waist_in", "trouser_hem"] == [line.alteration for line in sheet.lines]
    (offered,) = sheet.to_look_at
    assert ("trouser_thigh_out", "trouser_thigh", 2500) == (offered.alteration, offered.point, offered.price.minor)
    assert "only estimated, look at" in offered.words


def test_what_is_only_estimated_is_ordered_where_it_is_named_and_looked_at_before_it_is_sewn():
    named = drawn(replace(FROM_CHECK, take_up=("trouser_thigh_out",)), recorded(planned(), THIGH))
    (thigh,) = [line for line in named.lines if line.alteration == "trouser_thigh_out"]
    assert ("planned", False, NOT_SEEN) == (thigh.origin, thigh.seen, thigh.note)
    assert "place_not_seen" in [notice.code for notice in named.notices]
    with pytest.raises(Refusal) as refused:
        drawn(replace(FROM_CHECK, take_up=("jacket_waist_in",)), recorded(planned(), THIGH))
    assert ("not_to_look_at", ("take_up", 0)) == (refused.value.code, refused.value.at)


def test_a_check_on_which_nothing_was_seen_orders_nothing_and_says_what_it_estimates():
    keeping = recorded(THIGH)
    bare = replace(
        FROM_CHECK, garments=(GarmentPiece(1, "trousers", "reference", "32", hemmed=True),), to_be_pinned=False
    )
    with pytest.raises(Refusal) as refused:
        drawn(bare, keeping)
    assert ("order_empty", ["trouser_thigh_out"]) == (refused.value.code, refused.value.facts["to_look_at"])


def test_a_hem_that_nobody_marked_is_refused_and_quoted_as_one_to_be_pinned():
    # A prediction is never a number to cut by, however sure it is.
    for seen in (False, True):
        check = recorded(replace(HEM, seen=seen))
        with pytest.raises(Refusal) as refused:
            drawn(UNPINNED, check)
        assert ("hem_not_marked", ("hems",), [2]) == (
            refused.value.code,
            refused.value.at,
            refused.value.facts["pieces"],
        )
        quoted = draw_up(UNPINNED, SheetSources(PriceList(), CHARTS, check), binding=False)
        assert [("trouser_hem", None, True)] == [
            (each.alteration, each.amount, each.to_be_pinned) for each in quoted.lines
        ]
        assert ["hem_not_marked"] == [notice.code for notice in quoted.notices]


def test_uncut_trousers_need_a_mark_whatever_else_is_done_to_them():
    trousers = GarmentPiece(1, "trousers", "reference", "32")
    waist = LineAsked(1, "trouser_waist_in", Amount(Length(25.4, "in"), "girth", "decrease"))
    with pytest.raises(Refusal, match="hem_not_marked"):
        drawn(SheetAsked((trousers,), (waist,)), None)
    for marked in (replace(trousers, hemmed=True), replace(trousers, chart=None)):
        assert ["trouser_waist_in"] == [each.alteration for each in drawn(SheetAsked((marked,), (waist,)), None).lines]


@pytest.mark.parametrize(
    ("said", "is_marked"),
    [
        ({}, False),
        ({"marked_with": "written"}, False),
        ({"marked_with": "pins"}, True),
        ({"target": Length(762.0)}, True),
    ],
)
def test_an_amount_alone_is_no_mark(said, is_marked):
    own = GarmentPiece(1, "trousers")
    hem = LineAsked(1, "trouser_hem", Amount(Length(25.4, "in"), "length", "decrease", "both"), **said)
    if is_marked:
        assert 1 == len(drawn(SheetAsked((own,), (hem,)), None).lines)
        return
    with pytest.raises(Refusal) as refused:
        drawn(SheetAsked((own,), (hem,)), None)
    assert ("hem_not_marked", ("lines", 0, "target")) == (refused.value.code, refused.value.at)


def test_an_inside_leg_marks_no_hem():
    reckoned = HemAsked(0, inside_leg=Length(812.8, "in"))
    with pytest.raises(Refusal) as refused:
        drawn(replace(UNPINNED, hems=(reckoned,)), recorded())
    assert ("hem_not_marked", ("hems", 0, "pins")) == (refused.value.code, refused.value.at)


def test_a_hem_that_is_to_be_pinned_is_timed_and_priced_and_has_no_length():
    for asked in (replace(UNPINNED, to_be_pinned=True), replace(UNPINNED, hems=(HemAsked(0, to_be_pinned=True),))):
        (hem,) = drawn(asked, recorded(HEM)).lines
        assert (True, None, None, 20, 1200) == (hem.to_be_pinned, hem.amount, hem.target, hem.minutes, hem.price.minor)
    turned_up = HemAsked(0, hem=Hem("turn_up", Length(40.0, "cm")), to_be_pinned=True)
    (hem,) = drawn(replace(UNPINNED, hems=(turned_up,)), recorded(HEM)).lines
    assert ("trouser_hem_turn_up", "turn-up of 4 cm, 1 in inside") == (hem.alteration, hem.note)
    with pytest.raises(Refusal, match="pinned_already"):
        drawn(replace(UNPINNED, hems=(replace(PINNED, to_be_pinned=True),)), recorded(HEM))


def test_a_pin_takes_the_place_of_a_predicted_hem():
    pinned = drawn(replace(FROM_CHECK, hems=(PINNED,)), recorded(HEM))
    assert {("trouser_hem", "asked", False)} == {
        (each.alteration, each.origin, each.to_be_pinned) for each in pinned.lines
    }


def swapped(*work):
    """A check on a 38R and a 32 whose plan is for a 40R."""
    plan = a_plan("jacket", "trousers")
    plan = replace(plan, chosen=plan.chosen | {"jacket": ChartSize("reference", 1, "40R")}, alterations=work)
    return a_record(plans=(plan,), keeping=plan, decision="swap")


def test_a_coat_that_was_never_tried_on_has_no_line():
    with pytest.raises(Refusal) as refused:
        drawn(UNPINNED, swapped(planned()))
    assert ("swap_not_tried_on", ["jacket reference 40R"]) == (refused.value.code, refused.value.facts["planned"])
    waist = planned("trouser_waist_in", garment="trousers")
    sheet = drawn(FROM_CHECK, swapped(planned(), waist))
    assert ["trouser_waist_in", "trouser_hem"] == [line.alteration for line in sheet.lines]
    assert ["trousers"] == [piece.garment for piece in sheet.garments]
    assert "swap_not_tried_on" in [notice.code for notice in sheet.notices]


DOUBT = LookAgain(
    "jacket", "waist", "front_closure", None, "spare 1/2 in", 12.7, 25.4, "taped", "seen 1/2 in, taped 1 in"
)


def test_what_contradicts_an_amount_is_on_its_line_and_else_on_the_order():
    again = "look again: seen 1/2 in, taped 1 in"
    sheet = drawn(FROM_CHECK, recorded(planned(), look_again=(DOUBT,)))
    assert ([(again,), ()], ()) == ([line.look_again for line in sheet.lines], sheet.look_again)
    cuff = replace(DOUBT, place="sleeve", point="jacket_cuff")
    sheet = drawn(FROM_CHECK, recorded(planned(), look_again=(cuff,)))
    assert ([(), ()], (OpenDoubt(again, cuff.garment),)) == (
        [line.look_again for line in sheet.lines],
        sheet.look_again,
    )


def test_a_sleeve_that_is_let_down_carries_the_doubt_of_its_own_side_though_the_other_is_taken_up():
    both = [
        replace(planned(code, Amount(Length(12.7, "in"), "length", direction, side)), place="sleeve")
        for code, direction, side in (
            ("jacket_sleeve_shorten_at_cuff", "decrease", "left"),
            ("jacket_sleeve_lengthen_at_cuff", "increase", "right"),
        )
    ]
    doubt = replace(DOUBT, place="sleeve", point=None, side="right")
    sheet = drawn(FROM_CHECK, recorded(*both, look_again=(doubt,)))
    assert {"jacket_sleeve_lengthen_at_cuff"} == {line.alteration for line in sheet.lines if line.look_again}


def test_what_is_left_to_the_fitter_is_pointed_out():
    left = LeftToFitter("jacket", "collar_gap", None, "too_much", "gap 3/4 in", "no collar is cut so far", ())
    sheet = drawn(FROM_CHECK, recorded(planned(), left_to_fitter=(left,)))
    (notice,) = [each for each in sheet.notices if each.code == "left_to_fitter"]
    assert (("from_fit_check",), "gap 3/4 in: no collar is cut so far") == (notice.at, notice.text)


def test_a_pin_far_from_what_is_known_and_legs_far_apart_are_looked_at_again_before_cutting():
    hem = HemAsked(0, Pins(Length(800.1, "in"), Length(777.875, "in")), inside_leg=Length(812.8, "in"))
    left, right = (line for line in drawn(replace(FROM_CHECK, hems=(hem,)), recorded()).lines)
    apart = "look again before cutting: the legs are 7/8 in apart (left 31 1/2 in, right 30 5/8 in)"
    assert ("look again before cutting: pinned 31 1/2 in, expected 30 1/4 in", apart) == left.look_again
    assert (apart,) == right.look_again


def test_three_hard_alterations_on_one_coat_offer_another_size():
    coat = GarmentPiece(1, "jacket", "reference", "38R")
    work = [
        ("jacket_shoulder_narrow", "per_side", "both"),
        ("jacket_collar_shorten", "length", None),
        ("jacket_body_shorten", "length", None),
    ]
    lines = tuple(LineAsked(1, code, Amount(Length(6.35, "in"), basis, "decrease", side)) for code, basis, side in work)
    sheet = drawn(SheetAsked((coat,), lines), None)
    assert [("garments", 0)] == [notice.at for notice in sheet.notices if notice.code == "many_hard_alterations"]
    fewer = drawn(SheetAsked((coat,), lines[:2]), None)
    assert "many_hard_alterations" not in [notice.code for notice in fewer.notices]


@pytest.mark.parametrize(("sd_mm", "warned"), [(5.0, True), (30.0, False)])
def test_a_pin_is_held_to_the_inside_leg_as_surely_as_that_is_known(sd_mm, warned):
    # Pinned at 30 in; the leg says some two inches more.
    known = InsideLeg(860.0, sd_mm, read=False)
    check = recorded(inside_leg=known)
    sheet = drawn(replace(UNPINNED, hems=(PINNED,)), check)
    assert warned == any(notice.code == "look_again" for notice in sheet.notices)


def test_the_charts_of_a_sheet_are_those_of_its_garments_and_of_its_plan():
    brought = replace(FROM_CHECK, garments=(GarmentPiece(1, "shirt", "linen", "M"),))
    assert ("linen", "reference") == charts_named(brought, recorded())
    assert ("linen",) == charts_named(brought, None)
    with pytest.raises(Refusal) as refused:
        drawn(brought, recorded(planned()))
    assert ("chart_unknown", ("garments", 0, "chart")) == (refused.value.code, refused.value.at)


@pytest.mark.parametrize(
    ("asked", "check", "code"),
    [(FROM_CHECK, None, "fit_check_unknown"), (replace(FROM_CHECK, plan=1), recorded(planned()), "plan_unknown")],
)
def test_what_is_not_on_record_is_refused(asked, check, code):
    with pytest.raises(Refusal, match=code):
        drawn(asked, check)

from dataclasses import replace

import pytest
from hypothesis import given, settings

from service.tailoring.body.body import read_body
from service.tailoring.garments.alterations import alteration
from service.tailoring.garments.amounts import STEP_MM, check_amount
from service.tailoring.garments.charts import ChartHead, ChartSize, chart
from service.tailoring.garments.places import places
from service.tailoring.quantities import inches
from service.tailoring.sizing.sizing import Sizing, advise
from service.tailoring.work.prices import PriceList
from tests.tailoring.men import QUESTION, REFERENCE, block, drawn_men, middle_man, read, readings_of, sizes_of

FINISHED = block(("36R", "38R", "40R", "40L", "44R", "30", "32", "34", "36"), unfinished=False)
WORKED = block(("40R", "34"), worked_buttonholes=True)
INSIDE = tuple(place for garment in ("jacket", "trousers") for place in places(garment))


def made_for(jacket, trousers, block_of=REFERENCE, **off_in):
    """A man, read everywhere all but exactly, whose residual at each place is `off_in` (else nothing)."""
    sizes = {"jacket": block_of.size("jacket", jacket), "trousers": block_of.size("trousers", trousers)}
    wanted_mm = {}
    for place in INSIDE:
        garment_mm = sizes[place.garment].mm(place.name)
        if garment_mm is None or (place.garment, place.name) == ("trousers", "seat"):
            continue
        off_mm = inches(off_in.get(f"{place.garment}_{place.name}", 0))
        wanted_mm[place.dimension] = (garment_mm - place.ideal_mm["usual"] - off_mm) / place.share
    return read_body(tuple(read(name, mm, times=400) for name, mm in wanted_mm.items()), 70)


def plan_for(jacket, trousers, worn=REFERENCE, **off_in):
    body = made_for(jacket, trousers, worn, **off_in)
    return Sizing(body, replace(QUESTION, charts=(worn,))).plan_of(worn, {"jacket": jacket, "trousers": trousers})


def lines(plan):
    return {each.code: each.amount.length.mm for each in plan.alterations if each.code != "trouser_hem"}


@settings(max_examples=40)
@given(drawn_men.map(readings_of))
def test_every_place_says_why(readings):
    best, *_ = advise(read_body(readings), QUESTION).plans
    for report in best.places:
        size = REFERENCE.size(report.garment, best.chosen.get(report.garment).label)
        assert size.mm(report.place) == report.garment_mm
        assert report.garment_mm - report.body_mm == pytest.approx(report.ease_mm)
        assert report.ease_mm - report.ideal_ease_mm == pytest.approx(report.residual_mm)
        low, high = report.tolerance_mm
        inside = {"too_little": report.residual_mm < low, "too_much": report.residual_mm > high}
        assert inside.get(report.verdict, low <= report.residual_mm <= high)


@settings(max_examples=40)
@given(drawn_men.map(readings_of))
def test_every_planned_alteration_can_be_ordered_as_it_stands(readings):
    for sold in (REFERENCE, FINISHED):
        for plan in advise(read_body(readings), replace(QUESTION, charts=(sold,))).plans:
            for each in plan.alterations:
                doing = alteration(each.code)
                check_amount(doing, each.amount)
                usual = doing.decrease_most_mm if each.amount.direction == "decrease" else doing.increase_most_mm
                # Advice keeps the usual limit, not the hardest one that an order may ask for.
                assert 0 < each.amount.length.mm <= usual + 1e-6
                eighths = each.amount.length.mm / STEP_MM["in"]
                assert round(eighths) == pytest.approx(eighths)


@settings(max_examples=40)
@given(drawn_men.map(readings_of))
def test_minutes_and_prices_are_those_of_its_alterations(readings):
    plan = advise(read_body(readings), replace(QUESTION, charts=(FINISHED,))).plans[0]
    assert sum(alteration(each.code).minutes for each in plan.alterations) == plan.minutes
    for each in plan.alterations:
        assert PriceList().price(each.code, alteration(each.code).plain_hems) == each.price


def test_a_man_made_for_the_block_needs_only_his_hem():
    plan = plan_for("40R", "34", trousers_inside_leg=4)
    assert {"right"} == {report.verdict for report in plan.places}
    assert ["trouser_hem"] == [each.code for each in plan.alterations]
    assert inches(4) == pytest.approx(plan.alterations[0].amount.length.mm)


@pytest.mark.parametrize(
    ("place", "off_in", "code", "direction", "amount_in"),
    [
        ("jacket_waist", 2, "jacket_waist_in", "decrease", 1.5),
        ("jacket_waist", 1.6, "jacket_waist_in", "decrease", 1.5),
        ("jacket_waist", -1.75, "jacket_waist_out", "increase", 1),
        ("jacket_chest", 2, "jacket_chest_in", "decrease", 1),
        ("jacket_sleeve", 0.75, "jacket_sleeve_shorten_at_cuff", "decrease", 0.75),
        ("jacket_sleeve", -0.5, "jacket_sleeve_lengthen_at_cuff", "increase", 0.5),
        ("jacket_back_length", 1, "jacket_body_shorten", "decrease", 0.75),
        ("trousers_waist", 1.5, "trouser_waist_in", "decrease", 1.5),
        ("trousers_waist", -1, "trouser_waist_out", "increase", 1),
        ("trousers_thigh", -1, "trouser_thigh_out", "increase", 0.5),
    ],
)
def test_each_place_has_its_cure_to_the_eighth_and_no_further_than_its_limit(place, off_in, code, direction, amount_in):
    plan = plan_for("40R", "34", trousers_inside_leg=4, **{place: off_in})
    (line,) = (each for each in plan.alterations if each.code != "trouser_hem")
    assert (code, direction) == (line.code, line.amount.direction)
    assert inches(amount_in) == pytest.approx(line.amount.length.mm)


def test_a_shoulder_too_wide_is_swapped_and_never_ticketed():
    # US Army TM 10-227, common practice, no source: shoulder width is chosen, not altered.
    plan = plan_for("40R", "34", trousers_inside_leg=4, jacket_shoulder=2)
    assert {"trouser_hem"} == {each.code for each in plan.alterations}
    assert ["misfit_remains"] == [notice.code for notice in plan.notices]


@pytest.mark.parametrize("place", ["jacket_chest", "jacket_shoulder", "jacket_back_length"])
def test_what_is_too_small_there_has_no_alteration(place):
    # Swap, do not ticket: shoulder, chest too small, jacket too short (common practice, no source; US Army TM 10-227).
    plan = plan_for("40R", "34", trousers_inside_leg=4, **{place: -1.25})
    assert {} == lines(plan)
    verdicts = {f"{report.garment}_{report.place}": report.verdict for report in plan.places}
    assert "too_little" == verdicts[place]
    assert 0 == plan.shares.p_fits_after_alteration


def test_within_the_tolerance_nothing_is_touched():
    plan = plan_for("40R", "34", jacket_waist=1.4, trousers_waist=0.9, jacket_sleeve=-0.3, trousers_inside_leg=4)
    assert {} == lines(plan)
    assert (1, 1) == (plan.shares.p_no_alteration, plan.shares.p_fits_after_alteration)


def test_worked_cuffs_are_shortened_at_the_shoulder():
    plan = plan_for("40R", "34", WORKED, jacket_sleeve=0.75, trousers_inside_leg=4)
    assert {"jacket_sleeve_shorten_at_shoulder": pytest.approx(inches(0.75))} == lines(plan)


def test_a_finished_leg_is_hemmed_only_where_it_is_wrong():
    right = plan_for("40R", "34", FINISHED)
    long_leg = plan_for("40R", "34", FINISHED, trousers_inside_leg=1)
    assert () == right.alterations
    assert ["trouser_hem"] == [each.code for each in long_leg.alterations]


def test_an_uncut_leg_too_short_for_its_man_is_said():
    plan = plan_for("40R", "34", trousers_inside_leg=0.25)
    leg = next(report for report in plan.places if report.place == "inside_leg")
    # Less than 1/2 in cannot even be faced (common practice, no source).
    assert ("too_little", inches(0.5)) == (leg.verdict, leg.tolerance_mm[0])
    assert 0 == plan.shares.p_fits_after_alteration


def test_a_metric_chart_is_altered_in_half_centimetres():
    body = made_for("40R", "34", jacket_waist=1.9, trousers_inside_leg=4)
    rows = [
        {"garment": garment, "label": size.label, "body": size.body_mm} | dict(size.measures)
        for garment in ("jacket", "trousers")
        for size in REFERENCE.sizes[garment]
        if size.label in ("40R", "34")
    ]
    metric = chart(ChartHead("metric", "metric", unit="mm"), rows)
    plan = Sizing(body, replace(QUESTION, charts=(metric,))).plan_of(metric, {"jacket": "40R", "trousers": "34"})
    (line,) = (each for each in plan.alterations if each.code == "jacket_waist_in")
    # 1.9 in is 48 mm, the limit 38 mm: 35 mm is the last half centimetre within it.
    assert (35, "mm") == (pytest.approx(line.amount.length.mm), line.amount.length.unit)


def test_sides_that_differ_are_altered_each_by_its_own_amount():
    body = made_for("40R", "34", jacket_sleeve=0.75, trousers_inside_leg=4)
    worn = {"jacket": "40R", "trousers": "34"}
    aside = {("jacket", "sleeve"): (inches(0.125), -inches(0.125))}
    plan = Sizing(body.also((), (), aside), QUESTION).plan_of(REFERENCE, worn)
    left, right = (each for each in plan.alterations if each.code == "jacket_sleeve_shorten_at_cuff")
    assert ("left", inches(0.875)) == (left.amount.side, pytest.approx(left.amount.length.mm))
    assert ("right", inches(0.625)) == (right.amount.side, pytest.approx(right.amount.length.mm))
    whole = Sizing(body, QUESTION).plan_of(REFERENCE, worn)
    assert whole.minutes <= plan.minutes <= whole.minutes + 1
    other_way = body.also((), (), {("jacket", "sleeve"): (-inches(0.125), inches(0.125))})
    mirrored = Sizing(other_way, QUESTION).plan_of(REFERENCE, worn)
    assert [("left", inches(0.625)), ("right", inches(0.875))] == [
        (each.amount.side, pytest.approx(each.amount.length.mm))
        for each in mirrored.alterations
        if each.code == "jacket_sleeve_shorten_at_cuff"
    ]


def test_a_plan_names_the_revision_that_it_used():
    second = block(("40R", "34"))
    body = read_body(readings_of(middle_man()))
    (plan,) = advise(body, replace(QUESTION, charts=(second,))).plans
    assert ChartSize("some", 1, "40R") == plan.chosen["jacket"]
    assert ("40R", "34") == sizes_of(plan)

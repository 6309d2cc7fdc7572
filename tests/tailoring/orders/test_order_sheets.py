"""Order sheets drawn up from a fit check's record: what is planned becomes a line, to the last millimetre."""

from dataclasses import replace

import pytest

from service.tailoring.garments.amounts import Amount
from service.tailoring.garments.charts import reference_chart
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.hems.hems import Pins
from service.tailoring.hems.inside_legs import InsideLeg
from service.tailoring.orders.order_hems import HemAsked
from service.tailoring.orders.order_sheets import SheetAsked, SheetSources, charts_named, draw_up
from service.tailoring.quantities import Length
from service.tailoring.refusals import Refusal
from service.tailoring.sizing.plans import PlannedAlteration
from service.tailoring.work.prices import Money, PriceList
from tests.records import a_plan, a_record

FROM_CHECK = SheetAsked(from_fit_check="its id")
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
    (line,) = drawn(FROM_CHECK, recorded(planned())).lines
    assert (WAIST, "planned", True, "") == (line.amount, line.origin, line.seen, line.note)


def test_what_nobody_saw_is_marked_so_and_warned_of():
    sheet = drawn(FROM_CHECK, recorded(planned(seen=False)))
    assert [False] == [line.seen for line in sheet.lines]
    assert "place_not_seen" in [notice.code for notice in sheet.notices]


def test_a_pin_takes_the_place_of_a_predicted_hem():
    hem = planned(
        "trouser_hem", Amount(Length(50.8, "in"), "length", "decrease", "both"), garment="trousers", seen=False
    )
    predicted = drawn(FROM_CHECK, recorded(hem))
    assert [("trouser_hem", "planned", True)] == [(each.alteration, each.origin, each.seen) for each in predicted.lines]
    assert ["hem_not_pinned"] == [notice.code for notice in predicted.notices]
    pinned = drawn(replace(FROM_CHECK, hems=(PINNED,)), recorded(hem))
    assert {("trouser_hem", "asked")} == {(each.alteration, each.origin) for each in pinned.lines}


@pytest.mark.parametrize(("sd_mm", "warned"), [(5.0, True), (30.0, False)])
def test_a_pin_is_held_to_the_inside_leg_as_surely_as_that_is_known(sd_mm, warned):
    # Pinned at 30 in; the leg says some two inches more.
    known = InsideLeg(860.0, sd_mm, read=False)
    check = recorded(inside_leg=known)
    sheet = drawn(replace(FROM_CHECK, hems=(PINNED,)), check)
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

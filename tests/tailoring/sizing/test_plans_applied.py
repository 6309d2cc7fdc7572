"""An accepted plan, applied with shears and needle, leaves no judged place outside its tolerance; none goes too far."""

from dataclasses import replace
from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st

from service.tailoring.body.body import read_body
from service.tailoring.fitting.evidence import Worn
from service.tailoring.fitting.fit_checks import check_fit
from service.tailoring.fitting.options import compare, other_drops
from service.tailoring.fitting.sightings import Sighting
from service.tailoring.garments.alterations import alteration
from service.tailoring.garments.amounts import check_amount
from service.tailoring.garments.charts import reference_charts
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.garments.places import places
from service.tailoring.orders.lines.order_lines import LineAsked, lines_of
from service.tailoring.quantities import inches
from service.tailoring.refusals import Refusal
from service.tailoring.sizing.offers import Question
from service.tailoring.work.prices import PriceList
from tests.tailoring.fitting.worn_suits import HEMMED
from tests.tailoring.men import QUESTION, drawn_men, middle_man, readings_of

CHARTS = {chart.code: chart for chart in (HEMMED, QUESTION.charts[0], reference_charts()["reference_full"])}
# Points that are measured, which side they take, and what may be seen there in eighths of an inch.
POINTS = {
    "front_closure": (None, (0, 14)), "jacket_chest": (None, (16, 60)), "jacket_back_length": (None, (-12, 16)),
    "jacket_cuff": ("each", (-8, 12)), "trouser_waist": (None, (-6, 24)), "trouser_seat": (None, (4, 48)),
    "trouser_thigh": ("each", (6, 36)),
}  # fmt: skip


@st.composite
def fittings(draw):
    """Which chart, which suit of it, what is seen on it, and the man, taped: all that a check is made of."""
    code = draw(st.sampled_from(sorted(CHARTS)))
    chart = CHARTS[code]
    jacket = draw(st.sampled_from([size.label for size in chart.sizes["jacket"] if 34 <= size.body_mm / 25.4 <= 48]))
    trousers = draw(
        st.sampled_from([size.label for size in chart.sizes["trousers"] if 28 <= size.body_mm / 25.4 <= 42])
    )
    seen = []
    for point in draw(st.lists(st.sampled_from(sorted(POINTS)), unique=True, max_size=4)):
        sided, (least, most) = POINTS[point]
        sides = draw(st.sampled_from([("both",), ("left", "right"), ("left",)])) if sided else (None,)
        seen += [(point, draw(st.integers(least, most)), side) for side in sides]
    return code, jacket, trousers, tuple(seen), draw(drawn_men), draw(st.integers(18, 57))


def checked(fitting):
    """The suit that is worn, and its fit check; None of a man beyond the survey's, of whom nothing is predicted."""
    code, jacket, trousers, seen, man, age = fitting
    chart = CHARTS[code]
    worn = Worn(chart, {"jacket": jacket, "trousers": trousers})
    sightings = tuple(Sighting(point, amount_mm=inches(eighths / 8), side=side) for point, eighths, side in seen)
    try:
        return worn, check_fit(
            read_body(readings_of(man), age), Question((chart,), PriceList(), limit=5), worn, sightings
        )
    except Refusal as refusal:
        if refusal.code != "nothing_to_judge":
            raise
        return None


def applied_mm(check, plan, report, side):
    """The residual at a place and side once everything planned there is sewn."""
    place = next(each for each in places(report.garment) if each.name == report.place)
    left, right = check.body.asymmetry.get((report.garment, report.place), (0.0, 0.0))
    residual_mm = report.residual_mm + {"left": left, "right": right}[side]
    # Where the sides differ one may be shortened and the other lengthened: both cures work at this place.
    cures = {place.too_little_cure, place.too_much_cure}
    for line in plan.alterations:
        if line.garment == report.garment and line.code in cures and line.amount.side in (None, "both", side):
            turned = 1 if line.amount.direction == "increase" else -1
            residual_mm += turned * line.amount.length.mm * place.parts
    return residual_mm


@settings(max_examples=150)
@given(fittings())
def test_an_accepted_plan_applied_leaves_no_judged_place_outside_tolerance(fitting):
    made = checked(fitting)
    if made is None:
        return
    worn, check = made
    plan = check.plans[0]
    for report in plan.places:
        if not report.seen or report.misfit:
            # What no alteration cures is said to the fitter before he accepts.
            said = [
                notice
                for notice in plan.notices
                if f"{report.garment}, {report.place.replace('_', ' ')}:" in notice.text
            ]
            assert bool(said) == report.misfit
            continue
        uncut = report.place == "inside_leg" and worn.chart.unfinished
        # The leg of uncut trousers is judged by what can be hemmed; once hemmed, by the break.
        low, high = (-inches(1 / 8), inches(1 / 8)) if uncut else report.tolerance_mm
        for side in ("left", "right"):
            after = applied_mm(check, plan, report, side)
            assert low - 0.01 <= after <= high + 0.01, (report.garment, report.place, side, report.residual_mm, after)


@settings(max_examples=100)
@given(fittings())
def test_no_plan_exceeds_a_limit(fitting):
    made = checked(fitting)
    if made is None:
        return
    worn, check = made
    choices = compare(check, worn, other_drops(worn, ()), lambda work: date(2026, 3, 2))
    plans = [*check.plans, check.keeping, *(choice.plan for choice in choices if choice.plan)]
    for plan in plans:
        for line in plan.alterations:
            doing = alteration(line.code)
            # An amount that was seen goes as far as a willing workroom does.
            cured = {
                (line.garment, each.name)
                for each in places(line.garment)
                if line.code in (each.too_little_cure, each.too_much_cure)
            }
            hard = bool(cured & check.body.measured_on)
            most_mm = (doing.most_mm if hard else doing.usual_most_mm)(line.amount.direction)
            assert 0 < line.amount.length.mm <= most_mm + 0.001
            check_amount(doing, line.amount)
        pieces = [GarmentPiece(1, "jacket"), GarmentPiece(2, "trousers")]
        lines = [LineAsked(1 if line.garment == "jacket" else 2, line.code, line.amount) for line in plan.alterations]
        # An order takes the plan as it is.
        assert not lines or len(lines) == len(lines_of(pieces, lines, PriceList()))


@settings(max_examples=40)
@given(fittings())
def test_what_the_answer_decides_is_what_it_advises(fitting):
    made = checked(fitting)
    if made is None:
        return
    worn, check = made
    choices = compare(check, worn, other_drops(worn, ()), lambda work: date(2026, 3, 2))
    advised = next((choice for choice in choices if choice.advised), None)
    assert (check.decision == "undecided") == (advised is None)
    if advised is None:
        return
    assert (check.decision == "swap") == (advised.kind not in ("keep_as_is", "alter"))
    first = check.plans[0]
    assert (first.chosen["jacket"], first.chosen["trousers"]) == (
        advised.plan.chosen["jacket"],
        advised.plan.chosen["trousers"],
    )
    overriding = {each.finding.rule.code for each in check.ruling.ruled if each.outcome == "overrides"}
    assert (check.ruling.decided_by in {None, "cause"}) == (not overriding)
    assert check.ruling.decided_by in {None, "cause", *overriding}
    for choice in choices:
        assert (choice.plan is None) == bool(choice.why_not)
        assert choice.plan is None or 0 <= choice.risk <= 1


def test_a_plan_that_is_not_applied_would_be_caught():
    # The check of the checks: without its needle the plan leaves places wrong.
    worn = Worn(HEMMED, {"jacket": "40R", "trousers": "38"})
    seen = ()
    check = check_fit(read_body(readings_of(middle_man()), 35), Question((HEMMED,), PriceList()), worn, seen)
    plan = check.keeping
    bare = replace(plan, alterations=())
    report = next(each for each in plan.places if (each.garment, each.place) == ("trousers", "waist"))
    low, high = report.tolerance_mm
    assert low <= applied_mm(check, plan, report, "left") <= high < applied_mm(check, bare, report, "left")

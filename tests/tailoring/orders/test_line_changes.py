"""Lines that live: what a change does to the others, to what is cut, and to sums; and that none is ever lost."""

from dataclasses import replace
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.tailoring.garments.amounts import Amount
from service.tailoring.garments.charts import reference_chart
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.hems.hems import Pins
from service.tailoring.orders.charges import charges
from service.tailoring.orders.line_changes import (
    LineChangesAsked,
    lines_again,
    with_lines_changed,
)
from service.tailoring.orders.lines.agreed_prices import listed, with_prices
from service.tailoring.orders.lines.cloth_cut import Cut
from service.tailoring.orders.lines.line_edits import LineEdit
from service.tailoring.orders.lines.line_history import LineChange, Signed
from service.tailoring.orders.lines.order_lines import LineAsked, line_numbers
from service.tailoring.orders.lines.price_reasons import PriceAsked
from service.tailoring.orders.lines_open import check_lines_open, check_touched, check_touched_by_move, pieces_touched
from service.tailoring.orders.order_moves import move
from service.tailoring.orders.orders import place
from service.tailoring.orders.sheets.order_hems import HemAsked
from service.tailoring.orders.sheets.order_sheets import SheetAsked, SheetSources, draw_up
from service.tailoring.quantities import Length, inches
from service.tailoring.refusals import Refusal
from service.tailoring.work.prices import PriceList
from service.tailoring.workroom.bookings import BookedMinutes, work_of
from service.tailoring.workroom.changed_work import after_line_changes
from tests.days import MONDAY, OPENING

SOURCES = SheetSources(PriceList(rush_percent=50, deposit_percent=30), {"reference": reference_chart()})
GARMENTS = (GarmentPiece(1, "trousers", "reference", "30"), GarmentPiece(2, "jacket", "reference", "36R"))


def girth(size, way="decrease"):
    return Amount(Length(inches(size), "in"), "girth", way)


WAIST, COAT = LineAsked(1, "trouser_waist_in", girth(1)), LineAsked(2, "jacket_waist_in", girth(1))
SHOULDER = LineAsked(2, "jacket_shoulder_narrow", Amount(Length(inches(0.5), "in"), "per_side", "decrease", "both"))
STRUCK = LineChangesAsked(strike=(1,))
PINNED = HemAsked(1, Pins(Length(inches(30), "in"), Length(inches(30.25), "in")))


def placed(*lines, hems=(PINNED,), rush=False):
    sheet = draw_up(SheetAsked(GARMENTS, lines, hems), SOURCES)
    terms = SOURCES.prices.terms(sum(line.price.minor for line in sheet.lines), rush=rush)
    return place(
        sheet.garments, sheet.lines, number="1001", customer_ref=None, sale_ref=None, needed_by=None,
        promised_for=MONDAY, placed_at=OPENING, marked_by="fitter-1", terms=terms, rush=rush,
    )  # fmt: skip


def number(order, alteration, side=None):
    return next(
        n
        for at, n in line_numbers(order.lines).items()
        if order.lines[at].alteration == alteration and side in {None, order.lines[at].side}
    )


def line_of(order, alteration, side=None):
    return order.lines[next(at for at, n in line_numbers(order.lines).items() if n == number(order, alteration, side))]


def changed(order, why="asked", **asked):
    signed = Signed("fitter-1", OPENING + timedelta(hours=len(order.events)), why)
    return with_lines_changed(order, LineChangesAsked(**asked), SOURCES, signed).order


def cut(order, alteration, **parts):
    """The order once the bench has cut the cloth of a line."""
    return replace(
        order,
        lines=tuple(
            replace(line, cloth_cut=Cut("tailor-1", OPENING, **parts)) if line.alteration == alteration else line
            for line in order.lines
        ),
    )


def in_state(order, *states):
    """The order with its pieces in these states, or all of them in one."""
    return replace(order, piece_states=states if len(states) > 1 else states * len(order.garments))


def test_lines_are_changed_of_the_piece_that_is_in_question_and_of_no_other():
    order = in_state(placed(WAIST, COAT), "query", "ready")
    trousers = changed(order, change=(LineEdit(number(order, "trouser_waist_in"), Length(inches(0.5), "in")),))
    jacket = changed(order, change=(LineEdit(number(order, "jacket_waist_in"), Length(inches(0.5), "in")),))
    assert [{1}, {2}] == [pieces_touched(order, each) for each in (trousers, jacket)]
    check_touched(order, trousers)
    check_touched_by_move(order, trousers)
    for refused in (lambda: check_touched(order, jacket), lambda: check_touched_by_move(order, jacket)):
        with pytest.raises(Refusal) as caught:
            refused()
        assert ("lines_fixed", "ready") == (caught.value.code, caught.value.facts["state"])
    # A redo of the jacket brings its lines with it.
    again = move(
        in_state(jacket, "query", "ready"), "in_workroom", "tailor-1", OPENING, pieces=[2], reason="full at the waist"
    )
    check_touched_by_move(order, again)


@pytest.mark.parametrize(("state", "is_open"), [("marked", True), ("query", True), ("basted_for_fitting", True)])
def test_lines_are_open_while_an_order_is_in_question(state, is_open):
    check_lines_open(in_state(placed(), state), STRUCK)


def test_a_price_is_another_until_the_order_is_collected():
    waived = LineChangesAsked(price=PriceAsked("waived"))
    check_lines_open(in_state(placed(), "ready"), waived)
    for state in ("collected", "cancelled"):
        with pytest.raises(Refusal, match="price_settled"):
            check_lines_open(in_state(placed(), state), waived)


@pytest.mark.parametrize("state", ["in_workroom", "sewn", "pressed", "ready", "collected", "cancelled"])
def test_lines_are_fixed_at_the_bench_and_after(state):
    with pytest.raises(Refusal, match="lines_fixed"):
        check_lines_open(in_state(placed(), state), STRUCK)


def test_the_finished_measure_follows_the_amount_and_the_amount_the_measure():
    order = placed(WAIST)
    was = line_of(order, "trouser_waist_in")
    more = line_of(
        changed(order, change=(LineEdit(number(order, "trouser_waist_in"), Length(inches(1.5), "in")),)),
        "trouser_waist_in",
    )
    assert pytest.approx(was.target.mm - inches(0.5)) == more.target.mm
    asked = (LineEdit(number(order, "trouser_waist_in"), target=Length(was.target.mm - inches(0.25), "in")),)
    assert "1 1/4 in" == line_of(changed(order, change=asked), "trouser_waist_in").amount.length.text


def test_what_was_taken_in_and_cut_is_not_let_out_but_by_what_was_left():
    order = cut(placed(WAIST), "trouser_waist_in", left=Length(inches(0.25), "in"))
    at = number(order, "trouser_waist_in")
    for size in (0.75, 1.25):
        assert changed(order, change=(LineEdit(at, Length(inches(size), "in")),)) != order
    with pytest.raises(Refusal, match="cut_already") as refused:
        changed(order, change=(LineEdit(at, Length(inches(0.5), "in")),))
    assert (("change", 0, "amount"), "3/4 in") == (refused.value.at, refused.value.facts["least"])
    with pytest.raises(Refusal, match="cut_already"):
        changed(order, strike=(at,))


def test_a_leg_is_hemmed_from_where_the_bench_has_cut_it():
    order = cut(placed(), "trouser_hem", length=Length(inches(32), "in"))
    at = number(order, "trouser_hem", "left")
    shorter = changed(order, change=(LineEdit(at, target=Length(inches(29), "in")),))
    left = line_of(shorter, "trouser_hem", "left")
    assert ("29 in", "3 in", "31 in") == (left.target.text, left.amount.length.text, left.cut.text)
    assert "32 in" == left.cloth_cut.length.text
    with pytest.raises(Refusal, match="hem_cloth_short"):
        changed(order, change=(LineEdit(at, target=Length(inches(30.5), "in")),))


def test_what_follows_of_a_changed_line_follows_it():
    order = placed(SHOULDER, hems=(PINNED,))
    sleeve = next(line for line in order.lines if line.origin == "follow_on")
    less = changed(order, change=(LineEdit(number(order, "jacket_shoulder_narrow"), Length(inches(0.25), "in")),))
    follows = next(line for line in less.lines if line.origin == "follow_on")
    assert (sleeve.id, sleeve.alteration) == (follows.id, follows.alteration)
    assert follows.amount.length.mm < sleeve.amount.length.mm
    without = changed(order, strike=(number(order, "jacket_shoulder_narrow"),))
    assert "follow_on" not in {line.origin for line in without.lines}


def test_a_redo_does_again_what_was_asked_for_and_what_was_changed():
    order = placed(WAIST, COAT)
    coat, waist = number(order, "jacket_waist_in"), number(order, "trouser_waist_in")
    after = changed(order, change=(LineEdit(coat, Length(inches(1.25), "in")),))
    assert (waist, coat) == lines_again(order, after, [waist])
    assert None is lines_again(order, after, None)


def test_a_paid_deposit_is_never_asked_for_again_once_work_has_begun():
    order = placed(WAIST, COAT)
    for to, said in (("accepted", {}), ("in_workroom", {}), ("query", {"question": "?"})):
        order = move(order, to, "tailor-1", OPENING, **said)
    seat = LineAsked(1, "trouser_seat_in", girth(0.5))
    assert order.deposit == changed(order, add=(seat,)).deposit


def test_a_fee_that_is_waived_says_so_beside_its_list_price():
    order = placed(WAIST, COAT)
    waist = line_of(order, "trouser_waist_in")
    waived = changed(
        order, "our slip", change=(LineEdit(number(order, "trouser_waist_in"), price=PriceAsked("waived")),)
    )
    charge = next(each for each in charges(waived) if each.code == "trouser_waist_in")
    assert (0, waist.price, "our slip") == (charge.amount.minor, charge.list_amount, charge.price_reason.why)
    assert order.total.minor - waist.price.minor == waived.total.minor
    back = changed(waived, change=(LineEdit(number(order, "trouser_waist_in"), price=PriceAsked("as_listed")),))
    assert (order.lines, order.total) == (back.lines, back.total)


def test_what_the_whole_order_costs_less_is_spread_over_its_lines():
    order = placed(WAIST, COAT)
    less = changed(order, "a customer of thirty years", price=PriceAsked("discount", percent=10))
    listed_minor = sum(line.price.minor for line in order.lines)
    assert listed_minor - round(listed_minor / 10) == less.total.minor
    assert [line.price for line in order.lines] == [line.list_price for line in less.lines]
    # What is added later is given at the same discount.
    more = changed(less, add=(LineAsked(1, "trouser_seat_in", girth(0.5)),))
    assert more.total.minor == sum(listed(line).minor for line in more.lines) * 9 // 10


@pytest.mark.parametrize(
    "said",
    [("override",), ("override", 5, 5), ("goodwill",), ("discount", 5, 5), ("waived", 5), ("as_listed", None, 5)],
)
def test_a_price_is_said_in_one_way(said):
    with pytest.raises(Refusal, match="price_reason_wrong"):
        PriceAsked(*said)


def test_a_change_is_one_lines_and_is_one():
    order = placed(WAIST, COAT)
    one, other = order.lines[:2]
    for before, after in ((None, None), (one, one), (one, other)):
        with pytest.raises(ValueError, match="one line's"):
            LineChange("fitter-1", OPENING, "", before, after)


SIZES = st.sampled_from([0.25, 0.5, 0.75, 1, 1.25, 1.5]).map(lambda size: Length(inches(size), "in"))
ENDS = st.sampled_from([28, 29.5, 30, 30.5]).map(lambda end: Length(inches(end), "in"))
ADDED = st.sampled_from(
    [WAIST, COAT, SHOULDER, LineAsked(1, "trouser_seat_in", girth(0.5)), LineAsked(2, "jacket_press")]
)
PRICES = st.one_of(
    st.builds(lambda minor: PriceAsked("override", minor), st.integers(0, 9999)),
    st.builds(lambda percent: PriceAsked("discount", percent=percent), st.integers(1, 100)),
    st.builds(lambda minor: PriceAsked("goodwill", minor), st.integers(0, 9999)),
    st.sampled_from([PriceAsked("waived"), PriceAsked("as_listed")]),
)
STEPS = st.one_of(
    st.builds(lambda n, size: {"change": (LineEdit(n, size),)}, st.integers(1, 6), SIZES),
    st.builds(lambda n, end: {"change": (LineEdit(n, target=end),)}, st.integers(1, 3), ENDS),
    st.builds(lambda n: {"strike": (n,)}, st.integers(1, 6)),
    st.builds(lambda line: {"add": (line,)}, ADDED),
    st.builds(lambda n, price: {"change": (LineEdit(n, price=price),)}, st.integers(1, 5), PRICES),
    st.builds(lambda price: {"price": price}, PRICES),
    st.builds(lambda end: {"hems": (HemAsked(1, Pins(left=end)),)}, ENDS),
)


@settings(max_examples=60, deadline=None)
@given(steps=st.lists(STEPS, max_size=8), rush=st.booleans())
def test_any_sequence_of_changes_keeps_sums_and_loses_no_line(steps, rush):
    order = first = placed(WAIST, COAT, rush=rush)
    # Nothing of it is done yet, and all of it is booked.
    booked = _booked(work_of(first.lines))
    for asked in steps:
        try:
            after = changed(order, **asked)
        except Refusal:
            continue
        wanted = after_line_changes(in_state(order, "query"), in_state(after, "query"), _taken(booked), MONDAY)
        for back in wanted.given_back:
            booked = {part: minutes for part, minutes in booked.items() if part[2] not in back.pieces}
        booked |= _booked(wanted.booked_again.work if wanted.booked_again else ())
        order = after
    assert _booked(work_of(order.lines)) == booked
    assert sum(line.minutes for line in order.lines) == order.minutes
    assert sum(line.price.minor for line in order.lines) + order.terms.rush_minor == order.total.minor
    assert 0 <= order.deposit.minor <= order.total.minor
    assert first.garments == order.garments
    # What is charged follows of the list's prices and the reasons alone, whatever came before.
    assert order.lines == with_prices(order.lines, order.price_reason)
    own = [
        line.price_reason.price(listed(line).minor) if line.price_reason else listed(line).minor for line in order.lines
    ]
    whole = order.price_reason.price(sum(own)) if order.price_reason else sum(own)
    assert whole == sum(line.price.minor for line in order.lines)
    assert min(line.price.minor for line in order.lines) >= 0
    # The history, played over the lines of the first day, gives those of today: none was lost or came of nothing.
    lines = {line.id: line for line in first.lines}
    for change in order.line_changes:
        assert change.before == lines.pop(change.id, None)
        lines |= {change.id: change.after} if change.after else {}
    assert {line.id: line for line in order.lines} == lines
    assert len(lines) == len(order.lines)


def _booked(work):
    found = {}
    for each in work:
        part = (each.bench, each.hard, each.piece)
        found[part] = found.get(part, 0) + each.minutes
    return found


def _taken(booked):
    return [
        BookedMinutes(MONDAY, bench, minutes, minutes if hard else 0, piece=piece)
        for (bench, hard, piece), minutes in booked.items()
    ]

from dataclasses import FrozenInstanceError
from datetime import UTC, date, datetime, timedelta

import pytest

from service.tailoring.garments.alterations import alteration
from service.tailoring.garments.amounts import Amount
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.orders.charges import charges
from service.tailoring.orders.lines.order_lines import LineAsked, lines_of
from service.tailoring.orders.order_moves import move
from service.tailoring.orders.orders import place
from service.tailoring.quantities import Length, inches
from service.tailoring.refusals import Refusal
from service.tailoring.work.order_of_work import order_of_work
from service.tailoring.work.prices import Money, PriceList
from service.tailoring.workroom.bookings import work_of

PLACED = datetime(2026, 3, 2, 10, tzinfo=UTC)
GARMENTS = [
    GarmentPiece(1, "trousers", "everyday", "32", "navy worsted", pins_left_in=4),
    GarmentPiece(2, "jacket", "everyday", "38R", "navy worsted", pins_left_in=2),
]
ASKED = [
    LineAsked(1, "trouser_hem", Amount(Length(inches(2)), "length", "decrease", "left"), Length(inches(30))),
    LineAsked(1, "trouser_waist_in", Amount(Length(inches(1)), "girth", "decrease")),
    LineAsked(2, "jacket_waist_in", Amount(Length(inches(1)), "girth", "decrease")),
]
LINES = lines_of(GARMENTS, ASKED, PriceList(tax_category="reduced"))


def placed(garments=GARMENTS, lines=LINES, **more):
    particulars = {
        "number": "A-0001",
        "customer_ref": "c-17",
        "sale_ref": None,
        "needed_by": None,
        "promised_for": date(2026, 3, 5),
        "placed_at": PLACED,
        "marked_by": "fitter-1",
    }
    return place(garments, lines, **particulars | more)


def moved(order, *steps):
    for hours, (to, said) in enumerate(steps, start=1):
        order = move(order, to, "tailor-1", PLACED + timedelta(hours=hours), **said)
    return order


TO_PRESSED = [("accepted", {}), ("in_workroom", {}), ("sewn", {}), ("pressed", {"pins_out": 6})]


def test_a_placed_order_is_marked_and_says_so_in_its_first_event():
    order = placed()
    (event,) = order.events
    assert ("marked", "fitter-1", PLACED, None, "marked") == (
        order.state,
        event.by,
        event.at,
        event.from_state,
        event.to_state,
    )


def test_its_totals_are_those_of_its_lines():
    order = placed()
    assert Money(sum(line.price.minor for line in LINES), "EUR") == order.total
    assert 10 + 35 + 68 == order.minutes


def test_its_lines_stay_in_the_callers_order_and_know_their_order_of_work():
    # Common practice, no source: seat and waist before hem.
    order = placed()
    assert ["trouser_hem", "trouser_waist_in", "jacket_waist_in"] == [line.alteration for line in order.lines]
    assert (1, 2, 0) == tuple(order_of_work([line.alteration for line in order.lines]))


@pytest.mark.parametrize("way", ["in", "out"])
def test_the_skirt_is_graded_into_a_waist_that_is_sewn(way):
    # Common practice, no source: of one seam the upper part first.
    assert (1, 0) == tuple(order_of_work([f"jacket_skirt_{way}", f"jacket_waist_{way}"]))


def test_it_warns_of_the_hem_after_the_waist():
    assert ["hem_remark"] == [notice.code for notice in placed().notices]


def test_its_lines_are_work_for_the_calendar():
    benches = {work.bench for work in work_of(placed().lines)}
    assert {"trousers", "jackets", "finishing"} == benches


@pytest.mark.parametrize(
    ("garments", "lines", "code", "at"),
    [
        (GARMENTS, (), "order_empty", ("lines",)),
        (GARMENTS[:1], LINES, "piece_unknown", ("lines", 2, "piece")),
        (
            [GarmentPiece(1, "jacket"), GarmentPiece(2, "jacket")],
            LINES,
            "garment_mismatch",
            ("lines", 0, "alteration"),
        ),
        (GARMENTS, (*LINES, LINES[0]), "line_repeated", ("lines", 3)),
        (GARMENTS * 2, LINES, "piece_repeated", ("garments", 2, "piece")),
    ],
    ids=["empty", "piece unknown", "mismatch", "repeated", "piece repeated"],
)
def test_an_order_that_does_not_hang_together_is_refused(garments, lines, code, at):
    with pytest.raises(Refusal) as caught:
        placed(garments, lines)
    assert (code, at) == (caught.value.code, caught.value.at)


def test_a_time_without_an_offset_is_a_slip_of_the_program():
    with pytest.raises(ValueError, match="offset"):
        placed(placed_at=PLACED.replace(tzinfo=None))


def test_a_move_leaves_the_old_order_as_it_was():
    order = placed()
    accepted = move(order, "accepted", "tailor-1", PLACED, "signed")
    assert ("marked", 1) == (order.state, len(order.events))
    assert ("accepted", 2, "signed") == (accepted.state, len(accepted.events), accepted.events[-1].note)
    with pytest.raises(FrozenInstanceError):
        order.piece_states = ("ready", "ready")


def test_an_order_is_handed_over_with_its_pins_counted_and_tried_on():
    order = moved(placed(), *TO_PRESSED, ("ready", {"pins_out": 6}), ("collected", {"tried_on": True}))
    assert "collected" == order.state
    assert (("tried_on", True),) == order.events[-1].facts
    assert [event.to_state for event in order.events[:-1]] == [e.from_state for e in order.events[1:]]


def test_the_pins_of_pieces_that_move_together_are_counted_together():
    pressed = moved(placed(), *TO_PRESSED)
    with pytest.raises(Refusal) as caught:
        move(pressed, "ready", "tailor-1", PLACED, pins_out=4)
    assert ("pins_not_counted", {"expected": 6, "counted": 4}) == (caught.value.code, caught.value.facts)


def test_pins_put_in_for_a_redo_are_counted_out_again():
    # Common practice, no source: pins are counted in and out.
    ready = moved(placed(), *TO_PRESSED, ("ready", {"pins_out": 6}))
    assert 0 == ready.pins_left_in
    back = {"reason": "left leg long", "pins_in": 3, "pieces": [1]}
    redo = moved(ready, ("in_workroom", back), ("sewn", {"pins_out": 1}))
    assert 2 == redo.pins_left_in
    assert "ready" == moved(redo, ("pressed", {"pins_out": 2}), ("ready", {"pins_out": 2})).state


def test_pins_are_counted_at_pressing_and_again_at_hand_over_by_the_same_rule():
    sewn = moved(placed(), *TO_PRESSED[:-1])
    for few in ({}, {"pins_out": 5}):
        with pytest.raises(Refusal, match="pins_not_counted"):
            move(sewn, "pressed", "tailor-1", PLACED, **few)
    pressed = moved(sewn, ("pressed", {"pins_out": 6}))
    assert (0, 6) == (pressed.pins_left_in, pressed.pins_to_count)
    with pytest.raises(Refusal) as caught:
        move(pressed, "ready", "tailor-1", PLACED, pins_out=5)
    assert {"expected": 6, "counted": 5} == caught.value.facts


def test_a_pin_that_is_found_after_it_was_given_up_is_counted():
    lost = {"pins_out": 5, "pins_lost": 1, "searched_by": "tailor-1", "swept_with_magnet": True}
    pressed = moved(placed(), *TO_PRESSED[:-1], ("pressed", lost))
    assert "ready" == moved(pressed, ("ready", lost)).state == moved(pressed, ("ready", {"pins_out": 6})).state
    with pytest.raises(Refusal, match="pins_not_counted"):
        move(pressed, "ready", "tailor-1", PLACED, pins_out=5)


def test_what_is_not_said_is_not_recorded():
    accepted = move(placed(), "accepted", "tailor-1", PLACED, reason=None, pins_out=None)
    assert () == accepted.events[-1].facts


def test_the_till_charges_a_line_each_with_the_tax_agreed_at_placing():
    order = placed()
    found = charges(order)
    assert ["trouser_hem", "trouser_waist_in", "jacket_waist_in"] == [charge.code for charge in found]
    assert {"reduced"} == {charge.tax_category for charge in found}
    assert order.total.minor == sum(charge.amount.minor for charge in found)
    assert "plain hem to length, left" == found[0].words
    assert alteration("trouser_waist_in").words == found[1].words


def test_a_redo_is_free():
    # Common practice, no source: redo is free and reason-coded.
    ready = moved(placed(), *TO_PRESSED, ("ready", {"pins_out": 6}))
    redo = move(ready, "in_workroom", "tailor-1", PLACED, reason="left leg long")
    assert redo.events[-1].is_redo
    assert charges(ready) == charges(redo)


def test_a_cancelled_order_charges_nothing():
    # common practice, no source
    cancelled = move(placed(), "cancelled", "tailor-1", PLACED, reason="changed his mind")
    assert () == charges(cancelled)

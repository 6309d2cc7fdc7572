"""Pieces of an order that move on their own."""

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.tailoring.orders.charges import charges
from service.tailoring.orders.order_moves import move
from service.tailoring.orders.order_states import STATES, is_over, moves, order_state, standings
from service.tailoring.refusals import Refusal
from tests.days import OPENING
from tests.papers.orders import an_order

# The jacket is piece 1 with two pins, the trousers are piece 2 with four.
SAID = {
    "tried_on": True,
    "reason": "as it is",
    "cloth_cut": False,
    "question": "go on?",
    "answer": "go on",
    "fitting_on": "2026-03-05",
    "searched_by": "tailor-1",
    "where": "all rails",
    "decided_by": "fitter-1",
}


def moved(order, *steps):
    for hours, (to, said) in enumerate(steps, start=1):
        order = move(order, to, "tailor-1", OPENING + timedelta(hours=hours), **said)
    return order


def states(order):
    return [each.state for each in order.pieces]


def refused(order, to, **said):
    with pytest.raises(Refusal) as caught:
        move(order, to, "tailor-1", OPENING, **said)
    return caught.value


BEGUN = (("accepted", {}), ("in_workroom", {}))
TROUSERS_READY = (
    *BEGUN,
    ("sewn", {"pieces": [2]}),
    ("pressed", {"pieces": [2], "pins_out": 4}),
    ("ready", {"pieces": [2], "pins_out": 4}),
)


def test_trousers_are_ready_and_collected_while_the_jacket_is_sewn():
    order = moved(an_order(), *TROUSERS_READY)
    assert (["in_workroom", "ready"], "in_workroom") == (states(order), order.state)
    order = moved(order, ("collected", {"pieces": [2], "tried_on": True}))
    assert (["in_workroom", "collected"], "in_workroom") == (states(order), order.state)
    assert {"pieces": [2], "tried_on": True} == dict(order.events[-1].facts)
    # The rest goes on without being named.
    order = moved(order, ("sewn", {}), ("pressed", {"pins_out": 2}), ("ready", {"pins_out": 2}))
    assert (["ready", "collected"], "ready") == (states(order), order.state)
    assert "collected" == moved(order, ("collected", {"tried_on": True})).state


def test_pins_are_counted_by_piece():
    order = moved(an_order(), *BEGUN, ("sewn", {"pieces": [2]}))
    # The jacket's two are none of theirs.
    assert {"expected": 4, "counted": 6} == refused(order, "pressed", pieces=[2], pins_out=6).facts
    order = moved(order, ("pressed", {"pieces": [2], "pins_out": 4}))
    assert [(2, 2), (0, 4)] == [(each.pins_in, each.pins_to_count) for each in order.pieces]


def test_pins_that_go_in_or_out_are_those_of_one_piece():
    order = moved(an_order(), *BEGUN)
    assert "pins_of_one_piece" == refused(order, "query", question="no inlay", pins_in=2).code
    assert "pins_of_one_piece" == refused(order, "sewn", pins_out=3).code
    asked = moved(order, ("query", {"question": "no inlay", "pins_in": 2, "pieces": [1]}))
    assert [4, 4] == [each.pins_in for each in asked.pieces]
    # All that are in: then it is known of which.
    assert [0, 0] == [each.pins_in for each in moved(order, ("sewn", {"pins_out": 6})).pieces]


def test_a_question_is_of_the_piece_that_it_is_asked_of():
    asked = moved(an_order(), *BEGUN, ("query", {"pieces": [1], "question": "which cuff depth?"}))
    assert ("query", "which cuff depth?") == (asked.state, asked.open_question)
    assert ["which cuff depth?", None] == [each.question for each in asked.pieces]
    both = moved(asked, ("query", {"pieces": [2], "question": "turn-ups?"}))
    answered = moved(both, ("in_workroom", {"pieces": [1], "answer": "3/4"}))
    assert ("query", "turn-ups?") == (answered.state, answered.open_question)


def test_what_cannot_go_there_is_named_and_holds_all_back():
    order = moved(an_order(), *TROUSERS_READY)
    refusal = refused(order, "collected", tried_on=True)
    assert ("move_not_allowed", 1, "in_workroom") == (refusal.code, refusal.facts["piece"], refusal.facts["state"])
    assert ("piece_unknown", ("pieces", 1)) == (
        refused(order, "collected", pieces=[2, 3], tried_on=True).code,
        refused(order, "collected", pieces=[2, 3], tried_on=True).at,
    )
    assert ["sewn", "ready"] == states(moved(order, ("sewn", {})))


def test_a_redo_of_a_line_brings_back_its_piece_and_no_other():
    ready = moved(an_order(), *BEGUN, ("sewn", {}), ("pressed", {"pins_out": 6}), ("ready", {"pins_out": 6}))
    number = 1 + sum(line.piece == 1 for line in ready.lines)
    redo = moved(ready, ("in_workroom", {"reason": "left leg long", "redo_lines": [number]}))
    assert ["ready", "in_workroom"] == states(redo)
    assert "line_elsewhere" == refused(ready, "in_workroom", reason="so", redo_lines=[number], pieces=[1]).code


def test_pieces_from_two_states_make_two_events_each_a_move_of_the_table():
    mixed = moved(an_order(), *BEGUN, ("basted_for_fitting", {"pieces": [1], "fitting_on": "2026-03-05"}))
    assert "basted_for_fitting" == mixed.state
    sewn = moved(mixed, ("sewn", {}))
    ways = [(event.from_state, event.to_state) for event in sewn.events[-2:]]
    assert {("basted_for_fitting", "sewn"), ("in_workroom", "sewn")} == set(ways) <= moves().keys()


def test_a_cancelled_or_lost_piece_is_not_charged_and_the_rest_is():
    order = moved(an_order(), ("accepted", {}))
    for to in ("cancelled", "lost"):
        less = moved(
            order, (to, {"pieces": [2], "reason": "kept as it is", "searched_by": "tailor-1", "where": "rails"})
        )
        assert {1} == {order.lines[charge.position].piece for charge in charges(less) if charge.position is not None}
    assert () == charges(moved(order, ("cancelled", {"reason": "kept as it is"})))


def test_what_is_found_goes_on_from_where_it_was():
    order = moved(an_order(), *BEGUN, ("sewn", {"pieces": [2]}))
    lost = moved(order, ("lost", {"searched_by": "tailor-1", "where": "all rails"}))
    assert (["lost", "lost"], "lost") == (states(lost), lost.state)
    assert [("in_workroom", "written_off"), ("sewn", "written_off")] == [each.may_move_to for each in lost.pieces]
    assert "all rails" == lost.pieces[0].where


names = st.lists(st.integers(1, 2), max_size=2, unique=True)


@given(st.lists(st.tuples(st.sampled_from(STATES), names), max_size=40), st.randoms(use_true_random=False))
def test_whatever_moves_none_is_lost_and_the_order_is_where_its_pieces_say(steps, random):
    order = an_order()
    lines, numbers = order.lines, [each.piece for each in order.garments]
    minutes, pins = order.minutes, order.pins_left_in
    for drawn, named in steps:
        # Onward more often than by chance alone.
        allowed = [way for each in order.pieces for way in each.may_move_to if not named or each.piece in named]
        to = random.choice(allowed) if allowed and random.random() < 0.7 else drawn
        here = {each.piece: each for each in order.pieces}
        counted = sum(here[piece].pins_to_count for piece in named or here if here[piece].state in {"sewn", "pressed"})
        try:
            after = move(
                order, to, "tailor-1", OPENING, pieces=named, **SAID, pins_out=counted if to in COUNTED else None
            )
        except Refusal:
            continue
        now = {each.piece: each for each in after.pieces}
        assert numbers == list(now)
        assert (lines, minutes) == (after.lines, after.minutes)
        changed = {piece for piece in now if now[piece].state != here[piece].state}
        assert changed
        assert {to} == {now[piece].state for piece in changed}
        assert not named or changed == set(named)
        assert all((here[piece].state, to) in moves() for piece in changed)
        assert order_state(after.piece_states) == after.state
        # No piece waits behind an order that is over.
        assert is_over(after.state) == all(is_over(state) for state in after.piece_states)
        assert after.ahead == standings()[after.state].ahead
        assert 0 <= after.pins_left_in <= pins
        order = after


COUNTED = {"pressed", "ready"}


def test_a_piece_says_what_each_move_must_be_told():
    # Common practice, no source: the table of moves.
    order = moved(an_order(), *BEGUN)
    [jacket, _] = order.pieces
    assert {
        "query": ("onward", ("question",)),
        "basted_for_fitting": ("onward", ("fitting_on",)),
        "sewn": ("onward", ()),
        "cancelled": ("cancel", ("reason", "cloth_cut")),
        "lost": ("lose", ("searched_by", "where")),
    } == {each.to_state: (each.kind, each.needs) for each in jacket.next_moves}


def test_what_a_piece_needs_is_enough_for_every_move_that_it_may_make():
    order = moved(an_order(), *TROUSERS_READY)
    for piece in order.pieces:
        assert piece.may_move_to == tuple(each.to_state for each in piece.next_moves)
        for each in piece.next_moves:
            said = {need: SAID[need] for need in each.needs}
            gone = move(order, each.to_state, "tailor-1", OPENING, pieces=[piece.piece], **said)
            assert each.to_state == gone.pieces[piece.piece - 1].state

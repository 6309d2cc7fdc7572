from datetime import UTC, datetime
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.tailoring import tables
from service.tailoring.orders.order_states import (
    FIRST_STATE,
    STATES,
    OrderEvent,
    check_move,
    is_over,
    legal_from,
    moves,
    order_state,
    standings,
)
from service.tailoring.refusals import Refusal

EVERYTHING = {
    "pins_out": 0,
    "tried_on": True,
    "reason": "sleeve long by 1/4 in",
    "cloth_cut": False,
    "question": "no inlay at the seat: go on?",
    "answer": "leave the seat",
    "fitting_on": "2026-03-05",
    "searched_by": "tailor-1",
    "where": "all rails, the fitting room",
    "decided_by": "fitter-1",
}
ILLEGAL = [(start, to) for start in STATES for to in STATES if (start, to) not in moves()]
NEEDS = [(move, need) for move in moves().values() for need in move.needs]


def refusal_of(*given_values):
    with pytest.raises(Refusal) as caught:
        check_move(*given_values)
    return caught.value


def test_an_order_goes_from_marked_to_collected():
    # Common practice, no source.
    way = ["marked", "accepted", "in_workroom", "basted_for_fitting", "sewn", "pressed", "ready", "collected"]
    assert FIRST_STATE == way[0]
    assert all((start, to) in moves() for start, to in pairwise(way))


def test_only_what_is_not_yet_sewn_is_cancelled():
    # Common practice, no source: cancelled from any before sewn.
    before = {"marked", "accepted", "in_workroom", "query", "basted_for_fitting"}
    assert before == {start for start, to in moves() if to == "cancelled"}
    assert () == legal_from("cancelled")


def test_a_redo_goes_back_to_the_workroom_and_says_why():
    # Common practice, no source: redo returns to in_workroom.
    redos = [move for move in moves().values() if move.kind == "redo"]
    assert {"sewn", "pressed", "ready", "stored", "collected"} == {move.from_state for move in redos}
    assert {("in_workroom", ("reason",))} == {(move.to_state, move.needs) for move in redos}


def test_the_workroom_asks_and_is_answered():
    assert ("query", "in_workroom") in moves()
    assert ("in_workroom", "query") in moves()


@pytest.mark.parametrize(("start", "to"), ILLEGAL, ids=str)
def test_a_move_that_is_not_in_the_table_is_refused_with_the_legal_ones(start, to):
    refusal = refusal_of(start, to, EVERYTHING, 0)
    assert ("move_not_allowed", ("to",)) == (refusal.code, refusal.at)
    assert {"state": start, "asked": to, "legal": legal_from(start)} == refusal.facts


@pytest.mark.parametrize("move", moves().values(), ids=lambda m: f"{m.from_state}-{m.to_state}")
def test_every_move_of_the_table_goes_once_all_is_said(move):
    assert move == check_move(move.from_state, move.to_state, EVERYTHING, 0)


@pytest.mark.parametrize(
    ("move", "need"), NEEDS, ids=[f"{move.from_state}-{move.to_state}-{need}" for move, need in NEEDS]
)
def test_a_move_lacking_what_it_needs_is_refused(move, need):
    said = {name: fact for name, fact in EVERYTHING.items() if name != need}
    code = "pins_not_counted" if need == "pins_out" else f"{need}_missing"
    refusal = refusal_of(move.from_state, move.to_state, said, 0)
    assert (code, (need,)) == (refusal.code, refusal.at)


def test_a_blank_reason_is_none():
    assert "reason_missing" == refusal_of("ready", "in_workroom", {"reason": "  "}, 0).code


def test_a_customer_who_did_not_try_on_may_still_collect_once_it_is_said():
    # Ticket: collected by, tried on yes or no (common practice, no source).
    check_move("ready", "collected", {"tried_on": False}, 0)


@pytest.mark.parametrize("counted", [0, 2, 4, None], ids=str)
def test_nothing_is_ready_until_its_pins_are_counted_out(counted):
    # Failure guarded against: pins left in (common practice, no source).
    refusal = refusal_of("pressed", "ready", {} if counted is None else {"pins_out": counted}, 3)
    assert ("pins_not_counted", {"expected": 3, "counted": counted}) == (refusal.code, refusal.facts)
    check_move("pressed", "ready", {"pins_out": 3}, 3)


def test_no_more_pins_come_out_than_went_in():
    assert "pins_not_counted" == refusal_of("in_workroom", "sewn", {"pins_out": 4}, 3).code
    check_move("in_workroom", "sewn", {"pins_out": 2}, 3)
    assert "count_too_small" == refusal_of("in_workroom", "sewn", {"pins_out": -1}, 3).code


LOST = {"pins_out": 2, "pins_lost": 1, "searched_by": "tailor-1", "swept_with_magnet": True}


@pytest.mark.parametrize(("start", "to"), [("sewn", "pressed"), ("pressed", "ready")])
def test_a_pin_that_stays_lost_is_signed_for_after_a_search_with_a_magnet(start, to):
    # Common practice, no source.
    assert to == check_move(start, to, LOST, 3).to_state
    unsigned = refusal_of(start, to, LOST | {"searched_by": " "}, 3)
    assert ("pins_lost_unsigned", ("searched_by",)) == (unsigned.code, unsigned.at)
    for swept in (False, None):
        unswept = refusal_of(start, to, LOST | {"swept_with_magnet": swept}, 3)
        assert ("pins_lost_unsigned", ("swept_with_magnet",)) == (unswept.code, unswept.at)
    short = refusal_of(start, to, LOST, 4)
    assert ("pins_not_counted", {"expected": 4, "counted": 2, "lost": 1}) == (short.code, short.facts)


def test_no_pin_is_given_up_before_the_count():
    assert "pins_lost_too_soon" == refusal_of("in_workroom", "sewn", LOST, 3).code


def test_cancelling_in_the_workroom_says_whether_cloth_was_cut():
    # Common practice, no source: cut cloth is recorded.
    assert "cloth_cut_missing" == refusal_of("in_workroom", "cancelled", {"reason": "changed his mind"}, 0).code
    check_move("accepted", "cancelled", {"reason": "changed his mind"}, 0)


def test_an_event_knows_its_moment_and_whether_it_is_a_redo():
    at = datetime(2026, 3, 2, 10, tzinfo=UTC)
    assert OrderEvent(at, "fitter-1", "ready", "in_workroom").is_redo
    assert not OrderEvent(at, "fitter-1", "query", "in_workroom").is_redo
    assert not OrderEvent(at, "fitter-1", None, "marked").is_redo
    with pytest.raises(ValueError, match="offset"):
        OrderEvent(at.replace(tzinfo=None), "fitter-1", None, "marked")


def test_the_table_holds_known_states_and_sources():
    rows = tables.rows("orders/moves")
    assert len(rows) == len(moves())
    assert all({row["from"], row["to"]} <= set(STATES) and row["source"] for row in rows)


@given(st.lists(st.integers(0, 20), max_size=30))
def test_from_every_state_but_the_ended_one_there_is_a_way_to_the_end(choices):
    state = FIRST_STATE
    for choice in choices:
        if not (legal := legal_from(state)):
            break
        state = legal[choice % len(legal)]
    seen, ahead = set(), {state}
    while ahead - seen:
        seen |= ahead
        ahead = {to for start in seen for to in legal_from(start)}
    assert {state for state in seen | ahead if is_over(state)}


@pytest.mark.parametrize(
    ("pieces", "order"),
    [
        (("ready", "in_workroom"), "in_workroom"),
        (("query", "accepted"), "query"),
        (("basted_for_fitting", "marked"), "basted_for_fitting"),
        (("collected", "ready"), "ready"),
        (("collected", "lost"), "lost"),
        (("collected", "cancelled"), "collected"),
        (("given_up", "written_off"), "given_up"),
        (("sewn",), "sewn"),
    ],
)
def test_an_order_is_where_the_piece_is_that_speaks_for_it(pieces, order):
    # What waits for an answer first, then what is furthest back, what is over last (common practice, no source).
    assert order == order_state(pieces) == order_state(pieces[::-1])


def test_no_two_states_speak_alike_and_what_is_open_speaks_first():
    ranks = [(standing.speaks, standing.is_open) for standing in standings().values()]
    assert len(dict(ranks)) == len(STATES)
    assert [is_open for _, is_open in sorted(ranks)] == sorted((is_open for _, is_open in ranks), reverse=True)

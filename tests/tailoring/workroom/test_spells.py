"""Work begun, put down and ended: what it took is the sum of its spells, and a tailor has one thing in hand."""

from dataclasses import replace
from datetime import timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.tailoring.garments.amounts import Amount
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.orders.bench_notes import sewers
from service.tailoring.orders.lines.line_history import Signed
from service.tailoring.orders.lines.order_lines import LineAsked, lines_of
from service.tailoring.orders.lines.work_done import Spell
from service.tailoring.orders.orders import place
from service.tailoring.orders.work_taken import lines_at_work, pieces_at_work
from service.tailoring.quantities import Length
from service.tailoring.refusals import Refusal
from service.tailoring.work.prices import PriceList
from service.tailoring.workroom.spells import Moment, WorkOn, begun, end_paused, put_down, work_named
from service.tailoring.workroom.tailors import tailor
from tests.days import MONDAY, OPENING, THURSDAY

DUBLIN = ZoneInfo("Europe/Dublin")
SUIT = (
    GarmentPiece(1, "trousers", "reference", "30", hemmed=True),
    GarmentPiece(2, "jacket", "reference", "36R"),
)
WORK = (
    LineAsked(1, "trouser_waist_in", Amount(Length(25.4, "in"), "girth", "decrease")),
    LineAsked(2, "jacket_waist_in", Amount(Length(25.4, "in"), "girth", "decrease")),
)
TAILORS = {ref: tailor(ref, ("trousers", "jackets", "finishing"), 420) for ref in ("tailor-1", "tailor-2", "tailor-3")}
ON = (WorkOn(1, "trousers"), WorkOn(1, "trousers", 1), WorkOn(2, "jackets", 2), WorkOn(2, "finishing"))


def at_the_bench():
    """A suit whose pieces are in the workroom."""
    order = place(
        SUIT,
        lines_of(SUIT, WORK, PriceList()),
        number="1001",
        customer_ref=None,
        sale_ref=None,
        needed_by=None,
        promised_for=THURSDAY,
        placed_at=OPENING,
        marked_by="fitter-1",
    )
    return replace(order, piece_states=("in_workroom", "in_workroom"))


def after(minutes):
    return OPENING + timedelta(minutes=minutes)


def signed(ref, minutes=0):
    return Signed(ref, after(minutes), "")


STEPS = st.lists(
    st.tuples(
        st.sampled_from(["begin", "pause", "end", "end_paused"]),
        st.sampled_from(sorted(TAILORS)),
        st.sampled_from(ON),
        st.integers(0, 200),
    ),
    max_size=30,
)


@given(STEPS)
def test_whatever_is_begun_paused_and_ended_what_was_taken_is_the_sum_of_spells_of_one_at_a_time(steps):
    order, now = at_the_bench(), 0
    for do, ref, on, passed in steps:
        now += passed
        in_hand = any(each.is_open and each.tailor == ref for each in order.spells)
        if do == "begin":
            order = put_down(order, ref, "pause", after(now), signed(ref, now)) if in_hand else order
            order = begun(order, TAILORS[ref], on, after(now))
        elif do == "end_paused":
            mine = [each for each in order.spells if each.tailor == ref and WorkOn.of(each) == on]
            if mine and mine[-1].ended == "paused":
                order = end_paused(order, ref, on, signed(ref, now))
            else:
                with pytest.raises(Refusal, match="nothing_begun"):
                    end_paused(order, ref, on, signed(ref, now))
        elif in_hand:
            order = put_down(order, ref, do, after(now), signed(ref, now))
        opened = [each.tailor for each in order.spells if each.is_open]
        assert len(set(opened)) == len(opened)
        assert order.minutes_taken == sum(each.minutes for each in order.spells)
        assert order.minutes_taken == sum(each.minutes_taken for each in pieces_at_work(order))
        assert all(each.minutes >= 0 for each in order.spells)
        on_lines = sum(each.minutes_taken for each in lines_at_work(order).lines)
        assert on_lines == sum(each.minutes for each in order.spells if each.line_id)
        # No minute of a tailor is in two spells.
        for mine in ([each for each in order.spells if each.tailor == ref] for ref in TAILORS):
            assert all(one.until is not None and one.until <= two.since for one, two in pairwise(mine))
    for line in order.lines:
        over = [each for each in order.spells if each.covers(line.piece, line.id, _bench(line))]
        assert {each.tailor for each in over if each.ended == "ended"} == set(line.sewn_by)
        assert {each.tailor for each in over} == sewers(order, line)


def _bench(line):
    return "trousers" if line.piece == 1 else "jackets"


def test_who_put_work_down_has_sewn_at_it_too():
    order = begun(at_the_bench(), TAILORS["tailor-1"], ON[1], OPENING)
    order = put_down(order, "tailor-1", "pause", after(5), signed("tailor-1"))
    assert {"tailor-1"} == sewers(order, order.lines[0])
    assert frozenset() == sewers(order, order.lines[1])


def test_half_a_minute_counts_as_one():
    spell = Spell("tailor-1", 1, 0, "trousers", OPENING, OPENING + timedelta(seconds=90), "paused")
    assert 2 == spell.minutes


@pytest.mark.parametrize("until", [None, OPENING - timedelta(seconds=1)])
def test_a_spell_that_ends_otherwise_than_after_it_began_cannot_be(until):
    with pytest.raises(ValueError, match="ends after"):
        Spell("tailor-1", 1, 0, "trousers", OPENING, until, "ended")


@pytest.mark.parametrize(
    ("now", "said", "code"),
    [
        (after(24 * 60), None, "left_open_overnight"),
        (after(60), after(61), "work_in_future"),
        (after(60), after(-1), "ends_before_begun"),
    ],
)
def test_a_time_that_cannot_be_is_refused(now, said, code):
    spell = Spell("tailor-1", 1, 0, "trousers", OPENING)
    with pytest.raises(Refusal) as refused:
        Moment(now, DUBLIN, said).end_of(spell, "1001")
    assert code == refused.value.code


def test_a_night_over_which_work_went_on_is_believed_when_it_is_said():
    spell = Spell("tailor-1", 1, 0, "trousers", after(14 * 60))
    assert after(16 * 60) == Moment(after(24 * 60), DUBLIN, after(16 * 60)).end_of(spell, "1001")


def test_an_order_of_one_piece_need_not_say_which():
    order = replace(at_the_bench(), garments=SUIT[:1], piece_states=("in_workroom",), lines=at_the_bench().lines[:1])
    assert WorkOn(1, "trousers") == work_named(order, TAILORS["tailor-1"], None, None)
    assert WorkOn(1, "finishing") == work_named(replace(order, piece_states=("sewn",)), TAILORS["tailor-1"], None, None)


def test_work_is_at_the_bench_of_who_does_it():
    presser = tailor("presser-1", ("finishing",), 420)
    with pytest.raises(Refusal) as refused:
        work_named(at_the_bench(), presser, None, 1)
    assert "tailor_at_other_bench" == refused.value.code
    assert MONDAY == OPENING.date()

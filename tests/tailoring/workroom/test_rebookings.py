"""What of an order's minutes goes back, and what is booked in their place."""

from dataclasses import replace

import pytest

from service.tailoring.orders.order_moves import move
from service.tailoring.refusals import Refusal
from service.tailoring.workroom.bookings import BookedMinutes, work_of
from service.tailoring.workroom.calendar import SEWING
from service.tailoring.workroom.rebookings import BookedAgain, GivenBack, Rebooking, after_move, to_promise_again
from service.tailoring.workroom.weeks import Week
from tests.days import MONDAY, OPENING, THURSDAY, TUESDAY, WEDNESDAY
from tests.papers.orders import an_order

# The jacket is piece 1, the trousers are piece 2.
BOOKED = (
    BookedMinutes(MONDAY, "trousers", 20, piece=2),
    BookedMinutes(TUESDAY, "jackets", 30, 10),
    BookedMinutes(TUESDAY, "finishing", 15),
)
ALL = frozenset({1, 2, None})
PINS = {"pins_out": 6}


def after(*steps):
    """An order moved along, with what each move must say."""
    return further(an_order(), *steps)


def further(order, *steps):
    for to, said in steps:
        order = move(order, to, "tailor-1", OPENING, **said)
    return order


IN_WORK = (("accepted", {}), ("in_workroom", {}))
PRESSED = (*IN_WORK, ("sewn", {}), ("pressed", PINS))


@pytest.mark.parametrize(
    ("steps", "expected"),
    [
        (IN_WORK, Rebooking()),
        ((("cancelled", {"reason": "he moved away"}),), Rebooking((GivenBack(MONDAY, pieces=ALL),))),
        ((*IN_WORK, ("sewn", {})), Rebooking((GivenBack(TUESDAY, SEWING, ALL),))),
        (PRESSED, Rebooking((GivenBack(TUESDAY, pieces=ALL),))),
    ],
    ids=["begun", "cancelled", "sewn", "pressed"],
)
def test_minutes_that_are_not_needed_any_more_go_back(steps, expected):
    assert expected == after_move(after(*steps[:-1]), after(*steps), BOOKED, Week(), MONDAY)


def test_trousers_that_are_done_give_back_theirs_and_leave_the_jacket_its_own():
    begun = after(*IN_WORK)
    sewn = further(begun, ("sewn", {"pieces": [2]}))
    (back,) = after_move(begun, sewn, BOOKED, Week(), MONDAY).given_back
    assert GivenBack(TUESDAY, SEWING, frozenset({2})) == back
    both = further(sewn, ("sewn", {"pieces": [1]}))
    # What a release before booked as a whole goes back with the last piece.
    assert (GivenBack(TUESDAY, SEWING, frozenset({1, None})),) == after_move(
        sewn, both, BOOKED, Week(), MONDAY
    ).given_back


def test_a_redo_of_one_piece_books_that_piece_alone():
    ready = after(*PRESSED, ("ready", PINS))
    redone = further(ready, ("in_workroom", {"reason": "the left leg is long", "pieces": [2]}))
    assert ("in_workroom", ("ready", "in_workroom")) == (redone.state, redone.piece_states)
    again = after_move(ready, redone, BOOKED, Week(), TUESDAY).booked_again
    assert {2} == {part.piece for part in again.work}
    assert again.not_before == TUESDAY


def test_a_piece_that_is_found_again_is_booked_for_what_was_left_of_it():
    sewn = after(*IN_WORK, ("sewn", {}))
    lost = further(sewn, ("lost", {"pieces": [2], "searched_by": "tailor-1", "where": "all rails"}))
    assert (GivenBack(MONDAY, pieces=frozenset({2})),) == after_move(sewn, lost, BOOKED, Week(), MONDAY).given_back
    found = further(lost, ("sewn", {"pieces": [2], "where": "under the table"}))
    again = after_move(lost, found, BOOKED[1:], Week(), MONDAY).booked_again
    assert [("finishing", 2)] == [(part.bench, part.piece) for part in again.work]


def test_what_a_release_before_booked_as_a_whole_is_shared_among_the_pieces():
    begun = after(*IN_WORK)
    unknown = [replace(each, piece=None) for each in BOOKED]
    wanted = to_promise_again(begun, unknown, MONDAY, from_reserve=False)
    assert (GivenBack(MONDAY, pieces=ALL),) == wanted.given_back
    assert 65 == sum(part.minutes for part in wanted.booked_again.work)


def test_a_redo_is_booked_after_today_where_today_was_worked_on_it():
    pressed = after(*PRESSED)
    redone = further(pressed, ("in_workroom", {"reason": "the left leg is long"}))
    whole = work_of(redone.lines)
    today = after_move(pressed, redone, BOOKED, Week(), MONDAY).booked_again
    assert BookedAgain(whole, rush=True, not_before=TUESDAY) == today
    assert WEDNESDAY == after_move(pressed, redone, BOOKED, Week(), WEDNESDAY).booked_again.not_before


def test_what_follows_a_second_fitting_is_what_was_booked_ahead_after_its_day():
    # All of it on the jacket, so that what is ahead is told from what is done.
    booked = [replace(each, piece=1) for each in BOOKED]
    begun = after(*IN_WORK)
    basted = further(begun, ("basted_for_fitting", {"fitting_on": THURSDAY.isoformat(), "pieces": [1]}))
    wanted = after_move(begun, basted, booked, Week(), TUESDAY)
    assert (GivenBack(TUESDAY, pieces=frozenset({1, None})),) == wanted.given_back
    assert THURSDAY == wanted.booked_again.not_before
    assert 45 == sum(part.minutes for part in wanted.booked_again.work)
    with pytest.raises(Refusal, match="fitting_day_wrong"):
        after_move(begun, basted, booked, Week(), THURSDAY.replace(month=12))


def test_an_order_that_has_not_begun_is_promised_again_with_all_its_work():
    order = an_order()
    wanted = to_promise_again(order, BOOKED, MONDAY, from_reserve=True)
    assert Rebooking((GivenBack(pieces=ALL),), BookedAgain(work_of(order.lines), rush=True)) == wanted


def test_a_finished_order_has_nothing_to_promise():
    with pytest.raises(Refusal, match="nothing_to_promise"):
        to_promise_again(after(*PRESSED, ("ready", PINS)), BOOKED, MONDAY, from_reserve=False)

"""What of an order's minutes goes back, and what is booked in their place."""

from dataclasses import replace

import pytest

from service.tailoring.orders.orders import move
from service.tailoring.refusals import Refusal
from service.tailoring.workroom.bookings import BookedMinutes, work_of
from service.tailoring.workroom.calendar import SEWING, Week
from service.tailoring.workroom.rebookings import BookedAgain, GivenBack, Rebooking, after_move, to_promise_again
from tests.days import MONDAY, OPENING, THURSDAY, TUESDAY, WEDNESDAY
from tests.papers.orders import an_order

BOOKED = (
    BookedMinutes(MONDAY, "trousers", 20),
    BookedMinutes(TUESDAY, "jackets", 30, 10),
    BookedMinutes(TUESDAY, "finishing", 15),
)
PINS = {"pins_out": 6}


def after(*steps):
    """An order moved along, with what each move must say."""
    order = an_order()
    for to, said in steps:
        order = move(order, to, "bob", OPENING, **said)
    return order


IN_WORK = (("accepted", {}), ("in_workroom", {}))
PRESSED = (*IN_WORK, ("sewn", {}), ("pressed", PINS))


@pytest.mark.parametrize(
    ("steps", "expected"),
    [
        (IN_WORK, Rebooking()),
        ((("cancelled", {"reason": "he moved away"}),), Rebooking(GivenBack(MONDAY))),
        ((*IN_WORK, ("sewn", {})), Rebooking(GivenBack(TUESDAY, SEWING))),
        (PRESSED, Rebooking(GivenBack(TUESDAY))),
    ],
    ids=["begun", "cancelled", "sewn", "pressed"],
)
def test_minutes_that_are_not_needed_any_more_go_back(steps, expected):
    assert expected == after_move(after(*steps), BOOKED, Week(), MONDAY)


def test_a_redo_is_booked_after_today_where_today_was_worked_on_it():
    redone = after(*PRESSED, ("in_workroom", {"reason": "the left leg is long"}))
    whole = work_of(redone.lines)
    assert BookedAgain(whole, rush=True, not_before=TUESDAY) == after_move(redone, BOOKED, Week(), MONDAY).booked_again
    assert WEDNESDAY == after_move(redone, BOOKED, Week(), WEDNESDAY).booked_again.not_before


def test_what_follows_a_second_fitting_is_what_was_booked_ahead_after_its_day():
    basted = after(*IN_WORK, ("basted_for_fitting", {"fitting_on": THURSDAY.isoformat()}))
    wanted = after_move(basted, BOOKED, Week(), TUESDAY)
    assert GivenBack(TUESDAY) == wanted.given_back
    assert THURSDAY == wanted.booked_again.not_before
    assert 45 == sum(part.minutes for part in wanted.booked_again.work)
    with pytest.raises(Refusal, match="fitting_day_wrong"):
        after_move(basted, BOOKED, Week(), THURSDAY.replace(month=12))


def test_an_order_that_has_not_begun_is_promised_again_with_all_its_work():
    order = an_order()
    wanted = to_promise_again(order, BOOKED, MONDAY, from_reserve=True)
    assert Rebooking(GivenBack(), BookedAgain(work_of(order.lines), rush=True)) == wanted


def test_a_finished_order_has_nothing_to_promise():
    with pytest.raises(Refusal, match="nothing_to_promise"):
        to_promise_again(replace(an_order(), state="ready"), BOOKED, MONDAY, from_reserve=False)

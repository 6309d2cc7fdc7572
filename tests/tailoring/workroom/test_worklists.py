from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.tailoring.garments.alterations import BENCHES
from service.tailoring.orders.order_states import STATES
from service.tailoring.workroom.calendar import BenchDay, Day
from service.tailoring.workroom.worklists import URGENCIES, Booked, OpenOrder, is_to_do, worklist
from tests.days import MONDAY, THURSDAY, TUESDAY, WEDNESDAY


def order(number, promised=THURSDAY, state="in_workroom", *, rush=False):
    return OpenOrder(f"id-{number}", number, state, promised, None, rush)


def booked(of, day=TUESDAY, bench="trousers", minutes=20):
    return Booked(of, bench, day, minutes)


def list_of(found, day, **minutes):
    """The list of a day on which each bench has a thousand minutes, or as many as are said."""
    benches = {bench: BenchDay(minutes.get(bench, 1000), minutes.get(bench, 1000)) for bench in BENCHES}
    return worklist(found, Day(day, benches))


def told(jobs):
    return [(job.order.number, job.urgency) for job in jobs]


def test_late_orders_come_first_then_those_at_risk_then_the_days_own():
    today, behind, late = order(1), order(2), order(3, promised=MONDAY)
    found = list_of([booked(today), booked(behind, MONDAY), booked(late, MONDAY)], TUESDAY)
    assert [(3, "late"), (2, "at_risk"), (1, "today")] == told(found)
    assert ("promised for 2026-03-02", "work of 2026-03-02 is not done at trousers") == found[0].reasons
    assert ("work of 2026-03-02 is not done at trousers",) == found[1].reasons
    assert () == found[2].reasons


def test_within_an_urgency_the_earliest_promise_comes_first_then_the_earliest_number():
    jobs = [booked(order(5)), booked(order(4)), booked(order(6, promised=WEDNESDAY))]
    assert [6, 4, 5] == [job.order.number for job in list_of(jobs, TUESDAY)]


def test_work_of_another_day_is_not_on_the_list_and_work_behind_is_added_up():
    mine = order(1)
    found = list_of([booked(mine, MONDAY), booked(mine, TUESDAY), booked(mine, WEDNESDAY, minutes=99)], TUESDAY)
    assert [(40, MONDAY)] == [(job.minutes, job.booked_for) for job in found]
    assert () == list_of([booked(mine, WEDNESDAY)], TUESDAY)


def test_a_late_order_stands_at_each_of_its_benches_whatever_day_is_booked():
    late = order(1, promised=MONDAY)
    found = list_of([booked(late, WEDNESDAY, "jackets"), booked(late, MONDAY)], TUESDAY)
    assert [("jackets", "late"), ("trousers", "late")] == [(job.bench, job.urgency) for job in found]


def test_a_bench_that_waits_for_another_is_at_risk_with_it():
    mine = order(1)
    found = list_of([booked(mine, MONDAY, "jackets"), booked(mine, TUESDAY, "finishing")], TUESDAY)
    assert ["at_risk", "at_risk"] == [job.urgency for job in found]
    assert {("work of 2026-03-02 is not done at jackets",)} == {job.reasons for job in found}


def test_an_open_question_puts_the_days_work_at_risk_but_not_tomorrows():
    asked = order(1, state="query")
    (job,) = list_of([booked(asked)], TUESDAY)
    assert ("at_risk", ("the fitter has not answered",)) == (job.urgency, job.reasons)
    assert () == list_of([booked(asked, WEDNESDAY)], TUESDAY)


def test_a_rush_comes_before_others_of_its_urgency():
    jobs = [booked(order(1)), booked(order(2, promised=WEDNESDAY)), booked(order(3, rush=True))]
    assert [3, 2, 1] == [job.order.number for job in list_of(jobs, TUESDAY)]
    late = order(4, promised=MONDAY)
    assert [4, 3] == [job.order.number for job in list_of([booked(order(3, rush=True)), booked(late)], TUESDAY)]


def test_who_was_promised_last_is_at_risk_where_a_bench_was_cut_short():
    first, second, rush = order(1), order(2), order(3, rush=True)
    mine = [booked(first), booked(second), Booked(rush, "trousers", TUESDAY, 20, reserve=True)]
    found = list_of([*mine, booked(second, bench="finishing")], TUESDAY, trousers=45)
    assert [(2, "at_risk"), (2, "at_risk"), (3, "today"), (1, "today")] == told(found)
    assert ("too few minutes at trousers",) == found[0].reasons


def test_hard_work_is_at_risk_where_no_skilled_hand_is_there():
    hard = Booked(order(1), "jackets", TUESDAY, 60, hard=60)
    (job,) = worklist([hard], Day(TUESDAY, {"jackets": BenchDay(300, 0)}))
    assert ("at_risk", ("too few minutes at jackets",)) == (job.urgency, job.reasons)


def test_the_promised_day_itself_is_not_late():
    assert [(1, "today")] == told(list_of([booked(order(1, promised=TUESDAY))], TUESDAY))


@pytest.mark.parametrize(
    ("state", "benches"),
    [
        ("marked", set(BENCHES)),
        ("in_workroom", set(BENCHES)),
        ("query", set(BENCHES)),
        ("basted_for_fitting", set(BENCHES)),
        ("sewn", {"finishing"}),
        ("pressed", set()),
        ("ready", set()),
        ("collected", set()),
        ("cancelled", set()),
    ],
)
def test_what_is_sewn_waits_for_finishing_alone_and_what_is_pressed_for_nobody(state, benches):
    assert benches == {bench for bench in BENCHES if is_to_do(state, bench)}
    mine = order(1, promised=MONDAY, state=state)
    assert benches == {job.bench for job in list_of([booked(mine, bench=bench) for bench in BENCHES], TUESDAY)}


days = st.sampled_from([MONDAY + timedelta(days=ahead) for ahead in range(5)])
orders = st.builds(order, st.integers(1, 9), days, st.sampled_from(STATES))
bookings = st.lists(st.builds(booked, orders, days, st.sampled_from(BENCHES), st.integers(1, 99)), max_size=20)


@given(bookings.map(lambda found: [each for each in found if each.order == found[0].order]), days)
def test_every_minute_that_is_due_is_listed_once(found, day):
    # Of one order: what is to do at a bench up to the day, or all of it once it is late.
    due = [
        each
        for each in found
        if is_to_do(each.order.state, each.bench) and (each.day <= day or each.order.promised_for < day)
    ]
    jobs = list_of(found, day)
    assert sum(each.minutes for each in due) == sum(job.minutes for job in jobs)
    assert len({job.bench for job in jobs}) == len(jobs)
    assert all(job.urgency in URGENCIES and bool(job.reasons) == (job.urgency != "today") for job in jobs)

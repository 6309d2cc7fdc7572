from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.tailoring.alterations import BENCHES
from service.tailoring.order_states import STATES
from service.tailoring.worklists import URGENCIES, BenchLine, Booked, Standing, is_to_do, lines_at, worklist
from tests.days import MONDAY, THURSDAY, TUESDAY, WEDNESDAY


def order(number, promised=THURSDAY, state="in_workroom"):
    return Standing(f"id-{number}", number, state, promised, None)


def booked(of, day=TUESDAY, bench="trousers", minutes=20):
    return Booked(of, bench, day, minutes)


def told(jobs):
    return [(job.order.number, job.urgency) for job in jobs]


def test_late_orders_come_first_then_those_at_risk_then_the_days_own():
    today, behind, late = order(1), order(2), order(3, promised=MONDAY)
    found = worklist([booked(today), booked(behind, MONDAY), booked(late, MONDAY)], TUESDAY)
    assert [(3, "late"), (2, "at_risk"), (1, "today")] == told(found)
    assert ("promised for 2026-03-02", "trousers work of 2026-03-02 is not done") == found[0].reasons
    assert ("trousers work of 2026-03-02 is not done",) == found[1].reasons
    assert () == found[2].reasons


def test_within_an_urgency_the_earliest_promise_comes_first_then_the_earliest_number():
    jobs = [booked(order(5)), booked(order(4)), booked(order(6, promised=WEDNESDAY))]
    assert [6, 4, 5] == [job.order.number for job in worklist(jobs, TUESDAY)]


def test_work_of_another_day_is_not_on_the_list_and_work_behind_is_added_up():
    mine = order(1)
    found = worklist([booked(mine, MONDAY), booked(mine, TUESDAY), booked(mine, WEDNESDAY, minutes=99)], TUESDAY)
    assert [(40, MONDAY)] == [(job.minutes, job.booked_for) for job in found]
    assert () == worklist([booked(mine, WEDNESDAY)], TUESDAY)


def test_a_late_order_stands_at_each_of_its_benches_whatever_day_is_booked():
    late = order(1, promised=MONDAY)
    found = worklist([booked(late, WEDNESDAY, "jackets"), booked(late, MONDAY)], TUESDAY)
    assert [("jackets", "late"), ("trousers", "late")] == [(job.bench, job.urgency) for job in found]


def test_a_bench_that_waits_for_another_is_at_risk_with_it():
    mine = order(1)
    found = worklist([booked(mine, MONDAY, "jackets"), booked(mine, TUESDAY, "finishing")], TUESDAY)
    assert ["at_risk", "at_risk"] == [job.urgency for job in found]
    assert {("jackets work of 2026-03-02 is not done",)} == {job.reasons for job in found}


def test_an_open_question_puts_the_days_work_at_risk_but_not_tomorrows():
    asked = order(1, state="query")
    (job,) = worklist([booked(asked)], TUESDAY)
    assert ("at_risk", ("the fitter has not answered",)) == (job.urgency, job.reasons)
    assert () == worklist([booked(asked, WEDNESDAY)], TUESDAY)


def test_the_promised_day_itself_is_not_late():
    assert [(1, "today")] == told(worklist([booked(order(1, promised=TUESDAY))], TUESDAY))


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
    assert benches == {job.bench for job in worklist([booked(mine, bench=bench) for bench in BENCHES], TUESDAY)}


def test_lines_keep_the_numbers_of_the_ticket():
    lines = [
        BenchLine(2, "trouser_hem", "both", 20),
        BenchLine(1, "jacket_waist_in", None, 68),
        BenchLine(2, "trouser_waist_in", None, 35),
    ]
    assert [(2, lines[2]), (3, lines[0])] == list(lines_at(lines, "trousers"))
    assert [(1, lines[1])] == list(lines_at(lines, "jackets"))
    assert () == lines_at(lines, "finishing")


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
    jobs = worklist(found, day)
    assert sum(each.minutes for each in due) == sum(job.minutes for job in jobs)
    assert len({job.bench for job in jobs}) == len(jobs)
    assert all(job.urgency in URGENCIES and bool(job.reasons) == (job.urgency != "today") for job in jobs)

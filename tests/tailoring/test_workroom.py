from collections import Counter
from dataclasses import dataclass
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.tailoring import tables
from service.tailoring.alterations import BENCHES, alteration, catalogue
from service.tailoring.refusals import Refusal
from service.tailoring.workroom import SEWING, Day, Taken, Week, Work, book, presses, work_of

MONDAY = date(2026, 3, 2)
TUESDAY, WEDNESDAY, SATURDAY, SUNDAY = (MONDAY + timedelta(days=n) for n in (1, 2, 5, 6))
PRESS = alteration("trouser_press").minutes


@dataclass(frozen=True)
class Line:
    piece: int
    alteration: str
    minutes: int


def day(on, free=60, **benches):
    return Day(on, dict.fromkeys(BENCHES, free) | benches)


def refusal_of(*given_values, **named):
    with pytest.raises(Refusal) as caught:
        book(*given_values, **named)
    return caught.value


def test_every_piece_that_is_worked_on_is_pressed():
    # Minutes of the catalogue's press operations (common practice, no source).
    lines = [
        Line(1, "trouser_hem", 20),
        Line(1, "trouser_waist_in", 35),
        Line(2, "jacket_waist_in", 68),
        Line(3, "waistcoat_sides_in", 48),
    ]
    minutes = Counter()
    for work in work_of(lines):
        minutes[work.bench] += work.minutes
    jacket_press = alteration("jacket_press").minutes
    assert {"trousers": 55, "jackets": 116, "finishing": PRESS + 2 * jacket_press} == minutes


def test_a_press_that_is_a_line_of_its_own_is_not_done_twice():
    assert (Work("finishing", 15, 11),) == work_of([Line(1, "trouser_press", 15)])


def test_two_pairs_of_trousers_are_pressed_twice():
    finishing = [w for w in work_of([Line(1, "trouser_hem", 20), Line(2, "trouser_hem", 20)]) if w.stage == 11]
    assert [Work("finishing", 2 * PRESS, 11)] == finishing


def test_work_comes_in_order_of_stage():
    stages = [w.stage for w in work_of([Line(1, "trouser_hem", 20), Line(1, "trouser_waist_in", 35)])]
    assert [3, 6, 11] == stages


def test_every_garment_of_the_catalogue_has_its_press():
    for doing in catalogue().values():
        assert "finishing" == alteration(presses()[doing.garment]).bench


def test_short_work_is_sewn_and_pressed_on_the_first_day():
    booking = book([Work("trousers", 20, 6), Work("finishing", 15, 11)], [day(MONDAY)])
    assert (Taken(MONDAY, "trousers", 20), Taken(MONDAY, "finishing", 15)) == booking.taken
    assert MONDAY == booking.promised_for


def test_long_work_is_split_over_days_and_finished_after_its_last_seam():
    booking = book([Work("jackets", 100, 4), Work("finishing", 23, 11)], [day(MONDAY), day(TUESDAY)])
    assert (
        Taken(MONDAY, "jackets", 60),
        Taken(TUESDAY, "jackets", 40),
        Taken(TUESDAY, "finishing", 23),
    ) == booking.taken


def test_benches_run_side_by_side():
    work = [Work("jackets", 60, 4), Work("trousers", 60, 6), Work("finishing", 60, 11)]
    assert MONDAY == book(work, [day(MONDAY)]).promised_for


def test_the_promise_is_the_day_on_which_finishing_ends():
    days = [day(MONDAY, finishing=10), day(TUESDAY, finishing=0), day(WEDNESDAY)]
    booking = book([Work("trousers", 20, 6), Work("finishing", 15, 11)], days)
    assert WEDNESDAY == booking.promised_for


def test_a_day_cut_below_its_promises_has_nothing_free():
    short = Day(MONDAY, {"trousers": 30}, {"trousers": 45})
    assert 0 == short.free_minutes("trousers")


def test_an_order_beyond_the_last_day_is_refused():
    refusal = refusal_of([Work("jackets", 61, 4)], [day(MONDAY)])
    assert "no_free_day" == refusal.code
    assert {"benches": ("jackets",), "until": "2026-03-02"} == refusal.facts
    assert None is refusal_of([Work("jackets", 61, 4)], []).facts["until"]


def test_a_day_needed_too_early_is_refused_with_the_earliest():
    days = [day(MONDAY), day(TUESDAY)]
    refusal = refusal_of([Work("jackets", 100, 4)], days, needed_by=MONDAY)
    assert ("needed_by_too_early", ("needed_by",)) == (refusal.code, refusal.at)
    assert {"earliest": "2026-03-03", "needed_by": "2026-03-02"} == refusal.facts
    assert TUESDAY == book([Work("jackets", 100, 4)], days, needed_by=TUESDAY).promised_for


def test_days_out_of_order_are_a_slip_of_the_program():
    with pytest.raises(ValueError, match="date order"):
        book([Work("jackets", 100, 4)], [day(TUESDAY), day(MONDAY)])


def test_the_usual_week_promises_85_percent_and_rests_on_sunday():
    # common practice, no source: 360 usable minutes a tailor-day, dates move out at 85 %.
    week = Week()
    assert {"trousers": 306, "jackets": 306, "finishing": 153} == week.day(SATURDAY, {}).minutes
    assert dict.fromkeys(BENCHES, 0) == week.day(SUNDAY, {}).minutes


def test_a_closed_day_has_no_minutes_unless_the_shop_set_some():
    week = Week(closed=frozenset({MONDAY}))
    assert dict.fromkeys(BENCHES, 0) == week.day(MONDAY, {}).minutes
    assert 85 == week.day(MONDAY, {}, {"jackets": 100}).minutes["jackets"]


def test_work_starts_on_the_day_after_the_order_unless_the_week_says_otherwise():
    # common practice, no source
    assert TUESDAY == Week().first_day(MONDAY)
    assert MONDAY == Week(start_after_days=0).first_day(MONDAY)


def test_a_week_hands_out_its_days_with_what_is_booked_and_kept():
    week = Week(horizon_days=3, closed=frozenset({WEDNESDAY}))
    tuesday, wednesday, thursday = week.days(MONDAY, {TUESDAY: {"jackets": 300}}, {WEDNESDAY: {"jackets": 40}})
    assert (TUESDAY, 6) == (tuesday.date, tuesday.free_minutes("jackets"))
    assert (WEDNESDAY, 34) == (wednesday.date, wednesday.free_minutes("jackets"))
    assert 306 == thursday.free_minutes("jackets")


@pytest.mark.parametrize(
    "part",
    [
        {"fill_percent": 0},
        {"fill_percent": 101},
        {"start_after_days": -1},
        {"horizon_days": 0},
        {"minutes": ()},
        {"minutes": ({"jackets": -1},) * 7},
    ],
    ids=str,
)
def test_a_week_that_cannot_be_is_refused(part):
    with pytest.raises(Refusal) as caught:
        Week(**part)
    assert ("week_wrong", tuple(part)) == (caught.value.code, caught.value.at)


def test_the_weeks_figures_have_their_sources():
    figures = tables.document("workroom")
    assert all(row["source"] for row in (*figures["weekdays"], *tables.rows("pressing")))
    assert all(figures[name] for name in ("fill_source", "start_source", "horizon_source"))


minutes_by_bench = st.fixed_dictionaries({bench: st.integers(0, 60) for bench in BENCHES})
calendars = st.lists(st.tuples(minutes_by_bench, minutes_by_bench), min_size=1, max_size=12).map(
    lambda days: [Day(MONDAY + timedelta(days=n), *minutes) for n, minutes in enumerate(days)]
)
works = st.lists(st.builds(Work, st.sampled_from(BENCHES), st.integers(1, 120), st.integers(1, 11)), min_size=1)


@given(days=calendars, work=works)
def test_a_booking_places_every_minute_and_overbooks_no_bench(days, work):
    needed, free = Counter(), {d.date: d for d in days}
    for part in work:
        needed[part.bench] += part.minutes
    try:
        booking = book(work, days)
    except Refusal as refusal:
        assert "no_free_day" == refusal.code  # noqa: PT017
        return
    placed = Counter()
    for taken in booking.taken:
        placed[taken.bench] += taken.minutes
        assert 0 < taken.minutes <= free[taken.date].free_minutes(taken.bench)
    assert needed == placed
    assert len({(taken.date, taken.bench) for taken in booking.taken}) == len(booking.taken)
    assert max(taken.date for taken in booking.taken) == booking.promised_for


@given(days=calendars, work=works)
def test_finishing_never_comes_before_sewing_and_no_free_minute_is_passed_over(days, work):
    try:
        booking = book(work, days)
    except Refusal:
        return
    last = {bench: max((t.date for t in booking.taken if t.bench == bench), default=None) for bench in BENCHES}
    sewn = max((last[bench] for bench in SEWING if last[bench]), default=days[0].date)
    finishing = [taken.date for taken in booking.taken if taken.bench == "finishing"]
    assert all(on >= sewn for on in finishing)
    used = Counter({(taken.date, taken.bench): taken.minutes for taken in booking.taken})
    for one in days:
        for bench in BENCHES:
            from_day = sewn if bench == "finishing" else days[0].date
            if last[bench] and from_day <= one.date < last[bench]:
                assert one.free_minutes(bench) == used[one.date, bench]


@given(days=calendars, work=works, again=works)
def test_orders_booked_one_after_another_never_share_a_minute(days, work, again):
    try:
        first = book(work, days)
        booked = {one.date: Counter(one.booked) for one in days}
        for taken in first.taken:
            booked[taken.date][taken.bench] += taken.minutes
        left = [Day(one.date, one.minutes, booked[one.date]) for one in days]
        second = book(again, left)
    except Refusal:
        return
    both = Counter()
    for taken in (*first.taken, *second.taken):
        both[taken.date, taken.bench] += taken.minutes
    free = {one.date: one for one in days}
    assert all(count <= free[on].free_minutes(bench) for (on, bench), count in both.items())

from collections import Counter
from dataclasses import dataclass, replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.tailoring import tables
from service.tailoring.garments.alterations import BENCHES, alteration, catalogue
from service.tailoring.refusals import Refusal
from service.tailoring.work.order_of_work import must_precede
from service.tailoring.workroom.bookings import (
    BookedMinutes,
    Booking,
    Claim,
    Work,
    book,
    giving_way,
    presses,
    promise,
    rush_day,
    work_left,
    work_of,
)
from service.tailoring.workroom.calendar import BenchDay, BookedAtBench, Calendar, Day
from service.tailoring.workroom.weeks import Week

MONDAY = date(2026, 3, 2)
TUESDAY, WEDNESDAY, THURSDAY = (MONDAY + timedelta(days=n) for n in (1, 2, 3))
PRESS = alteration("trouser_press").minutes


@dataclass(frozen=True)
class Line:
    piece: int
    alteration: str
    minutes: int


def day(on, free=60, skilled=None, **benches):
    minutes = dict.fromkeys(BENCHES, free) | benches
    return Day(on, {bench: BenchDay(count, min(count, skilled or count)) for bench, count in minutes.items()})


def narrow(minutes=60, **more):
    return Calendar(Week(minutes=(dict.fromkeys(BENCHES, minutes),) * 7, fill_percent=100, **more))


def refusal_of(run, *given_values, **named):
    with pytest.raises(Refusal) as caught:
        run(*given_values, **named)
    return caught.value


# ---------------------------------------------------------------- the work of an order


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
    assert [("finishing", 15, 11)] == [(w.bench, w.minutes, w.stage) for w in work_of([Line(1, "trouser_press", 15)])]


def test_work_comes_in_the_order_in_which_it_is_sewn():
    work = work_of([Line(1, "trouser_hem", 20), Line(1, "trouser_waist_in", 35)])
    assert ["trouser_waist_in", "trouser_hem", "trouser_press"] == [each.alteration for each in work]


def test_every_garment_of_the_catalogue_has_its_press():
    for doing in catalogue().values():
        assert "finishing" == alteration(presses()[doing.garment]).bench


def test_difficulties_4_and_5_are_hard_work():
    # derived here: shoulders, collars, body lengths and reset sleeves are a coat maker's
    hard = {each.alteration for code in catalogue() for each in work_of([Line(1, code, 10)]) if each.hard}
    assert {code for code, doing in catalogue().items() if doing.difficulty >= 4} == hard
    assert {"jacket_shoulder_narrow", "jacket_collar_lower"} <= hard
    assert "jacket_waist_in" not in hard


def test_what_is_left_of_a_begun_order_is_what_it_had_booked_ahead():
    left = work_left([BookedMinutes(TUESDAY, "finishing", 23), BookedMinutes(TUESDAY, "jackets", 50, hard=20)])
    assert (("jackets", 20, True), ("jackets", 30, False), ("finishing", 23, False)) == tuple(
        (each.bench, each.minutes, each.hard) for each in left
    )
    assert left[0].stage < left[-1].stage


# ---------------------------------------------------------------- laying it onto days


def test_short_work_is_sewn_and_pressed_on_the_first_day():
    booking = book([Work("trousers", 20, 6), Work("finishing", 15, 11)], [day(MONDAY)])
    assert Booking((BookedMinutes(MONDAY, "trousers", 20), BookedMinutes(MONDAY, "finishing", 15)), MONDAY) == booking


def test_long_work_is_split_over_days_and_finished_after_its_last_seam():
    booking = book([Work("jackets", 100, 4), Work("finishing", 23, 11)], [day(MONDAY), day(TUESDAY)])
    assert (
        BookedMinutes(MONDAY, "jackets", 60),
        BookedMinutes(TUESDAY, "jackets", 40),
        BookedMinutes(TUESDAY, "finishing", 23),
    ) == booking.taken


def test_pieces_go_side_by_side():
    work = [Work("jackets", 60, 4, piece=1), Work("trousers", 60, 6, piece=2), Work("finishing", 60, 11, piece=1)]
    assert MONDAY == book(work, [day(MONDAY)]).promised_for


def test_one_piece_goes_from_stage_to_stage_across_the_benches():
    # The shoulder waits for Tuesday's coat maker; what is sewn after it waits with it, though Monday is empty.
    work = work_of([Line(1, "jacket_sleeve_shorten_at_cuff", 60), Line(1, "jacket_shoulder_narrow", 100)])
    no_coat_maker = Day(MONDAY, {bench: BenchDay(300, 0) for bench in BENCHES})
    booking = book(work, [no_coat_maker, day(TUESDAY, 300)])
    assert {TUESDAY} == {taken.date for taken in booking.taken}
    assert [BookedMinutes(TUESDAY, "jackets", 160, 100)] == [each for each in booking.taken if each.bench == "jackets"]


def test_what_the_order_of_work_puts_before_it_on_another_garment_is_waited_for():
    between = [(one, other) for one, other in must_precede() if alteration(one).garment != alteration(other).garment]
    assert ("shirt_sleeve_shorten", "jacket_sleeve_shorten_at_cuff") in between
    for one, other in between:
        work = work_of([Line(1, other, 60), Line(2, one, 60)])
        days = [Day(MONDAY + timedelta(days=n), {bench: BenchDay(50, 50) for bench in BENCHES}) for n in range(9)]
        alone = book([part for part in work if part.piece == 2][:1], days)
        both = book(work, days)
        begun = min(taken.date for taken in both.taken if taken.bench == alteration(other).bench)
        assert alteration(one).bench == alteration(other).bench or begun >= alone.promised_for


def test_of_two_jackets_neither_waits_for_the_other():
    assert ("jacket_chest_in", "jacket_waist_in") in must_precede()
    work = work_of([Line(1, "jacket_chest_in", 100), Line(2, "jacket_waist_in", 60)])
    no_coat_maker = Day(MONDAY, {bench: BenchDay(100, 0) for bench in BENCHES})
    booking = book(work, [no_coat_maker, day(TUESDAY, 300)])
    assert BookedMinutes(MONDAY, "jackets", 60, piece=2) in booking.taken


def test_hard_work_waits_for_a_day_with_skilled_minutes_and_plain_work_does_not():
    hard, plain = Work("jackets", 30, 1, piece=1, hard=True), Work("jackets", 30, 1, piece=2)
    days = [Day(MONDAY, {"jackets": BenchDay(60, 0)}), Day(TUESDAY, {"jackets": BenchDay(60, 60)})]
    waiting = BookedMinutes(TUESDAY, "jackets", 30, 30)
    assert (BookedMinutes(MONDAY, "jackets", 30, piece=2), waiting) == book([hard, plain], days).taken


def test_the_promise_is_the_day_on_which_finishing_ends():
    days = [day(MONDAY, finishing=10), day(TUESDAY, finishing=0), day(WEDNESDAY)]
    booking = book([Work("trousers", 20, 6), Work("finishing", 15, 11)], days)
    assert WEDNESDAY == booking.promised_for


def test_an_order_beyond_the_last_day_is_refused():
    refusal = refusal_of(book, [Work("jackets", 61, 4)], [day(MONDAY)])
    assert "no_free_day" == refusal.code
    assert {"benches": ("jackets",), "until": "2026-03-02"} == refusal.facts
    assert None is refusal_of(book, [Work("jackets", 61, 4)], []).facts["until"]


def test_days_out_of_order_are_a_slip_of_the_program():
    with pytest.raises(ValueError, match="date order"):
        book([Work("jackets", 100, 4)], [day(TUESDAY), day(MONDAY)])


# ---------------------------------------------------------------- promising


def test_a_day_needed_too_early_is_refused_with_the_earliest_and_that_of_a_rush():
    work = [Work("jackets", 100, 4)]
    refusal = refusal_of(promise, work, narrow(), MONDAY, TUESDAY)
    assert ("needed_by_too_early", ("needed_by",)) == (refusal.code, refusal.at)
    assert {"earliest": "2026-03-04", "earliest_rush": "2026-03-03", "needed_by": "2026-03-03"} == refusal.facts
    assert WEDNESDAY == promise(work, narrow(), MONDAY, needed_by=WEDNESDAY).promised_for


def test_a_rush_begins_sooner_and_takes_of_the_reserve():
    calendar = narrow(100)
    calendar = replace(calendar, week=replace(calendar.week, fill_percent=80))
    work = [Work("jackets", 90, 4)]
    assert WEDNESDAY == promise(work, calendar, MONDAY).promised_for
    assert (BookedMinutes(MONDAY, "jackets", 90, reserve=True),) == promise(work, calendar, MONDAY, rush=True).taken
    assert MONDAY == rush_day(work, calendar, MONDAY)


def test_a_rush_that_is_needed_too_early_is_refused_too():
    refusal = refusal_of(promise, [Work("jackets", 100, 4)], narrow(), MONDAY, MONDAY, rush=True)
    assert {"earliest": "2026-03-03", "earliest_rush": "2026-03-03", "needed_by": "2026-03-02"} == refusal.facts


def test_where_no_day_is_free_even_a_rush_has_none():
    assert None is rush_day([Work("jackets", 1, 4)], narrow(0), MONDAY)


def test_work_after_a_fitting_is_not_booked_before_it():
    assert THURSDAY == promise([Work("jackets", 10, 4)], narrow(), MONDAY, not_before=THURSDAY).promised_for


# ---------------------------------------------------------------- giving way


def test_who_was_promised_last_gives_way_first_and_rushes_never_to_others():
    claims = [Claim(1003, 30), Claim(1001, 30), Claim(1002, 30), Claim(1004, 30, reserve=True)]
    assert (Claim(1002, 30), Claim(1003, 30)) == giving_way(BenchDay(60, 60), claims)
    assert () == giving_way(BenchDay(120, 120), claims)
    assert 4 == len(giving_way(BenchDay(0, 0), claims))


def test_without_its_coat_maker_a_bench_gives_up_its_hard_work_only():
    claims = [Claim(1001, 60, hard=60), Claim(1002, 60)]
    assert (Claim(1001, 60, 60),) == giving_way(BenchDay(360, 0), claims)


@given(
    st.lists(st.tuples(st.integers(1, 90), st.integers(0, 90), st.booleans()), max_size=8),
    st.integers(0, 300),
    st.integers(0, 300),
)
def test_those_who_stay_have_minutes_enough(asked, minutes, skilled):
    claims = [Claim(n, count, min(hard, count), kept) for n, (count, hard, kept) in enumerate(asked)]
    bench = BenchDay(minutes, min(minutes, skilled))
    staying = set(claims) - set(giving_way(bench, claims))
    left = BookedAtBench()
    for claim in staying:
        left = left.plus(claim.minutes, hard=claim.hard, reserve=claim.reserve)
    assert 0 == replace(bench, held=left).short


# ---------------------------------------------------------------- whatever the order and the days

benches = st.builds(
    lambda minutes, part, fill, held, hard: BenchDay(
        minutes, minutes * part // 100, fill, BookedAtBench(held, min(hard, held))
    ),
    st.integers(0, 60),
    st.integers(0, 100),
    st.sampled_from((60, 85, 100)),
    st.integers(0, 60),
    st.integers(0, 20),
)
calendars = st.lists(st.fixed_dictionaries(dict.fromkeys(BENCHES, benches)), min_size=1, max_size=12).map(
    lambda days: [Day(MONDAY + timedelta(days=n), each) for n, each in enumerate(days)]
)
works = st.lists(
    st.builds(
        Work, st.sampled_from(BENCHES), st.integers(1, 120), st.integers(1, 11), st.integers(1, 3), st.booleans()
    ),
    min_size=1,
    max_size=8,
).map(lambda parts: sorted(parts, key=lambda part: part.stage))


def after(days, taken):
    """The days once `taken` is booked."""
    by_day = {(each.date, each.bench): each for each in taken}
    changed = []
    for one in days:
        held = {}
        for bench, each in one.benches.items():
            mine = by_day.get((one.date, bench))
            added = each.held.plus(mine.minutes, hard=mine.hard, reserve=mine.reserve) if mine else each.held
            held[bench] = replace(each, held=added)
        changed.append(replace(one, benches=held))
    return changed


@given(days=calendars, work=works, reserve=st.booleans())
def test_a_booking_places_every_minute_and_overbooks_no_bench(days, work, reserve):
    needed, hard = Counter(), Counter()
    for part in work:
        needed[part.bench] += part.minutes
        hard[part.bench] += part.minutes if part.hard else 0
    try:
        booking = book(work, days, reserve=reserve)
    except Refusal as refusal:
        assert "no_free_day" == refusal.code  # noqa: PT017
        return
    placed, placed_hard = Counter(), Counter()
    for taken in booking.taken:
        placed[taken.bench] += taken.minutes
        placed_hard[taken.bench] += taken.hard
    assert (needed, +hard) == (placed, +placed_hard)
    assert len({(taken.date, taken.bench, taken.piece) for taken in booking.taken}) == len(booking.taken)
    assert max(taken.date for taken in booking.taken) == booking.promised_for
    for before, then in zip(days, after(days, booking.taken), strict=True):
        for bench, each in then.benches.items():
            assert each.short == before.benches[bench].short
            if not reserve and each.held != before.benches[bench].held:
                assert each.held.minutes <= each.minutes * each.fill_percent // 100


@given(days=calendars, work=works)
def test_a_piece_is_never_finished_before_it_is_sewn(days, work):
    work = [replace(part, piece=1) for part in work]
    try:
        booking = book(work, days)
    except Refusal:
        return
    sewn = [each.date for each in booking.taken if each.bench != "finishing"]
    last_stage = max(part.stage for part in work)
    last_only = {part.bench for part in work if part.stage == last_stage} - {
        part.bench for part in work if part.stage != last_stage
    }
    for taken in booking.taken:
        if taken.bench in last_only:
            others = [each.date for each in booking.taken if each.bench not in last_only]
            assert not others or taken.date >= max(others)
    assert sewn or any(part.bench == "finishing" for part in work)


@given(days=calendars, work=works, again=works)
def test_orders_booked_one_after_another_never_share_a_minute(days, work, again):
    try:
        first = book(work, days)
        then = after(days, first.taken)
        second = book(again, then)
    except Refusal:
        return
    for before, one in zip(days, after(then, second.taken), strict=True):
        for bench, each in one.benches.items():
            assert each.short == before.benches[bench].short


@given(days=calendars, work=works)
def test_the_same_work_on_the_same_days_is_booked_the_same(days, work):
    def outcome():
        try:
            return book(work, days)
        except Refusal as refusal:
            return refusal.facts

    assert outcome() == outcome()


def test_the_presses_have_their_sources():
    assert all(row["source"] for row in tables.rows("workroom/pressing"))

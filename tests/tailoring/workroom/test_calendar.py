from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.tailoring import tables
from service.tailoring.garments.alterations import BENCHES
from service.tailoring.refusals import Refusal
from service.tailoring.workroom.calendar import BenchDay, BookedAtBench, Calendar, KeptDay
from service.tailoring.workroom.weeks import Week

MONDAY = date(2026, 3, 2)
TUESDAY, WEDNESDAY, SATURDAY, SUNDAY = (MONDAY + timedelta(days=n) for n in (1, 2, 5, 6))


def minutes_on(calendar, on):
    return {bench: each.minutes for bench, each in calendar.day(on).benches.items()}


# ---------------------------------------------------------------- a bench on a day


def test_ordinary_orders_leave_the_reserve_to_rushes_and_redos():
    # common practice, no source: 10 to 15 % are kept free for redo and rush
    bench = BenchDay(minutes=360, skilled=360, fill_percent=85)
    assert (306, 360) == (bench.free(), bench.free(reserve=True))
    full = BenchDay(360, 360, 85, BookedAtBench().plus(306))
    assert (0, 54) == (full.free(), full.free(reserve=True))


def test_a_rush_that_took_of_the_reserve_leaves_ordinary_orders_their_share():
    bench = BenchDay(100, 100, 85, BookedAtBench().plus(15, reserve=True))
    assert (85, 85) == (bench.free(), bench.free(reserve=True))
    assert 80 == BenchDay(100, 100, 85, BookedAtBench().plus(20, reserve=True)).free()


def test_hard_work_takes_skilled_minutes_and_plain_work_takes_any():
    bench = BenchDay(minutes=360, skilled=120, fill_percent=100)
    assert (360, 120) == (bench.free(), bench.free(hard=True))
    after_hard = BenchDay(360, 120, 100, BookedAtBench().plus(100, hard=100))
    assert (260, 20) == (after_hard.free(), after_hard.free(hard=True))
    # Plain work that took more than the unskilled minutes has taken of the skilled ones.
    assert 60 == BenchDay(360, 120, 100, BookedAtBench().plus(300)).free(hard=True)


def test_a_bench_cut_below_its_promises_has_nothing_free_and_says_how_much_it_is_short():
    cut = BenchDay(minutes=30, skilled=30, held=BookedAtBench(45))
    assert (0, 15) == (cut.free(), cut.short)
    without_its_coat_maker = BenchDay(minutes=300, skilled=0, held=BookedAtBench(200, 60))
    assert (0, 60) == (without_its_coat_maker.free(hard=True), without_its_coat_maker.short)


held = st.builds(BookedAtBench, st.integers(0, 200), st.integers(0, 100), st.integers(0, 100), st.integers(0, 50))


minutes_up_to_300, percents = st.integers(0, 300), st.integers(1, 100)


@given(minutes_up_to_300, st.integers(0, 100), percents, held, st.booleans(), st.booleans(), st.integers(1, 50))
def test_what_is_free_once_taken_is_free_no_more(minutes, skilled, fill, already, hard, reserve, part):
    bench = BenchDay(minutes, min(skilled, minutes), fill, already)
    count = min(part, bench.free(hard=hard, reserve=reserve))
    taken = already.plus(count, hard=count if hard else 0, reserve=reserve)
    after = BenchDay(bench.minutes, bench.skilled, fill, taken)
    assert after.short <= max(0, bench.short)
    for any_hard in (False, True):
        for any_reserve in (False, True):
            before = bench.free(hard=any_hard, reserve=any_reserve)
            assert 0 <= after.free(hard=any_hard, reserve=any_reserve) <= before


# ---------------------------------------------------------------- the week


def test_the_usual_week_promises_85_percent_and_rests_on_sunday():
    # common practice, no source: 360 usable minutes a tailor-day, dates move out at 85 %.
    calendar = Calendar(Week())
    free = {bench: each.free() for bench, each in calendar.day(SATURDAY).benches.items()}
    assert {"trousers": 306, "jackets": 306, "finishing": 153} == free
    assert dict.fromkeys(BENCHES, 0) == minutes_on(calendar, SUNDAY)
    assert (True, False) == (calendar.day(SUNDAY).is_closed, calendar.day(SATURDAY).is_closed)


def test_all_minutes_are_skilled_unless_the_shop_says_otherwise():
    # Monday has no coat maker: plain work only at the jackets bench.
    calendar = Calendar(Week(skilled=({"jackets": 0}, *({},) * 6)))
    monday, tuesday = calendar.day(MONDAY), calendar.day(TUESDAY)
    assert (0, 306) == (monday.bench("jackets").free(hard=True), tuesday.bench("jackets").free(hard=True))
    assert (306, 306) == (monday.bench("jackets").free(), monday.bench("trousers").free(hard=True))


def test_a_closed_day_and_a_public_holiday_have_no_minutes_unless_the_shop_set_some():
    calendar = Calendar(
        Week(closed=frozenset({MONDAY})),
        kept={WEDNESDAY: KeptDay({"jackets": 100}, {}, "open half the day")},
        holidays={TUESDAY: "Founders' Day", WEDNESDAY: "Founders' Day"},
    )
    assert dict.fromkeys(BENCHES, 0) == minutes_on(calendar, MONDAY) == minutes_on(calendar, TUESDAY)
    assert ("closed", "Founders' Day") == (calendar.day(MONDAY).reason, calendar.day(TUESDAY).reason)
    assert {"trousers": 0, "jackets": 100, "finishing": 0} == minutes_on(calendar, WEDNESDAY)
    assert "open half the day" == calendar.day(WEDNESDAY).reason


def test_what_the_shop_set_for_a_bench_leaves_the_others_as_the_week_has_them():
    calendar = Calendar(Week(), kept={MONDAY: KeptDay({"jackets": 60}, {"jackets": 0}, "the coat maker is ill")})
    assert {"trousers": 360, "jackets": 60, "finishing": 180} == minutes_on(calendar, MONDAY)
    assert 0 == calendar.day(MONDAY).bench("jackets").free(hard=True)


def test_a_day_has_no_more_skilled_minutes_than_minutes():
    with pytest.raises(Refusal) as caught:
        KeptDay({"jackets": 60}, {"jackets": 61})
    assert ("day_wrong", {"bench": "jackets", "minutes": 60, "skilled": 61}) == (caught.value.code, caught.value.facts)


def test_work_starts_on_the_day_after_the_order_and_a_rush_on_the_same_unless_the_week_says_otherwise():
    # common practice, no source: a rush hem takes 0 to 1 day
    assert (TUESDAY, MONDAY) == (Week().first_day(MONDAY), Week().first_day(MONDAY, rush=True))
    assert MONDAY == Week(start_after_days=0).first_day(MONDAY)
    assert TUESDAY == Week(rush_start_after_days=1).first_day(MONDAY, rush=True)


def test_a_calendar_hands_out_its_days_to_the_end_of_the_horizon():
    calendar = Calendar(Week(horizon_days=3), held={TUESDAY: {"jackets": BookedAtBench(300)}})
    days = list(calendar.days(TUESDAY))
    assert [TUESDAY + timedelta(days=n) for n in range(3)] == [day.date for day in days]
    assert [6, 306, 306] == [day.bench("jackets").free() for day in days]


@pytest.mark.parametrize(
    "part",
    [
        {"fill_percent": 0},
        {"fill_percent": 101},
        {"start_after_days": -1},
        {"rush_start_after_days": 2},
        {"rush_start_after_days": -1},
        {"horizon_days": 0},
        {"horizon_days": 367},
        {"minutes": ()},
        {"minutes": ({"jackets": -1},) * 7},
        {"skilled": ({"jackets": 361},) * 7},
        {"skilled": ({"jackets": -1},) * 7},
        {"skilled": ({},) * 6},
        {"subdivision": "BY"},
    ],
    ids=str,
)
def test_a_week_that_cannot_be_is_refused(part):
    with pytest.raises(Refusal) as caught:
        Week(**part)
    assert ("week_wrong", tuple(part)) == (caught.value.code, caught.value.at)


def test_the_weeks_figures_have_their_sources():
    figures = tables.document("workroom/workroom")
    assert all(row["source"] for row in figures["weekdays"])
    assert all(figures[name] for name in ("fill_source", "start_source", "rush_start_source"))
    assert figures["horizon_source"]

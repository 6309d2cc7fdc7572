"""Counts that workers share: as the library's own count, and no larger however many addresses there are."""

import multiprocessing

import pytest
from limits import RateLimitItemPerMinute
from limits.strategies import SlidingWindowCounterRateLimiter

from service.http.callers.count_table import CountTable

TEN = RateLimitItemPerMinute(10)


class Clock:
    """Seconds that pass where a test says so."""

    def __init__(self):
        self.seconds = 1_800_000_000.0

    def __call__(self):
        return self.seconds


def limiter(folder=None, clock=None, **more):
    return SlidingWindowCounterRateLimiter(CountTable(folder, clock or Clock(), **more))


def asked(counter, whose, times=1, limit=TEN):
    return [counter.hit(limit, whose) for _ in range(times)]


def ask_ten_times(folder):
    return sum(asked(limiter(folder), "till", 10))


@pytest.fixture(params=["of one process", "shared"])
def counter(request, tmp_path):
    return limiter(tmp_path if request.param == "shared" else None)


def test_so_many_are_allowed_and_no_more(counter):
    assert [True] * 10 + [False] * 3 == asked(counter, "till", 13)


def test_counts_of_two_are_apart(counter):
    asked(counter, "till", 10)
    assert [True] == asked(counter, "other till")


def test_what_is_left_is_told(counter):
    assert 10 == counter.get_window_stats(TEN, "till").remaining
    asked(counter, "till", 4)
    assert 6 == counter.get_window_stats(TEN, "till").remaining


def test_a_count_is_cleared_alone(counter):
    asked(counter, "till", 10)
    asked(counter, "other till", 10)
    counter.clear(TEN, "till")
    assert ([True], [False]) == (asked(counter, "till"), asked(counter, "other till"))


def test_processes_count_together(tmp_path):
    with multiprocessing.get_context("spawn").Pool(3) as pool:
        assert 10 == sum(pool.map(ask_ten_times, [tmp_path] * 3))


def test_the_table_never_grows_and_who_asked_often_is_remembered_among_many(tmp_path):
    counter = limiter(tmp_path, buckets=16)
    before = (tmp_path / "requests").stat().st_size
    asked(counter, "till", 10)
    for stranger in range(20_000):
        asked(counter, f"stranger {stranger}")
    assert (before, counter.storage.size_bytes) == ((tmp_path / "requests").stat().st_size, before)
    assert [False] == asked(counter, "till")


def test_a_minute_passes_into_the_next_bit_by_bit():
    clock = Clock()
    counter = limiter(clock=clock)
    assert [True] * 10 + [False] == asked(counter, "till", 11)
    clock.seconds += 60
    assert [False] == asked(counter, "till")
    clock.seconds += 30
    assert [True] * 5 + [False] == asked(counter, "till", 6)
    clock.seconds += 90
    assert [True] * 10 + [False] == asked(counter, "till", 11)


def test_a_clock_that_is_set_back_locks_nobody_out():
    clock = Clock()
    counter = limiter(clock=clock)
    asked(counter, "till", 10)
    clock.seconds -= 86_400
    assert [True] == asked(counter, "till")


def test_where_no_file_can_be_had_each_counts_for_itself(tmp_path, caplog):
    (tmp_path / "file").touch()
    counter = limiter(tmp_path / "file")
    assert "each worker for itself" in caplog.text
    assert [True] * 10 + [False] == asked(counter, "till", 11)

"""The workroom's calendar: benches, their minutes day by day, and what of them is booked.

Pure arithmetic on the days that it is handed; whoever keeps the days keeps two orders from the same minute.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from typing import NamedTuple

from service.tailoring.garments.alterations import BENCHES, Bench
from service.tailoring.refusals import Refusal
from service.tailoring.workroom.opening import LeftOfDay
from service.tailoring.workroom.weeks import Week

FINISHING: Bench = "finishing"
SEWING: tuple[Bench, ...] = tuple(bench for bench in BENCHES if bench != FINISHING)
# So far ahead a day is looked for on which the shop is open.
_OPEN_WITHIN_DAYS = 60


_Minutes = Mapping[Bench, int]


@dataclass(frozen=True, slots=True)
class BookedAtBench:
    """Minutes booked at a bench on a day: all, those of hard work, and of either those of rushes and redos."""

    minutes: int = 0
    hard: int = 0
    reserve: int = 0
    reserve_hard: int = 0

    def plus(self, minutes: int, *, hard: int = 0, reserve: bool = False) -> BookedAtBench:
        """With more booked; `hard` of the minutes are of hard work."""
        kept_back, kept_back_hard = (minutes, hard) if reserve else (0, 0)
        return BookedAtBench(
            self.minutes + minutes, self.hard + hard, self.reserve + kept_back, self.reserve_hard + kept_back_hard
        )


@dataclass(frozen=True, slots=True)
class BenchDay:
    """A bench on one day: usable minutes, those of them for hard work, and what is booked.

    Ordinary orders together get `fill_percent` of either; the rest is the reserve, for rushes and redos.
    """

    minutes: int = 0
    skilled: int = 0
    fill_percent: int = 100
    held: BookedAtBench = BookedAtBench()

    def free(self, *, hard: bool = False, reserve: bool = False) -> int:
        """What may still be booked; none where the shop cut a day's minutes below what was promised."""
        held = self.held
        left = [self.minutes - held.minutes]
        if hard:
            left.append(self.skilled - held.hard)
        if not reserve:
            left.append(self.minutes * self.fill_percent // 100 - (held.minutes - held.reserve))
            if hard:
                left.append(self.skilled * self.fill_percent // 100 - (held.hard - held.reserve_hard))
        return max(0, min(left))

    @property
    def free_for_orders(self) -> int:
        """What ordinary orders may still book."""
        return self.free()

    @property
    def free_for_rush(self) -> int:
        """What rushes and redos may still book."""
        return self.free(reserve=True)

    @property
    def short(self) -> int:
        """Minutes that are booked and not there."""
        return max(0, self.held.minutes - self.minutes, self.held.hard - self.skilled)


_NOTHING = BenchDay()


class BenchOnDay(NamedTuple):
    """A bench, and its minutes on one day."""

    bench: Bench
    day: BenchDay


@dataclass(frozen=True, slots=True)
class Day:
    """A day of the workroom, bench by bench; `reason` says why it is not as other days of its name.

    `left` is how much of it is left where it has begun, `is_open` whether customers are served on it.
    """

    date: date
    benches: Mapping[Bench, BenchDay]
    reason: str = ""
    left: LeftOfDay | None = None
    is_open: bool = True

    def bench(self, bench: Bench) -> BenchDay:
        """A bench of the day; without minutes where nothing is said of it."""
        return self.benches.get(bench, _NOTHING)

    @property
    def bench_days(self) -> tuple[BenchOnDay, ...]:
        """Its benches by name."""
        return tuple(BenchOnDay(bench, day) for bench, day in self.benches.items())

    @property
    def is_closed(self) -> bool:
        """Whether no bench works."""
        return not any(bench.minutes for bench in self.benches.values())


@dataclass(frozen=True, slots=True)
class KeptDay:
    """Minutes that the shop set for a date, over its week and over closures, at the benches that it named.

    Raises Refusal `day_wrong` where more minutes are skilled than there are.
    """

    minutes: _Minutes
    skilled: _Minutes
    reason: str = ""

    def __post_init__(self) -> None:
        for bench, minutes in self.minutes.items():
            if not 0 <= self.skilled.get(bench, minutes) <= minutes:
                raise Refusal("day_wrong", (), bench=bench, minutes=minutes, skilled=self.skilled[bench])


@dataclass(frozen=True, slots=True)
class Calendar:
    """A shop's days: its week, what it set for single days, public holidays with their names, and what is booked.

    `asked_at` is the shop's local time; None where the hour does not matter.
    """

    week: Week
    kept: Mapping[date, KeptDay] = field(default_factory=dict)
    holidays: Mapping[date, str] = field(default_factory=dict)
    held: Mapping[date, Mapping[Bench, BookedAtBench]] = field(default_factory=dict)
    asked_at: datetime | None = None

    def first_day(self, placed_on: date, *, rush: bool = False) -> date:
        """As the week's, and after the cut-off not the day itself."""
        first, at = self.week.first_day(placed_on, rush=rush), self.asked_at
        if at is not None and at.date() == placed_on and self.week.opening.is_past_cut_off(at.time()):
            return max(first, placed_on + timedelta(days=1))
        return first

    def is_open(self, on: date) -> bool:
        """Whether customers are served on a day; where no hours were said, on every day."""
        if not self.week.opening.is_said:
            return True
        is_shut = (on in self.week.closed or on in self.holidays) and on not in self.kept
        return not is_shut and self.week.opening.on(on.weekday()) is not None

    def hand_over_on(self, done: date) -> date:
        """The day on which what is done on a day may be collected: that one, or the next on which the shop is open."""
        ahead = (done + timedelta(days=n) for n in range(_OPEN_WITHIN_DAYS))
        return next((day for day in ahead if self.is_open(day)), done)

    def day(self, on: date) -> Day:
        """The day `on`: as the shop set it for the date, else closed, else as the week has it."""
        week, kept = self.week, self.kept.get(on)
        is_shut = on in self.week.closed or on in self.holidays
        minutes = {} if is_shut else week.minutes[on.weekday()]
        skilled = week.skilled[on.weekday()]
        benches = {}
        for bench in BENCHES:
            usable = minutes.get(bench, 0)
            able = min(usable, skilled.get(bench, usable))
            if kept is not None and bench in kept.minutes:
                usable = kept.minutes[bench]
                able = kept.skilled.get(bench, usable)
            benches[bench] = BenchDay(
                usable, able, week.fill_percent, self.held.get(on, {}).get(bench, BookedAtBench())
            )
        said = kept.reason if kept is not None else self.holidays.get(on, "closed" if is_shut else "")
        return Day(on, benches, said, is_open=self.is_open(on))

    def days(self, first: date) -> Iterator[Day]:
        """The days to look at from `first` on, to the end of the horizon; of today what is left of it."""
        at = self.asked_at
        for ahead in range(self.week.horizon_days):
            day = self.day(first + timedelta(days=ahead))
            if at is not None and at.date() == day.date:
                day = replace(
                    day, left=self.week.opening.left(at)._replace(is_all_ahead=not self.week.start_after_days)
                )
            yield day

"""The workroom's calendar: benches, their minutes day by day, and what of them is booked.

Pure arithmetic on the days that it is handed; whoever keeps the days keeps two orders from the same minute.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cache
from typing import Any, NamedTuple

from service.tailoring import tables
from service.tailoring.garments.alterations import BENCHES, Bench
from service.tailoring.refusals import Refusal

FINISHING: Bench = "finishing"
SEWING: tuple[Bench, ...] = tuple(bench for bench in BENCHES if bench != FINISHING)
# No day is booked further ahead than this, whatever horizon a shop sets.
HORIZON_MOST_DAYS = 366

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")

_Minutes = Mapping[Bench, int]


class BenchMinutes(NamedTuple):
    """A bench's usable minutes on a day, and those of them that are for hard work."""

    bench: Bench
    minutes: int
    skilled_minutes: int


class Weekday(NamedTuple):
    """A day of the week and the benches that work on it."""

    weekday: str
    benches: tuple[BenchMinutes, ...]


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
    """A day of the workroom, bench by bench; `reason` says why it is not as other days of its name."""

    date: date
    benches: Mapping[Bench, BenchDay]
    reason: str = ""

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


@cache
def _usual_minutes() -> tuple[_Minutes, ...]:
    weekdays = tables.document("workroom/workroom")["weekdays"]
    return tuple({bench: int(row[bench]) for bench in BENCHES} for row in weekdays)


def figure(name: str) -> int:
    """A figure of the table `workroom`."""
    return int(_figures()[name])


@cache
def _figures() -> dict[str, Any]:
    return tables.document("workroom/workroom")


@dataclass(frozen=True, slots=True)
class Week:
    """A shop's week: usable minutes by weekday (Monday first) and bench, and the days it is closed.

    `skilled` of the minutes are for hard work; of a bench that it does not name, all. `fill_percent` of the usable
    minutes are promised to ordinary orders. `start_after_days` is 1 unless the shop says otherwise: what is marked
    today is still to be counted in, looked over for inlay and tagged, and today's bench is at work (common practice,
    no source). `country` and `subdivision` say whose public holidays it keeps. Raises Refusal `week_wrong`,
    pointing at the part.
    """

    minutes: tuple[_Minutes, ...] = field(default_factory=_usual_minutes)
    fill_percent: int = field(default_factory=lambda: figure("fill_percent"))
    start_after_days: int = field(default_factory=lambda: figure("start_after_days"))
    horizon_days: int = field(default_factory=lambda: figure("horizon_days"))
    closed: frozenset[date] = frozenset()
    skilled: tuple[_Minutes, ...] = ({},) * 7
    rush_start_after_days: int = field(default_factory=lambda: figure("rush_start_after_days"))
    country: str | None = None
    subdivision: str | None = None

    def __post_init__(self) -> None:
        whole = len(self.minutes) == 7 and all(m >= 0 for day in self.minutes for m in day.values())  # noqa: PLR2004
        right = {
            "minutes": whole,
            "skilled": whole and len(self.skilled) == 7 and self._has_its_skilled_minutes(),  # noqa: PLR2004
            "fill_percent": 0 < self.fill_percent <= 100,  # noqa: PLR2004
            "start_after_days": self.start_after_days >= 0,
            "rush_start_after_days": 0 <= self.rush_start_after_days <= self.start_after_days,
            "horizon_days": 0 < self.horizon_days <= HORIZON_MOST_DAYS,
            "subdivision": self.subdivision is None or self.country is not None,
        }
        for part, is_right in right.items():
            if not is_right:
                raise Refusal("week_wrong", (part,), part=part)

    @property
    def weekdays(self) -> tuple[Weekday, ...]:
        """Every day of the week by its name, Monday first."""
        days = zip(WEEKDAYS, self.minutes, self.skilled, strict=True)
        return tuple(
            Weekday(name, tuple(BenchMinutes(bench, count, skilled.get(bench, count)) for bench, count in day.items()))
            for name, day, skilled in days
        )

    @property
    def closed_days(self) -> tuple[date, ...]:
        """The days that it is closed, in their order."""
        return tuple(sorted(self.closed))

    def _has_its_skilled_minutes(self) -> bool:
        both = zip(self.minutes, self.skilled, strict=True)
        return all(0 <= skilled <= day.get(bench, 0) for day, named in both for bench, skilled in named.items())

    def first_day(self, placed_on: date, *, rush: bool = False) -> date:
        """The first day whose minutes an order placed on `placed_on`, a local day of the shop, may take."""
        return placed_on + timedelta(days=self.rush_start_after_days if rush else self.start_after_days)


@dataclass(frozen=True, slots=True)
class Calendar:
    """A shop's days: its week, what it set for single days, public holidays with their names, and what is booked."""

    week: Week
    kept: Mapping[date, KeptDay] = field(default_factory=dict)
    holidays: Mapping[date, str] = field(default_factory=dict)
    held: Mapping[date, Mapping[Bench, BookedAtBench]] = field(default_factory=dict)

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
        return Day(on, benches, said)

    def days(self, first: date) -> Iterator[Day]:
        """The days to look at from `first` on, to the end of the horizon."""
        for ahead in range(self.week.horizon_days):
            yield self.day(first + timedelta(days=ahead))

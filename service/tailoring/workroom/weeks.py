"""A shop's week: the usual minutes of its benches, when it is open to customers, and how its days are promised."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, time, timedelta
from functools import cache
from typing import Any, NamedTuple

from service.tailoring import tables
from service.tailoring.garments.alterations import BENCHES, Bench
from service.tailoring.orders.waiting import WaitingRule
from service.tailoring.refusals import Refusal
from service.tailoring.workroom.opening import Opening

# No day is booked further ahead than this, whatever horizon a shop sets.
HORIZON_MOST_DAYS = 366
FITTING_AFTER_MOST = 30

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


class OpenDay(NamedTuple):
    """A day of the week on which customers are served, and its hours."""

    weekday: str
    opens: time
    closes: time
    collect_from: time | None


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
    """A shop's week: usable minutes by weekday (Monday first) and bench, when it is open, and the days it is closed.

    `skilled` of the minutes are for hard work; of a bench that it does not name, all. `fill_percent` of the usable
    minutes are promised to ordinary orders. `start_after_days` is 1 unless the shop says otherwise: what is marked
    today is still to be counted in, looked over for inlay and tagged, and today's bench is at work (common practice,
    no source). What is basted is fitted `fitting_after_days` after it, 0: no room is left for it. `country` and
    `subdivision` say whose public holidays it keeps. Raises Refusal `week_wrong`, pointing at the part.
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
    opening: Opening = Opening()  # noqa: RUF009  frozen
    fitting_after_days: int = field(default_factory=lambda: figure("fitting_after_days"))
    waiting: WaitingRule = WaitingRule()  # noqa: RUF009  frozen

    def __post_init__(self) -> None:
        whole = len(self.minutes) == 7 and all(m >= 0 for day in self.minutes for m in day.values())  # noqa: PLR2004
        right = {
            "minutes": whole,
            "skilled": whole and len(self.skilled) == 7 and self._has_its_skilled_minutes(),  # noqa: PLR2004
            "fill_percent": 0 < self.fill_percent <= 100,  # noqa: PLR2004
            "start_after_days": self.start_after_days >= 0,
            "rush_start_after_days": 0 <= self.rush_start_after_days <= self.start_after_days,
            "horizon_days": 0 < self.horizon_days <= HORIZON_MOST_DAYS,
            "fitting_after_days": 0 <= self.fitting_after_days <= FITTING_AFTER_MOST,
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
    def open_days(self) -> tuple[OpenDay, ...]:
        """The days of the week on which customers are served, with their hours."""
        days = zip(WEEKDAYS, self.opening.days, strict=False)
        return tuple(OpenDay(name, *hours) for name, hours in days if hours is not None)

    @property
    def cut_off(self) -> time | None:
        """From when on an order takes no minutes of the day itself."""
        return self.opening.cut_off

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

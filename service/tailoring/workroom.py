"""The workroom's calendar: benches, their minutes day by day, and the day that an order can be promised for.

Pure arithmetic on the days that it is handed; whoever keeps the days keeps two orders from the same minute.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cache
from typing import Protocol

from service.tailoring import tables
from service.tailoring.alterations import BENCHES, Bench, alteration
from service.tailoring.refusals import Refusal

FINISHING: Bench = "finishing"
SEWING: tuple[Bench, ...] = tuple(bench for bench in BENCHES if bench != FINISHING)

_Minutes = Mapping[Bench, int]


class Worked(Protocol):
    """What the calendar must know of an order's line: which piece, what is done to it, and for how long."""

    @property
    def piece(self) -> int: ...

    @property
    def alteration(self) -> str: ...

    @property
    def minutes(self) -> int: ...


@dataclass(frozen=True, slots=True)
class Work:
    """Minutes of one stage of an order at one bench."""

    bench: Bench
    minutes: int
    stage: int


@dataclass(frozen=True, slots=True)
class Day:
    """A day of the workroom: minutes that may be promised at each bench, and minutes already promised."""

    date: date
    minutes: _Minutes
    booked: _Minutes = field(default_factory=dict)

    def free_minutes(self, bench: Bench) -> int:
        """What is left at a bench; none where the shop cut a day's minutes below what was promised."""
        return max(0, self.minutes.get(bench, 0) - self.booked.get(bench, 0))


@dataclass(frozen=True, slots=True)
class Taken:
    """Minutes that a booking takes at one bench on one day; at least one."""

    date: date
    bench: Bench
    minutes: int


@dataclass(frozen=True, slots=True)
class Booking:
    """The minutes that an order takes, in date order, and the day on which its finishing ends."""

    taken: tuple[Taken, ...]
    promised_for: date


@cache
def _usual_minutes() -> tuple[_Minutes, ...]:
    weekdays = tables.document("workroom")["weekdays"]
    return tuple({bench: int(row[bench]) for bench in BENCHES} for row in weekdays)


def _usual(name: str) -> int:
    return int(tables.document("workroom")[name])


@dataclass(frozen=True, slots=True)
class Week:
    """A shop's week: usable minutes by weekday (Monday first) and bench, and the days it is closed.

    `fill_percent` of the usable minutes are promised. `start_after_days` is 1 unless the shop says otherwise:
    what is marked today is still to be counted in, looked over for inlay and tagged, and today's bench is at
    work (common practice, no source). Raises Refusal `week_wrong`, pointing at the part.
    """

    minutes: tuple[_Minutes, ...] = field(default_factory=_usual_minutes)
    fill_percent: int = field(default_factory=lambda: _usual("fill_percent"))
    start_after_days: int = field(default_factory=lambda: _usual("start_after_days"))
    horizon_days: int = field(default_factory=lambda: _usual("horizon_days"))
    closed: frozenset[date] = frozenset()

    def __post_init__(self) -> None:
        right = {
            "minutes": len(self.minutes) == 7 and all(m >= 0 for day in self.minutes for m in day.values()),  # noqa: PLR2004
            "fill_percent": 0 < self.fill_percent <= 100,  # noqa: PLR2004
            "start_after_days": self.start_after_days >= 0,
            "horizon_days": self.horizon_days > 0,
        }
        for part, is_right in right.items():
            if not is_right:
                raise Refusal("week_wrong", (part,), part=part)

    def first_day(self, placed_on: date) -> date:
        """The first day whose minutes an order placed on `placed_on`, a local day of the shop, may take."""
        return placed_on + timedelta(days=self.start_after_days)

    def day(self, on: date, booked: _Minutes, kept: _Minutes | None = None) -> Day:
        """The day `on`; `kept` are usable minutes that the shop set for this very date, even a closed one."""
        usable = kept
        if usable is None:
            usable = {} if on in self.closed else self.minutes[on.weekday()]
        return Day(on, {bench: usable.get(bench, 0) * self.fill_percent // 100 for bench in BENCHES}, booked)

    def days(self, placed_on: date, booked: Mapping[date, _Minutes], kept: Mapping[date, _Minutes]) -> Iterator[Day]:
        """The days to look at for an order placed on `placed_on`, to the end of the horizon."""
        first = self.first_day(placed_on)
        for ahead in range(self.horizon_days):
            on = first + timedelta(days=ahead)
            yield self.day(on, booked.get(on, {}), kept.get(on))


def work_of(lines: Sequence[Worked]) -> tuple[Work, ...]:
    """The minutes of an order by bench and stage, in order of stage.

    Every piece that is worked on is pressed before it is handed over (common practice, no source), for the catalogue's
    minutes and at no charge, unless its press is a line of its own.
    """
    minutes: dict[tuple[int, Bench], int] = {}

    def add(code: str, count: int) -> None:
        doing = alteration(code)
        minutes[doing.stage, doing.bench] = minutes.get((doing.stage, doing.bench), 0) + count

    for line in lines:
        add(line.alteration, line.minutes)
    pressed_by_line = {(line.piece, line.alteration) for line in lines}
    for piece, garment in {line.piece: alteration(line.alteration).garment for line in lines}.items():
        press = presses()[garment]
        if (piece, press) not in pressed_by_line:
            add(press, alteration(press).minutes)
    return tuple(Work(bench, count, stage) for (stage, bench), count in sorted(minutes.items()))


def book(work: Sequence[Work], days: Iterable[Day], needed_by: date | None = None) -> Booking:
    """The earliest minutes for `work` on `days`, which come in date order.

    The sewing benches run side by side and fill what is free from the first day on; long work is split over
    days. Finishing takes minutes from the day on which the last seam is sewn, and the order is promised for
    the day on which finishing ends. Raises Refusal `no_free_day` when the days run out, `needed_by_too_early`
    when `needed_by` is before that day (with the `earliest`).
    """
    left = dict.fromkeys(BENCHES, 0)
    for part in work:
        left[part.bench] += part.minutes
    taken: list[Taken] = []
    last: date | None = None
    for day in days:
        if last is not None and day.date <= last:
            raise ValueError("days must come in date order")
        last = day.date
        taken += _take(day, SEWING, left)
        if not any(left[bench] for bench in SEWING):
            taken += _take(day, (FINISHING,), left)
        if not any(left.values()):
            _check_needed_by(day.date, needed_by)
            return Booking(tuple(taken), day.date)
    benches = tuple(bench for bench in BENCHES if left[bench])
    raise Refusal("no_free_day", (), benches=benches, until=last.isoformat() if last else None)


@cache
def presses() -> dict[str, str]:
    """By garment, the catalogue's alteration that presses it."""
    return {row["garment"]: row["alteration"] for row in tables.rows("pressing")}


def _take(day: Day, benches: tuple[Bench, ...], left: dict[Bench, int]) -> Iterator[Taken]:
    for bench in benches:
        count = min(left[bench], day.free_minutes(bench))
        if count:
            left[bench] -= count
            yield Taken(day.date, bench, count)


def _check_needed_by(earliest: date, needed_by: date | None) -> None:
    if needed_by is not None and needed_by < earliest:
        raise Refusal(
            "needed_by_too_early",
            ("needed_by",),
            earliest=earliest.isoformat(),
            needed_by=needed_by.isoformat(),
        )

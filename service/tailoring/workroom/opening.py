"""When a shop is open to its customers, from which hour they may collect, and how much of a day is left to work in."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time
from typing import NamedTuple

from service.tailoring.refusals import Refusal

WEEK_DAYS = 7
_DAY_MINUTES = 24 * 60


class OpenHours(NamedTuple):
    """A weekday's hours: from when to when it is open, and from when what is ready on the day may be collected."""

    opens: time
    closes: time
    collect_from: time | None = None


class LeftOfDay(NamedTuple):
    """The minutes until the day ends at the benches, of how many; `of` is None where the day's hours were not said.

    `is_all_ahead`: all that is booked on it may have been booked on it, and is still to be done.
    """

    minutes: int
    of: int | None
    is_all_ahead: bool = False

    def share(self, minutes: int) -> int:
        """What of a bench's minutes may still be worked."""
        return minutes if not self.of else minutes * self.minutes // self.of


@dataclass(frozen=True, slots=True)
class Opening:
    """A shop's opening hours by weekday, Monday first (None: closed to customers), and the hour of its cut-off.

    Without any hours nothing is known of when it is open. What is placed at the `cut_off` or after it takes no minutes
    of the day itself. Raises Refusal `week_wrong`, pointing at the part.
    """

    days: tuple[OpenHours | None, ...] = ()
    cut_off: time | None = None

    def __post_init__(self) -> None:
        wrong = len(self.days) not in {0, WEEK_DAYS} or any(day and not _is_right(day) for day in self.days)
        if wrong:
            raise Refusal("week_wrong", ("opening",), part="opening")

    @property
    def is_said(self) -> bool:
        """Whether the shop said when it is open at all."""
        return any(self.days)

    def on(self, weekday: int) -> OpenHours | None:
        """The hours of a weekday, Monday 0; None where it is closed, or nobody said."""
        return self.days[weekday] if self.days else None

    def is_past_cut_off(self, at: time) -> bool:
        """Whether it is too late for the day's own minutes."""
        return self.cut_off is not None and at >= self.cut_off

    def hour_of_collection(self, on: date, usually_from: str = "") -> str:
        """From when on a day what is promised for it may be collected, in words; "" where nobody said.

        `usually_from` is what the shop says of every day, as 16:00; where it is not within the day's hours, they lead.
        What is finished on the day itself is there at its closing at the latest.
        """
        begins, closes = self.hours_of_collection(on, usually_from)
        if begins:
            return f"from {begins} to {closes}" if closes else f"from {begins}"
        return f"by {closes}" if closes else ""

    def hours_of_collection(self, on: date, usually_from: str = "") -> tuple[str, str]:
        """The same as two hours, as 16:00: from when and until when; "" for what nobody said."""
        hours = self.on(on.weekday())
        if hours is None:
            return usually_from, ""
        usual = time.fromisoformat(usually_from) if usually_from else None
        begins = hours.collect_from or (usual if usual and hours.opens <= usual < hours.closes else None)
        return f"{begins:%H:%M}" if begins else "", f"{hours.closes:%H:%M}"

    def left(self, at: datetime) -> LeftOfDay:
        """How much of a local day is left at `at`: until it closes, or until midnight where that was not said."""
        hours = self.on(at.weekday())
        if hours is None:
            return LeftOfDay(_DAY_MINUTES - _minutes(at.time()), None)
        whole = _minutes(hours.closes) - _minutes(hours.opens)
        return LeftOfDay(max(0, min(whole, _minutes(hours.closes) - _minutes(at.time()))), whole)


def _minutes(at: time) -> int:
    return at.hour * 60 + at.minute


def _is_right(day: OpenHours) -> bool:
    return day.opens < day.closes and (day.collect_from is None or day.opens <= day.collect_from < day.closes)

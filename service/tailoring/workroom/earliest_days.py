"""The earliest day of work that is only thought of: nothing is booked for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from service.tailoring.fitting.options import DayOf
from service.tailoring.garments.charts import GARMENTS
from service.tailoring.refusals import Refusal
from service.tailoring.sizing.plans import PlannedAlteration
from service.tailoring.workroom.bookings import promise, work_of
from service.tailoring.workroom.calendar import Calendar


@dataclass(frozen=True, slots=True)
class _Line:
    piece: int
    alteration: str
    minutes: int


def day_of(calendar: Calendar, today: date) -> DayOf:
    """When planned alterations could be ready as the calendar stands today; today where there are none.

    A garment is a piece, and is pressed as in an order.
    """

    def earliest(work: Sequence[PlannedAlteration]) -> date | None:
        if not work:
            return today
        lines = [_Line(GARMENTS.index(each.garment) + 1, each.code, each.minutes) for each in work]
        try:
            return promise(work_of(lines), calendar, today).promised_for
        except Refusal:
            return None

    return earliest

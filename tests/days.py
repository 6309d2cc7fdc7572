"""The days on which the tests play, and a clock that stands still until it is moved on."""

from datetime import UTC, date, datetime, timedelta, timezone

MONDAY = date(2026, 3, 2)
TUESDAY = date(2026, 3, 3)
WEDNESDAY = date(2026, 3, 4)
THURSDAY = date(2026, 3, 5)
OPENING = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
SUMMER_IN_DUBLIN = datetime(2026, 6, 1, 12, 0, 0, 123456, tzinfo=timezone(timedelta(hours=1)))


class Clock:
    """Says when it is; starts on Monday at opening."""

    def __init__(self):
        self.time = OPENING

    def now(self):
        return self.time

    def advance(self, **by):
        """Move on, as timedelta takes it."""
        self.time += timedelta(**by)

    def start_again(self):
        self.time = OPENING

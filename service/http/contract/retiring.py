"""How an operation is retired: its answers say so long before (RFC 9745), and until when it is there (RFC 8594)."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Any

from flask import Response, make_response
from werkzeug.http import http_date

# openapi/README.md promises it.
NOTICE_LEAST = timedelta(days=365)
HEADERS = {
    "Deprecation": "since when it is no longer to be used, as @ and seconds since 1970 (RFC 9745)",
    "Sunset": "the last moment at which it is there (RFC 8594)",
}


@dataclass(frozen=True, slots=True)
class Retiring:
    """Since when an operation is not to be used any more, until when it is there, and what takes its place.

    Raises ValueError where the notice is shorter than a year.
    """

    since: date
    until: date
    instead: str

    def __post_init__(self) -> None:
        if self.until - self.since < NOTICE_LEAST:
            raise ValueError("an operation is kept for a year after it is said that it goes")

    @property
    def headers(self) -> dict[str, str]:
        """What its answers say."""
        return {
            "Deprecation": f"@{_midnight(self.since).timestamp():.0f}",
            "Sunset": http_date(_midnight(self.until)),
        }

    @property
    def words(self) -> str:
        """What its description says besides."""
        return f" It goes on {self.until.isoformat()}: use {self.instead} instead."

    def told_by(self, run: Any) -> Any:  # noqa: ANN401  a view's own
        """The view, its answers with the headers."""

        @functools.wraps(run)
        def answer(*given: Any, **path: Any) -> Response:  # noqa: ANN401
            response = make_response(run(*given, **path))
            response.headers.update(self.headers)
            return response

        return answer


def _midnight(day: date) -> datetime:
    return datetime(day.year, day.month, day.day, tzinfo=UTC)

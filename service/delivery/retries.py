"""When a delivery that failed is tried again: a table, the same for everybody, without chance.

A relay has so many lanes for webhooks that failed, so that receivers that fell together are not asked all at once.
"""

from __future__ import annotations

import csv
import io
from datetime import timedelta
from functools import cache
from importlib.resources import files


def wait_after(failures: int) -> timedelta | None:
    """How long to wait after so many failures in a row; None when it was tried for long enough."""
    return waits().get(failures)


@cache
def waits() -> dict[int, timedelta]:
    """How long the next attempt is waited for, by how many failed in a row."""
    text = (files(__package__) / "retries.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(io.StringIO(text))
    return {int(row["failures"]): timedelta(seconds=int(row["wait_seconds"])) for row in rows}

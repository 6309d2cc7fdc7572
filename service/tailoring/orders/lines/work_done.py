"""What was done and found at the bench of one line: who sewed it, and how its measures were when it was done."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from service.tailoring.quantities import Length


@dataclass(frozen=True, slots=True)
class LineCheck:
    """A line as another person found it: by whom, when, whether it is right; what it measures, and what it should.

    `off_mm` is by how much it measures more than it should, below nothing where it is less.
    """

    by: str
    at: datetime
    is_right: bool
    measured: Length | None = None
    target: Length | None = None
    off_mm: float | None = None

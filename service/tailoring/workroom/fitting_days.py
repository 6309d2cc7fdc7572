"""The fitting day inside a promise: what is basted is tried on before it is closed.

From a difficulty on an alteration is basted, fitted, and only then closed; half of its minutes are for each (common
practice, no source). All that is basted of a piece is fitted on one day.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from typing import Literal, Protocol, TypeAlias

# Of a part of the work: done in one go, the first half of what is fitted in between, or the second.
Phase: TypeAlias = Literal["whole", "baste", "close"]


class Part(Protocol):
    """What of a part of the work must be known here."""

    @property
    def piece(self) -> int: ...

    @property
    def phase(self) -> Phase: ...


class FittingDays:
    """On which day each piece is fitted, found while its work is laid onto the days; `after_days` after its basting."""

    def __init__(self, parts: Iterable[Part], after_days: int) -> None:
        self._waiting = {part.piece for part in parts if part.phase == "baste"}
        self._after = timedelta(days=after_days)
        self._basted: dict[int, date] = {}
        self.found: dict[int, date] = {}

    def begin(self, day: date, *, is_open: bool) -> None:
        """A day begins: on the first that is open and late enough, what is basted is fitted."""
        if is_open:
            for piece, on in self._basted.items():
                if piece not in self.found and day >= on + self._after:
                    self.found[piece] = day

    def holds_up(self, part: Part) -> bool:
        """Whether a part waits for a fitting that is still to come."""
        return part.phase == "close" and part.piece in self._waiting and part.piece not in self.found

    def end(self, day: date, parts: Iterable[tuple[Part, int]]) -> None:
        """A day ends, with the minutes that each part still lacks: of which pieces the basting is done."""
        unbasted = {part.piece for part, left in parts if part.phase == "baste" and left}
        for piece in self._waiting - unbasted:
            self._basted.setdefault(piece, day)

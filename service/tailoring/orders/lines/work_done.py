"""What was done and found at the bench: who worked for how long, who is to, and how finished measures were."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Literal, TypeAlias, get_args

from service.tailoring.garments.alterations import Bench
from service.tailoring.quantities import Length

SpellEnd: TypeAlias = Literal["paused", "ended"]
SPELL_ENDS: tuple[SpellEnd, ...] = get_args(SpellEnd)


@dataclass(frozen=True, slots=True)
class LineCheck:
    """A line as another person found it: by whom, when, whether it is right; what it measures, and what it should.

    `off_mm` is by how much it measures more than it should, negative where it is less.
    """

    by: str
    at: datetime
    is_right: bool
    measured: Length | None = None
    target: Length | None = None
    off_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Spell:
    """A tailor's work in one go, at a bench, on a line or on a piece as a whole (`line_id` 0).

    It is open until it has an `until`; then `ended` says whether the work was only put down. A spell that ends before
    it began, or that ended and does not say how, is a slip of the program (ValueError).
    """

    tailor: str
    piece: int
    line_id: int
    bench: Bench
    since: datetime
    until: datetime | None = None
    ended: SpellEnd | None = None

    def __post_init__(self) -> None:
        if (self.until is None) != (self.ended is None) or (self.until is not None and self.until < self.since):
            raise ValueError("a spell ends after it began, and says how")

    @property
    def is_open(self) -> bool:
        """Whether the tailor is at it."""
        return self.until is None

    @property
    def minutes(self) -> int:
        """Whole minutes, half a minute counts; none while it is open."""
        return 0 if self.until is None else int((self.until - self.since).total_seconds() + 30) // 60

    def covers(self, piece: int, line_id: int, bench: Bench) -> bool:
        """Whether a line of that piece and bench is worked on: it alone, or all of the piece there."""
        return (self.piece, self.bench) == (piece, bench) and self.line_id in {0, line_id}


@dataclass(frozen=True, slots=True)
class Assigned:
    """Whose work it is: a line's, or all of a piece at a bench (`line_id` 0) that no line of it says otherwise."""

    tailor: str
    piece: int
    bench: Bench
    line_id: int = 0


def minutes_of(spells: Iterable[Spell]) -> int:
    """How many minutes spells took together."""
    return sum(spell.minutes for spell in spells)


def at_work(spells: Iterable[Spell]) -> tuple[str, ...]:
    """Who is at it now."""
    return tuple(dict.fromkeys(spell.tailor for spell in spells if spell.is_open))


def whose(assigned: Iterable[Assigned], piece: int, bench: Bench, line_id: int = 0) -> str | None:
    """Whose a line is, or the rest of a piece at a bench; None where it is given to no tailor."""
    found = {each.line_id: each.tailor for each in assigned if (each.piece, each.bench) == (piece, bench)}
    return found.get(line_id) or found.get(0)

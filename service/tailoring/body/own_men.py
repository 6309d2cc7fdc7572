"""The versions of a shop's own men: how far the men whom it has measured lie from men in general."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TypeAlias

# By dimension, how far the shop's men lie from men of their age, in SDs; of the age itself, from men of all ages.
Away: TypeAlias = tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class Tally:
    """Of one dimension, how many customers count and the sum of how far each lies off, in SDs of men.

    Sets were looked at `until` then.
    """

    dimension: str
    customers: int
    sds: float
    until: datetime


@dataclass(frozen=True, slots=True)
class OwnMen:
    """A version of a shop's own men: where they lie. All that is said of them follows from it."""

    version: int
    away: Away


@dataclass(frozen=True, slots=True)
class CountedMen:
    """A version of a shop's own men with the sums that it rests on."""

    own: OwnMen
    tallies: tuple[Tally, ...]

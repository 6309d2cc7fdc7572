"""Fittings that a promise left room for: of which piece, on which day."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date

from service.tailoring.orders.order_states import State, standings


@dataclass(frozen=True, slots=True)
class PlannedFitting:
    """The day on which a piece that is basted should be tried on."""

    piece: int
    on: date


def still_planned(
    planned: Sequence[PlannedFitting], states: dict[int, State], basted: Collection[int]
) -> tuple[PlannedFitting, ...]:
    """Those of pieces that are still to be sewn and were not `basted` for a fitting yet."""
    ahead = {piece for piece, state in states.items() if standings()[state].ahead in {"all", "rest"}}
    return tuple(each for each in planned if each.piece in ahead and each.piece not in basted)


def planned_again(
    before: Sequence[PlannedFitting], found: Sequence[PlannedFitting], pieces: Collection[int]
) -> tuple[PlannedFitting, ...]:
    """What is planned once the work of `pieces` was booked again: theirs as `found`, of others as before."""
    kept = [each for each in before if each.piece not in pieces]
    return tuple(sorted((*kept, *found), key=lambda each: each.piece))

"""What is sewn before what."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from service.tailoring import tables
from service.tailoring.garments.alterations import Alteration, alteration, catalogue

# Pressing: after all that is sewn on the piece.
LAST_STAGE = 11


@dataclass(frozen=True, slots=True)
class Precedence:
    """Why one alteration is sewn before another."""

    before: str
    after: str
    reason: str
    source: str


@cache
def precedences() -> tuple[Precedence, ...]:
    """Every pair of the order of work.

    A row for `any` work stands for all of its garment, one for a garment for all of that. What is done last of all, at
    the irons, is never before anything.
    """
    sewing = [doing for doing in catalogue().values() if doing.stage != LAST_STAGE]
    return tuple(
        Precedence(before, row["after"], row["reason"], row["source"])
        for row in tables.rows("work/order_of_work")
        for before in _meant(row["before"], alteration(row["after"]), sewing)
    )


@cache
def must_precede() -> frozenset[tuple[str, str]]:
    """Pairs of codes: the first is sewn before the second."""
    return frozenset((pair.before, pair.after) for pair in precedences())


def sewn_before(one: str, other: str, *, same_piece: bool) -> Precedence | None:
    """Why `one` is sewn before `other`, if it is. Two pieces of one kind, two jackets, do not wait for one another."""
    pair = _by_pair().get((one, other))
    if pair is None or (not same_piece and alteration(one).garment == alteration(other).garment):
        return None
    return pair


@cache
def _by_pair() -> dict[tuple[str, str], Precedence]:
    return {(pair.before, pair.after): pair for pair in precedences()}


def _meant(before: str, after: Alteration, sewing: list[Alteration]) -> list[str]:
    garment = after.garment if before == "any" else before
    return [before] if before in catalogue() else [doing.code for doing in sewing if doing.garment == garment]


def order_of_work(codes: list[str]) -> list[int]:
    """Positions of `codes` in the order in which they are sewn: by stage, then the catalogue's own pairs."""
    left = sorted(range(len(codes)), key=lambda i: (alteration(codes[i]).stage, i))
    done: list[int] = []
    while left:
        waiting = {codes[i] for i in left}
        ready = (i for i in left if not any((code, codes[i]) in must_precede() for code in waiting))
        # The table holds no circle (a test shows it), so one is always ready.
        first = next(ready)
        done.append(first)
        left.remove(first)
    return done

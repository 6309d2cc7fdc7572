"""Cautions of the work: what can hurt someone at a bench (common practice, no source)."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from functools import cache

from service.tailoring import tables
from service.tailoring.garments.alterations import BENCHES, Bench


@dataclass(frozen=True, slots=True)
class Caution:
    """A caution whole, and as short as a ticket has room for; and the benches that it is for."""

    text: str
    short: str
    benches: tuple[Bench, ...]
    source: str


@cache
def cautions() -> tuple[Caution, ...]:
    """Every caution, in the table's order; `any` stands for all benches."""
    return tuple(
        Caution(row["text"], row["short"], _benches(row["applies"]), row["source"])
        for row in tables.rows("work/cautions")
    )


def cautions_at(benches: Collection[Bench]) -> tuple[Caution, ...]:
    """The cautions for work at any of `benches`."""
    return tuple(caution for caution in cautions() if set(caution.benches) & set(benches))


def _benches(applies: str) -> tuple[Bench, ...]:
    return tuple(bench for bench in BENCHES if applies == "any" or bench in applies.split())

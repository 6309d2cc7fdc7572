"""Two sides in turns, so that a busy machine slows both; a row is the ratio of their medians and the ratio to reach."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable

MS = 1000
Work = Callable[[], object]


def row(name: str, ours: float, theirs: float, to_reach: str, words: str, unit: str = "ms") -> None:
    """One figure of the table."""
    print(
        f"{name:44} {ours:10.3f} {theirs:10.3f} {unit:6} x{ours / theirs:6.2f}  {to_reach:8} against {words}",
        flush=True,
    )


def in_turns(
    ours: Work, theirs: Work, rounds: int, clock: Callable[[], float] = time.perf_counter
) -> tuple[float, float]:
    """The median time of each in ms; the first rounds only warm."""
    took: tuple[list[float], list[float]] = ([], [])
    for nth in range(rounds + rounds // 10 + 1):
        for side, work in enumerate((ours, theirs)):
            start = clock()
            work()
            if nth > rounds // 10:
                took[side].append((clock() - start) * MS)
    return statistics.median(took[0]), statistics.median(took[1])

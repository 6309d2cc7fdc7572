"""Scripts that print ratios; nothing here asserts a time."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable


def seconds_each(work: Callable[[], object], times: int, rounds: int = 5) -> float:
    """The median CPU time of one call, over a few rounds."""
    work()
    found = []
    for _ in range(rounds):
        start = time.process_time()
        for _ in range(times):
            work()
        found.append((time.process_time() - start) / times)
    return statistics.median(found)


def in_turns(one: Callable[[], object], other: Callable[[], object], times: int = 10, turns: int = 15) -> list[float]:
    """The median CPU time of a call of each, taken in turns: a busy machine is as busy for both."""
    return [statistics.median(each) for each in zip(*(_turn((one, other), times) for _ in range(turns)), strict=True)]


def _turn(works: tuple[Callable[[], object], ...], times: int) -> list[float]:
    return [seconds_each(work, times, rounds=1) for work in works]


def line(name: str, ours: float, yardstick: float, unit: str, words: str) -> None:
    """One figure: ours, the yardstick, and how many times the yardstick ours is."""
    print(f"{name:40} {ours:10.3f} {unit:8} {yardstick:10.3f} {unit:8} x{ours / yardstick:7.2f}   against {words}")

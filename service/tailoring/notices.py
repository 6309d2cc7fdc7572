"""Notices: what the caller should look at, though nothing forbids it."""

from __future__ import annotations

from dataclasses import dataclass

from service.tailoring.refusals import Fact, Where


@dataclass(frozen=True, slots=True)
class Notice:
    """A stable code, the path into what the caller sent, the words, and the figures behind them."""

    code: str
    at: Where
    text: str
    facts: tuple[tuple[str, Fact], ...] = ()

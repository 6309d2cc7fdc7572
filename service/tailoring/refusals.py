"""How the core says no."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

Fact: TypeAlias = str | int | float | Sequence[str] | Sequence[int] | None
Where: TypeAlias = tuple[str | int, ...]


class Refusal(Exception):
    """A rule of the trade or of the shop forbids what was asked.

    `code` names the rule (every code stands in `http/problems.py` with its status and words),
    `facts` fill its sentence, `at` is the path into what the caller sent, outermost part first. `parts` are all the
    faults of one thing, each with a path of its own, where they are said together.
    """

    def __init__(self, code: str, at: Where = (), **facts: Fact) -> None:
        super().__init__(code, at, facts)
        self.code = code
        self.at = at
        self.facts = facts
        self.parts: tuple[Refusal, ...] = ()

    @classmethod
    def together(cls, code: str, parts: Sequence[Refusal], **facts: Fact) -> Refusal:
        """All faults of one thing as one refusal."""
        whole = cls(code, (), **facts)
        whole.parts = tuple(parts)
        return whole

    def within(self, *outer: str | int) -> Refusal:
        """The same refusal, seen from further out: its path starts with `outer`."""
        further = Refusal(self.code, (*outer, *self.at), **self.facts)
        further.parts = tuple(part.within(*outer) for part in self.parts)
        return further

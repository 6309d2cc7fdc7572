"""What became of the lines of an order: each keeps its id through every change, and every change is kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Literal, TypeAlias, get_args

from service.tailoring.hems.hems import HEM_CODES
from service.tailoring.orders.lines.order_lines import OrderLine

LineChangeKind: TypeAlias = Literal["changed", "added", "struck"]
LINE_CHANGE_KINDS: tuple[LineChangeKind, ...] = get_args(LineChangeKind)


@dataclass(frozen=True, slots=True)
class Signed:
    """Who changes an order, when, and what was given as the reason."""

    by: str
    now: datetime
    why: str = ""


@dataclass(frozen=True, slots=True)
class LineChange:
    """What became of one line: who changed it, when and why; as it was before (None: added), and after (None: struck).

    A change that is none, or that is of two lines, is a slip of the program (ValueError).
    """

    by: str
    at: datetime
    why: str
    before: OrderLine | None
    after: OrderLine | None

    def __post_init__(self) -> None:
        ids = {line.id for line in (self.before, self.after) if line}
        if len(ids) != 1 or self.before == self.after:
            raise ValueError("a change is one line's, before and after")

    @property
    def kind(self) -> LineChangeKind:
        """Whether the line was changed, added or struck."""
        if self.before is None:
            return "added"
        return "struck" if self.after is None else "changed"

    @property
    def line(self) -> OrderLine:
        """The line as it is now, or as it was when it was struck."""
        found = self.after or self.before
        if found is None:  # pragma: no cover  refused above
            raise ValueError("a change is one line's")
        return found

    @property
    def id(self) -> int:
        """The id of the line, its own through every change."""
        return self.line.id


def first_ids(lines: Sequence[OrderLine]) -> tuple[OrderLine, ...]:
    """The lines of a new order, with their ids from 1."""
    return tuple(replace(line, id=position) for position, line in enumerate(lines, start=1))


def with_ids(
    lines: Sequence[OrderLine], before: Sequence[OrderLine], changes: Sequence[LineChange]
) -> tuple[OrderLine, ...]:
    """Lines with ids: that of the line in whose place each stands, or one that no line of the order ever had.

    A line stands in the place of one that does the same on the same side of the same piece; of hems either ending.
    """
    taken = {line.id for line in lines if line.id}
    last = max((line.id for line in (*before, *(change.line for change in changes))), default=0)
    found: list[OrderLine] = []
    for line in lines:
        if line.id:
            found.append(line)
            continue
        same = next((each for each in before if each.id not in taken and _is_same_work(each, line)), None)
        if same is None:
            last += 1
        taken.add(same.id if same else last)
        found.append(replace(line, id=same.id if same else last))
    return tuple(found)


def changes_between(before: Sequence[OrderLine], after: Sequence[OrderLine], signed: Signed) -> tuple[LineChange, ...]:
    """What was changed, struck and added, line by line; nothing of what stayed."""
    was, now = {line.id: line for line in before}, {line.id: line for line in after}
    return tuple(
        LineChange(signed.by, signed.now, signed.why, was.get(number), now.get(number))
        for number in (*was, *(number for number in now if number not in was))
        if was.get(number) != now.get(number)
    )


def last_other(line: OrderLine, changes: Sequence[LineChange]) -> LineChange | None:
    """The change by which a line got the amount or finished measure that it has; None where it always had it."""
    return next((change for change in reversed(changes) if change.id == line.id and _is_other(change)), None)


def _is_other(change: LineChange) -> bool:
    before, after = change.before, change.after
    return bool(before and after and (before.amount, before.target) != (after.amount, after.target))


def _is_same_work(one: OrderLine, other: OrderLine) -> bool:
    hems = set(HEM_CODES.values())
    same = one.alteration == other.alteration or {one.alteration, other.alteration} <= hems
    return one.piece == other.piece and same and one.side == other.side

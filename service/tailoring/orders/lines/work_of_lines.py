"""The lines of a sheet as they are read: numbered, in the order of work with their limits, and what follows of each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, NamedTuple, TypeAlias

from service.tailoring.garments.alterations import Alteration, Inlay, alteration, usual_inlay
from service.tailoring.garments.amounts import Amount
from service.tailoring.orders.lines.order_lines import SHEETS_KEPT, OrderLine, line_numbers
from service.tailoring.quantities import Length
from service.tailoring.work.cautions import cautions_at
from service.tailoring.work.knock_ons import FollowOn, follow_ons
from service.tailoring.work.order_of_work import sewn_before

Feasibility: TypeAlias = Literal["done_or_not", "within_usual_limit", "beyond_usual_limit"]
FEASIBLE: tuple[Feasibility, ...] = ("done_or_not", "within_usual_limit", "beyond_usual_limit")
# The last bit of a converted limit says nothing.
SAME_MM = 0.001


class NumberedLine(NamedTuple):
    """A line, its number on the ticket, and what is done in the catalogue's words; whose it is, and what it took.

    `minutes_taken` are those of spells on this line alone; `at_work` are who has it in hand.
    """

    number: int
    line: OrderLine
    words: str
    assigned_to: str | None = None
    minutes_taken: int = 0
    at_work: tuple[str, ...] = ()


class SewnAfter(NamedTuple):
    """The number of a line that is sewn before, and why."""

    line: int
    reason: str


@dataclass(frozen=True, slots=True)
class LineOfWork:
    """A line as the workroom reads it: its limits in the unit of its amount, and what is sewn before it."""

    number: int
    line: OrderLine
    alteration: Alteration
    feasibility: Feasibility
    usual_most: Length | None
    most: Length | None
    usual_inlay: Inlay | None
    after: tuple[SewnAfter, ...]


class NumberedFollowOn(NamedTuple):
    """What follows of the line of that number, and the numbers of the lines that it touches."""

    number: int
    follow_on: FollowOn
    lines: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class WorkOfLines:
    """The lines in the caller's order, the same as they are sewn, what follows of them, and the benches' cautions."""

    lines: tuple[NumberedLine, ...]
    order_of_work: tuple[LineOfWork, ...]
    follow_ons: tuple[NumberedFollowOn, ...]
    cautions: tuple[str, ...]


# An answer reads it a few times over.
@lru_cache(SHEETS_KEPT)
def work_of_lines(lines: tuple[OrderLine, ...]) -> WorkOfLines:
    """All that is read of the lines of one sheet."""
    numbers = line_numbers(lines)
    followed = sorted(follow_ons(lines), key=lambda each: numbers[each.cause])
    # All of it is pressed at the end.
    benches = {*(alteration(line.alteration).bench for line in lines), "finishing"}
    return WorkOfLines(
        lines=tuple(NumberedLine(numbers[n], each, alteration(each.alteration).words) for n, each in enumerate(lines)),
        order_of_work=tuple(_work(lines, position, numbers) for position in sorted(numbers, key=numbers.__getitem__)),
        follow_ons=tuple(
            NumberedFollowOn(numbers[each.cause], each, tuple(sorted(numbers[n] for n in each.lines)))
            for each in followed
        ),
        cautions=tuple(each.text for each in cautions_at(benches)),
    )


def _work(lines: Sequence[OrderLine], position: int, numbers: dict[int, int]) -> LineOfWork:
    line = lines[position]
    doing, amount = alteration(line.alteration), line.amount
    return LineOfWork(
        number=numbers[position],
        line=line,
        alteration=doing,
        feasibility=_feasibility(doing, amount),
        usual_most=Length(doing.usual_most_mm(amount.direction), amount.length.unit) if amount else None,
        most=Length(doing.most_mm(amount.direction), amount.length.unit) if amount else None,
        usual_inlay=usual_inlay(doing.code) if amount and amount.direction == "increase" else None,
        after=tuple(
            SewnAfter(numbers[n], pair.reason)
            for n, other in enumerate(lines)
            if n != position
            for pair in (sewn_before(other.alteration, doing.code, same_piece=other.piece == line.piece),)
            if pair
        ),
    )


def _feasibility(doing: Alteration, amount: Amount | None) -> Feasibility:
    if amount is None:
        return "done_or_not"
    within = amount.length.mm <= doing.usual_most_mm(amount.direction) + SAME_MM
    return "within_usual_limit" if within else "beyond_usual_limit"

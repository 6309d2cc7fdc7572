"""What the work of an order took beside what it was planned to take: by line, by piece, and who is at it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from service.tailoring.garments.alterations import alteration
from service.tailoring.orders.lines.order_lines import line_numbers
from service.tailoring.orders.lines.work_done import Assigned, Spell, at_work, minutes_of, whose
from service.tailoring.orders.lines.work_of_lines import NumberedLine, WorkOfLines, work_of_lines
from service.tailoring.orders.orders import Order
from service.tailoring.orders.piece_states import PieceOfOrder


@dataclass(frozen=True, slots=True)
class PieceAtWork:
    """A piece where it is, its lines' planned minutes, what all work on it took, whose it is and who is at it."""

    where_it_is: PieceOfOrder
    minutes: int
    minutes_taken: int
    assigned: tuple[Assigned, ...]
    at_work: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NumberedSpell:
    """A spell, and the number that its line has now: None where it is on a piece, or the line was struck."""

    spell: Spell
    number: int | None


def lines_at_work(order: Order) -> WorkOfLines:
    """The order's lines as they are read, with what each took."""
    work = work_of_lines(order.lines)
    if not (order.spells or order.assigned):
        return work
    return replace(work, lines=tuple(_with_work(order, each) for each in work.lines))


def pieces_at_work(order: Order) -> tuple[PieceAtWork, ...]:
    """The order's pieces in turn, with what each took."""
    return tuple(_piece(order, each) for each in order.pieces)


def spells_of(order: Order) -> tuple[NumberedSpell, ...]:
    """All spells of work on an order, oldest first."""
    numbers = line_numbers(order.lines) if order.spells else {}
    by_id = {order.lines[position].id: number for position, number in numbers.items()}
    return tuple(NumberedSpell(each, by_id.get(each.line_id) if each.line_id else None) for each in order.spells)


def _with_work(order: Order, numbered: NumberedLine) -> NumberedLine:
    line = numbered.line
    spells = [each for each in order.spells if (each.piece, each.line_id) == (line.piece, line.id)]
    return numbered._replace(
        assigned_to=whose(order.assigned, line.piece, alteration(line.alteration).bench, line.id),
        minutes_taken=minutes_of(spells),
        at_work=at_work(spells),
    )


def _piece(order: Order, piece: PieceOfOrder) -> PieceAtWork:
    spells: Sequence[Spell] = [each for each in order.spells if each.piece == piece.piece]
    return PieceAtWork(
        where_it_is=piece,
        minutes=sum(line.minutes for line in order.lines if line.piece == piece.piece),
        minutes_taken=minutes_of(spells),
        assigned=tuple(each for each in order.assigned if each.piece == piece.piece and not each.line_id),
        at_work=at_work(spells),
    )

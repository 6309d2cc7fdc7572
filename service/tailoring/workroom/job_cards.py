"""A job as its card on a board says it: its pieces and lines at the bench, what they took, and whose they are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from service.tailoring.garments.alterations import Bench, alteration
from service.tailoring.orders.lines.order_lines import OrderLine, line_numbers
from service.tailoring.orders.lines.work_done import at_work, minutes_of, whose
from service.tailoring.orders.orders import Order
from service.tailoring.orders.piece_states import PieceOfOrder
from service.tailoring.workroom.bookings import work_of
from service.tailoring.workroom.worklists import Job


@dataclass(frozen=True, slots=True)
class CardLine:
    """A line at the bench by its number; `sides_differ`: it is not done alike on the other side."""

    number: int
    line: OrderLine
    sides_differ: bool
    assigned_to: str | None
    minutes_taken: int
    at_work: tuple[str, ...]

    @property
    def words(self) -> str:
        """What is done, as the catalogue says it."""
        return alteration(self.line.alteration).words


@dataclass(frozen=True, slots=True)
class CardPiece:
    """A piece with work at the bench: its minutes there, planned and taken, whose it is and who has it in hand."""

    where_it_is: PieceOfOrder
    minutes: int
    minutes_taken: int
    assigned_to: str | None
    at_work: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class JobCard:
    """A job, the version of its order, and the pieces and lines that are worked on there.

    The press that every piece gets is no line unless it was ordered as one.
    """

    job: Job
    version: int
    pieces: tuple[CardPiece, ...]
    lines: tuple[CardLine, ...]

    @property
    def minutes_planned(self) -> int:
        """The minutes that its pieces are planned to take at the bench."""
        return sum(each.minutes for each in self.pieces)

    @property
    def minutes_taken(self) -> int:
        """The minutes that they took there."""
        return sum(each.minutes_taken for each in self.pieces)


def job_card(job: Job, order: Order, version: int) -> JobCard:
    """The card of a job; the order is the job's."""
    planned = _planned(order, job.bench)
    mine = {piece for piece in job.pieces if piece is not None} or set(planned)
    if None in job.pieces:
        mine = set(planned)
    numbers = line_numbers(order.lines)
    here = [(numbers[n], line) for n, line in enumerate(order.lines) if alteration(line.alteration).bench == job.bench]
    return JobCard(
        job,
        version,
        tuple(_piece(order, each, job.bench, planned) for each in order.pieces if each.piece in mine),
        tuple(_line(order, number, line, job.bench) for number, line in sorted(here, key=lambda each: each[0])),
    )


def of_tailor(card: JobCard, tailor: str) -> JobCard | None:
    """What of a card is a tailor's own: their lines, the pieces of these, and pieces given to them; None if none."""
    lines = tuple(each for each in card.lines if each.assigned_to == tailor)
    given = {each.line.piece for each in lines}
    pieces = tuple(each for each in card.pieces if each.assigned_to == tailor or each.where_it_is.piece in given)
    return replace(card, pieces=pieces, lines=lines) if pieces or lines else None


def _planned(order: Order, bench: Bench) -> dict[int, int]:
    """By piece, the minutes that it is planned to take at a bench, its press among them."""
    found: dict[int, int] = {}
    for work in work_of(order.lines):
        if work.bench == bench:
            found[work.piece] = found.get(work.piece, 0) + work.minutes
    return found


def _piece(order: Order, piece: PieceOfOrder, bench: Bench, planned: dict[int, int]) -> CardPiece:
    spells = [each for each in order.spells if (each.piece, each.bench) == (piece.piece, bench)]
    return CardPiece(
        where_it_is=piece,
        minutes=planned.get(piece.piece, 0),
        minutes_taken=minutes_of(spells),
        assigned_to=whose(order.assigned, piece.piece, bench),
        at_work=at_work(spells),
    )


def _line(order: Order, number: int, line: OrderLine, bench: Bench) -> CardLine:
    spells = [each for each in order.spells if (each.piece, each.line_id) == (line.piece, line.id)]
    return CardLine(
        number=number,
        line=line,
        sides_differ=_sides_differ(line, order.lines),
        assigned_to=whose(order.assigned, line.piece, bench, line.id),
        minutes_taken=minutes_of(spells),
        at_work=at_work(spells),
    )


def _sides_differ(line: OrderLine, lines: Sequence[OrderLine]) -> bool:
    """Whether a line of one side has none on the other that is done as far, to the same measure."""
    if line.side == "both":
        return False
    twins = [
        each
        for each in lines
        if (each.piece, each.alteration) == (line.piece, line.alteration) and each.side not in {line.side, "both"}
    ]
    return not any(_done_to(each) == _done_to(line) for each in twins)


def _done_to(line: OrderLine) -> tuple[object, ...]:
    """How far, which way, and to which measure, to a tenth of a millimetre."""
    amount = (round(line.amount.length.mm, 1), line.amount.direction) if line.amount else None
    return amount, round(line.target.mm, 1) if line.target else None

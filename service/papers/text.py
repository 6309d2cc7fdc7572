"""The ticket as plain text, as wide as a receipt."""

from __future__ import annotations

from collections.abc import Iterator

from service.papers.rendering.columns import (
    DOUBLE_RULE,
    GAP,
    RULE,
    WIDTH,
    Row,
    centred,
    ends,
    labelled,
    plain,
    text_of,
)
from service.papers.rendering.letters import in_a_column, in_letters
from service.papers.ticket_lines import Measure, TicketLine
from service.papers.tickets import PIN_COUNTS, Ticket, TicketPiece

_VALUE = 20


def ticket_text(ticket: Ticket) -> str:
    """The ticket in Latin, Greek and Cyrillic letters, other scripts written in Latin; at most `WIDTH` columns wide."""
    return text_of(ticket_rows(in_letters(ticket, in_a_column)))


def ticket_rows(ticket: Ticket) -> Iterator[Row]:
    """The ticket row by row; its letters are those of whoever prints it."""
    yield from _head(ticket)
    for piece in ticket.pieces:
        yield from _piece(piece)
    yield from _foot(ticket)


def _head(ticket: Ticket) -> Iterator[Row]:
    yield DOUBLE_RULE
    yield from centred(ticket.shop)
    yield DOUBLE_RULE
    if ticket.rush:
        yield from centred(f"*** {ticket.rush} ***", strong=True)
    yield from labelled("TICKET", ticket.number, strong=True)
    yield from labelled("PROMISED", ticket.promised, strong=True)
    if ticket.needed_by:
        yield from labelled("NEEDED BY", ticket.needed_by)
    yield from labelled("state", ticket.state)
    yield from labelled("placed", ticket.placed)
    yield from labelled("marked by", ticket.marked_by)
    for label, ref in (("customer", ticket.customer_ref), ("sale", ticket.sale_ref)):
        if ref:
            yield from labelled(label, ref)
    yield from labelled("pieces", str(len(ticket.pieces)))
    if ticket.note:
        yield from labelled("note", ticket.note)
    for alert in ticket.alerts:
        yield from labelled("!!", alert, width=3, strong=True)
    yield from _read_first(ticket)
    if ticket.rounding:
        yield GAP
        yield from plain(ticket.rounding)


def _read_first(ticket: Ticket) -> Iterator[Row]:
    if ticket.answers or ticket.look_again or ticket.notices or ticket.fittings:
        yield GAP
        yield Row("READ FIRST", strong=True)
    for answer in (*ticket.answers, *ticket.look_again):
        yield from labelled("!!", answer, width=3)
    for notice in ticket.notices:
        at = ", ".join(str(number) for number in notice.lines)
        yield from labelled("!!", f"{'line' if len(notice.lines) == 1 else 'lines'} {at}: {notice.text}", width=3)
    for fitting in ticket.fittings:
        yield from labelled("!!", fitting, width=3)


def _piece(piece: TicketPiece) -> Iterator[Row]:
    yield from _garment(piece)
    if not piece.lines:
        yield from labelled("work", "none on this piece")
    for line in piece.lines:
        yield from _line(line)
    if piece.press:
        yield RULE
        yield from labelled("", f"last: {piece.press}", width=3)
    if piece.steps:
        yield from _finishing(piece)


def _garment(piece: TicketPiece) -> Iterator[Row]:
    yield GAP
    yield DOUBLE_RULE
    yield from plain(f"PIECE {piece.place}  {piece.garment.upper()}", strong=True)
    yield from labelled("tag", piece.tag)
    yield from labelled("size", piece.size or "not written")
    if piece.style:
        yield from labelled("style", piece.style)
    yield from labelled("cloth", piece.cloth or "not written")
    yield from labelled("pattern", piece.pattern)
    for label, words in (("lining", piece.lining), ("cuffs", piece.cuffs)):
        if words:
            yield from labelled(label, words)
    yield from labelled("pins", f"{piece.pins_left_in} left in at marking")
    if piece.must_keep:
        yield from labelled("KEEP", piece.must_keep, strong=True)
    if piece.faults_seen:
        yield from labelled("seen", f"before work: {piece.faults_seen}")


def _finishing(piece: TicketPiece) -> Iterator[Row]:
    yield RULE
    yield Row("FINISHING", strong=True)
    for words in piece.finishing:
        yield from labelled("-", words, width=2)
    for number, step in enumerate(piece.steps, start=1):
        yield from labelled(str(number), step, width=3)


def _line(line: TicketLine) -> Iterator[Row]:
    yield RULE
    side = f"{line.side.upper()}: " if line.side else ""
    yield from labelled(str(line.number), f"{side}{line.words}", width=3, strong=True)
    # What stops the hand stands before the figures.
    for notice in line.notices:
        yield from labelled("!!", notice, width=3)
    if line.after:
        yield from labelled("!!", f"only after line {', '.join(str(number) for number in line.after)}", width=3)
    yield from _measures(line)
    for label, words in (
        ("inlay", line.inlay),
        ("marked with", line.marked),
        ("note", line.note),
        ("caution", line.caution),
    ):
        if words:
            yield from labelled("", f"{label}: {words}", width=3)
    if line.second_reading:
        yield Row("   before the cut, read again by [_____]")
    yield Row(
        "   done by [______]" + ("  measured [__________]" if line.change or line.finished or line.not_pinned else "")
    )
    yield from ends(f"{line.minutes} min, took [____]", line.price, indent=3)


def _measures(line: TicketLine) -> Iterator[Row]:
    """The change and what it ends at; a blank to be written into where nobody has said or marked it."""
    for change in line.change:
        yield from _measure("", change)
    if line.finished:
        yield from _measure("TO", line.finished, strong=True)
    elif line.not_pinned:
        yield Row("TO ______________ NOT PINNED", strong=True)
    elif line.change:
        yield Row("TO ____________ not written: measure first")
    if line.cut:
        yield from labelled("", f"CUT AT {line.cut.text}", width=3, strong=True)
    if line.mark_again:
        yield Row("TO [______________] marked again by [____]")


def _foot(ticket: Ticket) -> Iterator[Row]:
    yield GAP
    yield DOUBLE_RULE
    yield Row(f"PINS IN {ticket.pins_in}", strong=True)
    for when in PIN_COUNTS:
        yield from ends(f"PINS OUT {when}", "[______]", strong=True)
    for fitting in ticket.fittings:
        yield from ends(f"{fitting.partition(':')[0]} fitted, by", "[__________]")
    for check in ticket.checks:
        yield from ends(check, "[__________]")
    yield RULE
    for minutes in ticket.minutes:
        yield from plain(minutes)
    yield from ends("TOTAL", ticket.total, strong=True)
    if ticket.deposit:
        yield from ends("deposit", ticket.deposit)
        yield from ends("to pay at collection", ticket.balance)
    yield RULE
    yield Row("TAKE CARE", strong=True)
    for caution in ticket.cautions:
        yield from labelled("-", caution, width=2)


def _measure(mark: str, measure: Measure, *, strong: bool = False) -> list[Row]:
    """A measure is never broken: its words go beside it, or below where there is no room."""
    if len(measure.text) < _VALUE and 3 + _VALUE + len(measure.of) <= WIDTH:
        return [Row(f"{mark:<3}{measure.text:<{_VALUE}}{measure.of}", strong)]
    return [Row(f"{mark:<3}{measure.text}", strong), *labelled("", measure.of, width=6)]

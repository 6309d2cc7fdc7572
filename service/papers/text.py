"""The ticket as plain text, as wide as a receipt, and no longer than a bench unrolls."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from service.papers.rendering.columns import DOUBLE_RULE, RULE, WIDTH, Row, centred, ends, labelled, plain, text_of
from service.papers.rendering.letters import in_a_column, in_letters
from service.papers.ticket_lines import STOP, Measure, TicketLine
from service.papers.ticket_pieces import TicketGarment
from service.papers.tickets import PIN_COUNTS, Ticket

_VALUE = 20
# A blank that a pencil finds room in.
_LEAST_BLANK = 4


def ticket_text(ticket: Ticket) -> str:
    """The ticket in Latin, Greek and Cyrillic letters, other scripts written in Latin; at most `WIDTH` columns wide."""
    return text_of(ticket_rows(in_letters(ticket, in_a_column)))


def ticket_rows(ticket: Ticket) -> Iterator[Row]:
    """The ticket row by row; its letters are those of whoever prints it."""
    yield from _head(ticket)
    for piece in ticket.garments:
        yield from _piece(piece)
    yield from _foot(ticket)


def _head(ticket: Ticket) -> Iterator[Row]:
    yield from centred(ticket.shop)
    if ticket.rush:
        yield from centred(f"*** {ticket.rush} ***", strong=True)
    yield from labelled("TICKET", ticket.number, strong=True)
    yield from labelled("READY BY", ticket.promised, strong=True)
    if ticket.needed_by:
        yield from labelled("needed by", ticket.needed_by)
    if ticket.group:
        yield from labelled("", ticket.group, width=0, strong=True)
    yield from labelled("marked", f"{ticket.placed}, {ticket.by}")
    refs = (("customer", ticket.customer_ref), ("sale", ticket.sale_ref), ("state", ticket.state))
    yield from _facts([(name, ref) for name, ref in refs if ref])
    if ticket.note:
        yield from labelled("note", ticket.note)
    for alert in ticket.alerts:
        yield from labelled("!!", alert, width=3, strong=True)
    said = (
        *ticket.answers,
        *ticket.changes,
        *ticket.look_again,
        *(notice.words for notice in ticket.notices),
        *ticket.fittings,
    )
    if said:
        yield Row("READ FIRST", strong=True)
    for words in said:
        yield from labelled("!!", words, width=3)
    if ticket.rounding:
        yield from plain(ticket.rounding)


def _piece(piece: TicketGarment) -> Iterator[Row]:
    yield DOUBLE_RULE
    yield from ends(f"PIECE {piece.place}: {piece.garment.upper()}", f"tag {piece.tag}", strong=True)
    if piece.status:
        yield from labelled("!!", piece.status, width=3, strong=True)
    yield from _facts((*piece.facts, ("pins", piece.pins)))
    if piece.must_keep:
        yield from labelled("KEEP", piece.must_keep, strong=True)
    if not piece.lines:
        yield from labelled("work", "none on this piece")
    for at, lines in enumerate(piece.works):
        if at:
            yield RULE
        yield from _work(lines)
    yield from _pressing(piece)


def _facts(facts: Sequence[tuple[str, str]]) -> Iterator[Row]:
    """Names and what they are, as many in a row as it has room for."""
    row = ""
    for name, words in facts:
        said = f"{row}  {name} {words}" if row else f"{name} {words}"
        if len(said) <= WIDTH:
            row = said
            continue
        if row:
            yield Row(row)
        row = f"{name} {words}"
        if len(row) > WIDTH:
            yield from labelled(name, words, width=len(name) + 1)
            row = ""
    if row:
        yield Row(row)


def _work(lines: Sequence[TicketLine]) -> Iterator[Row]:
    """One alteration: a line of its own, or its left and right; what both share stands over or under them."""
    first, of_two = lines[0], len(lines) > 1
    numbers = "+".join(str(line.number) for line in lines)
    side = f"{first.side.upper()}: " if first.side and not of_two else ""
    words = f"{side}{first.words}" + (f", {first.finished.of}" if first.finished and of_two else "")
    yield from labelled(numbers, words, width=max(3, len(numbers) + 1), strong=True)
    shared = [said for said in (*first.stops, *first.details) if all(said in (*e.stops, *e.details) for e in lines)]
    for name, words in shared:
        # What stops the hand stands before the figures.
        if name == STOP:
            yield from labelled("!!", words, width=3)
    for line in lines:
        own = [said for said in (*line.stops, *line.details) if said not in shared]
        for name, words in own:
            yield from labelled("!!" if name == STOP else "", words if name == STOP else f"{name}: {words}", width=3)
        yield from _one_of_two(line) if of_two else _measures(line)
    if any(line.mark_again for line in lines):
        names = [line.side.upper() for line in lines] if of_two else ["TO"]
        yield Row(_filled(("   ", "AGAIN " + names[0], *names[1:], "by"), WIDTH))
    yield from _signed(lines)
    for name, words in shared:
        if name != STOP:
            yield from labelled("", f"{name}: {words}", width=3)


def _measures(line: TicketLine) -> Iterator[Row]:
    """The change and what it ends at; a blank to be written into where nobody has said or marked it."""
    if line.was:
        yield from labelled("", f"(before: {line.was})", width=3)
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


def _one_of_two(line: TicketLine) -> Iterator[Row]:
    """The left or the right: its change in the order's unit, and what it ends at, in one row where there is room."""
    change = line.change[0].text.partition(" / ")[0] if line.change else ""
    row = f"{line.side.upper():<6}{change} TO {line.finished.text}" if line.finished else ""
    if row and len(row) <= WIDTH and not line.was:
        yield Row(row, strong=True)
    else:
        yield Row(f"{line.side.upper()}, line {line.number}", strong=True)
        yield from _measures(replace(line, cut=None))
    if line.cut:
        yield from labelled("", f"CUT AT {line.cut.text}", width=6, strong=True)


def _signed(lines: Sequence[TicketLine]) -> Iterator[Row]:
    if any(line.second_reading for line in lines):
        yield Row("   before the cut, read again by [_______]")
    names = ("by", "tape") if lines[0].is_measured else ("by",)
    yield Row(_filled(("  ", *names, f"{sum(line.minutes for line in lines)} min"), WIDTH))


def _filled(names: Sequence[str], width: int) -> str:
    """Names side by side, each with a blank, the row as wide as it may be. An empty first name is an indent."""
    indent = names[0] if not names[0].strip() else ""
    named = [name for name in names if name.strip()]
    room = width - len(indent) - sum(len(name) + 3 for name in named) - (len(named) - 1)
    each, more = divmod(room, len(named))
    return indent + " ".join(f"{name} [{'_' * (each + (at < more))}]" for at, name in enumerate(named))


def _blanks(names: Sequence[str]) -> Iterator[Row]:
    """What is signed, two in a row where there is room."""
    at = 0
    while at < len(names):
        pair = names[at : at + 2]
        if len(pair) > 1 and sum(len(name) + 3 + _LEAST_BLANK for name in pair) + 1 > WIDTH:
            pair = pair[:1]
        yield Row(_filled(pair, WIDTH))
        at += len(pair)


def _pressing(piece: TicketGarment) -> Iterator[Row]:
    if not piece.pressing:
        return
    yield Row(" PRESSING ".center(WIDTH, "-"))
    for words in (*piece.pressing, *piece.finishing):
        yield from labelled("-", words, width=2)
    for number, step in enumerate(piece.steps, start=1):
        yield from labelled(str(number), step, width=3)


def _foot(ticket: Ticket) -> Iterator[Row]:
    yield DOUBLE_RULE
    yield Row(_filled((f"PINS IN {ticket.pins_in}, OUT {PIN_COUNTS[0]}",), WIDTH), strong=True)
    checks = dict.fromkeys(check for piece in ticket.garments for check in piece.checks)
    yield from _blanks((f"OUT {PIN_COUNTS[1]}", *checks, *ticket.checks))
    yield from plain(f"min {', '.join(ticket.minutes)}")
    yield from ends("TOTAL", ticket.total, strong=True)
    if ticket.deposit:
        yield from ends("deposit", ticket.deposit)
        yield from ends("to pay at collection", ticket.balance)
    yield from plain(f"TAKE CARE: {'; '.join(ticket.cautions)}")


def _measure(mark: str, measure: Measure, *, strong: bool = False) -> list[Row]:
    """A measure is never broken: its words go beside it, or below where there is no room."""
    if len(measure.text) < _VALUE and 3 + _VALUE + len(measure.of) <= WIDTH:
        return [Row(f"{mark:<3}{measure.text:<{_VALUE}}{measure.of}", strong)]
    return [Row(f"{mark:<3}{measure.text}", strong), *labelled("", measure.of, width=6)]

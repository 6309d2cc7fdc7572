"""The ticket as plain text, as wide as a receipt, and no longer than a bench unrolls."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from service.papers.rendering.columns import DOUBLE_RULE, RULE, WIDTH, Row, centred, ends, labelled, plain, text_of
from service.papers.rendering.letters import in_a_column, in_letters
from service.papers.ticket_lines import STOP, Measure, TicketLine
from service.papers.ticket_pieces import NOT_WRITTEN, TicketGarment
from service.papers.tickets import PIN_COUNTS, Ticket
from service.tongues.tongues import Say

_VALUE = 20
# A blank that a pencil finds room in.
_LEAST_BLANK = 4


def ticket_text(ticket: Ticket) -> str:
    """The ticket in Latin, Greek and Cyrillic letters, other scripts written in Latin; at most `WIDTH` columns wide."""
    return text_of(ticket_rows(in_letters(ticket, in_a_column)))


def ticket_rows(ticket: Ticket) -> Iterator[Row]:
    """The ticket row by row; its letters are those of whoever prints it."""
    say = ticket.tongue.say
    yield from _head(say, ticket)
    for piece in ticket.garments:
        yield from _piece(say, piece)
    yield from _foot(say, ticket)


def _head(say: Say, ticket: Ticket) -> Iterator[Row]:
    yield from centred(ticket.shop)
    if ticket.rush:
        yield from centred(f"*** {ticket.rush} ***", strong=True)
    yield from labelled(say("TICKET"), ticket.number, strong=True)
    yield from labelled(say("READY BY"), ticket.promised, strong=True)
    if ticket.needed_by:
        yield from labelled(say("needed by"), ticket.needed_by)
    if ticket.group:
        yield from labelled("", ticket.group, width=0, strong=True)
    yield from labelled(say("marked"), f"{ticket.placed}, {ticket.by}")
    refs = (("customer", ticket.customer_ref), ("sale", ticket.sale_ref), ("state", ticket.state))
    yield from _facts(say, [(name, ref) for name, ref in refs if ref])
    if ticket.note:
        yield from labelled(say("note"), ticket.note)
    for alert in ticket.alerts:
        yield from labelled("!!", alert, width=3, strong=True)
    said = (
        *ticket.answers,
        *ticket.changes,
        *ticket.look_again,
        *(notice.words_in(say) for notice in ticket.notices),
        *ticket.fittings,
    )
    if said:
        yield Row(say("READ FIRST"), strong=True)
    for words in said:
        yield from labelled("!!", words, width=3)
    if ticket.rounding:
        yield from plain(ticket.rounding)


def _piece(say: Say, piece: TicketGarment) -> Iterator[Row]:
    yield DOUBLE_RULE
    yield from ends(
        say("PIECE {place}: {garment}", place=piece.place, garment=piece.garment.upper()),
        say("tag {tag}", tag=piece.tag),
        strong=True,
    )
    if piece.status:
        yield from labelled("!!", piece.status, width=3, strong=True)
    yield from _facts(say, (*piece.facts, ("pins", piece.pins)))
    if piece.must_keep:
        yield from labelled(say("KEEP"), piece.must_keep, strong=True)
    if not piece.lines:
        yield from labelled(say("work"), say("none on this piece"))
    for at, lines in enumerate(piece.works):
        if at:
            yield RULE
        yield from _work(say, lines)
    yield from _pressing(say, piece)


def _facts(say: Say, facts: Sequence[tuple[str, str]]) -> Iterator[Row]:
    """Names and what they are, as many in a row as it has room for."""
    row = ""
    for name, words in ((say(name), say(words) if words == NOT_WRITTEN else words) for name, words in facts):
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


def _work(say: Say, lines: Sequence[TicketLine]) -> Iterator[Row]:
    """One alteration: a line of its own, or its left and right; what both share stands over or under them."""
    first, of_two = lines[0], len(lines) > 1
    numbers = "+".join(str(line.number) for line in lines)
    side = f"{say(first.side.upper())}{say(':')} " if first.side and not of_two else ""
    words = f"{side}{first.words}" + (f", {first.finished.of}" if first.finished and of_two else "")
    yield from labelled(numbers, words, width=max(3, len(numbers) + 1), strong=True)
    shared = [said for said in (*first.stops, *first.details) if all(said in (*e.stops, *e.details) for e in lines)]
    for name, words in shared:
        # What stops the hand stands before the figures.
        if name == STOP:
            yield from labelled("!!", words, width=3)
    for line in lines:
        own = [said for said in (*line.stops, *line.details) if said not in shared]
        # Between the rows of a left and a right, what is said of one must not be read of the other.
        whose = f"{say(line.side.upper())}{say(':')} " if of_two else ""
        for name, words in own:
            said = words if name == STOP else f"{say(name)}{say(':')} {words}"
            yield from labelled("!!" if name == STOP else "", f"{whose}{said}", width=3)
        yield from _one_of_two(say, line) if of_two else _measures(say, line)
    if any(line.mark_again for line in lines):
        names = [say(line.side.upper()) for line in lines] if of_two else [say("TO")]
        yield Row(_filled(("   ", f"{say('AGAIN')} {names[0]}", *names[1:], say("by")), WIDTH))
    yield from _signed(say, lines)
    for name, words in shared:
        if name != STOP:
            yield from labelled("", f"{say(name)}{say(':')} {words}", width=3)


def _measures(say: Say, line: TicketLine) -> Iterator[Row]:
    """The change and what it ends at; a blank to be written into where nobody has said or marked it."""
    if line.was:
        yield from labelled("", say("(before: {was})", was=line.was), width=3)
    for change in line.change:
        yield from _measure("", change)
    if line.finished:
        yield from _measure(say("TO"), line.finished, strong=True)
    elif line.not_pinned:
        yield Row(f"{say('TO')} ______________ {say('NOT PINNED')}", strong=True)
    elif line.change:
        yield Row(f"{say('TO')} __________ {say('not recorded: measure first')}")
    if line.cut:
        yield from labelled("", f"{say('CUT AT')} {line.cut.text}", width=3, strong=True)


def _one_of_two(say: Say, line: TicketLine) -> Iterator[Row]:
    """The left or the right: its change in the order's unit, and what it ends at, in one row where there is room."""
    change = line.change[0].text.partition(" / ")[0] if line.change else ""
    row = f"{say(line.side.upper()):<5} {change} {say('TO')} {line.finished.text}" if line.finished else ""
    if row and len(row) <= WIDTH and not line.was:
        yield Row(row, strong=True)
    else:
        yield Row(say("{side}, line {number}", side=say(line.side.upper()), number=line.number), strong=True)
        yield from _measures(say, replace(line, cut=None))
    if line.cut:
        yield from labelled("", f"{say('CUT AT')} {line.cut.text}", width=6, strong=True)


def _signed(say: Say, lines: Sequence[TicketLine]) -> Iterator[Row]:
    if any(line.second_reading for line in lines):
        yield Row(_filled(("   ", say("before the cut, read again by")), WIDTH))
    names = (say("by"), say("tape")) if lines[0].is_measured else (say("by"),)
    yield Row(_filled(("  ", *names, say("{n} min", n=sum(line.minutes for line in lines))), WIDTH))


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


def _pressing(say: Say, piece: TicketGarment) -> Iterator[Row]:
    if not piece.pressing:
        return
    yield Row(f" {say('PRESSING')} ".center(WIDTH, "-"))
    for words in (*piece.pressing, *piece.finishing):
        yield from labelled("-", words, width=2)
    for number, step in enumerate(piece.steps, start=1):
        yield from labelled(str(number), step, width=3)


def _foot(say: Say, ticket: Ticket) -> Iterator[Row]:
    yield DOUBLE_RULE
    yield Row(
        _filled((say("PINS IN {number}, OUT {when}", number=ticket.pins_in, when=say(PIN_COUNTS[0])),), WIDTH),
        strong=True,
    )
    checks = dict.fromkeys(check for piece in ticket.garments for check in piece.checks)
    yield from _blanks((say("OUT {when}", when=say(PIN_COUNTS[1])), *checks, *ticket.checks))
    yield from plain(f"{say('min')} {', '.join(ticket.minutes)}")
    yield from ends(say("TOTAL"), ticket.total, strong=True)
    if ticket.deposit:
        yield from ends(say("deposit"), ticket.deposit)
        yield from ends(say("to pay at collection"), ticket.balance)
    cautions = f"{say(';')} ".join(ticket.cautions)
    yield from plain(f"{say('TAKE CARE')}{say(':')} {cautions}")


def _measure(mark: str, measure: Measure, *, strong: bool = False) -> list[Row]:
    """A measure is never broken: its words go beside it, or below where there is no room."""
    before = f"{mark:<2} "
    if len(measure.text) < _VALUE and len(before) + _VALUE + len(measure.of) <= WIDTH:
        return [Row(f"{before}{measure.text:<{_VALUE}}{measure.of}", strong)]
    return [Row(f"{before}{measure.text}", strong), *labelled("", measure.of, width=6)]

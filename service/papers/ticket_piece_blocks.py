"""What a piece's page of the ticket is made of: head, what is read first, work, pressing, checks, and its tag."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.papers.rendering.faces import width_of
from service.papers.rendering.layout import (
    HAIR,
    NAME_SIZE,
    WORDS_SIZE,
    Block,
    Box,
    Mark,
    Words,
    bar_code,
    blank,
    fitting,
    label,
    paragraph,
    square_code,
)
from service.papers.ticket_pieces import NOT_WRITTEN, TicketGarment
from service.papers.ticket_work_sheet import work_block
from service.papers.tickets import PIN_COUNTS, Ticket

_SMALL, _USUAL = NAME_SIZE, WORDS_SIZE
_QR_SIDE = 60.0
_BAND = 23.0
_READ_FIRST = "READ FIRST"
_CHECKS_A_ROW = 4


def continued(ticket: Ticket, piece: TicketGarment, width: float) -> Block:
    """The head of a page on which a piece goes on."""
    say = ticket.tongue.say
    words = f"{say('continued')} · {say('READY BY')} {ticket.promised}"
    marks = [*_band(ticket, piece, width), Words(0, _BAND + 12, words, _USUAL, strong=True)]
    return Block(_BAND + 19, tuple(marks))


def piece_blocks(ticket: Ticket, piece: TicketGarment, width: float) -> Iterator[Block]:
    """A piece's page from its head to the cautions, in points; its tag stands at the page's foot."""
    yield _head(ticket, piece, width)
    yield from _alerts(ticket, width)
    yield from _read_first(ticket, piece, width)
    yield from (work_block(ticket.tongue.say, lines, width) for lines in piece.works)
    if ticket.rounding:
        yield _text(ticket.rounding, width)
    yield from _pressing(ticket, piece, width)
    yield _checks(ticket, piece, width)
    yield _cautions(ticket, width)


def _alerts(ticket: Ticket, width: float) -> Iterator[Block]:
    """What the order's last moves ask, in one box."""
    if not ticket.alerts:
        return
    marks: list[Mark] = []
    y = 1.0
    for alert in ticket.alerts:
        found, y = paragraph(alert, 6, y, width - 12, 10.5, strong=True)
        marks += found
    yield Block(y + 7, (*marks, Box(0, 0, width, y + 4, 1.5)))


def _band(ticket: Ticket, piece: TicketGarment, width: float) -> Iterator[Mark]:
    yield Box(0, 0, width, _BAND)
    say = ticket.tongue.say
    words = say("PIECE {place}: {garment}", place=piece.place, garment=piece.garment.upper())
    beside = f"{say('Ticket')} {piece.tag}"
    size = fitting(words, width * 0.6, 14)
    yield Words(6, 17, words, size, strong=True, white=True)
    size = fitting(beside, width - width_of(words, size, strong=True) - 24, 14)
    yield Words(width - 6 - width_of(beside, size, strong=True), 17, beside, size, strong=True, white=True)


def _head(ticket: Ticket, piece: TicketGarment, width: float) -> Block:
    left, say = width - _QR_SIDE, ticket.tongue.say
    marks: list[Mark] = [*_band(ticket, piece, width)]
    marks += square_code(ticket.number, left + 4, _BAND, _QR_SIDE)
    y, x = _BAND + 16, 0.0
    if ticket.rush:
        found, x = label(ticket.rush, 0, _BAND + 2, 12)
        marks += found
        x += 7
    ready = say("READY BY")
    marks.append(Words(x, y + 1, ready, _SMALL, strong=True))
    x += width_of(ready, _SMALL, strong=True) + 6
    marks.append(Words(x, y + 2, ticket.promised, fitting(ticket.promised, left - x, 15), strong=True))
    y += 5
    for words in (ticket.group, f"{say('Needed by')} {ticket.needed_by}" if ticket.needed_by else ""):
        if words:
            found, y = paragraph(words, 0, y, left, _USUAL, strong=words == ticket.group)
            marks += found
    found, y = paragraph(_whose(ticket), 0, y, left, _SMALL)
    marks += found
    found, y = _flowing(_named(ticket, piece.facts), 0, max(y + 1, _BAND + _QR_SIDE - 3), width)
    marks += found
    for name, words in (("Keep", piece.must_keep), ("Note", ticket.note)):
        if words:
            found, y = paragraph(f"{say(name)}{say(':')} {words}", 0, y, width, _USUAL, strong=name == "Keep")
            marks += found
    return Block(y + 3, tuple(marks), with_next=True)


def _named(ticket: Ticket, facts: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    say = ticket.tongue.say
    return [(say(name), say(words) if words == NOT_WRITTEN else words) for name, words in facts]


def _flowing(facts: Sequence[tuple[str, str]], x: float, y: float, width: float) -> tuple[list[Mark], float]:
    """Names and what they are, one after the other, as many in a row as it has room for."""
    marks: list[Mark] = []
    start = x
    y += 12
    for name, words in facts:
        named = width_of(name, _SMALL) + 3
        wide = named + width_of(words, 10)
        if x > start and x + wide > width:
            x, y = start, y + 13
        marks.append(Words(x, y, name, _SMALL))
        if x + wide <= width:
            marks.append(Words(x + named, y, words, 10))
        else:
            found, end = paragraph(words, x + named, y - 10, width - x - named, 10)
            marks += found
            x, y = width, end - 2.5
        x += wide + 12
    return marks, y + 3


def _whose(ticket: Ticket) -> str:
    say = ticket.tongue.say
    said = [f"{say('Marked by')} {ticket.by}, {ticket.placed}", f"{say('state')}{say(':')} {ticket.state}"]
    said += [f"{say('customer')} {ticket.customer_ref}"] if ticket.customer_ref else []
    said += [f"{say('sale')} {ticket.sale_ref}"] if ticket.sale_ref else []
    return " · ".join(said)


def _read_first(ticket: Ticket, piece: TicketGarment, width: float) -> Iterator[Block]:
    if not piece.read_first:
        return
    name = ticket.tongue.say(_READ_FIRST)
    indent = width_of(name, 9.5, strong=True) + 12
    for at, words in enumerate(piece.read_first):
        found, y = paragraph(words, indent, 2 if at == 0 else 0, width - indent - 4, 9.5, strong=True)
        if at == 0:
            found += [Box(0, 0, width, 1.5), Words(4, found[0].y, name, 9.5, strong=True)]
        last = at == len(piece.read_first) - 1
        if last:
            found.append(Box(0, y + 3, width, 1.5))
        yield Block(y + (9 if last else 0), tuple(found), with_next=not last)


def _pressing(ticket: Ticket, piece: TicketGarment, width: float) -> Iterator[Block]:
    """How the piece is pressed, in small print: who presses daily is reminded; who does not asks for all of it."""
    steps = [f"{number}. {step}" for number, step in enumerate(piece.steps, start=1)]
    if not piece.pressing:
        return
    marks: list[Mark] = []
    y, name = 0.0, ticket.tongue.say("PRESSING")
    beside = max(46.0, width_of(name, _SMALL, strong=True) + 3)
    for at, words in enumerate(piece.pressing):
        found, y = paragraph(words, beside, y, width - beside, _SMALL)
        marks += [*found, Words(0, found[0].y, name, _SMALL, strong=True)] if at == 0 else found
    yield Block(y + 5, tuple(marks))
    for words in (*piece.finishing, *steps):
        found, y = paragraph(words, 0, 0, width, _SMALL)
        yield Block(y + 1, tuple(found))


def _checks(ticket: Ticket, piece: TicketGarment, width: float) -> Block:
    """Pins are counted, and what is done is signed, on the piece's own page."""
    say = ticket.tongue.say
    pins = f"{say('PINS IN')}{say(':')} {piece.pins}"
    x, y = width_of(pins, 10, strong=True) + 10, 14.0
    marks: list[Mark] = [
        Words(0, y, pins, 10, strong=True),
        *places_to_sign([say(f"out {each}") for each in PIN_COUNTS], x, y, width),
    ]
    for first in range(0, len(piece.checks), _CHECKS_A_ROW):
        y += 16
        marks += places_to_sign(piece.checks[first : first + _CHECKS_A_ROW], 0, y, width)
    return Block(y + 6, (Box(0, 0, width, 0.8), *marks))


def places_to_sign(names: Sequence[str], x: float, y: float, width: float) -> list[Mark]:
    """Names side by side, each with as much room to sign."""
    marks: list[Mark] = []
    named = [width_of(name, _SMALL) + 3 for name in names]
    room = (width - x - sum(named)) / len(names) - 6
    for name, wide in zip(names, named, strict=True):
        marks += [Words(x, y, name, _SMALL), *blank(x + wide, y, room)]
        x += wide + room + 6
    return marks


def _cautions(ticket: Ticket, width: float) -> Block:
    say = ticket.tongue.say
    said = f"{say(';')} ".join(ticket.cautions)
    marks, y = paragraph(f"{say('TAKE CARE')}{say(':')} {said}", 0, 0, width, _SMALL)
    return Block(y + 4, tuple(marks))


def unworked_blocks(ticket: Ticket, piece: TicketGarment, width: float) -> Iterator[Block]:
    """A piece that only goes along: what it is, and its tag."""
    marks = [*_band(ticket, piece, width)]
    found, y = _flowing(_named(ticket, (*piece.facts, ("pins", piece.pins))), 0, _BAND + 2, width)
    marks += [*found, Words(0, y + 10, ticket.tongue.say("No work on this piece"), _USUAL, strong=True)]
    yield Block(y + 15, tuple(marks), with_next=True)
    yield tag_block(ticket, piece, width)


def tag_block(ticket: Ticket, piece: TicketGarment, width: float) -> Block:
    """To be cut out and pinned to the piece: two suits on one rail look alike."""
    half, x, say = width * 0.56, 8.0, ticket.tongue.say
    marks: list[Mark] = [Box(0, 0, width, 56, HAIR)]
    marks.append(Words(x, 19, piece.tag, fitting(piece.tag, half - x, 18), strong=True))
    whose = f", {say('for')} {ticket.customer_ref}" if ticket.customer_ref else ""
    what = f"{piece.garment}, {piece.place}{whose}"
    marks.append(Words(x, 31, what, fitting(what, half - x, _USUAL), strong=True))
    made = ", ".join(words for words in (piece.size, piece.cloth) if words)
    marks.append(Words(x, 41, made, fitting(made, half - x, _USUAL)))
    hangs = " · ".join(words for words in (f"{say('ready by')} {ticket.promised}", ticket.group) if words)
    marks.append(Words(x, 51, hangs, fitting(hangs, half - x, _SMALL)))
    marks += bar_code(ticket.number, half, 7, width - half - 4, 36)
    marks.append(Words(half + 16, 51, say("cut out and pin on"), 6.5))
    return Block(58, tuple(marks))


def _text(words: str, width: float) -> Block:
    marks, y = paragraph(words, 0, 0, width, _SMALL)
    return Block(y + 4, tuple(marks))

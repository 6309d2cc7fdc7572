"""The ticket laid out on A5, a piece a page, for benches split it: read at arm's length, marked with a pencil, scanned.

Each page has the number, the day, what is read first, its piece's place, and a tag to cut out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import cache

from service.papers.rendering.faces import width_of
from service.papers.rendering.layout import (
    NAME_SIZE,
    WORDS_SIZE,
    Block,
    Mark,
    Page,
    Part,
    Sheet,
    Words,
    flow_apart,
    paragraph,
    scaled,
)
from service.papers.ticket_piece_blocks import continued, piece_blocks, places_to_sign, tag_block, unworked_blocks
from service.papers.ticket_pieces import TicketGarment
from service.papers.tickets import Ticket

# ISO 216, in points.
A5 = Sheet(419.53, 595.28, 20)
# One page as long as the ticket, for a screen.
ROLL = Sheet(419.53, None, 20)

_SMALL, _USUAL = NAME_SIZE, WORDS_SIZE
# Letters of 7.5 pt are then 6.7: the least that a bench reads (common practice, no source).
_SMALLER = (0.96, 0.93, 0.9)


def ticket_pages(ticket: Ticket, sheet: Sheet) -> tuple[Page, ...]:
    """The ticket on paper of that kind; its letters are those of whoever draws it."""
    width = sheet.inner
    worked = [piece for piece in ticket.garments if piece.lines] or list(ticket.garments[:1])
    sizes = [_sizes(ticket, piece, sheet) for piece in worked]
    parts = [_part(each, sheet) for each in sizes]
    along = [block for each in ticket.garments if each not in worked for block in unworked_blocks(ticket, each, width)]
    parts[-1] = replace(parts[-1], blocks=(*parts[-1].blocks, *along))
    whole = _of_the_order(ticket, width)
    at = _roomy(parts, whole, sheet)
    if at is None and not along:
        # Rather a little smaller than a page for three lines.
        tight = [_part(each, sheet, whole.height) for each in sizes]
        at = _roomy(tight, whole, sheet)
        parts = [tight[n] if n == at else part for n, part in enumerate(parts)]
    last = len(parts) - 1 if at is None else at
    parts[last] = replace(parts[last], blocks=(*parts[last].blocks, whole))

    def foot(page: int, of: int) -> Iterator[Mark]:
        yield Words(sheet.margin, 8, f"{ticket.shop}, {ticket.tongue.say('ticket')} {ticket.number}", _SMALL)
        words = ticket.tongue.say("page {page} of {of}", page=page, of=of)
        yield Words(sheet.width - sheet.margin - width_of(words, _SMALL), 8, words, _SMALL)

    return flow_apart(parts, sheet, foot)


def _part(of_size: Callable[[float], Part], sheet: Sheet, more: float = 0.0) -> Part:
    """A piece's page with so much `more`: a little smaller where that keeps it on one, else in full on several."""
    if sheet.height is None:
        return of_size(1.0)
    inner = sheet.height - 2 * sheet.margin - more
    full = of_size(1.0)
    # What is too long at the least size is so at all of them.
    if full.height <= inner or of_size(_SMALLER[-1]).height > inner:
        return full
    return next(part for part in map(of_size, _SMALLER) if part.height <= inner)


def _sizes(ticket: Ticket, piece: TicketGarment, sheet: Sheet) -> Callable[[float], Part]:
    """A piece's page by its size, laid out once each."""
    return cache(lambda size: _part_of_size(ticket, piece, sheet, size))


def _part_of_size(ticket: Ticket, piece: TicketGarment, sheet: Sheet, size: float) -> Part:
    width = sheet.inner
    blocks = tuple(scaled(block, size) for block in piece_blocks(ticket, piece, width / size))
    return Part(blocks, continued(ticket, piece, width), tag_block(ticket, piece, width))


def _roomy(parts: Sequence[Part], block: Block, sheet: Sheet) -> int | None:
    """Which piece's only page has room for a block more, if one has."""
    if sheet.height is None:
        return None
    inner = sheet.height - 2 * sheet.margin
    return next((at for at, part in enumerate(parts) if part.height + block.height <= inner), None)


def _of_the_order(ticket: Ticket, width: float) -> Block:
    """What is signed and paid once, however many pieces there are."""
    say = ticket.tongue.say
    money = [f"{say('Total')} {ticket.total}"]
    if ticket.deposit:
        money += [f"{say('deposit')} {ticket.deposit}", f"{say('to pay at collection')} {ticket.balance}"]
    marks: list[Mark] = [*places_to_sign(ticket.checks, 0, 11, width)]
    found, y = paragraph(", ".join(money), 0, 13, width, _USUAL, strong=True)
    marks += found
    found, y = paragraph(f"{say('Minutes')}{say(':')} {', '.join(ticket.minutes)}", 0, y, width, _SMALL)
    return Block(y, (*marks, *found))

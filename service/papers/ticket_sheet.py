"""The ticket laid out on A5: to be read at arm's length, marked with a pencil and scanned; a tag for each piece."""

from __future__ import annotations

from collections.abc import Iterator

from service.papers.rendering.faces import width_of
from service.papers.rendering.layout import (
    HAIR,
    NAME_SIZE,
    WORDS_SIZE,
    Block,
    Box,
    Mark,
    Page,
    Sheet,
    Words,
    bar_code,
    blank,
    facts_in_columns,
    fitting,
    flow,
    flush_left,
    label,
    paragraph,
    square_code,
)
from service.papers.ticket_lines import Measure, TicketLine
from service.papers.tickets import PIN_COUNTS, Ticket, TicketPiece

# ISO 216, in points.
A5 = Sheet(419.53, 595.28, 24)
# One page as long as the ticket, for a screen.
ROLL = Sheet(419.53, None, 24)

_SMALL, _USUAL, _LARGE = NAME_SIZE, WORDS_SIZE, 13.0
_QR_SIDE = 78.0
_TAGS_A_ROW = 2


def ticket_pages(ticket: Ticket, sheet: Sheet) -> tuple[Page, ...]:
    """The ticket on paper of that kind; its letters are those of whoever draws it."""
    blocks = [_head(ticket, sheet.inner), *_read_first(ticket, sheet.inner)]
    for piece in ticket.pieces:
        blocks += [_piece(piece, sheet.inner), *(_line(line, _whose(piece), sheet.inner) for line in piece.lines)]
        if piece.press:
            blocks.append(_text(f"Last: {piece.press}", sheet.inner, _USUAL))
        if piece.steps:
            blocks.append(_finishing(piece, sheet.inner))
    blocks += [*_checks(ticket, sheet.inner), _cautions(ticket, sheet.inner), *_tags(ticket, sheet.inner)]

    def foot(page: int, of: int) -> Iterator[Mark]:
        yield Words(sheet.margin, 14, f"{ticket.shop}, ticket {ticket.number}", _SMALL)
        words = f"page {page} of {of}"
        yield Words(sheet.width - sheet.margin - width_of(words, _SMALL), 14, words, _SMALL)

    return flow(blocks, sheet, foot)


def _head(ticket: Ticket, width: float) -> Block:
    left = width - _QR_SIDE - 8
    marks, y = paragraph(ticket.shop, 0, 0, left, _USUAL)
    marks.append(Words(0, y + 24, f"Ticket {ticket.number}", fitting(f"Ticket {ticket.number}", left, 24), strong=True))
    y += 32
    marks += flush_left(bar_code(ticket.number, 0, y, left, 26), 0)
    marks += square_code(ticket.number, width - _QR_SIDE, 0, _QR_SIDE)
    y = max(y + 26, _QR_SIDE) + 8
    if ticket.rush:
        rush, _ = label(ticket.rush, width - width_of(ticket.rush, 18, strong=True) - 18, y, 18)
        marks += rush
    marks.append(Words(0, y + 8, "READY BY", _SMALL, strong=True))
    marks.append(Words(0, y + 24, ticket.promised, 15, strong=True))
    y += 30
    if ticket.needed_by:
        marks.append(Words(0, y + 9, f"Needed by {ticket.needed_by}", _USUAL))
        y += 13
    facts = (
        ("State", ticket.state),
        ("Placed", ticket.placed),
        ("Marked by", ticket.marked_by),
        ("Customer", ticket.customer_ref),
        ("Sale", ticket.sale_ref),
        ("Pieces", str(len(ticket.pieces))),
        ("Note", ticket.note),
    )
    found, y = facts_in_columns(facts, y, width)
    marks += found
    for alert in ticket.alerts:
        found, end = paragraph(alert, 6, y + 4, width - 12, 11, strong=True)
        marks += [*found, Box(0, y + 2, width, end - y + 4, 1.5)]
        y = end + 8
    return Block(y + 4, tuple(marks))


def _read_first(ticket: Ticket, width: float) -> Iterator[Block]:
    said = [
        f"{'line' if len(notice.lines) == 1 else 'lines'} {', '.join(str(at) for at in notice.lines)}: {notice.text}"
        for notice in ticket.notices
    ]
    said = [*ticket.answers, *ticket.look_again, *said, *ticket.fittings]
    if said:
        marks: list[Mark] = [Words(6, 13, "READ FIRST", _USUAL, strong=True)]
        y = 16.0
        for words in said:
            found, y = paragraph(words, 6, y, width - 12, _USUAL)
            marks += found
        yield Block(y + 12, (*marks, Box(0, 0, width, y + 6, 1.2)))
    if ticket.rounding:
        yield _text(ticket.rounding, width, _SMALL)


def _piece(piece: TicketPiece, width: float) -> Block:
    marks: list[Mark] = [Box(0, 6, width, 19)]
    marks.append(Words(6, 20, f"PIECE {piece.place}: {piece.garment.upper()}", 11, strong=True, white=True))
    tag = f"tag {piece.tag}"
    marks.append(Words(width - 6 - width_of(tag, _USUAL, strong=True), 20, tag, _USUAL, strong=True, white=True))
    facts = (
        ("Size", piece.size or "not written"),
        ("Cloth", piece.cloth or "not written"),
        ("Pattern", piece.pattern),
        ("Style", piece.style),
        ("Lining", piece.lining),
        ("Cuffs", piece.cuffs),
        ("Pins", f"{piece.pins_left_in} left in at marking"),
        ("Seen before", piece.faults_seen),
    )
    found, y = facts_in_columns(facts, 27, width)
    marks += found
    if piece.must_keep:
        found, y = paragraph(f"Keep: {piece.must_keep}", 0, y, width, _USUAL, strong=True)
        marks += found
    if not piece.lines:
        marks.append(Words(0, y + 11, "No work on this piece", _USUAL))
        y += 13
    return Block(y + 4, tuple(marks), with_next=bool(piece.lines))


def _whose(piece: TicketPiece) -> str:
    """Said at every line, because a line may stand on another page than its piece."""
    return f"{piece.garment}, {piece.place}"


def _line(line: TicketLine, whose: str, width: float) -> Block:
    indent, right = 26.0, width - 6
    whose_at = right - width_of(whose, _SMALL)
    marks: list[Mark] = [Words(7, 20, str(line.number), 15, strong=True), Words(whose_at, 17, whose, _SMALL)]
    x, y = indent, 3.0
    if line.side:
        found, wide = label(line.side.upper(), indent, 6, 10)
        marks += found
        x += wide + 5
    found, y = paragraph(line.words, x, y + 4, whose_at - x - 6, 10.5, strong=True)
    marks += found
    y = max(y, 22.0)
    for words in (*line.notices, *([_after(line)] if line.after else [])):
        found, y = paragraph(f"! {words}", indent, y, right - indent, _USUAL, strong=True)
        marks += found
    found, y = _measures(line, indent, y + 2, right)
    marks += found
    for name, words in (("Inlay", line.inlay), ("Marked with", line.marked), ("Note", line.note)):
        if words:
            found, y = paragraph(f"{name}: {words}", indent, y, right - indent, _USUAL)
            marks += found
    if line.caution:
        found, y = paragraph(f"Caution: {line.caution}", indent, y, right - indent, _SMALL)
        marks += found
    found, y = _signatures(line, indent, y + 5, right)
    return Block(y + 6, (*marks, *found, Box(0, 0, width, y + 3, HAIR)))


def _measures(line: TicketLine, x: float, y: float, right: float) -> tuple[list[Mark], float]:
    """The change, and the finished measure large enough not to be missed."""
    marks: list[Mark] = []
    for change in line.change:
        found, y = _measure("", change, x, y, right, _USUAL)
        marks += found
    if line.finished:
        found, y = _measure("to ", line.finished, x, y + 2, right, _LARGE)
        marks += found
    elif line.not_pinned:
        marks += [Words(x, y + 14, "to", _LARGE, strong=True), *blank(x + 24, y + 14, 120)]
        marks.append(Words(x + 150, y + 14, "NOT PINNED", _LARGE, strong=True))
        y += 18
    elif line.change:
        marks += [Words(x, y + 14, "to", _LARGE, strong=True), *blank(x + 24, y + 14, 120)]
        marks.append(Words(x + 150, y + 14, "not written: measure first", _USUAL))
        y += 18
    if line.cut:
        found, y = _measure("CUT AT ", line.cut, x, y + 2, right, _LARGE)
        marks += found
    if line.mark_again:
        marks += [Words(x, y + 15, "to", _LARGE, strong=True), *blank(x + 24, y + 15, 120)]
        marks += [Words(x + 150, y + 15, "marked again by", _USUAL), *blank(x + 232, y + 15, right - x - 232)]
        y += 20
    return marks, y


def _measure(before: str, measure: Measure, x: float, y: float, right: float, size: float) -> tuple[list[Mark], float]:
    strong = size == _LARGE
    words = f"{before}{measure.text}"
    size = fitting(words, right - x, size)
    y += size * 1.3
    marks: list[Mark] = [Words(x, y - size * 0.3, words, size, strong)]
    beside = x + width_of(words, size, strong=strong) + 10
    if beside + width_of(measure.of, _USUAL) <= right:
        return [*marks, Words(beside, y - size * 0.3, measure.of, _USUAL)], y
    found, y = paragraph(measure.of, x, y, right - x, _USUAL)
    return [*marks, *found], y


def _signatures(line: TicketLine, x: float, y: float, right: float) -> tuple[list[Mark], float]:
    marks: list[Mark] = []
    if line.second_reading:
        words = "before the cut, read again by"
        end = x + width_of(words, _USUAL, strong=True) + 6
        marks += [Words(x, y + 10, words, _USUAL, strong=True), *blank(end, y + 10, 70)]
        y += 18
    names = ("done by", "measured") if line.change or line.finished or line.not_pinned else ("done by",)
    at = x
    for name, room in zip((*names, "min taken"), (52, 52, 26) if len(names) > 1 else (52, 26), strict=True):
        marks.append(Words(at, y + 10, name, _SMALL))
        at += width_of(name, _SMALL) + 3
        marks += blank(at, y + 10, room)
        at += room + 8
    words = f"{line.minutes} min · {line.price}"
    size = fitting(words, max(right - at, 40), _SMALL)
    marks.append(Words(right - width_of(words, size), y + 10, words, size))
    return marks, y + 13


def _finishing(piece: TicketPiece, width: float) -> Block:
    """How the piece is pressed, in small print: who finishes daily knows it, who does not must find it."""
    marks: list[Mark] = [Words(0, 10, f"FINISHING: {piece.garment}", _SMALL, strong=True)]
    y = 12.0
    steps = (f"{number}. {step}" for number, step in enumerate(piece.steps, start=1))
    for words in (*piece.finishing, *steps):
        found, y = paragraph(words, 0, y, width, _SMALL)
        marks += found
    return Block(y + 8, tuple(marks))


def _checks(ticket: Ticket, width: float) -> Iterator[Block]:
    marks: list[Mark] = [Words(0, 22, f"PINS IN {ticket.pins_in}", _LARGE, strong=True)]
    asked = [f"OUT {when}" for when in PIN_COUNTS]
    wide = [width_of(words, _USUAL, strong=True) + 4 for words in asked]
    x, gap = 104.0, 8.0
    room = (width - x - sum(wide)) / len(asked) - gap
    for words, of in zip(asked, wide, strict=True):
        marks.append(Words(x, 22, words, _USUAL, strong=True))
        marks += blank(x + of, 22, room)
        x += of + room + gap
    yield Block(30, (*marks, Box(0, 2, width, 1)), with_next=True)
    for check in (*(f"{said.partition(':')[0]} fitted, by" for said in ticket.fittings), *ticket.checks):
        yield Block(17, (Words(0, 12, check, _USUAL), *blank(width - 150, 12, 150)))
    money = [("Total", ticket.total)]
    if ticket.deposit:
        money += [("Deposit", ticket.deposit), ("To pay at collection", ticket.balance)]
    words = "; ".join(ticket.minutes)
    found, y = paragraph(words, 0, 4, width, _USUAL)
    for name, amount in money:
        y += 13
        found += [Words(0, y, name, _USUAL, name == "Total")]
        found += [Words(width - width_of(amount, _USUAL, strong=name == "Total"), y, amount, _USUAL, name == "Total")]
    yield Block(y + 8, tuple(found))


def _cautions(ticket: Ticket, width: float) -> Block:
    marks: list[Mark] = [Words(0, 12, "TAKE CARE", _USUAL, strong=True)]
    y = 14.0
    for caution in ticket.cautions:
        found, y = paragraph(f"– {caution}", 0, y, width, _SMALL)
        marks += found
    return Block(y + 6, tuple(marks))


def _tags(ticket: Ticket, width: float) -> Iterator[Block]:
    """A tag for each piece, to be cut out and pinned to it: two suits on one rail look alike."""
    room, height = width / _TAGS_A_ROW, 72.0
    yield Block(16, (Words(0, 12, "CUT OUT AND PIN ON", _SMALL, strong=True),), with_next=True)
    for first in range(0, len(ticket.pieces), _TAGS_A_ROW):
        marks: list[Mark] = []
        for at, piece in enumerate(ticket.pieces[first : first + _TAGS_A_ROW]):
            x = at * room
            marks.append(Box(x, 0, room, height, HAIR))
            marks.append(Words(x + 15, 20, piece.tag, fitting(piece.tag, room - 20, 16), strong=True))
            marks.append(Words(x + 15, 33, f"{piece.garment}, {piece.place}", _USUAL))
            words = f"ready by {ticket.promised}"
            marks.append(Words(x + 15, 44, words, fitting(words, room - 20, _SMALL)))
            marks += bar_code(ticket.number, x, 49, room, 18)
        yield Block(height, tuple(marks))


def _text(words: str, width: float, size: float) -> Block:
    marks, y = paragraph(words, 0, 2, width, size)
    return Block(y + 6, tuple(marks))


def _after(line: TicketLine) -> str:
    return f"only after line {', '.join(str(number) for number in line.after)}"

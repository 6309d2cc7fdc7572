"""Plain text, as wide as a receipt: ASCII only, because a receipt printer's code page holds little more."""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Iterator

from service.documents.slips import Slip
from service.documents.tickets import Measure, Ticket, TicketLine, TicketPiece

WIDTH = 42
_LABEL = 10
_VALUE = 22

# What decomposing does not bring to ASCII.
_SIGNS = {
    **{"−": "-", "–": "-", "—": "-", "‑": "-", "×": "x", "≥": ">=", "≤": "<=", "⁄": "/", "…": "..."},
    **{"‘": "'", "’": "'", "“": '"', "”": '"', "→": "->", "°": " deg ", "€": "EUR ", "£": "GBP "},
    **{"ß": "ss", "æ": "ae", "Æ": "AE", "ø": "o", "Ø": "O", "œ": "oe", "Œ": "OE", "ł": "l", "Ł": "L", "đ": "d"},
    **{"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8"},
}
_TABLE = str.maketrans(_SIGNS)


def ticket_text(ticket: Ticket) -> str:
    """The ticket for a receipt printer; every line ends with a newline and is at most `WIDTH` wide."""
    return "\n".join([*_head(ticket), *(line for piece in ticket.pieces for line in _piece(piece)), *_foot(ticket), ""])


def slip_text(slip: Slip) -> str:
    """The customer's slip; lines as in `ticket_text`."""
    rows = ["=" * WIDTH, *_centred(slip.shop), "=" * WIDTH, *_row("order", slip.number), *_row("now", slip.state)]
    if slip.promised:
        rows += _row("promised", slip.promised)
    return "\n".join([*rows, ""])


def _head(ticket: Ticket) -> Iterator[str]:
    yield "=" * WIDTH
    yield from _centred(ticket.shop)
    yield "=" * WIDTH
    yield from _row("TICKET", ticket.number)
    yield from _row("PROMISED", ticket.promised)
    if ticket.needed_by:
        yield from _row("NEEDED BY", ticket.needed_by)
    yield from _row("state", ticket.state)
    yield from _row("placed", ticket.placed)
    yield from _row("marked by", ticket.marked_by)
    for label, ref in (("customer", ticket.customer_ref), ("sale", ticket.sale_ref)):
        if ref:
            yield from _row(label, ref)
    yield from _row("pieces", str(len(ticket.pieces)))
    for alert in ticket.alerts:
        yield from _row("!!", alert, width=3)
    if ticket.notices:
        yield ""
        yield "READ FIRST"
    for notice in ticket.notices:
        at = ", ".join(str(number) for number in notice.lines)
        yield from _row("!!", f"{'line' if len(notice.lines) == 1 else 'lines'} {at}: {notice.text}", width=3)


def _piece(piece: TicketPiece) -> Iterator[str]:
    yield ""
    yield "=" * WIDTH
    yield from _wrapped(f"PIECE {piece.place}  {piece.garment.upper()}")
    yield from _row("tag", piece.tag)
    yield from _row("size", piece.size or "not ours: no size known")
    yield from _row("cloth", piece.cloth or "not written")
    yield from _row("pattern", piece.pattern)
    if piece.cuffs:
        yield from _row("cuffs", piece.cuffs)
    yield from _row("pins", f"{piece.pins_left_in} left in at marking")
    if not piece.lines:
        yield from _row("work", "none on this piece")
    for line in piece.lines:
        yield from _line(line)
    if piece.press:
        yield "-" * WIDTH
        yield from _row("", f"last: {piece.press}", width=3)


def _line(line: TicketLine) -> Iterator[str]:
    yield "-" * WIDTH
    side = {"": "", "left": "LEFT: ", "right": "RIGHT: ", "both": "BOTH: "}[line.side]
    yield from _row(f"{line.number}", f"{side}{line.words}", width=3)
    for change in line.change:
        yield from _measure("", change)
    if line.finished:
        yield from _measure("TO", line.finished)
    else:
        yield "TO ________  not written: measure first"
    for notice in line.notices:
        yield from _row("!!", notice, width=3)
    if line.after:
        yield from _row("!!", f"only after line {', '.join(str(number) for number in line.after)}", width=3)
    for label, words in (("inlay", line.inlay), ("note", line.note), ("caution", line.caution)):
        if words:
            yield from _row("", f"{label}: {words}", width=3)
    if line.second_reading:
        yield "   before the cut, read again by [      ]"
    yield f"   done by [      ]  measured [          ]"
    yield from _ends(f"   {line.minutes} min", line.price)


def _foot(ticket: Ticket) -> Iterator[str]:
    yield ""
    yield "=" * WIDTH
    yield from _ends(f"PINS IN  {ticket.pins_in}", "PINS OUT [      ]")
    for check in ticket.checks:
        yield from _ends(check, "[          ]")
    yield "-" * WIDTH
    for minutes in ticket.minutes:
        yield from _wrapped(minutes)
    yield from _ends("TOTAL", ticket.total)
    yield "-" * WIDTH
    yield "TAKE CARE"
    for caution in ticket.cautions:
        yield from _row("-", caution, width=2)


def _measure(mark: str, measure: Measure) -> list[str]:
    """A measure is never broken: its words go beside it, or below where there is no room."""
    start = f"{mark:<3}{_ascii(measure.text):<{_VALUE}}"
    if len(start) + len(measure.of) <= WIDTH:
        return [start + measure.of]
    return [start.rstrip(), *_row("", measure.of, width=6)]


def _row(label: str, words: str, width: int = _LABEL) -> list[str]:
    """A label and its words, which stay clear of the label's column."""
    lines = _wrapped(words, WIDTH - max(width, len(label) + 1))
    first, indent = f"{label:<{width}}", " " * width
    if len(label) >= width:
        first, indent = f"{label} ", " " * (len(label) + 1)
    return [f"{first if at == 0 else indent}{line}".rstrip() for at, line in enumerate(lines)]


def _ends(left: str, right: str) -> list[str]:
    """One at the left edge, one at the right; on two lines where they would touch."""
    left, right = _ascii(left, keep_edges=True), _ascii(right)
    if len(left) + len(right) < WIDTH:
        return [f"{left}{right:>{WIDTH - len(left)}}"]
    return [*_wrapped(left), *(f"{line:>{WIDTH}}" for line in _wrapped(right))]


def _centred(words: str) -> list[str]:
    return [line.center(WIDTH).rstrip() for line in _wrapped(words)]


def _wrapped(words: str, width: int = WIDTH) -> list[str]:
    """Words stay whole; only one that is longer than the line itself goes on in the next."""
    return textwrap.wrap(_ascii(words), width, break_on_hyphens=False) or [""]


def _ascii(words: str, *, keep_edges: bool = False) -> str:
    """The same words in printable ASCII; a control sign is a space, what has no likeness a question mark."""
    plain = unicodedata.normalize("NFKD", words.translate(_TABLE))
    signs = (_sign(sign) for sign in plain if not unicodedata.combining(sign))
    text = "".join(signs)
    return text if keep_edges else " ".join(text.split())


def _sign(sign: str) -> str:
    if sign.isspace() or unicodedata.category(sign).startswith("C"):
        return " "
    return sign if sign.isascii() else "?"

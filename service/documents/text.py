"""Plain text, as wide as a receipt: ASCII only, because a receipt printer's code page holds little more."""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Iterator

from service.documents.tickets import Measure, Ticket, TicketLine, TicketPiece

WIDTH = 42
_LABEL = 10
_VALUE = 20

# What decomposing a sign does not bring to ASCII.
_LIKENESS = {
    "−": "-",
    "×": "x",
    "≥": ">=",
    "≤": "<=",
    "→": "->",
    "€": "EUR ",
    "£": "GBP ",
    "ß": "ss",
    "æ": "ae",
    "Æ": "AE",
    "ø": "o",
    "Ø": "O",
    "œ": "oe",
    "Œ": "OE",
    "ł": "l",
    "Ł": "L",
    "đ": "d",
    "Đ": "D",
}


def ticket_text(ticket: Ticket) -> str:
    """The ticket for a receipt printer; every line ends with a newline and is at most `WIDTH` wide."""
    return "\n".join([*_head(ticket), *(line for piece in ticket.pieces for line in _piece(piece)), *_foot(ticket), ""])


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
    if ticket.rounding:
        yield ""
        yield from _wrapped(ticket.rounding)


def _piece(piece: TicketPiece) -> Iterator[str]:
    yield ""
    yield "=" * WIDTH
    yield from _wrapped(f"PIECE {piece.place}  {piece.garment.upper()}")
    yield from _row("tag", piece.tag)
    yield from _row("size", piece.size or "not written")
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
    side = f"{line.side.upper()}: " if line.side else ""
    yield from _row(str(line.number), f"{side}{line.words}", width=3)
    # What stops the hand stands before the figures.
    for notice in line.notices:
        yield from _row("!!", notice, width=3)
    if line.after:
        yield from _row("!!", f"only after line {', '.join(str(number) for number in line.after)}", width=3)
    for change in line.change:
        yield from _measure("", change)
    if line.finished:
        yield from _measure("TO", line.finished)
    elif line.change:
        yield "TO ____________ not written: measure first"
    if line.mark_again:
        yield "TO [______________] marked again by [____]"
    for label, words in (("inlay", line.inlay), ("note", line.note), ("caution", line.caution)):
        if words:
            yield from _row("", f"{label}: {words}", width=3)
    if line.second_reading:
        yield "   before the cut, read again by [_____]"
    yield "   done by [______]" + ("  measured [__________]" if line.change or line.finished else "")
    yield from _ends(f"{line.minutes} min", line.price, indent=3)


def _foot(ticket: Ticket) -> Iterator[str]:
    yield ""
    yield "=" * WIDTH
    yield from _ends(f"PINS IN  {ticket.pins_in}", "PINS OUT [______]")
    for check in ticket.checks:
        yield from _ends(check, "[__________]")
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
    text = _ascii(measure.text)
    if len(text) < _VALUE and 3 + _VALUE + len(measure.of) <= WIDTH:
        return [f"{mark:<3}{text:<{_VALUE}}{measure.of}"]
    return [f"{mark:<3}{text}", *_row("", measure.of, width=6)]


def _row(label: str, words: str, width: int = _LABEL) -> list[str]:
    """A label and its words, which stay clear of the label's column."""
    lines = _wrapped(words, WIDTH - max(width, len(label) + 1))
    first, indent = f"{label:<{width}}", " " * width
    if len(label) >= width:
        first, indent = f"{label} ", " " * (len(label) + 1)
    return [f"{first if at == 0 else indent}{line}".rstrip() for at, line in enumerate(lines)]


def _ends(left: str, right: str, indent: int = 0) -> list[str]:
    """One at the left edge, one at the right; on two lines where they would touch."""
    left, right = _ascii(left), _ascii(right)
    if indent + len(left) + len(right) < WIDTH:
        return [" " * indent + f"{left}{right:>{WIDTH - indent - len(left)}}"]
    return [*_row("", left, indent), *(f"{line:>{WIDTH}}" for line in _wrapped(right))]


def _centred(words: str) -> list[str]:
    return [line.center(WIDTH).rstrip() for line in _wrapped(words)]


def _wrapped(words: str, width: int = WIDTH) -> list[str]:
    """Words stay whole; only one that is longer than the line itself goes on in the next."""
    return textwrap.wrap(_ascii(words), width, break_on_hyphens=False) or [""]


def _ascii(words: str) -> str:
    """The same words in printable ASCII, one space between them."""
    return " ".join("".join(_likeness(sign) for sign in words).split())


def _likeness(sign: str) -> str:
    """A space for a control sign, nothing for what has no width, a question mark for what has no likeness."""
    if unicodedata.decomposition(sign).startswith("<fraction>"):
        # The space keeps "36" and its half apart.
        return " " + "/".join(unicodedata.normalize("NFKD", sign).split("\N{FRACTION SLASH}"))
    plain = unicodedata.normalize("NFKD", _LIKENESS.get(sign, sign))
    return "".join(part if part.isascii() and part.isprintable() else _foreign(part) for part in plain)


def _foreign(sign: str) -> str:
    category = unicodedata.category(sign)
    if category in {"Cc", "Zs", "Zl", "Zp"}:
        return " "
    if category in {"Mn", "Me", "Cf"}:
        return ""
    return {"Pd": "-", "Pi": "'", "Pf": "'"}.get(category, "?")

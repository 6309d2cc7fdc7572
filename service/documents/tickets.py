"""The ticket: the paper that travels with the pieces. What it says is decided here, once for every format.

A ticket is read at the bench without the fitter at hand. So each line gives the change and the finished
measure aimed at, left and right stand apart, and what stops the work stands where the work is read.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import tzinfo
from functools import cache

from service.documents.wording import ROUNDED_WORDS, change_text, day_text, length_text, money_text
from service.tailoring import tables
from service.tailoring.alterations import Alteration, alteration, must_precede
from service.tailoring.cautions import cautions_at
from service.tailoring.garment_pieces import GarmentPiece
from service.tailoring.money import Money
from service.tailoring.order_lines import OrderLine, line_numbers
from service.tailoring.orders import Order, charges
from service.tailoring.quantities import Length, inches
from service.tailoring.workroom import presses, work_of

# Cut only after a second reading when more than this comes off (common practice, no source).
SECOND_READING_OVER_MM = inches(1)

CHECKS = (
    "pockets empty before work",
    "measured by second person",
    "bastings, tacks, chalk out",
    "pressed by",
    "tried on at collection",
)

_OPPOSITE = {"left": "right", "right": "left"}
_BASIS = {"girth": "girth", "per_side": "per side", "per_leg": "per leg", "length": "length"}


@cache
def _measures() -> list[dict[str, str]]:
    return tables.rows("ticket_measures")


def _seams(code: str) -> str:
    """At how many seams a girth is changed, so that a half is not sewn twice; "?" leaves it to the tailor."""
    return next((row["seams"] for row in _measures() if row["alteration"] == code), "")


@dataclass(frozen=True, slots=True)
class Measure:
    """A length both ways, signed where it is a change, and what it is a measure of."""

    text: str
    of: str


@dataclass(frozen=True, slots=True)
class TicketLine:
    """One line of work. `change` begins with the amount as ordered; shares of a girth follow it.

    `side` is "", "both", "left", "right", or "left only" where no line of the piece is for the other side.
    `mark_again`: the finished measure gives way to a new mark. `after`: lines on other pieces sewn first.
    `second_reading`: measured again by another person before the cut.
    """

    number: int
    words: str
    side: str
    change: tuple[Measure, ...]
    finished: Measure | None
    notices: tuple[str, ...]
    mark_again: bool
    after: tuple[int, ...]
    inlay: str
    second_reading: bool
    note: str
    caution: str
    minutes: int
    price: str


@dataclass(frozen=True, slots=True)
class TicketPiece:
    """One garment with its work; `press` is the closing press where no line of its own asks for it."""

    place: str
    tag: str
    garment: str
    size: str
    cloth: str
    pattern: str
    cuffs: str
    pins_left_in: int
    lines: tuple[TicketLine, ...]
    press: str


@dataclass(frozen=True, slots=True)
class TicketNotice:
    """What must be looked at first, and at which lines."""

    lines: tuple[int, ...]
    text: str


@dataclass(frozen=True, slots=True)
class Ticket:
    """All that the paper says. `alerts` are what an order's last moves ask of whoever picks it up."""

    shop: str
    number: str
    state: str
    alerts: tuple[str, ...]
    placed: str
    promised: str
    needed_by: str
    customer_ref: str
    sale_ref: str
    marked_by: str
    notices: tuple[TicketNotice, ...]
    pieces: tuple[TicketPiece, ...]
    rounding: str
    pins_in: int
    checks: tuple[str, ...]
    minutes: tuple[str, ...]
    total: str
    cautions: tuple[str, ...]


def ticket(order: Order, shop: str, zone: tzinfo | None = None) -> Ticket:
    """The ticket of `order` as it stands; the hour of placing in `zone`, or as the order has it."""
    pieces, work = sorted(order.garments, key=lambda piece: piece.piece), work_of(order.lines)
    minutes = {item.bench: 0 for item in work}
    for item in work:
        minutes[item.bench] += item.minutes
    placed = order.placed_at.astimezone(zone) if zone else order.placed_at
    numbers = line_numbers(order.lines)
    owed = Money(sum(charge.amount.minor for charge in charges(order)), order.total.currency)
    shown = tuple(_piece(order, piece, f"{n} of {len(pieces)}", numbers) for n, piece in enumerate(pieces, start=1))
    return Ticket(
        shop=shop,
        number=order.number,
        state=order.state.replace("_", " "),
        alerts=_alerts(order),
        placed=f"{day_text(placed.date())}, {placed:%H:%M}",
        promised=day_text(order.promised_for) if order.promised_for else "no day promised",
        needed_by=day_text(order.needed_by) if order.needed_by else "",
        customer_ref=order.customer_ref or "",
        sale_ref=order.sale_ref or "",
        marked_by=order.marked_by,
        notices=_notices(order, numbers),
        pieces=shown,
        rounding=ROUNDED_WORDS if any(_is_rounded(line) for piece in shown for line in piece.lines) else "",
        pins_in=order.pins_left_in,
        checks=CHECKS,
        minutes=tuple(f"{bench} bench, {count} min" for bench, count in minutes.items()),
        total=money_text(owed),
        cautions=tuple(caution.text for caution in cautions_at(minutes)),
    )


def _is_rounded(line: TicketLine) -> bool:
    return any(measure.text.startswith("~") for measure in (*line.change, line.finished) if measure)


def _alerts(order: Order) -> tuple[str, ...]:
    """A cancelled order, an open question, why the order came back: what its state alone does not say."""
    last, found = order.events[-1], []
    if order.state == "cancelled":
        found.append("CANCELLED: do no work, give the pieces back")
        if dict(last.facts).get("cloth_cut"):
            found.append("cloth was already cut")
    if order.state == "query":
        found.append(f"QUERY: {last.note}" if last.note else "QUERY: stop, ask the fitter")
    redo = next((event for event in reversed(order.events) if event.is_redo), None)
    if redo and order.state not in {"collected", "cancelled"}:
        found.append(f"REDO, free: {dict(redo.facts)['reason']}")
    return tuple(found)


def _notices(order: Order, numbers: dict[int, int]) -> tuple[TicketNotice, ...]:
    lines: dict[str, list[int]] = {}
    for notice in order.notices:
        position = notice.at[1]
        if isinstance(position, int):
            lines.setdefault(notice.text, []).append(numbers[position])
    return tuple(TicketNotice(tuple(sorted(at)), text) for text, at in lines.items())


def _piece(order: Order, piece: GarmentPiece, place: str, numbers: dict[int, int]) -> TicketPiece:
    mine = [position for position in numbers if order.lines[position].piece == piece.piece]
    press = alteration(presses()[piece.garment])
    has_press = any(order.lines[position].alteration == press.code for position in mine)
    cuffs = "HOLES WORKED: length only from the shoulder" if piece.worked_buttonholes else "holes not worked"
    return TicketPiece(
        place=place,
        tag=f"{order.number}/{piece.piece}",
        garment=piece.garment,
        size=" ".join(part for part in (piece.chart, piece.label) if part),
        cloth=piece.cloth,
        pattern=piece.pattern if piece.pattern == "plain" else f"{piece.pattern}: match it at every seam",
        cuffs=cuffs if piece.worked_buttonholes or piece.garment == "jacket" else "",
        pins_left_in=piece.pins_left_in,
        lines=tuple(_line(order, position, numbers) for position in mine),
        press=_press(piece.garment, press) if mine and not has_press else "",
    )


def _press(garment: str, press: Alteration) -> str:
    # The table of presses lends a shirt and a waistcoat the minutes of another garment, not its words.
    own = press.garment == garment
    words = f"{press.words if own else f'press {garment}'}, {press.minutes} min, no charge"
    return f"{words}; caution: {press.caution}" if own and press.caution else words


def _line(order: Order, position: int, numbers: dict[int, int]) -> TicketLine:
    line = order.lines[position]
    doing, amount = alteration(line.alteration), line.amount
    side = (amount.side if amount else None) or ""
    notices = [notice for notice in order.notices if notice.at[1] == position]
    opposed = any(other.piece == line.piece and other.side == _OPPOSITE.get(side) for other in order.lines)
    cut = amount is not None and (amount.basis, amount.direction) == ("length", "decrease")
    return TicketLine(
        number=numbers[position],
        words=doing.words.replace(" (pair)", "") if side in _OPPOSITE else doing.words,
        side=f"{side} only" if side in _OPPOSITE and not opposed else side,
        change=_change(doing, line),
        finished=Measure(length_text(line.target), _finished(doing, side)) if line.target else None,
        notices=(*dict.fromkeys(notice.text for notice in notices), *_other_side(order, position, numbers)),
        mark_again=any(notice.code == "hem_remark" for notice in notices),
        after=_after(order, position, numbers),
        inlay=_inlay(line),
        second_reading=bool(cut and amount and amount.length.mm > SECOND_READING_OVER_MM + 0.001),
        note=line.note,
        caution=doing.caution,
        minutes=line.minutes,
        price=money_text(line.price),
    )


def _change(doing: Alteration, line: OrderLine) -> tuple[Measure, ...]:
    """The amount as ordered; a girth also per side and, where the seams are known, per cloth edge."""
    amount = line.amount
    if amount is None:
        return ()

    def share(count: int, of: str) -> Measure:
        return Measure(change_text(amount.length, amount.direction, count), of)

    basis = _BASIS[amount.basis]
    if amount.side is not None:
        return (share(1, f"{basis}, each" if amount.side == "both" else f"{basis}, {amount.side}"),)
    seams = _seams(doing.code)
    if not seams:
        return (share(1, basis),)
    shares = {"1": ((2, "per side, each edge"),), "2": ((2, "per side, each seam"), (4, "per cloth edge"))}
    return share(1, f"{basis}, all round"), *(share(*each) for each in shares.get(seams, ((2, "per side"),)))


def _finished(doing: Alteration, side: str) -> str:
    known = next((row["finished"] for row in _measures() if row["alteration"] == doing.code), "")
    return known or f"{_BASIS[doing.basis or 'length']}{f', {side}' if side in {'left', 'right'} else ''}"


def _inlay(line: OrderLine) -> str:
    if line.inlay_seen is not None:
        return f"seen, {length_text(line.inlay_seen)}"
    if line.subject_to_inlay:
        return "NOT SEEN: look before unpicking"
    return ""


def _other_side(order: Order, position: int, numbers: dict[int, int]) -> list[str]:
    """A marked difference between left and right is evened out by a tidy hand unless the paper says so."""
    line = order.lines[position]
    return [
        f"left and right differ: do not make equal (line {numbers[at]})"
        for at, other in enumerate(order.lines)
        if (other.piece, other.alteration) == (line.piece, line.alteration)
        and {line.side, other.side} == {"left", "right"}
        and (_mm(other.target), _way(other)) != (_mm(line.target), _way(line))
    ]


def _way(line: OrderLine) -> tuple[str, float] | None:
    return (line.amount.direction, _mm(line.amount.length)) if line.amount else None


def _mm(length: Length | None) -> float:
    return round(length.mm, 1) if length else 0.0


def _after(order: Order, position: int, numbers: dict[int, int]) -> tuple[int, ...]:
    line = order.lines[position]
    return tuple(
        sorted(
            numbers[at]
            for at, other in enumerate(order.lines)
            if other.piece != line.piece and (other.alteration, line.alteration) in must_precede()
        )
    )

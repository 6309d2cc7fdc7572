"""The ticket: the paper that travels with the pieces. What it says is decided here, once for every format.

A ticket is read at the bench without the fitter at hand. So each line gives the change and the finished
measure aimed at, left and right stand apart, and what stops the work stands where the work is read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo
from typing import cast

from service.papers.ticket_lines import TicketLine, ticket_line
from service.papers.wording import ROUNDED_WORDS, day_text, length_text, money_text
from service.tailoring.garments.alterations import Alteration, alteration
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.hems.hems import HEM_CODES
from service.tailoring.orders.order_lines import line_numbers
from service.tailoring.orders.orders import Order, charges
from service.tailoring.work.cautions import cautions_at
from service.tailoring.work.creases import creases, front_of
from service.tailoring.work.finishing import FUSED, PILE, heat_of, kind_of, pressing_steps
from service.tailoring.work.prices import Money
from service.tailoring.workroom.bookings import presses, work_of

CHECKS = (
    "pockets empty before work",
    "measured by second person",
    "bastings, tacks, chalk out",
    "pressed by",
    "tried on at collection",
    "collected by",
)
# When pins are counted, each time all of them.
PIN_COUNTS = ("at pressing", "at hand-over")
# From this difficulty on, of 5, the work is basted and fitted before it is closed (common practice, no source).
FITTED_FROM_DIFFICULTY = 4

_LININGS = {"full": "full", "half": "half: finish the seams inside", "none": "none: finish the seams inside"}


@dataclass(frozen=True, slots=True)
class TicketPiece:
    """One garment with its work; `press` is the closing press where no line of its own asks for it.

    `finishing` is how it is pressed: heat and creases; `steps` in which order. Nothing where no work is done on it.
    """

    place: str
    tag: str
    garment: str
    size: str
    style: str
    cloth: str
    pattern: str
    lining: str
    cuffs: str
    must_keep: str
    faults_seen: str
    pins_left_in: int
    lines: tuple[TicketLine, ...]
    press: str
    finishing: tuple[str, ...]
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TicketNotice:
    """What must be looked at first, and at which lines."""

    lines: tuple[int, ...]
    text: str


@dataclass(frozen=True, slots=True)
class Ticket:
    """All that the paper says. `number` stands on it as a QR code and as a Code 128 too.

    `rush` is "" or what is printed large. `alerts` are what an order's last moves ask of whoever picks it up.
    `deposit` and `balance` are "" where nothing is paid down. `answers` are the workroom's questions with what the
    fitter said, `look_again` what the fitting left in doubt; `fittings` lines that are fitted before they are closed.
    """

    shop: str
    number: str
    state: str
    rush: str
    alerts: tuple[str, ...]
    placed: str
    promised: str
    needed_by: str
    customer_ref: str
    sale_ref: str
    marked_by: str
    note: str
    answers: tuple[str, ...]
    look_again: tuple[str, ...]
    notices: tuple[TicketNotice, ...]
    fittings: tuple[str, ...]
    pieces: tuple[TicketPiece, ...]
    rounding: str
    pins_in: int
    checks: tuple[str, ...]
    minutes: tuple[str, ...]
    total: str
    deposit: str
    balance: str
    cautions: tuple[str, ...]


def ticket(order: Order, shop: str, zone: tzinfo | None = None) -> Ticket:
    """The ticket of `order` as it stands; the hour of placing in `zone`, or as the order has it."""
    pieces, work = sorted(order.garments, key=lambda piece: piece.piece), work_of(order.lines)
    minutes = {item.bench: 0 for item in work}
    for item in work:
        minutes[item.bench] += item.minutes
    numbers = line_numbers(order.lines)
    owed = Money(sum(charge.amount.minor for charge in charges(order)), order.total.currency)
    paid = Money(min(owed.minor, order.deposit.minor), owed.currency)
    shown = tuple(_piece(order, piece, f"{n} of {len(pieces)}", numbers) for n, piece in enumerate(pieces, start=1))
    return Ticket(
        shop=shop,
        number=order.number,
        state=order.state.replace("_", " "),
        rush="RUSH" if order.rush else "",
        alerts=_alerts(order, zone),
        placed=_hour_text(order.placed_at, zone),
        promised=day_text(order.promised_for) if order.promised_for else "no day promised",
        needed_by=day_text(order.needed_by) if order.needed_by else "",
        customer_ref=order.customer_ref or "",
        sale_ref=order.sale_ref or "",
        marked_by=order.marked_by,
        note=order.note,
        answers=_answers(order),
        look_again=order.look_again,
        notices=_notices(order, numbers),
        fittings=_fittings(order, numbers),
        pieces=shown,
        rounding=ROUNDED_WORDS if any(_is_rounded(line) for piece in shown for line in piece.lines) else "",
        pins_in=order.pins_to_count,
        checks=CHECKS,
        minutes=tuple(f"{bench} bench, {count} min" for bench, count in minutes.items()),
        total=money_text(owed),
        deposit=money_text(paid) if paid.minor else "",
        balance=money_text(Money(owed.minor - paid.minor, owed.currency)) if paid.minor else "",
        cautions=tuple(caution.text for caution in cautions_at(minutes)),
    )


def _is_rounded(line: TicketLine) -> bool:
    return any(measure.is_rounded for measure in (*line.change, line.finished) if measure)


def _hour_text(at: datetime, zone: tzinfo | None) -> str:
    local = at.astimezone(zone) if zone else at
    return f"{day_text(local.date())}, {local:%H:%M}"


def _alerts(order: Order, zone: tzinfo | None) -> tuple[str, ...]:
    """A cancelled order, an open question, why the order came back: what its state alone does not say."""
    last, found = order.events[-1], []
    if order.state == "cancelled":
        found.append("CANCELLED: do no work, give the pieces back")
        if dict(last.facts).get("cloth_cut"):
            found.append("cloth was already cut")
    if order.state == "query":
        found.append(f"QUERY: {order.open_question or 'stop, ask the fitter'}")
    unmarked = sorted({line.piece for line in order.lines if line.to_be_pinned})
    if unmarked and order.state != "cancelled":
        found.append(f"HEM NOT PINNED, piece {', '.join(map(str, unmarked))}: not to be begun before it is marked")
    found += _pins_lost(order)
    redo = next((event for event in reversed(order.events) if event.is_redo), None)
    if redo and order.state not in {"collected", "cancelled"}:
        numbers = cast("Sequence[int]", dict(redo.facts).get("redo_lines") or ())
        lines = f" (line {', '.join(str(number) for number in numbers)})" if numbers else ""
        found.append(f"REDO, free: {dict(redo.facts)['reason']}{lines}")
    if order.fitting_on is not None:
        found.append(f"SECOND FITTING {day_text(order.fitting_on)}: leave the basting in")
    amended = next((event for event in reversed(order.events) if event.kind == "amended"), None)
    if amended and order.state not in {"collected", "cancelled"}:
        found.append(f"AMENDED {_hour_text(amended.at, zone)}: papers of before are out of date")
    return tuple(found)


def _pins_lost(order: Order) -> list[str]:
    """Pins that the last count did not find: whoever takes the piece over must know it."""
    count = next((event for event in reversed(order.events) if event.is_pin_count), None)
    said = dict(count.facts) if count else {}
    lost = said.get("pins_lost")
    if not lost:
        return []
    pins = "PIN" if lost == 1 else "PINS"
    return [f"{lost} {pins} LOST, searched for by {said['searched_by']}, swept with a magnet: search at every step"]


def _answers(order: Order) -> tuple[str, ...]:
    """What the workroom asked and the fitter answered: the bench sews by it."""
    found, question = [], ""
    for event in order.events:
        said = dict(event.facts)
        question = str(said.get("question") or question)
        if said.get("answer"):
            found.append(f"asked: {question} Answered: {said['answer']}")
    return tuple(found)


def _notices(order: Order, numbers: dict[int, int]) -> tuple[TicketNotice, ...]:
    lines: dict[str, list[int]] = {}
    for notice in order.notices:
        position = notice.at[1]
        if isinstance(position, int):
            lines.setdefault(notice.text, []).append(numbers[position])
    return tuple(TicketNotice(tuple(sorted(at)), text) for text, at in lines.items())


def _fittings(order: Order, numbers: dict[int, int]) -> tuple[str, ...]:
    hard = sorted(
        number
        for position, number in numbers.items()
        if alteration(order.lines[position].alteration).difficulty >= FITTED_FROM_DIFFICULTY
    )
    return tuple(f"line {number}: baste and fit before it is closed" for number in hard)


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
        style=piece.style,
        cloth=piece.cloth,
        pattern=_pattern(piece),
        lining=_LININGS[piece.lining] if piece.lining else "",
        cuffs=cuffs if piece.worked_buttonholes or piece.garment == "jacket" else "",
        must_keep=piece.must_keep,
        faults_seen=piece.faults_seen,
        pins_left_in=piece.pins_left_in,
        lines=tuple(ticket_line(order, position, numbers) for position in mine),
        press=_press(piece, press) if mine and not has_press else "",
        finishing=_finishing(piece, [order.lines[position].alteration for position in mine]) if mine else (),
        steps=_steps(piece) if mine else (),
    )


def _finishing(piece: GarmentPiece, done: Sequence[str]) -> tuple[str, ...]:
    """How the piece is pressed; a turn-up that is taken off is none."""
    if not pressing_steps(piece.garment):
        return ()
    heat, found = heat_of(piece.cloth), []
    if heat is None:
        found.append("heat: the cloth's fibre is not named, so by its care label, tried first where it is not seen")
    else:
        most = f"heat: at most {heat.most_c} °C, {heat.dots} ({' with '.join(heat.fibres)})"
        found.append(f"{most}; steam: {heat.steam}; {heat.press_cloth}")
        found += [f"mind: {caution}" for caution in heat.cautions]
        fused = heat_of(f"{piece.cloth} fused") if piece.garment in FUSED else None
        if fused and fused.most_c < heat.most_c:
            found.append(f"fronts, if they are fused: at most {fused.most_c} °C, {fused.dots}; steam: {fused.steam}")
    if piece.garment == "trousers":
        found += creases(front_of(piece, turn_up=HEM_CODES["turn_up"] in done))
    return tuple(found)


def _steps(piece: GarmentPiece) -> tuple[str, ...]:
    """How it is pressed, step by step, without what its cloth does not bear."""
    steps = pressing_steps(piece.garment, kind_of(piece.cloth), creased=front_of(piece, turn_up=False).is_creased)
    return tuple(f"{step.words} ({step.note})" if step.note else step.words for step in steps)


def _pattern(piece: GarmentPiece) -> str:
    if piece.pattern == "plain":
        return piece.pattern
    repeat = f", repeat {length_text(piece.repeat)}" if piece.repeat else ""
    return f"{piece.pattern}{repeat}: match it at every seam"


def _press(piece: GarmentPiece, press: Alteration) -> str:
    """The closing press, as the cloth and the front bear it."""
    garment = piece.garment
    # The table of presses lends a shirt and a waistcoat the minutes of another garment, not its words.
    own = press.garment == garment
    doing = press.words if own else f"press {garment}"
    if kind_of(piece.cloth) in PILE:
        doing, own = f"steam and brush {garment}", False
    elif garment == "trousers" and not front_of(piece, turn_up=False).is_creased:
        doing, own = "press trousers, no crease", False
    words = f"{doing}, {press.minutes} min, no charge"
    return f"{words}; caution: {press.caution}" if own and press.caution else words

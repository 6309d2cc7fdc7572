"""A garment of an order as its page of the ticket says it: what it is, what is read first, its work, its pressing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from service.papers.ticket_lines import TicketLine, pairs, ticket_line
from service.tailoring.garments.alterations import Alteration, alteration
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.hems.hems import HEM_CODES
from service.tailoring.orders.lines.order_lines import line_numbers
from service.tailoring.orders.order_states import standings
from service.tailoring.orders.orders import Order
from service.tailoring.orders.piece_states import pieces_of
from service.tailoring.work.creases import creases, creases_in_short, front_of
from service.tailoring.work.finishing import FUSED, PILE, Heat, heat_of, kind_of, pressing_steps
from service.tailoring.workroom.bookings import presses
from service.tongues.wording import day_text, length_text
from service.use_cases.orders.order_papers import Detail

# Signed on each piece's own page, for benches split a ticket.
PIECE_CHECKS = ("pockets empty", "second tape by", "chalk, tacks out", "pressed by")
# From this difficulty on, of 5, the work is basted and fitted before it is closed (common practice, no source).
FITTED_FROM_DIFFICULTY = 4

NOTHING_TO_SEW = "nothing to sew on this piece"
# Of a size or a cloth that nobody wrote.
NOT_WRITTEN = "not written"

_LININGS = {"full": "full", "half": "half: finish the seams inside", "none": "none: finish the seams inside"}


@dataclass(frozen=True, slots=True)
class TicketGarment:
    """One garment with its work; `read_first` is what whoever picks up this page alone must know before it is begun.

    `status` is "" unless it is further than its order, or only some of its lines are done again.

    `pressing` is how it is pressed, in three lines: heat, cloth, what is special of this piece. Where all of it is
    asked for, `finishing` are its rules and `steps` their order. Nothing of these where no work is done on it.
    """

    place: str
    tag: str
    garment: str
    size: str
    brought_in: str
    style: str
    cloth: str
    pattern: str
    lining: str
    cuffs: str
    must_keep: str
    faults_seen: str
    measured: str
    fitted_in: str
    pictures: str
    pins_left_in: int
    pins: str
    status: str
    read_first: tuple[str, ...]
    lines: tuple[TicketLine, ...]
    pressing: tuple[str, ...]
    finishing: tuple[str, ...]
    steps: tuple[str, ...]
    checks: tuple[str, ...]

    @property
    def works(self) -> tuple[tuple[TicketLine, ...], ...]:
        """Its lines as they are sewn, left and right of one alteration together."""
        return tuple(pairs(self.lines))

    @property
    def facts(self) -> tuple[tuple[str, str], ...]:
        """What it is, by name; what is empty is left out."""
        named = (
            ("size", self.size or NOT_WRITTEN),
            ("brought in", self.brought_in),
            ("cloth", self.cloth or NOT_WRITTEN),
            ("pattern", self.pattern),
            ("style", self.style),
            ("lining", self.lining),
            ("cuffs", self.cuffs),
            ("seen before", self.faults_seen),
            ("measured", self.measured),
            ("fitted in", self.fitted_in),
            ("pictures", self.pictures),
        )
        return tuple((name, words) for name, words in named if words)


def ticket_piece(
    order: Order, piece: GarmentPiece, place: str, numbers: dict[int, int], detail: Detail, read_first: Sequence[str]
) -> TicketGarment:
    """The garment at its place, as "1 of 2"; `numbers` are those of every line, `read_first` what is said of it."""
    mine = [position for position in numbers if order.lines[position].piece == piece.piece]
    done = [order.lines[position].alteration for position in mine]
    status = _status(order, piece.piece)
    in_full = bool(mine) and detail == "full"
    return TicketGarment(
        place=place,
        tag=f"{order.number}/{piece.piece}",
        garment=piece.garment,
        size=" ".join(part for part in (piece.chart, piece.label) if part),
        brought_in="bought elsewhere" if piece.is_brought_in else "",
        style=piece.style,
        cloth=piece.cloth,
        pattern=_pattern(piece),
        lining=_LININGS[piece.lining] if piece.lining else "",
        cuffs=_cuffs(piece),
        must_keep=piece.must_keep,
        faults_seen=piece.faults_seen,
        measured=", ".join(f"{place.replace('_', ' ')} {length_text(size)}" for place, size in piece.measures),
        fitted_in=order.dressed.words(piece.garment) if mine else "",
        pictures=f"{len(piece.photos)} with the order" if piece.photos else "",
        pins_left_in=piece.pins_left_in,
        pins=_pins(order, piece),
        status=status,
        # Who sews no more of it need not mind what the sewing minds.
        read_first=(status,) if status.endswith(NOTHING_TO_SEW) else (*((status,) if status else ()), *read_first),
        lines=tuple(ticket_line(order, position, numbers, detail) for position in mine),
        pressing=_pressing(piece, done) if mine else (),
        finishing=_finishing(piece, done) if in_full else (),
        steps=_steps(piece) if in_full else (),
        checks=(*PIECE_CHECKS, *_fitted(order, mine, numbers)) if mine else (),
    )


def fittings_of(order: Order, numbers: dict[int, int]) -> dict[int, str]:
    """By number, what is said of every line that is still to be fitted before it is closed."""
    days = {each.piece: f", fitting {day_text(each.on)}" for each in order.fittings_ahead}
    # What was basted has its day, and what is put right was tried on finished.
    moved = [event for event in order.events if event.kind == "moved"]
    had = [event for event in moved if event.to_state == "basted_for_fitting" or event.is_redo]
    fitted = {piece for event in had for piece in pieces_of(event, order.garments)}
    return {
        number: f"line {number}: baste and fit before it is closed{days.get(order.lines[position].piece, '')}"
        for position, number in _hard(order, numbers)
        if order.lines[position].piece not in fitted
    }


def _hard(order: Order, numbers: dict[int, int]) -> list[tuple[int, int]]:
    """Places and numbers of the lines that are basted and fitted before they are closed."""
    return [
        (position, number)
        for position, number in sorted(numbers.items(), key=lambda each: each[1])
        if alteration(order.lines[position].alteration).difficulty >= FITTED_FROM_DIFFICULTY
    ]


def _fitted(order: Order, mine: Sequence[int], numbers: dict[int, int]) -> list[str]:
    return [f"line {number} fitted by" for _, number in _hard(order, {at: numbers[at] for at in mine})]


def _cuffs(piece: GarmentPiece) -> str:
    if piece.worked_buttonholes:
        return "HOLES WORKED: length only from the shoulder"
    return "unworked" if piece.garment == "jacket" else ""


def _status(order: Order, piece: int) -> str:
    """What is still to be done on a piece that is further than its order, or is put right in part; else ""."""
    here = next(each for each in order.pieces if each.piece == piece)
    if here.state != order.state and standings()[here.state].ahead in {"finishing", "nothing"}:
        return f"{here.state.replace('_', ' ').upper()}: {NOTHING_TO_SEW}"
    again = here.lines_again
    by_number = {number: order.lines[position] for position, number in line_numbers(order.lines).items()}
    mine = {number for number, line in by_number.items() if line.piece == piece}
    known = {by_number[number].id for number in again if number in by_number}
    # Numbers are those of the day: where another line was changed since, they are not said.
    if (
        not again
        or not mine - {*again}
        or any(each.id not in known for each in order.line_changes if each.at > here.since)
    ):
        return ""
    return f"ONLY line {', '.join(map(str, sorted(mine & {*again})))}: the other lines are done"


def _pins(order: Order, piece: GarmentPiece) -> str:
    """How many are in the piece, of those in the order."""
    counted = {each.piece: each.pins_to_count for each in order.pieces}
    return f"{counted[piece.piece]} of {order.pins_to_count}"


def _pressing(piece: GarmentPiece, done: Sequence[str]) -> tuple[str, ...]:
    """Three lines for who presses daily: heat, cloth, and what is special of this piece."""
    special = _special(piece, done)
    heat = heat_of(piece.cloth)
    if heat is None:
        return ("fibre not named: heat by its care label", "try it first where it does not show", *special)
    fibres = " with ".join(heat.fibres)
    cloth = "; ".join((heat.press_cloth, *heat.minded))
    fused = _fused(piece, heat)
    front = f"; fused fronts {fused.most_c} °C at most, {_steam(fused)}" if fused else ""
    return (f"{fibres}: {heat.most_c} °C at most, {heat.dots}, {_steam(heat)}{front}", cloth, *special)


def _steam(heat: Heat) -> str:
    return "steam" if heat.steam == "yes" else f"steam: {heat.steam}"


def _special(piece: GarmentPiece, done: Sequence[str]) -> tuple[str, ...]:
    press = alteration(presses()[piece.garment])
    words = [_press(piece, press)] if press.code not in done else []
    if piece.garment == "trousers":
        words += creases_in_short(front_of(piece, turn_up=HEM_CODES["turn_up"] in done))
    elif piece.garment in FUSED:
        words += ["lapel never flat"] if piece.garment == "jacket" else []
    return ("; ".join(words),) if words else ()


def _finishing(piece: GarmentPiece, done: Sequence[str]) -> tuple[str, ...]:
    """How the piece is pressed; a turn-up that is taken off is none."""
    if not pressing_steps(piece.garment):
        return ()
    heat, found = heat_of(piece.cloth), []
    if heat is None:
        found.append("heat: the cloth's fibre is not named, so by its care label, tried first where it does not show")
    else:
        most = f"heat: at most {heat.most_c} °C, {heat.dots} ({' with '.join(heat.fibres)})"
        found.append(f"{most}; steam: {heat.steam}; {heat.press_cloth}")
        found += [f"mind: {caution}" for caution in heat.cautions]
        fused = _fused(piece, heat)
        if fused:
            found.append(f"fronts, if they are fused: at most {fused.most_c} °C, {fused.dots}; steam: {fused.steam}")
    if piece.garment == "trousers":
        found += creases(front_of(piece, turn_up=HEM_CODES["turn_up"] in done))
    return tuple(found)


def _fused(piece: GarmentPiece, heat: Heat) -> Heat | None:
    """What its fronts bear if they are fused, where that is less than its cloth bears."""
    fused = heat_of(f"{piece.cloth} fused") if piece.garment in FUSED else None
    return fused if fused and fused.most_c < heat.most_c else None


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
    """The closing press, as the cloth bears it."""
    doing = "steam and brush" if kind_of(piece.cloth) in PILE else "press"
    return f"last: {doing}, {press.minutes} min"

"""What the bench notes of an order's lines while it is at work, and the check of what is sewn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from service.tailoring.garments.alterations import alteration
from service.tailoring.garments.amounts import InlayBasis, InlaySeen, inlay_of
from service.tailoring.garments.found_inlays import InlayFound
from service.tailoring.notices import Notice
from service.tailoring.orders.legs_again import is_hem
from service.tailoring.orders.lines.cloth_cut import Cut
from service.tailoring.orders.lines.line_checks import LineMeasured, checked
from service.tailoring.orders.lines.line_history import Signed
from service.tailoring.orders.lines.order_lines import OrderLine, line_numbers
from service.tailoring.orders.order_moves import move
from service.tailoring.orders.order_states import EventKind, OrderEvent, State
from service.tailoring.orders.orders import Order
from service.tailoring.orders.piece_states import pieces_of
from service.tailoring.quantities import Length
from service.tailoring.refusals import Fact, Refusal, Where

# Where a bench has it in hand, and where what is sewn is measured.
AT_WORK: tuple[State, ...] = ("in_workroom", "query", "basted_for_fitting", "sewn")
TO_BE_CHECKED: tuple[State, ...] = ("sewn", "pressed")


@dataclass(frozen=True, slots=True)
class BenchNote:
    """What is noted of the line of that number.

    `cut_at` is a leg's inside leg to its raw edge, `is_cut` that the cloth of another line is cut, with `cloth_left`
    in its seam. `inlay_found` is the cloth that was found inside. `is_sewn`: who notes it has sewn it.
    """

    number: int
    cut_at: Length | None = None
    is_cut: bool = False
    cloth_left: Length | None = None
    inlay_found: Length | None = None
    inlay_basis: InlayBasis | None = None
    inlay_seams: int | None = None
    is_sewn: bool = False


@dataclass(frozen=True, slots=True)
class Noted:
    """The order with what was noted, what to look at, and the inlays to be remembered of its charts."""

    order: Order
    notices: tuple[Notice, ...] = ()
    inlays: tuple[InlayFound, ...] = ()


def noted(order: Order, notes: Sequence[BenchNote], signed: Signed) -> Noted:
    """The order with what the bench noted of its lines, and an event.

    Raises Refusal `nothing_to_note` where a line's piece is at no bench, `line_unknown`, `line_named_twice`,
    `note_empty`, `leg_cut_unsaid`, `cloth_cut_short` or `inlay_not_taken`, pointing at ("lines", n, …).
    """
    lines, notices, inlays = list(order.lines), [], []
    states = {each.piece: each.state for each in order.pieces}
    for n, (note, position) in enumerate(zip(notes, positions(order, [each.number for each in notes]), strict=True)):
        state = states[lines[position].piece]
        if state not in AT_WORK:
            raise Refusal("nothing_to_note", ("lines", n, "number"), state=state, still=AT_WORK)
        try:
            lines[position] = _noted(lines[position], note, signed)
            found = _inlay(lines[position], note)
        except Refusal as refusal:
            raise refusal.within("lines", n) from None
        if found:
            lines[position] = _with_inlay(lines[position], found)
            notices += _too_little(lines[position], found, ("lines", n, "inlay_found"))
            piece = next(piece for piece in order.garments if piece.piece == lines[position].piece)
            code = lines[position].alteration
            inlays += [InlayFound(piece.chart, code, found.out_mm, signed.by, signed.now)] if piece.chart else []
    numbers: dict[str, Fact] = {"lines": [note.number for note in notes]}
    return Noted(with_event(order, lines, "noted", signed, numbers), tuple(notices), tuple(inlays))


def check_work(order: Order, found: Sequence[LineMeasured], signed: Signed, *, by_anyone: bool = False) -> Order:
    """The order with the measures of its finished lines; a piece with one that is off goes back to the bench.

    Whoever sewed a line does not check it, unless it is a shop `by_anyone`. Raises Refusal `nothing_to_check`,
    `line_unknown`, `line_named_twice`, `sewn_by_checker`, or as `checked`, pointing at ("lines", n, …).
    """
    lines, off = list(order.lines), []
    states = {each.piece: each.state for each in order.pieces}
    for n, (each, position) in enumerate(zip(found, positions(order, [each.number for each in found]), strict=True)):
        line = lines[position]
        if states[line.piece] not in TO_BE_CHECKED:
            raise Refusal("nothing_to_check", ("lines", n, "number"), state=states[line.piece], still=TO_BE_CHECKED)
        if signed.by in sewers(order, line) and not by_anyone:
            raise Refusal("sewn_by_checker", ("lines", n, "number"), by=signed.by, given=each.number)
        try:
            check = checked(line, each, signed.by, signed.now)
        except Refusal as refusal:
            raise refusal.within("lines", n) from None
        lines[position] = replace(line, checks=(*line.checks, check))
        off += [] if check.is_right else [each.number]
    facts: dict[str, Fact] = {"lines": [each.number for each in found], "off": off}
    after = with_event(order, lines, "checked", signed, facts)
    if not off:
        return after
    words = "; ".join(
        _off_words(lines[at], number) for at, number in sorted(line_numbers(lines).items()) if number in off
    )
    return move(after, "in_workroom", signed.by, signed.now, signed.why, reason=f"checked: {words}", redo_lines=off)


def sewers(order: Order, line: OrderLine) -> frozenset[str]:
    """Who has sewn a line: as the bench noted, or worked on it; where none did, who moved its piece to sewn."""
    bench = alteration(line.alteration).bench
    known = {*line.sewn_by, *(each.tailor for each in order.spells if each.covers(line.piece, line.id, bench))}
    if known:
        return frozenset(known)
    sewn = [
        event.by
        for event in order.events
        if (event.kind, event.to_state) == ("moved", "sewn") and line.piece in pieces_of(event, order.garments)
    ]
    return frozenset(sewn[-1:])


def positions(order: Order, numbers: Sequence[int]) -> list[int]:
    """Where the lines of those numbers are. Raises Refusal `line_unknown` or `line_named_twice`."""
    known = {number: position for position, number in line_numbers(order.lines).items()}
    for n, number in enumerate(numbers):
        if number not in known:
            raise Refusal("line_unknown", ("lines", n, "number"), given=number, most=len(known))
        if number in numbers[:n]:
            raise Refusal("line_named_twice", ("lines", n, "number"), given=number)
    return [known[number] for number in numbers]


def _noted(line: OrderLine, note: BenchNote, signed: Signed) -> OrderLine:
    cut = note.cut_at or note.is_cut or note.cloth_left
    if not (cut or note.inlay_found or note.is_sewn):
        raise Refusal("note_empty", (), given=note.number)
    if cut:
        line = replace(line, cloth_cut=_cut(line, note, signed))
    if note.is_sewn and signed.by not in line.sewn_by:
        line = replace(line, sewn_by=(*line.sewn_by, signed.by))
    return line


def _cut(line: OrderLine, note: BenchNote, signed: Signed) -> Cut:
    """A leg is cut at a length, no shorter than what it ends at; of other cloth something may be left."""
    if not is_hem(line):
        if note.cut_at:
            raise Refusal("leg_cut_unsaid", ("cut_at",), alteration=line.alteration)
        return Cut(signed.by, signed.now, left=note.cloth_left)
    length = note.cut_at or line.cut
    if length is None or note.cloth_left:
        raise Refusal("leg_cut_unsaid", ("cut_at",), alteration=line.alteration)
    if line.target and length.mm < line.target.mm:
        raise Refusal("cloth_cut_short", ("cut_at",), target=line.target.text, given=length.text)
    return Cut(signed.by, signed.now, length)


def _inlay(line: OrderLine, note: BenchNote) -> InlaySeen | None:
    if note.inlay_found is None:
        return None
    doing = alteration(line.alteration)
    if not doing.from_inlay:
        raise Refusal("inlay_not_taken", ("inlay_found",), alteration=doing.code)
    return inlay_of(doing, note.inlay_found, note.inlay_basis, note.inlay_seams)


def _with_inlay(line: OrderLine, found: InlaySeen) -> OrderLine:
    """The line with the inlay that was found; nothing of it is uncertain any more."""
    return replace(
        line, inlay_seen=found.length, inlay_basis=found.basis, inlay_seams=found.seams, subject_to_inlay=False
    )


def _too_little(line: OrderLine, found: InlaySeen, at: Where) -> list[Notice]:
    if line.amount is None or line.amount.direction != "increase" or line.amount.length.mm <= found.out_mm + 0.001:
        return []
    most = Length(found.out_mm, found.length.unit).text
    words = f"only {most} can be let out, {line.amount.length.text} is ordered: ask the fitter with a query."
    return [Notice("inlay_too_small", at, words, (("alteration", line.alteration), ("most", most)))]


def with_event(
    order: Order, lines: Sequence[OrderLine], kind: EventKind, signed: Signed, facts: dict[str, Fact]
) -> Order:
    """The order with those lines, and an event of that kind where it stands."""
    event = OrderEvent(signed.now, signed.by, order.state, order.state, signed.why, tuple(facts.items()), kind)
    return replace(order, lines=tuple(lines), events=(*order.events, event))


def _off_words(line: OrderLine, number: int) -> str:
    check = line.checks[-1]
    if check.measured is None or check.target is None:
        return f"line {number} is not right"
    return f"line {number} measures {check.measured.text}, {check.target.text} is wanted"

"""Giving the work of an order to tailors: lines one by one, and what is left of a piece at their benches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from service.tailoring.garments.alterations import Bench, alteration
from service.tailoring.orders.bench_notes import with_event
from service.tailoring.orders.lines.line_history import Signed
from service.tailoring.orders.lines.order_lines import line_numbers
from service.tailoring.orders.lines.work_done import Assigned
from service.tailoring.orders.order_states import standings
from service.tailoring.orders.orders import Order
from service.tailoring.refusals import Fact, Refusal
from service.tailoring.workroom.bookings import work_of
from service.tailoring.workroom.tailors import Tailor, check_skill


def assign(order: Order, tailor: Tailor | None, lines: Sequence[int], pieces: Sequence[int], signed: Signed) -> Order:
    """The order with lines, and pieces as far as the tailor works on them, given to a tailor; to none where None.

    Raises Refusal `line_unknown`, `piece_unknown`, `work_is_done` or `tailor_at_other_bench`,
    pointing at ("lines", n) or ("pieces", n).
    """
    wanted = [_of_line(order, tailor, number, n) for n, number in enumerate(lines)]
    wanted += [each for n, piece in enumerate(pieces) for each in _of_piece(order, tailor, piece, n)]
    given = {(each.piece, each.bench, each.line_id): each for each in (*order.assigned, *wanted)}
    kept = tuple(sorted((each for each in given.values() if each.tailor), key=lambda each: (each.piece, each.line_id)))
    if kept == order.assigned:
        return order
    facts: dict[str, Fact] = {
        "tailor": tailor.ref if tailor else None,
        "lines": list(lines),
        "pieces": list(pieces),
    }
    return with_event(replace(order, assigned=kept), order.lines, "assigned", signed, facts)


def _of_line(order: Order, tailor: Tailor | None, number: int, n: int) -> Assigned:
    numbers = {number: position for position, number in line_numbers(order.lines).items()}
    if number not in numbers:
        raise Refusal("line_unknown", ("lines", n), given=number, most=len(numbers))
    line = order.lines[numbers[number]]
    bench = alteration(line.alteration).bench
    _check_ahead(order, line.piece, ("lines", n))
    if tailor:
        check_skill(tailor, bench, ("lines", n))
    return Assigned(tailor.ref if tailor else "", line.piece, bench, line.id)


def _of_piece(order: Order, tailor: Tailor | None, piece: int, n: int) -> list[Assigned]:
    benches = benches_of(order).get(piece)
    if benches is None:
        known = [str(each.piece) for each in order.garments]
        raise Refusal("piece_unknown", ("pieces", n), piece=piece, pieces=known)
    _check_ahead(order, piece, ("pieces", n))
    mine = [bench for bench in benches if tailor is None or bench in tailor.benches]
    if tailor and not mine:
        check_skill(tailor, benches[0], ("pieces", n))
    return [Assigned(tailor.ref if tailor else "", piece, bench) for bench in mine]


def benches_of(order: Order) -> dict[int, tuple[Bench, ...]]:
    """By piece, the benches at which it has work, its press among them."""
    found: dict[int, dict[Bench, None]] = {each.piece: {} for each in order.garments}
    for work in work_of(order.lines):
        found[work.piece][work.bench] = None
    return {piece: tuple(benches) for piece, benches in found.items() if benches}


def _check_ahead(order: Order, piece: int, at: tuple[str | int, ...]) -> None:
    state = next(each.state for each in order.pieces if each.piece == piece)
    if standings()[state].ahead == "nothing":
        raise Refusal("work_is_done", at, state=state)

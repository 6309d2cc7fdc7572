"""Moving an order along: all of its pieces, or those that are named."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Unpack, cast

from service.tailoring.orders.lines.order_lines import OrderLine, line_numbers
from service.tailoring.orders.order_states import MoveFacts, OrderEvent, State, check_move, is_pin_count
from service.tailoring.orders.orders import Order
from service.tailoring.orders.piece_states import PieceOfOrder, chosen
from service.tailoring.refusals import Fact, Refusal


def move(
    order: Order,
    to: State,
    by: str,
    at_time: datetime,
    note: str = "",
    *,
    pieces: Sequence[int] = (),
    **said: Unpack[MoveFacts],
) -> Order:
    """The order with its pieces in their new state, and an event of what was said for each state that they come from.

    `pieces` are the numbers of those that move; where none are named, `chosen` says which do, and a redo of certain
    lines moves the pieces of these. A redo is a move back to the workroom from pressed, ready, stored or collected.
    It is free: it adds no line. Raises Refusal as `chosen` and `check_move`; also `hem_to_be_pinned` where a leg is not
    marked yet, `line_unknown` where a line that is to be done again is none of the pieces' lines, `pins_of_one_piece`
    where it is not known of which piece pins are.
    """
    facts = {name: cast("Fact", value) for name, value in said.items() if value is not None}
    redo_lines = said.get("redo_lines") or ()
    moving = chosen(order.pieces, order.state, to, pieces or _pieces_of_lines(order, redo_lines))
    _check_pinned(order, to, moving)
    _check_pins_of_one(moving, to, facts)
    for each in moving:
        pins_there = [one.pins_to_count if is_pin_count(each.state, to) else one.pins_in for one in moving]
        check_move(each.state, to, facts, sum(pins_there))
    _check_redo_lines(order, redo_lines, moving)
    return _moved(order, to, moving, OrderEvent(at_time, by, None, to, note, tuple(facts.items())))


def redone(order: Order, pieces: Collection[int]) -> tuple[OrderLine, ...]:
    """The lines of `pieces` that its last move asks to be done again: those that it names, or all of theirs."""
    numbers = cast("Sequence[int] | None", dict(order.events[-1].facts).get("redo_lines"))
    by_position = line_numbers(order.lines)
    return tuple(
        line
        for position, line in enumerate(order.lines)
        if (by_position[position] in numbers if numbers else line.piece in pieces)
    )


def _moved(order: Order, to: State, moving: Sequence[PieceOfOrder], said: OrderEvent) -> Order:
    """One event for each state that pieces come from: every event is a move of the table."""
    numbers = {each.piece for each in moving}
    events = []
    for state in dict.fromkeys(each.state for each in moving):
        mine = [each.piece for each in moving if each.state == state]
        named = () if len(mine) == len(order.garments) else (("pieces", mine),)
        events.append(replace(said, from_state=state, facts=(*said.facts, *named)))
    states = tuple(to if each.piece in numbers else each.state for each in order.pieces)
    return replace(order, piece_states=states, events=(*order.events, *events))


def _pieces_of_lines(order: Order, numbers: Sequence[int]) -> tuple[int, ...]:
    """The pieces of the lines of these numbers; of a number that is none's, nothing."""
    by_number = {number: order.lines[position].piece for position, number in line_numbers(order.lines).items()}
    return tuple(sorted({by_number[number] for number in numbers if number in by_number}))


def _check_pinned(order: Order, to: State, moving: Sequence[PieceOfOrder]) -> None:
    """No bench begins on a leg that nobody marked: there is no number to cut it by."""
    numbers = {each.piece for each in moving}
    unmarked = sorted({line.piece for line in order.lines if line.to_be_pinned and line.piece in numbers})
    if to == "in_workroom" and unmarked:
        raise Refusal("hem_to_be_pinned", ("to",), pieces=unmarked)


def _check_pins_of_one(moving: Sequence[PieceOfOrder], to: State, facts: Mapping[str, Fact]) -> None:
    """Pins are counted by piece: of several that move together only a count of all pins says what is in each."""
    if len(moving) == 1 or all(is_pin_count(each.state, to) for each in moving):
        return
    there = sum(each.pins_in for each in moving)
    if facts.get("pins_in"):
        raise Refusal("pins_of_one_piece", ("pins_in",), pieces=[each.piece for each in moving])
    if facts.get("pins_out") and cast("int", facts["pins_out"]) < there:
        raise Refusal("pins_of_one_piece", ("pins_out",), pieces=[each.piece for each in moving])


def _check_redo_lines(order: Order, numbers: Sequence[int], moving: Sequence[PieceOfOrder]) -> None:
    moved = {each.piece for each in moving}
    by_number = {number: order.lines[position].piece for position, number in line_numbers(order.lines).items()}
    for position, number in enumerate(numbers):
        if number not in by_number:
            raise Refusal("line_unknown", ("redo_lines", position), given=number, most=len(order.lines))
        if by_number[number] not in moved:
            raise Refusal("line_elsewhere", ("redo_lines", position), given=number, piece=by_number[number])

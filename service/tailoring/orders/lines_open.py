"""On which pieces of an order lines may still be changed."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from service.tailoring.orders.line_changes import LineChangesAsked
from service.tailoring.orders.lines.order_lines import OrderLine
from service.tailoring.orders.order_states import State, is_over, order_state, standings
from service.tailoring.orders.orders import Order
from service.tailoring.orders.piece_states import PieceOfOrder
from service.tailoring.refusals import Refusal
from service.tailoring.work.prices import Money


def check_lines_open(order: Order, asked: LineChangesAsked) -> None:
    """Refuse what comes too late: lines of an order none of whose pieces has them open; prices once all is settled.

    Raises Refusal `lines_fixed` or `price_settled`.
    """
    if asked.is_of_work:
        if not any(_is_open(each) for each in order.pieces):
            raise _fixed(order.piece_states)
    elif is_over(order.state):
        raise Refusal("price_settled", (), state=order.state)


def check_touched(before: Order, after: Order) -> None:
    """Lines are changed of pieces that have them open: not at the bench, unless it does them again, and not after.

    Raises Refusal `lines_fixed`.
    """
    _check_open(before, pieces_touched(before, after))


def check_touched_by_move(before: Order, moved: Order) -> None:
    """As `check_touched`; a redo opens those of the pieces that it does again."""
    again = set()
    if moved.events[-1].is_redo:
        again = {each.piece for each, now in zip(before.pieces, moved.pieces, strict=True) if each.state != now.state}
    _check_open(before, pieces_touched(before, moved) - again)


def pieces_touched(before: Order, after: Order) -> set[int]:
    """The pieces that have other work after than before, whatever it costs."""
    was, now = _by_piece(before.lines), _by_piece(after.lines)
    return {piece for piece in was.keys() | now.keys() if was.get(piece) != now.get(piece)}


def _by_piece(lines: Sequence[OrderLine]) -> dict[int, list[OrderLine]]:
    work = [
        replace(line, price=Money(0, line.price.currency), list_price=None, price_reason=None, cloth_cut=None)
        for line in lines
    ]
    return {piece: [line for line in work if line.piece == piece] for piece in {line.piece for line in work}}


def _check_open(order: Order, pieces: Collection[int]) -> None:
    held = [each.state for each in order.pieces if each.piece in pieces and not _is_open(each)]
    if held:
        raise _fixed(held)


def _fixed(states: Sequence[State]) -> Refusal:
    open_in = [standing.state for standing in standings().values() if standing.lines == "yes"]
    return Refusal("lines_fixed", (), state=order_state(states), still=open_in)


def _is_open(piece: PieceOfOrder) -> bool:
    rule = standings()[piece.state].lines
    return rule == "yes" or (rule == "redo" and piece.is_done_again)

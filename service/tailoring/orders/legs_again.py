"""Legs that are pinned again: what there is to hem is the leg as it was, or as the bench has cut it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from service.tailoring.body.posture import OneSide
from service.tailoring.garments.amounts import Amount
from service.tailoring.hems.hems import HEM_CODES, Leg, Pins
from service.tailoring.orders.lines.cloth_cut import Cut
from service.tailoring.orders.lines.order_lines import LineAsked, OrderLine
from service.tailoring.orders.order_states import OrderEvent
from service.tailoring.orders.orders import Order
from service.tailoring.orders.piece_states import pieces_of
from service.tailoring.orders.sheets.order_hems import HemAsked
from service.tailoring.quantities import Length

LEGS: tuple[OneSide, ...] = ("left", "right")


def is_hem(line: OrderLine | LineAsked) -> bool:
    """Whether the line ends a leg."""
    return line.alteration in HEM_CODES.values()


def cut_of(order: Order, line: OrderLine) -> Cut | None:
    """Where a line's cloth is cut: as the bench said, or, of a leg that was sewn since, where its hem was to be cut."""
    sewn = next((event for event in reversed(order.events) if _is_sewn_by(order, event, line.piece)), None)
    changed = [change.at for change in order.line_changes if change.id == line.id]
    if line.cut is None or sewn is None or (changed and changed[-1] >= sewn.at):
        return line.cloth_cut
    known = line.cloth_cut.length if line.cloth_cut else None
    if known and known.mm <= line.cut.mm:
        return line.cloth_cut
    return Cut(sewn.by, sewn.at, line.cut)


def _is_sewn_by(order: Order, event: OrderEvent, piece: int) -> bool:
    """Whether the event says that the piece's work was sewn; the other pieces' says nothing of it."""
    return (event.kind, event.to_state) == ("moved", "sewn") and piece in pieces_of(event, order.garments)


def leg_now(order: Order, line: OrderLine) -> Leg | None:
    """The leg of a hem's line as it is now; None where only the chart tells."""
    cut = cut_of(order, line)
    if cut and cut.length:
        return Leg(cut.length)
    return line.ending.leg if line.ending else None


def hem_again(order: Order, line: OrderLine, finished: Length) -> HemAsked:
    """The hem of a line with another finished length, of the same ending."""
    if line.ending is None or line.side == "both":  # pragma: no cover  asked of pinned legs only
        raise ValueError("the line is no pinned leg")
    pins = Pins(**{line.side: finished})
    ending, cut = line.ending, cut_of(order, line)
    return HemAsked(line.piece, pins, ending.hem, leg_now(order, line), shoe=ending.shoe, is_cut=cut is not None)


def legs_asked(order: Order, asked: HemAsked, piece: int) -> list[HemAsked]:
    """The hem of a pair as it can be planned: one where both legs are alike, or one a leg."""
    hem = replace(asked, piece=piece)
    if hem.leg or not hem.is_pinned:
        return [hem]
    legs = {side: _leg_and_cut(order, piece, side) for side in LEGS if getattr(hem.pins, side)}
    if len(set(legs.values())) == 1:
        leg, is_cut = next(iter(legs.values()))
        return [replace(hem, leg=leg, is_cut=is_cut)]
    return [
        replace(hem, pins=Pins(**{side: getattr(hem.pins, side)}), leg=leg, is_cut=is_cut)
        for side, (leg, is_cut) in legs.items()
    ]


def _leg_and_cut(order: Order, piece: int, side: str) -> tuple[Leg | None, bool]:
    line = next((each for each in hems_on(order.lines, piece) if each.side in {side, "both"}), None)
    return (leg_now(order, line), cut_of(order, line) is not None) if line else (None, False)


def hems_on(lines: Sequence[OrderLine], piece: int) -> list[OrderLine]:
    """The hems of a piece."""
    return [line for line in lines if line.piece == piece and is_hem(line)]


def sides_pinned(asked: HemAsked) -> frozenset[OneSide]:
    """The legs whose hem stands in the place of the one of before; of a pair that is still to be pinned both."""
    return frozenset(side for side in LEGS if asked.to_be_pinned or getattr(asked.pins, side))


def other_leg(line: OrderLine, sides: frozenset[OneSide]) -> Amount | None:
    """What stays of a hem of both legs once one of them is pinned by itself."""
    left = [side for side in LEGS if side not in sides]
    if line.side != "both" or line.amount is None or len(left) != 1:
        return None
    return replace(line.amount, side=left[0])

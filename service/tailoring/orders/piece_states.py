"""Where each piece of an order is: its state, the pins in it, and what was said of it last, read of the order's events.

An event names the pieces that it moved (its fact `pieces`), or is of all of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import NamedTuple, cast

from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.orders.order_states import (
    Move,
    OrderEvent,
    State,
    Unnamed,
    is_over,
    legal_from,
    moves,
    standings,
    unnamed_of,
)
from service.tailoring.refusals import Fact, Refusal


class PinCount(NamedTuple):
    """Pins that are in a piece, and those counted out of it since its work was last begun."""

    left: int
    counted: int


@dataclass(frozen=True, slots=True)
class PieceOfOrder:
    """A piece of an order as it was `tagged`, and where it is.

    `pins_in` are in it now, `pins_to_count` as many as the next count must find. `since` is when it came into its
    state, `where` the place that was named then. `question` is what the workroom asked of it and waits to hear.
    `is_done_again`: it is at the bench to be put right; `lines_again` are the numbers of lines that were named then.
    """

    tagged: GarmentPiece
    state: State
    may_move_to: tuple[State, ...]
    pins: PinCount
    since: datetime
    question: str | None = None
    fitting_on: date | None = None
    where: str | None = None
    is_done_again: bool = False
    lines_again: tuple[int, ...] = ()

    @property
    def piece(self) -> int:
        """Its number."""
        return self.tagged.piece

    @property
    def garment(self) -> str:
        """What it is."""
        return self.tagged.garment

    @property
    def next_moves(self) -> tuple[Move, ...]:
        """The moves that it may make now, each with what it must be told."""
        return tuple(moves()[self.state, to] for to in self.may_move_to)

    @property
    def pins_in(self) -> int:
        """Pins that are in it."""
        return self.pins.left

    @property
    def pins_to_count(self) -> int:
        """As many pins as a count to come must find: those still in, and those that the count before it found."""
        return sum(self.pins) if standings()[self.state].speaks <= standings()["pressed"].speaks else 0

    @property
    def is_here(self) -> bool:
        """Whether the shop still has it, or owes it."""
        return not is_over(self.state)


def pieces_of(event: OrderEvent, garments: Sequence[GarmentPiece]) -> tuple[int, ...]:
    """The numbers of the pieces that an event moved: those it names, or all."""
    named = cast("Sequence[int] | None", dict(event.facts).get("pieces"))
    return tuple(named) if named else tuple(garment.piece for garment in garments)


def pieces_of_order(
    garments: Sequence[GarmentPiece], states: Sequence[State], events: Sequence[OrderEvent]
) -> tuple[PieceOfOrder, ...]:
    """The pieces of an order as they are now, in the caller's order."""
    pins = pin_counts(garments, events)
    return tuple(
        _piece(garment, state, pins[garment.piece], _of_piece(garment.piece, garments, events))
        for garment, state in zip(garments, states, strict=True)
    )


def pin_counts(garments: Sequence[GarmentPiece], events: Sequence[OrderEvent]) -> dict[int, PinCount]:
    """By piece, its pins: those left in at marking, with what later moves put in, took out or gave up.

    The count at hand-over repeats that at pressing, and a redo begins again. Where a move of several pieces does not
    say of which the pins are (releases before 0020), they are those of the first.
    """
    left = {garment.piece: garment.pins_left_in for garment in garments}
    counted = dict.fromkeys(left, 0)
    for event in events:
        # A piece that was amended away has taken its pins with it.
        mine = [piece for piece in pieces_of(event, garments) if piece in left]
        said = dict(event.facts)
        if event.is_redo:
            counted |= dict.fromkeys(mine, 0)
        if mine:
            left[mine[0]] += cast("int", said.get("pins_in") or 0)
        out = cast("int", said.get("pins_out") or 0)
        for piece in mine:
            if event.is_pin_count:
                left[piece], counted[piece] = 0, counted[piece] + left[piece]
            else:
                taken = min(out, left[piece])
                left[piece], out = left[piece] - taken, out - taken
    return {piece: PinCount(left[piece], counted[piece]) for piece in left}


def chosen(
    pieces: Sequence[PieceOfOrder], order_state: State, to: State, named: Sequence[int] = ()
) -> tuple[PieceOfOrder, ...]:
    """The pieces that a move to `to` takes: those named; where none are, by its kind (move_kinds.csv).

    Raises Refusal `piece_unknown`, or `move_not_allowed` where one of them cannot go there or none can.
    """
    if named:
        known = {each.piece: each for each in pieces}
        found = []
        for position, number in enumerate(dict.fromkeys(named)):
            if number not in known:
                raise Refusal("piece_unknown", ("pieces", position), piece=number, pieces=[str(each) for each in known])
            found.append(known[number])
        return _all_able(found, to)
    able = {way: [each for each in pieces if to in each.may_move_to and _unnamed(each, to) == way] for way in _WAYS}
    if able["all"]:
        return _all_able([each for each in pieces if not is_over(each.state)], to)
    if able["able"]:
        return tuple(able["able"])
    alike = tuple(each for each in able["alike"] if each.state == order_state) or tuple(able["alike"])
    return alike or _all_able([each for each in pieces if each.state == order_state], to)


_WAYS: tuple[Unnamed, ...] = ("all", "able", "alike")


def _unnamed(piece: PieceOfOrder, to: State) -> Unnamed:
    return unnamed_of(moves()[piece.state, to].kind)


def _all_able(found: Sequence[PieceOfOrder], to: State) -> tuple[PieceOfOrder, ...]:
    for each in found:
        if to not in each.may_move_to:
            raise Refusal(
                "move_not_allowed", ("to",), state=each.state, asked=to, legal=each.may_move_to, piece=each.piece
            )
    return tuple(found)


def _of_piece(piece: int, garments: Sequence[GarmentPiece], events: Sequence[OrderEvent]) -> list[OrderEvent]:
    """The first event, and those that moved the piece."""
    return [
        event
        for position, event in enumerate(events)
        if position == 0 or (event.kind == "moved" and piece in pieces_of(event, garments))
    ]


def _piece(garment: GarmentPiece, state: State, pins: PinCount, events: Sequence[OrderEvent]) -> PieceOfOrder:
    said = dict(events[-1].facts)
    fitting_on = said.get("fitting_on") if state == "basted_for_fitting" else None
    return PieceOfOrder(
        tagged=garment,
        state=state,
        may_move_to=_may_move_to(state, events),
        pins=pins,
        since=events[-1].at,
        question=cast("str | None", said.get("question")) if state == "query" else None,
        fitting_on=None if fitting_on is None else date.fromisoformat(str(fitting_on)),
        where=_text(said.get("where")),
        is_done_again=events[-1].is_redo,
        lines_again=tuple(cast("Sequence[int]", said.get("redo_lines") or ())) if events[-1].is_redo else (),
    )


def _may_move_to(state: State, events: Sequence[OrderEvent]) -> tuple[State, ...]:
    """What was once sewn is never cancelled, and what is found is as far as it was (common practice, no source)."""
    ever_sewn = any(event.to_state == "sewn" for event in events)
    begun = next((n for n, event in enumerate(reversed(events)) if event.is_redo), len(events))
    sewn_since = any(standings()[event.to_state].ahead == "finishing" for event in events[len(events) - begun :])
    ways = legal_from(state)
    if ever_sewn:
        ways = tuple(to for to in ways if to != "cancelled")
    if state == "lost":
        # Its work begins where it was left: what was sewn is not sewn twice.
        ways = tuple(to for to in ways if to != ("in_workroom" if sewn_since else "sewn"))
    return ways


def _text(said: Fact) -> str | None:
    return said if isinstance(said, str) else None

"""Alteration orders: placed, moved along, charged. A change returns a new order with its event."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import NotRequired, TypedDict, Unpack

from service.tailoring.fitting.left_open import OpenDoubt
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.hems.dressed import AS_USUAL, Dressed
from service.tailoring.notices import Notice
from service.tailoring.orders.lines.line_history import LineChange, first_ids
from service.tailoring.orders.lines.order_lines import OrderLine, check_lines, notices_of
from service.tailoring.orders.lines.price_reasons import PriceReason
from service.tailoring.orders.lines.work_done import Assigned, Spell, minutes_of
from service.tailoring.orders.order_states import FIRST_STATE, Ahead, OrderEvent, State, order_state, standings
from service.tailoring.orders.piece_states import PieceOfOrder, chosen, pieces_of, pieces_of_order, pin_counts
from service.tailoring.orders.planned_fittings import PlannedFitting, planned_again, still_planned
from service.tailoring.refusals import Fact, Refusal
from service.tailoring.work.prices import Money, Terms
from service.tailoring.work.taxes import UNSAID, TaxTerms

NO_TERMS = Terms()


class Particulars(TypedDict):
    """Whose order it is, when and by whom it was marked, for when it is wanted and promised, and on what terms."""

    number: str
    customer_ref: str | None
    sale_ref: str | None
    needed_by: date | None
    promised_for: date | None
    placed_at: datetime
    marked_by: str
    terms: NotRequired[Terms]
    rush: NotRequired[bool]
    note: NotRequired[str]
    look_again: NotRequired[tuple[OpenDoubt, ...]]
    tax: NotRequired[TaxTerms]
    planned_fittings: NotRequired[tuple[PlannedFitting, ...]]
    dressed: NotRequired[Dressed]


class Amendment(TypedDict, total=False):
    """What of an order is another from now on; what is not named stays."""

    garments: tuple[GarmentPiece, ...]
    lines: tuple[OrderLine, ...]
    needed_by: date | None
    note: str
    rush: bool
    terms: Terms
    promised_for: date | None
    line_changes: tuple[LineChange, ...]
    price_reason: PriceReason | None
    dressed: Dressed


@dataclass(frozen=True, slots=True)
class Order:
    """An alteration order: its lines in the caller's order, its events from placing on, oldest first.

    `piece_states` are those of the garments, in turn. The customer and the sale are the till's own references.
    `placed_at` carries its offset from UTC. `terms` are what was agreed beside the lines when it was placed. A `rush`
    is sewn before others, for its surcharge. `look_again` is what the fitting left in doubt and no line has.
    `line_changes` are what became of its lines since, oldest first; `price_reason` is why all of it costs another
    price than listed. `planned_fittings` are those that its promise left room for. `spells` are how long who worked
    on it, oldest first; `assigned` is whose work is whose. `dressed` is what was worn at the fitting.
    """

    number: str
    piece_states: tuple[State, ...]
    garments: tuple[GarmentPiece, ...]
    lines: tuple[OrderLine, ...]
    customer_ref: str | None
    sale_ref: str | None
    needed_by: date | None
    promised_for: date | None
    placed_at: datetime
    marked_by: str
    events: tuple[OrderEvent, ...]
    terms: Terms = NO_TERMS
    rush: bool = False
    note: str = ""
    look_again: tuple[OpenDoubt, ...] = ()
    line_changes: tuple[LineChange, ...] = ()
    price_reason: PriceReason | None = None
    tax: TaxTerms = UNSAID
    planned_fittings: tuple[PlannedFitting, ...] = ()
    spells: tuple[Spell, ...] = ()
    assigned: tuple[Assigned, ...] = ()
    dressed: Dressed = AS_USUAL

    @property
    def doubts(self) -> tuple[str, ...]:
        """What the fitting left in doubt and no line has, in words."""
        return tuple(each.words for each in self.look_again)

    @property
    def total(self) -> Money:
        """What the customer pays: all lines, and the surcharge of a rush."""
        lines_minor = sum(line.price.minor for line in self.lines)
        return Money(lines_minor + self.terms.rush_minor, self.lines[0].price.currency)

    @property
    def deposit(self) -> Money:
        """What of the total is paid when the order is placed."""
        return Money(self.terms.deposit_minor, self.total.currency)

    @property
    def minutes(self) -> int:
        """The lines' minutes at the benches; the press that every piece gets comes on top (`work_of`)."""
        return sum(line.minutes for line in self.lines)

    @property
    def minutes_taken(self) -> int:
        """The minutes that its spells of work took, whatever became of their lines."""
        return minutes_of(self.spells)

    @property
    def notices(self) -> tuple[Notice, ...]:
        """What the fitter should look at (`subject_to_inlay`, what is to be marked again)."""
        return notices_of(self.lines)

    @property
    def state(self) -> State:
        """Where the order is, as its pieces are (`order_state`)."""
        return order_state(self.piece_states)

    @property
    def pieces(self) -> tuple[PieceOfOrder, ...]:
        """Its garments, each where it is."""
        return pieces_of_order(self.garments, self.piece_states, self.events)

    @property
    def pins_left_in(self) -> int:
        """Pins still in the pieces: those left in at marking, with what later moves put in, took out or gave up."""
        return sum(each.left for each in pin_counts(self.garments, self.events).values())

    @property
    def pins_to_count(self) -> int:
        """As many pins as counts that are still to come must find: those in, and those that the count before found."""
        return sum(each.pins_to_count for each in self.pieces)

    @property
    def may_move_to(self) -> tuple[State, ...]:
        """The states to which a move that names no piece takes it."""
        pieces, here = self.pieces, self.state
        ways = dict.fromkeys(to for each in pieces for to in each.may_move_to)
        return tuple(to for to in ways if _may_move(pieces, here, to))

    @property
    def ahead(self) -> Ahead:
        """What of its work is still to come."""
        return standings()[self.state].ahead

    @property
    def is_unbegun(self) -> bool:
        """Whether the work of none of its pieces has begun."""
        return all(standings()[state].ahead == "all" for state in self.piece_states)

    @property
    def open_question(self) -> str | None:
        """What the workroom asked the fitter and waits to hear; of several pieces the first."""
        return next((each.question for each in self.pieces if each.state == "query"), None)

    @property
    def fittings_ahead(self) -> tuple[PlannedFitting, ...]:
        """The fittings that are planned and still to come."""
        states = {each.piece: state for each, state in zip(self.garments, self.piece_states, strict=True)}
        basted = [event for event in self.events if event.kind == "moved" and event.to_state == "basted_for_fitting"]
        return still_planned(
            self.planned_fittings, states, {piece for event in basted for piece in pieces_of(event, self.garments)}
        )

    @property
    def fitting_on(self) -> date | None:
        """The day of the second fitting that it waits for; of several pieces the first day."""
        return min((each.fitting_on for each in self.pieces if each.fitting_on), default=None)


def place(garments: Sequence[GarmentPiece], lines: Sequence[OrderLine], **particulars: Unpack[Particulars]) -> Order:
    """A new order, marked; its lines come from `lines_of`. Raises Refusal as `check_lines`."""
    check_lines(garments, lines)
    placed = OrderEvent(particulars["placed_at"], particulars["marked_by"], None, FIRST_STATE, kind="placed")
    states = (FIRST_STATE,) * len(garments)
    return Order(piece_states=states, garments=tuple(garments), lines=first_ids(lines), events=(placed,), **particulars)


def _may_move(pieces: Sequence[PieceOfOrder], here: State, to: State) -> bool:
    try:
        return bool(chosen(pieces, here, to))
    except Refusal:
        return False


def check_amendable(order: Order) -> None:
    """Raises Refusal `amendment_too_late` once the work of a piece of an order has begun."""
    begun = [state for state in order.piece_states if not standings()[state].amend]
    if begun:
        still = [standing.state for standing in standings().values() if standing.amend]
        raise Refusal("amendment_too_late", (), state=order_state(begun), still=still)


def amend(order: Order, by: str, at_time: datetime, said: str = "", **changes: Unpack[Amendment]) -> Order:
    """The order with what is another from now on, and an event that names it; the same order where nothing is.

    Raises Refusal `amendment_too_late` once its work has begun, or as `check_lines`.
    """
    check_amendable(order)
    return with_changes(order, by, at_time, said, **changes)


def with_changes(order: Order, by: str, at_time: datetime, said: str = "", **changes: Unpack[Amendment]) -> Order:
    """As `amend`, wherever the order stands. Raises Refusal as `check_lines`."""
    changed = [name for name, value in changes.items() if name != "line_changes" and getattr(order, name) != value]
    if not changed:
        return order
    amended = replace(order, piece_states=_states_for(order, changes.get("garments", order.garments)), **changes)
    check_lines(amended.garments, amended.lines)
    facts: list[tuple[str, Fact]] = [("changed", changed)]
    if amended.total != order.total:
        facts += [("total_minor", amended.total.minor), ("total_minor_before", order.total.minor)]
    event = OrderEvent(at_time, by, order.state, order.state, said, tuple(facts), "amended")
    return _for_day(replace(amended, events=(*order.events, event)), order.promised_for)


def _states_for(order: Order, garments: Sequence[GarmentPiece]) -> tuple[State, ...]:
    """The states of the garments that an order has from now on: a new piece is where the order is."""
    known = {each.piece: state for each, state in zip(order.garments, order.piece_states, strict=True)}
    return tuple(known.get(garment.piece, order.state) for garment in garments)


def promise_anew(
    order: Order,
    promised_for: date,
    by: str,
    at_time: datetime,
    reason: str,
    fittings: Sequence[PlannedFitting] | None = None,
) -> Order:
    """The order promised for another day or with other `fittings` (None: as planned), with an event that says why.

    The same order where both are the same. Its customer holds a slip with either, so neither changes unsaid.
    """
    planned = order.planned_fittings if fittings is None else tuple(fittings)
    if (promised_for, planned) == (order.promised_for, order.planned_fittings):
        return order
    event = OrderEvent(at_time, by, order.state, order.state, "", (("reason", reason),), "promised")
    again = replace(order, promised_for=promised_for, planned_fittings=planned, events=(*order.events, event))
    return _for_day(again, order.promised_for)


def move_with_day(before: Order, moved: Order, promised_for: date) -> Order:
    """An order whose last move has changed its day: the move's event says both days."""
    return _for_day(replace(moved, promised_for=promised_for), before.promised_for)


def with_fittings_planned(
    order: Order, found: Sequence[PlannedFitting], pieces: Collection[int] | None = None
) -> Order:
    """The order whose `pieces` (None: all) were booked again, with the fittings that this left room for."""
    again = [each.piece for each in order.garments] if pieces is None else pieces
    return replace(order, planned_fittings=planned_again(order.planned_fittings, found, again))


def _for_day(order: Order, before: date | None) -> Order:
    """Its last event says to which day the promise went, and from which."""
    if order.promised_for == before or order.promised_for is None:
        return order
    last = order.events[-1]
    days: list[tuple[str, Fact]] = [("promised_for", order.promised_for.isoformat())]
    days += [("promised_before", before.isoformat())] if before else []
    return replace(order, events=(*order.events[:-1], replace(last, facts=(*last.facts, *days))))

"""Alteration orders: placed, moved along, charged. A change returns a new order with its event."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import NotRequired, TypedDict, Unpack, cast

from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.notices import Notice
from service.tailoring.orders.line_history import LineChange, first_ids
from service.tailoring.orders.order_lines import OrderLine, check_lines, line_numbers, notices_of
from service.tailoring.orders.order_states import (
    FIRST_STATE,
    Ahead,
    MoveFacts,
    OrderEvent,
    State,
    check_move,
    is_pin_count,
    legal_from,
    standings,
)
from service.tailoring.orders.price_reasons import PriceReason
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
    look_again: NotRequired[tuple[str, ...]]
    tax: NotRequired[TaxTerms]


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


@dataclass(frozen=True, slots=True)
class Order:
    """An alteration order: its lines in the caller's order, its events from placing on, oldest first.

    The customer and the sale are the till's own references. `placed_at` carries its offset from UTC. `terms` are
    what was agreed beside the lines when it was placed. A `rush` is sewn before others, for its surcharge.
    `look_again` are words on what the fitting left in doubt and no line has. `line_changes` are what became of its
    lines since, oldest first; `price_reason` is why all of it costs another price than listed.
    """

    number: str
    state: State
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
    look_again: tuple[str, ...] = ()
    line_changes: tuple[LineChange, ...] = ()
    price_reason: PriceReason | None = None
    tax: TaxTerms = UNSAID

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
    def notices(self) -> tuple[Notice, ...]:
        """What the fitter should look at (`subject_to_inlay`, what is to be marked again)."""
        return notices_of(self.lines)

    @property
    def pins_left_in(self) -> int:
        """Pins still in the pieces: those left in at marking, with what later moves put in, took out or gave up."""
        return self._pins[0]

    @property
    def pins_to_count(self) -> int:
        """As many pins as a count must find: those still in, and those that the count before it found.

        The count at hand-over repeats that at pressing, and a redo begins anew.
        """
        return sum(self._pins)

    @property
    def _pins(self) -> tuple[int, int]:
        """Pins that are in, and those counted out since the work was last begun."""
        left, counted = sum(piece.pins_left_in for piece in self.garments), 0
        for event in self.events:
            said = dict(event.facts)
            if event.is_redo:
                counted = 0
            left += cast("int", said.get("pins_in") or 0)
            if event.is_pin_count:
                left, counted = 0, counted + left
            else:
                left -= cast("int", said.get("pins_out") or 0)
        return left, counted

    @property
    def may_move_to(self) -> tuple[State, ...]:
        """The states to which it may move; what was once sewn is never cancelled (common practice, no source)."""
        sewn = any(event.to_state == "sewn" for event in self.events)
        return tuple(to for to in legal_from(self.state) if not (sewn and to == "cancelled"))

    @property
    def ahead(self) -> Ahead:
        """What of its work is still to come."""
        return standings()[self.state].ahead

    @property
    def open_question(self) -> str | None:
        """What the workroom asked the fitter and he has not answered yet."""
        return cast("str | None", self._said_last("question")) if self.state == "query" else None

    @property
    def fitting_on(self) -> date | None:
        """The day of the second fitting that it waits for."""
        said = self._said_last("fitting_on") if self.state == "basted_for_fitting" else None
        return None if said is None else date.fromisoformat(str(said))

    def _said_last(self, name: str) -> Fact:
        """What the last move said of `name`."""
        return next((dict(event.facts).get(name) for event in reversed(self.events) if event.kind == "moved"), None)


def place(garments: Sequence[GarmentPiece], lines: Sequence[OrderLine], **particulars: Unpack[Particulars]) -> Order:
    """A new order, marked; its lines come from `lines_of`. Raises Refusal as `check_lines`."""
    check_lines(garments, lines)
    placed = OrderEvent(particulars["placed_at"], particulars["marked_by"], None, FIRST_STATE, kind="placed")
    return Order(state=FIRST_STATE, garments=tuple(garments), lines=first_ids(lines), events=(placed,), **particulars)


def move(order: Order, to: State, by: str, at_time: datetime, note: str = "", **said: Unpack[MoveFacts]) -> Order:
    """The order in its new state, with an event of what was said. Raises Refusal as `check_move`.

    A redo is a move back to the workroom from pressed, ready or collected. It is free: it adds no line. Raises also
    `hem_to_be_pinned` where a leg is not marked yet, `line_unknown` where a line that is to be done again is none of
    its lines.
    """
    facts = {name: cast("Fact", value) for name, value in said.items() if value is not None}
    if to not in order.may_move_to:
        raise Refusal("move_not_allowed", ("to",), state=order.state, asked=to, legal=order.may_move_to)
    _check_pinned(order, to)
    pins_there = order.pins_to_count if is_pin_count(order.state, to) else order.pins_left_in
    check_move(order.state, to, facts, pins_there)
    for position, number in enumerate(said.get("redo_lines") or ()):
        if not 1 <= number <= len(order.lines):
            raise Refusal("line_unknown", ("redo_lines", position), given=number, most=len(order.lines))
    event = OrderEvent(at_time, by, order.state, to, note, tuple(facts.items()))
    return replace(order, state=to, events=(*order.events, event))


def _check_pinned(order: Order, to: State) -> None:
    """No bench begins on a leg that nobody marked: there is no number to cut it by."""
    unmarked = sorted({line.piece for line in order.lines if line.to_be_pinned})
    if to == "in_workroom" and unmarked:
        raise Refusal("hem_to_be_pinned", ("to",), pieces=unmarked)


def check_amendable(order: Order) -> None:
    """Raises Refusal `amendment_too_late` once the work of an order has begun."""
    if not standings()[order.state].amend:
        still = [standing.state for standing in standings().values() if standing.amend]
        raise Refusal("amendment_too_late", (), state=order.state, still=still)


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
    amended = replace(order, **changes)
    check_lines(amended.garments, amended.lines)
    facts: list[tuple[str, Fact]] = [("changed", changed)]
    if amended.total != order.total:
        facts += [("total_minor", amended.total.minor), ("total_minor_before", order.total.minor)]
    event = OrderEvent(at_time, by, order.state, order.state, said, tuple(facts), "amended")
    return _for_day(replace(amended, events=(*order.events, event)), order.promised_for)


def promise_anew(order: Order, promised_for: date, by: str, at_time: datetime, reason: str) -> Order:
    """The order promised for another day, with an event that says why; the same order where the day is the same."""
    if promised_for == order.promised_for:
        return order
    event = OrderEvent(at_time, by, order.state, order.state, "", (("reason", reason),), "promised")
    return _for_day(replace(order, promised_for=promised_for, events=(*order.events, event)), order.promised_for)


def move_with_day(before: Order, moved: Order, promised_for: date) -> Order:
    """An order whose last move has changed its day: the move's event says both days."""
    return _for_day(replace(moved, promised_for=promised_for), before.promised_for)


def redone(order: Order) -> tuple[OrderLine, ...]:
    """The lines that its last move asks to be done again."""
    numbers = cast("Sequence[int] | None", order._said_last("redo_lines"))  # noqa: SLF001  of this very room
    if not numbers:
        return order.lines
    return tuple(order.lines[position] for position, number in line_numbers(order.lines).items() if number in numbers)


def _for_day(order: Order, before: date | None) -> Order:
    """Its last event says to which day the promise went, and from which."""
    if order.promised_for == before or order.promised_for is None:
        return order
    last = order.events[-1]
    days: list[tuple[str, Fact]] = [("promised_for", order.promised_for.isoformat())]
    days += [("promised_before", before.isoformat())] if before else []
    return replace(order, events=(*order.events[:-1], replace(last, facts=(*last.facts, *days))))

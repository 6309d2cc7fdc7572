"""Where an order stands between booking and hand-over, the moves it may make, and what each move must say."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from typing import Literal, TypeAlias, TypedDict, cast, get_args

from service.tailoring import tables
from service.tailoring.refusals import Fact, Refusal

State: TypeAlias = Literal[
    "marked",
    "accepted",
    "in_workroom",
    "query",
    "basted_for_fitting",
    "sewn",
    "pressed",
    "ready",
    "collected",
    "cancelled",
]
MoveKind: TypeAlias = Literal["onward", "redo", "cancel"]
# What an event tells of: placed, moved to another state, amended, or promised for another day.
EventKind: TypeAlias = Literal["placed", "moved", "amended", "promised"]
# What of an order's work is still to come: all of it, what is left of it, its finishing, or nothing.
Ahead: TypeAlias = Literal["all", "rest", "finishing", "nothing"]

STATES: tuple[State, ...] = get_args(State)
EVENT_KINDS: tuple[EventKind, ...] = get_args(EventKind)
FIRST_STATE: State = "marked"

# How the core says that a move lacks a fact. A pin count is judged against the pins left in, by the order.
_UNSAID = {
    "pins_out": "pins_not_counted",
    "tried_on": "tried_on_missing",
    "reason": "reason_missing",
    "question": "question_missing",
    "answer": "answer_missing",
    "fitting_on": "fitting_on_missing",
    "cloth_cut": "cloth_cut_missing",
}


class MoveFacts(TypedDict, total=False):
    """What may be said with a move; None is not said.

    A `question` is the workroom's to the fitter, an `answer` his. `fitting_on` is the day of a second fitting, as
    2026-03-02. `redo_lines` are the ticket's numbers of the lines that are done again; all, where none is said.
    """

    pins_in: int | None
    pins_out: int | None
    tried_on: bool | None
    reason: str | None
    cloth_cut: bool | None
    question: str | None
    answer: str | None
    fitting_on: str | None
    redo_lines: Sequence[int] | None


@dataclass(frozen=True, slots=True)
class Standing:
    """What a state means: in words, whose it is to act, whether an order may be amended, what work is to come."""

    state: State
    words: str
    whose: str
    amend: bool
    ahead: Ahead
    source: str


@dataclass(frozen=True, slots=True)
class Move:
    """A legal move and the facts that it cannot do without; a `redo` is free, a `cancel` ends the order."""

    from_state: State
    to_state: State
    kind: MoveKind
    wanted_mm: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class OrderEvent:
    """What happened to an order: when, by whom, from where to where (placed: from None), and what was said.

    Where it was amended or promised anew it stays where it stands.

    `at` carries its offset from UTC; a time without one is a slip of the program (ValueError).
    """

    at: datetime
    by: str
    from_state: State | None
    to_state: State
    note: str = ""
    facts: tuple[tuple[str, Fact], ...] = ()
    kind: EventKind = "moved"

    def __post_init__(self) -> None:
        if self.at.utcoffset() is None:
            raise ValueError("an event's time needs its offset from UTC")

    @property
    def is_redo(self) -> bool:
        """Whether the order went back to the workroom to be put right."""
        if self.kind != "moved" or self.from_state is None:
            return False
        return moves()[self.from_state, self.to_state].kind == "redo"


@cache
def moves() -> dict[tuple[State, State], Move]:
    """Every legal move by where it starts and where it ends (common practice, no source)."""
    found = (
        Move(
            cast("State", row["from"]),
            cast("State", row["to"]),
            cast("MoveKind", row["kind"]),
            tuple(row["needs"].split()),
            row["source"],
        )
        for row in tables.rows("orders/moves")
    )
    return {(move.from_state, move.to_state): move for move in found}


@cache
def standings() -> dict[State, Standing]:
    """Every state and what it means (common practice, no source)."""
    found = (
        Standing(
            cast("State", row["state"]),
            row["words"],
            row["whose"],
            row["amend"] == "yes",
            cast("Ahead", row["ahead"]),
            row["source"],
        )
        for row in tables.rows("orders/states")
    )
    return {standing.state: standing for standing in found}


def legal_from(state: State) -> tuple[State, ...]:
    """The states to which an order in `state` may move."""
    return tuple(to for start, to in moves() if start == state)


def check_move(state: State, to: State, facts: Mapping[str, Fact], pins_left_in: int) -> Move:
    """The move from `state` to `to`, once all that it needs is said.

    Raises Refusal `move_not_allowed` (with the legal ones), `pins_not_counted`, `tried_on_missing`,
    `reason_missing` or `cloth_cut_missing`, pointing at the part.
    """
    found = moves().get((state, to))
    if found is None:
        raise Refusal("move_not_allowed", ("to",), state=state, asked=to, legal=legal_from(state))
    _check_pins(found, facts, pins_left_in)
    for need in found.wanted_mm:
        said = facts.get(need)
        if said is None or (isinstance(said, str) and not said.strip()):
            raise Refusal(_UNSAID[need], (need,), state=state, asked=to)
    return found


def _check_pins(move: Move, facts: Mapping[str, Fact], pins_left_in: int) -> None:
    """Pins are counted in and out: never more out than in, and none stays where a move needs the count."""
    for name in ("pins_in", "pins_out"):
        count = facts.get(name)
        if isinstance(count, int) and count < 0:
            raise Refusal("count_too_small", (name,), least=0)
    counted, there = cast("int | None", facts.get("pins_out")), pins_left_in
    there += cast("int", facts.get("pins_in", 0))
    must_be_all = "pins_out" in move.wanted_mm
    if (must_be_all and counted != there) or (counted is not None and counted > there):
        raise Refusal(_UNSAID["pins_out"], ("pins_out",), expected=there, counted=counted)

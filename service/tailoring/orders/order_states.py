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
    "stored",
    "lost",
    "collected",
    "given_up",
    "written_off",
    "cancelled",
]
MoveKind: TypeAlias = Literal["onward", "collect", "redo", "cancel", "store", "lose", "find", "give_up", "write_off"]
MOVE_KINDS: tuple[MoveKind, ...] = get_args(MoveKind)
# Which pieces a move takes where none are named: all of the order that are not over, those that may make it, or of
# those the ones that are where the order is.
Unnamed: TypeAlias = Literal["all", "able", "alike"]
# What an event tells of: placed, moved to another state, amended, promised for another day, noted of at the bench,
# measured when it was sewn, or given to a tailor.
EventKind: TypeAlias = Literal["placed", "moved", "amended", "promised", "noted", "checked", "assigned", "waiting"]
# What of an order's work is still to come: all of it, what is left of it, its finishing, or nothing.
Ahead: TypeAlias = Literal["all", "rest", "finishing", "nothing"]
# Whether lines may be changed, added and struck: at the bench only where it does them again.
LinesOpen: TypeAlias = Literal["yes", "redo", "no"]

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
    "where": "where_missing",
    "searched_by": "searched_by_missing",
    "decided_by": "decided_by_missing",
}


class MoveFacts(TypedDict, total=False):
    """What may be said with a move; None is not said.

    A `question` is the workroom's to the fitter, an `answer` his. `fitting_on` is the day of a second fitting, as
    2026-03-02. `redo_lines` are the ticket's numbers of the lines that are done again; all, where none is given.
    `pins_lost` are those that a count does not find, given up by who `searched_by` names, once the piece was
    `swept_with_magnet`. `where` a piece is stored, was looked for or was found; `decided_by` is who signs for one that
    is given up or written off.
    """

    pins_in: int | None
    pins_out: int | None
    pins_lost: int | None
    searched_by: str | None
    swept_with_magnet: bool | None
    tried_on: bool | None
    reason: str | None
    cloth_cut: bool | None
    question: str | None
    answer: str | None
    fitting_on: str | None
    redo_lines: Sequence[int] | None
    where: str | None
    decided_by: str | None


@dataclass(frozen=True, slots=True)
class Standing:
    """What a state means: in words, whose it is to act, whether an order may be amended, or its lines changed.

    `ahead` is what of its work is still to come. Of the pieces of an order the one whose state has the least `speaks`
    gives it its own (`order_state`). `is_open`: the shop still has the piece, or owes it. `charged`: its lines are paid
    for.
    """

    state: State
    words: str
    whose: str
    amend: bool
    lines: LinesOpen
    ahead: Ahead
    speaks: int
    is_open: bool
    charged: bool
    source: str


@dataclass(frozen=True, slots=True)
class Move:
    """A legal move of a piece and the facts that it cannot do without; a `redo` is free, a `cancel` ends the work."""

    from_state: State
    to_state: State
    kind: MoveKind
    needs: tuple[str, ...]
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
    def is_pin_count(self) -> bool:
        """Whether the pins were counted at it, all of them."""
        if self.kind != "moved" or self.from_state is None or dict(self.facts).get("pins_out") is None:
            return False
        return is_pin_count(self.from_state, self.to_state)

    @property
    def is_redo(self) -> bool:
        """Whether the order went back to the workroom to be put right."""
        if self.kind != "moved" or self.from_state is None:
            return False
        made = moves().get((self.from_state, self.to_state))
        return made is not None and made.kind == "redo"


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
            cast("LinesOpen", row["lines"]),
            cast("Ahead", row["ahead"]),
            int(row["speaks"]),
            row["open"] == "yes",
            row["charged"] == "yes",
            row["source"],
        )
        for row in tables.rows("orders/states")
    )
    return {standing.state: standing for standing in found}


@cache
def unnamed_of(kind: MoveKind) -> Unnamed:
    """Which pieces a move of that kind takes where none are named (common practice, no source)."""
    return cast("Unnamed", {row["kind"]: row["unnamed"] for row in tables.rows("orders/move_kinds")}[kind])


def order_state(pieces: Sequence[State]) -> State:
    """Where an order is whose pieces are in those states, one at least: where the piece is that speaks for it.

    What waits for an answer or a fitting speaks first, then what is furthest back, and last what is over (states.csv).
    """
    return min(pieces, key=lambda state: standings()[state].speaks)


def is_over(state: State) -> bool:
    """Whether nothing more is to come of a piece, or of an order, in that state unless it is redone."""
    return not standings()[state].is_open


def legal_from(state: State) -> tuple[State, ...]:
    """The states to which a piece in `state` may move."""
    return tuple(to for start, to in moves() if start == state)


def is_pin_count(state: State, to: State) -> bool:
    """Whether all pins are counted at the move: at pressing, and again at hand-over."""
    found = moves().get((state, to))
    return found is not None and "pins_out" in found.needs


def check_move(state: State, to: State, facts: Mapping[str, Fact], pins_there: int) -> Move:
    """The move from `state` to `to`, once all that it needs is said; `pins_there` may come out at it.

    Raises Refusal `move_not_allowed` (with the legal ones), `pins_not_counted`, `pins_lost_too_soon`,
    `pins_lost_unsigned`, `tried_on_missing`, `reason_missing` or `cloth_cut_missing`, pointing at the part.
    """
    found = moves().get((state, to))
    if found is None:
        raise Refusal("move_not_allowed", ("to",), state=state, asked=to, legal=legal_from(state))
    _check_pins(found, facts, pins_there)
    for need in found.needs:
        said = facts.get(need)
        if said is None or (isinstance(said, str) and not said.strip()):
            raise Refusal(_UNSAID[need], (need,), state=state, asked=to)
    return found


def _check_pins(move: Move, facts: Mapping[str, Fact], pins_there: int) -> None:
    """Pins are counted in and out: never more out than in, and none stays unaccounted for where a move needs the count.

    One that stays lost is given up by name, after a search with a magnet, and never by a count that is not true.
    """
    for name in ("pins_in", "pins_out", "pins_lost"):
        count = facts.get(name)
        if isinstance(count, int) and count < 0:
            raise Refusal("count_too_small", (name,), least=0)
    counted, there = cast("int | None", facts.get("pins_out")), pins_there
    there += cast("int", facts.get("pins_in", 0))
    lost = cast("int", facts.get("pins_lost") or 0)
    must_be_all = "pins_out" in move.needs
    if lost and not must_be_all:
        raise Refusal("pins_lost_too_soon", ("pins_lost",), state=move.from_state, asked=move.to_state)
    if (must_be_all and (counted is None or counted + lost != there)) or (counted is not None and counted > there):
        figures: dict[str, Fact] = {"expected": there, "counted": counted}
        if lost:
            figures["lost"] = lost
        raise Refusal(_UNSAID["pins_out"], ("pins_out",), **figures)
    if lost:
        _check_signed(facts)


def _check_signed(facts: Mapping[str, Fact]) -> None:
    """Raises Refusal `pins_lost_unsigned` unless it is said who searched, and that a magnet was used."""
    if not str(facts.get("searched_by") or "").strip():
        raise Refusal("pins_lost_unsigned", ("searched_by",))
    if facts.get("swept_with_magnet") is not True:
        raise Refusal("pins_lost_unsigned", ("swept_with_magnet",))

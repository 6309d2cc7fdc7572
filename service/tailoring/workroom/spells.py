"""Work begun, put down and ended by a tailor: at most one spell of theirs is open at a time.

Minutes are those of spells that are over. Nothing is guessed: a spell that was left open over midnight is closed by
whoever knows when the work was put down.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Literal, TypeAlias, get_args
from zoneinfo import ZoneInfo

from service.tailoring.garments.alterations import Bench, alteration
from service.tailoring.orders.bench_notes import AT_WORK, with_event
from service.tailoring.orders.lines.line_history import Signed
from service.tailoring.orders.lines.order_lines import OrderLine, line_numbers
from service.tailoring.orders.lines.work_done import Spell, SpellEnd
from service.tailoring.orders.order_states import State
from service.tailoring.orders.orders import Order
from service.tailoring.refusals import Refusal
from service.tailoring.workroom.assignments import benches_of
from service.tailoring.workroom.calendar import FINISHING
from service.tailoring.workroom.tailors import Tailor, check_skill

Doing: TypeAlias = Literal["begin", "pause", "end"]
DOINGS: tuple[Doing, ...] = get_args(Doing)
_ENDS: dict[Doing, SpellEnd] = {"pause": "paused", "end": "ended"}
# What is sewn is at the bench; what is pressed may be there, or sewn.
_SEWN_IN: tuple[State, ...] = ("in_workroom",)
_PRESSED_IN: tuple[State, ...] = ("in_workroom", "sewn")


@dataclass(frozen=True, slots=True)
class WorkOn:
    """What of an order is worked on: a line, or a piece as a whole (`line_id` 0), at its bench."""

    piece: int
    bench: Bench
    line_id: int = 0

    @classmethod
    def of(cls, spell: Spell) -> WorkOn:
        """What a spell is on."""
        return cls(spell.piece, spell.bench, spell.line_id)


@dataclass(frozen=True, slots=True)
class Moment:
    """When something was done: `said` by the tailor, or else the clock's `now`; and the shop's own time of day."""

    now: datetime
    zone: ZoneInfo
    said: datetime | None = None

    @property
    def at(self) -> datetime:
        """When it was. Raises Refusal `work_in_future` where that is said to be ahead."""
        if self.said and self.said > self.now:
            raise Refusal("work_in_future", ("at",), now=self._words(self.now))
        return self.said or self.now

    def end_of(self, spell: Spell, order_number: str) -> datetime:
        """When a spell ends that is ended now: never before it began, even if the clock was set back.

        Raises Refusal `ends_before_begun` where an earlier time is said, or `left_open_overnight` where none is, and
        it is another day than the one on which it began.
        """
        at = self.at
        if self.said and at < spell.since:
            raise Refusal("ends_before_begun", ("at",), since=self._words(spell.since))
        if not self.said and self._day(at) > self._day(spell.since):
            raise Refusal("left_open_overnight", (), ticket=order_number, since=self._words(spell.since))
        return max(at, spell.since)

    def check_after(self, last: datetime | None) -> None:
        """Raises Refusal `work_overlaps` where work is said to begin before the tailor's last spell was over."""
        if self.said and last and self.at < last:
            raise Refusal("work_overlaps", ("at",), until=self._words(last))

    def _day(self, at: datetime) -> date:
        return at.astimezone(self.zone).date()

    def _words(self, at: datetime) -> str:
        return at.astimezone(self.zone).isoformat(timespec="minutes")


def work_named(order: Order, tailor: Tailor, piece: int | None, number: int | None) -> WorkOn:
    """The work that a tailor names: a line by its number; or a piece, which an order of one piece need not say.

    A piece as a whole is sewn at its bench, and pressed once it is sewn.
    Raises Refusal `line_unknown`, `piece_unknown`, `piece_unsaid` or `tailor_at_other_bench`.
    """
    if number is not None:
        line = _line(order, number)
        bench = alteration(line.alteration).bench
        check_skill(tailor, bench, ("number",))
        return WorkOn(line.piece, bench, line.id)
    benches = benches_of(order)
    if piece is None and len(benches) > 1:
        raise Refusal("piece_unsaid", ("piece",), pieces=[str(each) for each in benches])
    piece = next(iter(benches)) if piece is None else piece
    if piece not in benches:
        raise Refusal("piece_unknown", ("piece",), piece=piece, pieces=[str(each) for each in benches])
    sewn = [bench for bench in benches[piece] if bench != FINISHING]
    bench = sewn[0] if sewn and _state(order, piece) in _SEWN_IN else FINISHING
    check_skill(tailor, bench, ("piece",))
    return WorkOn(piece, bench)


def begun(order: Order, tailor: Tailor, on: WorkOn, at: datetime) -> Order:
    """The order with a spell of that tailor open; they must have none. Raises Refusal `no_work_there`."""
    state, still = _state(order, on.piece), _PRESSED_IN if on.bench == FINISHING else _SEWN_IN
    if state not in still:
        raise Refusal("no_work_there", (), state=state, still=still)
    spell = Spell(tailor.ref, on.piece, on.line_id, on.bench, at)
    return replace(order, spells=(*order.spells, spell))


def put_down(order: Order, ref: str, doing: Doing, at: datetime, signed: Signed) -> Order:
    """The order with the tailor's open spell over: paused, or ended, and then the lines are sewn by them."""
    position = next(n for n, each in enumerate(order.spells) if each.is_open and each.tailor == ref)
    over = replace(order.spells[position], until=at, ended=_ENDS[doing])
    order = replace(order, spells=(*order.spells[:position], over, *order.spells[position + 1 :]))
    return _sewn(order, over, signed) if over.ended == "ended" else order


def end_paused(order: Order, ref: str, on: WorkOn, signed: Signed) -> Order:
    """The order with work ended that the tailor had put down before. Raises Refusal `nothing_begun`."""
    mine = [n for n, each in enumerate(order.spells) if each.tailor == ref and WorkOn.of(each) == on]
    if not mine or order.spells[mine[-1]].ended != "paused":
        raise Refusal("nothing_begun")
    over = replace(order.spells[mine[-1]], ended="ended")
    return _sewn(replace(order, spells=(*order.spells[: mine[-1]], over, *order.spells[mine[-1] + 1 :])), over, signed)


def _sewn(order: Order, spell: Spell, signed: Signed) -> Order:
    """The lines that the spell was on are sewn by its tailor; what has left the bench meanwhile stays as it is."""
    if _state(order, spell.piece) not in AT_WORK or spell.bench == FINISHING:
        return order
    numbers, lines, sewn = line_numbers(order.lines), list(order.lines), []
    for position, line in enumerate(order.lines):
        covered = spell.covers(line.piece, line.id, alteration(line.alteration).bench)
        if covered and spell.tailor not in line.sewn_by:
            lines[position] = replace(line, sewn_by=(*line.sewn_by, spell.tailor))
            sewn.append(numbers[position])
    return with_event(order, lines, "noted", signed, {"lines": sorted(sewn)}) if sewn else order


def _line(order: Order, number: int) -> OrderLine:
    found = {number: order.lines[position] for position, number in line_numbers(order.lines).items()}
    if number not in found:
        raise Refusal("line_unknown", ("number",), given=number, most=len(found))
    return found[number]


def _state(order: Order, piece: int) -> State:
    known = {each.piece: state for each, state in zip(order.garments, order.piece_states, strict=True)}
    return known.get(piece, order.state)

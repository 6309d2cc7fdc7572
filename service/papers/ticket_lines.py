"""A line of work as the ticket says it: the change and the finished measure aimed at, and what stops the hand."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from service.papers.ticket_changes import left_of_redo, was_before
from service.tailoring import tables
from service.tailoring.garments.alterations import Alteration, Direction, alteration
from service.tailoring.garments.amounts import Amount
from service.tailoring.orders.legs_again import cut_of
from service.tailoring.orders.lines.order_lines import OrderLine
from service.tailoring.orders.orders import Order
from service.tailoring.quantities import Length, inches, said_in
from service.tailoring.work.order_of_work import sewn_before
from service.tongues.wording import change_text, is_rounded, length_text, money_text, seam_texts
from service.use_cases.orders.order_papers import Detail

# Cut only after a second reading when more than this comes off (common practice, no source).
SECOND_READING_OVER_MM = inches(1)
# Nobody trims less than that off a raw edge (common practice, no source).
JUST_CUT_MM = inches(1 / 8)

_OPPOSITE = {"left": "right", "right": "left"}
_BASIS = {"girth": "girth", "per_side": "per side", "per_leg": "per leg", "length": "length"}
_MARKED = {"pins": "pins", "chalk": "chalk", "thread": "thread marks", "written": "nothing on the cloth: written only"}
_OLD_LINE: dict[Direction, str] = {"decrease": "inside the old line", "increase": "beyond the old line"}
# Before words that stop the hand, and before what a trained hand knows.
STOP, CAUTION = "!", "mind"
UNDONE_FIRST = "undo the old alteration at this seam first"
SIDES_DIFFER = "sides differ: keep each as marked"


@cache
def _measures() -> dict[str, dict[str, str]]:
    return {row["alteration"]: row for row in tables.rows("work/ticket_measures")}


def _known(code: str, column: str) -> str:
    """What its row says: `seams` ("?": ask the tailor), of what it is `finished`, words for `less`, `more`, `mind`."""
    return _measures().get(code, {}).get(column, "")


@dataclass(frozen=True, slots=True)
class Measure:
    """A length both ways, signed where it is a change, and what it is a measure of; `is_rounded`: its inches are."""

    text: str
    of: str
    is_rounded: bool = False


@dataclass(frozen=True, slots=True)
class TicketLine:
    """One line of work. `change` begins with the amount as ordered; how it is shared among the seams follows.

    `alteration` is its code in the catalogue. `side` is "", "both", "left", "right", or "left only" where no line of
    the piece is for the other side. `mark_again`: the finished measure gives way to a new mark. `after`: lines on
    other pieces sewn first. `second_reading`: measured again by another person before the cut. `not_pinned`: a hem
    that has no measure, and is not begun before it is marked. `cut`: where a leg is cut, which cannot be undone,
    unless it is cut there already; `was`: what the line said before it was changed.
    """

    number: int
    alteration: str
    words: str
    side: str
    change: tuple[Measure, ...]
    finished: Measure | None
    notices: tuple[str, ...]
    mark_again: bool
    after: tuple[int, ...]
    inlay: str
    second_reading: bool
    marked: str
    note: str
    caution: str
    minutes: int
    price: str
    not_pinned: bool = False
    cut: Measure | None = None
    was: str = ""

    @property
    def is_measured(self) -> bool:
        """Whether there is anything to tape when it is sewn."""
        return bool(self.change or self.finished or self.not_pinned)

    @property
    def is_one_side(self) -> bool:
        """Whether another line is for the other side."""
        return self.side in _OPPOSITE

    @property
    def measures(self) -> tuple[Measure, ...]:
        """Every length that is printed of it."""
        return (*self.change, *(each for each in (self.finished, self.cut) if each))

    @property
    def stops(self) -> tuple[tuple[str, str], ...]:
        """What stops the hand before it begins, each behind its sign."""
        after = (f"only after line {', '.join(map(str, self.after))}",) if self.after else ()
        return tuple((STOP, words) for words in (*self.notices, *after))

    @property
    def details(self) -> tuple[tuple[str, str], ...]:
        """What else the bench must know of it, by name."""
        named = (("inlay", self.inlay), ("marked with", self.marked), ("note", self.note), (CAUTION, self.caution))
        return tuple((name, words) for name, words in named if words)


def pairs(lines: Sequence[TicketLine]) -> Iterator[tuple[TicketLine, ...]]:
    """Lines as they are sewn: left and right of one alteration together, the left one first."""
    found: list[tuple[TicketLine, ...]] = []
    for line in lines:
        before = found[-1][0] if found and len(found[-1]) == 1 else None
        if before and before.alteration == line.alteration and before.side == _OPPOSITE.get(line.side):
            found[-1] = (before, line) if line.side == "right" else (line, before)
        else:
            found.append((line,))
    return iter(found)


def ticket_line(order: Order, position: int, numbers: dict[int, int], detail: Detail) -> TicketLine:
    """The line at `position`, numbered as on the ticket; `numbers` are those of every line."""
    line = order.lines[position]
    doing, amount = alteration(line.alteration), line.amount
    side = (amount.side if amount else None) or ""
    notices = [notice for notice in order.notices if notice.at[1] == position]
    opposed = any(other.piece == line.piece and other.side == _OPPOSITE.get(side) for other in order.lines)
    to_be_cut = line.cut is None or _is_to_be_cut(order, line)
    comes_off = amount is not None and (amount.basis, amount.direction) == ("length", "decrease")
    mind = doing.caution if detail == "full" else _known(doing.code, "mind") or doing.caution
    return TicketLine(
        number=numbers[position],
        alteration=doing.code,
        words=_words(doing, amount, side),
        side=f"{side} only" if side in _OPPOSITE and not opposed else side,
        change=_change(doing, amount) if amount else (),
        finished=_aim(line.target, _finished(doing, side)) if line.target else None,
        notices=(
            *line.look_again,
            *left_of_redo(order, line, numbers[position]),
            *_already_cut(order, line),
            *((UNDONE_FIRST,) if line.undone_first else ()),
            *dict.fromkeys(notice.text for notice in notices),
            *((SIDES_DIFFER,) if _sides_differ(order, position) else ()),
        ),
        mark_again=any(notice.code.endswith("_remark") for notice in notices),
        after=_after(order, position, numbers),
        inlay=_inlay(line),
        second_reading=bool(comes_off and amount and amount.length.mm > SECOND_READING_OVER_MM + 0.001 and to_be_cut),
        marked=_MARKED[line.marked_with] if line.marked_with else "",
        note=line.note,
        caution=said_in(mind, amount.length.unit if amount else None),
        minutes=line.minutes,
        price=money_text(line.price),
        not_pinned=line.to_be_pinned,
        cut=_aim(line.cut, "with the hem's cloth") if line.cut and to_be_cut else None,
        was=was_before(order, line),
    )


def _is_to_be_cut(order: Order, line: OrderLine) -> bool:
    """Whether more than a trimming comes off the leg as it is cut now."""
    done = cut_of(order, line)
    return line.cut is not None and (done is None or done.length is None or line.cut.mm < done.length.mm - JUST_CUT_MM)


def _already_cut(order: Order, line: OrderLine) -> tuple[str, ...]:
    done = cut_of(order, line)
    if done is None:
        return ()
    where = f" at {length_text(done.length)}" if done.length else ""
    left = f", {length_text(done.left)} left inside" if done.left else ""
    # What nobody noted is known only from its being sewn: cut where it was marked, and measured by none.
    return (f"ALREADY CUT{where}{left}" if done == line.cloth_cut else f"SEWN, SO CUT{where}",)


def line_words(line: OrderLine) -> str:
    """What is done, in the trade's words."""
    side = (line.amount.side if line.amount else None) or ""
    return _words(alteration(line.alteration), line.amount, side)


def _words(doing: Alteration, amount: Amount | None, side: str) -> str:
    """As the trade says it in that direction, or as the catalogue names it."""
    by_way = _known(doing.code, "less" if amount.direction == "decrease" else "more") if amount else ""
    return by_way or (doing.words.replace(" (pair)", "") if side in _OPPOSITE else doing.words)


def _change(doing: Alteration, amount: Amount) -> tuple[Measure, ...]:
    """The amount as ordered; a girth also at each seam and, where the seams are known, from the old seam line."""
    length, way = amount.length, amount.direction

    def share(count: int, of: str) -> Measure:
        return Measure(change_text(length, way, count), of, is_rounded(length))

    basis = _BASIS[amount.basis]
    if amount.side is not None:
        return (share(1, f"{basis}, each" if amount.side == "both" else basis),)
    seams = _known(doing.code, "seams")
    if not seams:
        return (share(1, basis),)
    whole = share(1, f"{basis}, all round")
    if not seams.isdigit():
        return whole, share(2, "per side")
    sewn = seam_texts(length, int(seams))
    lines = [Measure(text, of) for text, of in zip(sewn, (_OLD_LINE[way], "at the last seam"), strict=False)]
    if int(seams) > 1 and len(sewn) == 1:
        lines.insert(0, share(int(seams), f"at each of {seams} seams"))
    return whole, *lines


def _aim(length: Length, of: str) -> Measure:
    return Measure(length_text(length), of, is_rounded(length))


def _finished(doing: Alteration, side: str) -> str:
    known = _known(doing.code, "finished")
    return known or f"{_BASIS[doing.basis or 'length']}{f', {side}' if side in _OPPOSITE else ''}"


def _inlay(line: OrderLine) -> str:
    if line.inlay_seen is not None:
        return f"seen, {length_text(line.inlay_seen)}{_inlay_basis(line)}"
    if line.subject_to_inlay:
        return "NOT SEEN: look before unpicking"
    return ""


def _inlay_basis(line: OrderLine) -> str:
    """Where it was seen, so that nobody counts a seam twice."""
    if line.inlay_basis == "per_seam":
        return f" at each of {line.inlay_seams} seams, beyond the 3/8 in that stays sewn"
    return f" in all, at {line.inlay_seams} seams" if (line.inlay_seams or 1) > 1 else ""


def _sides_differ(order: Order, position: int) -> bool:
    """A marked difference between left and right is evened out by a tidy hand unless the paper says so."""
    line = order.lines[position]
    return any(
        (other.piece, other.alteration) == (line.piece, line.alteration)
        and {line.side, other.side} == {"left", "right"}
        and (_mm(other.target), _way(other)) != (_mm(line.target), _way(line))
        for other in order.lines
    )


def _way(line: OrderLine) -> tuple[str, float] | None:
    return (line.amount.direction, _mm(line.amount.length)) if line.amount else None


def _mm(length: Length | None) -> float:
    return round(length.mm, 1) if length else 0.0


def _after(order: Order, position: int, numbers: dict[int, int]) -> tuple[int, ...]:
    line = order.lines[position]
    return tuple(
        sorted(
            numbers[at]
            for at, other in enumerate(order.lines)
            if other.piece != line.piece and sewn_before(other.alteration, line.alteration, same_piece=False)
        )
    )

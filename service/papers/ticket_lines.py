"""A line of work as the ticket says it: the change and the finished measure aimed at, and what stops the hand."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from service.papers.wording import change_text, is_rounded, length_text, money_text
from service.tailoring import tables
from service.tailoring.garments.alterations import Alteration, alteration
from service.tailoring.orders.order_lines import OrderLine
from service.tailoring.orders.orders import Order
from service.tailoring.quantities import Length, inches
from service.tailoring.work.order_of_work import sewn_before

# Cut only after a second reading when more than this comes off (common practice, no source).
SECOND_READING_OVER_MM = inches(1)

_OPPOSITE = {"left": "right", "right": "left"}
_BASIS = {"girth": "girth", "per_side": "per side", "per_leg": "per leg", "length": "length"}
_MARKED = {"pins": "pins", "chalk": "chalk", "thread": "thread marks", "written": "nothing on the cloth: written only"}
UNDONE_FIRST = "undo the old alteration at this seam first"


@cache
def _measures() -> list[dict[str, str]]:
    return tables.rows("work/ticket_measures")


def _seams(code: str) -> str:
    """At how many seams a girth is changed, so that a half is not sewn twice; "?" leaves it to the tailor."""
    return next((row["seams"] for row in _measures() if row["alteration"] == code), "")


@dataclass(frozen=True, slots=True)
class Measure:
    """A length both ways, signed where it is a change, and what it is a measure of; `is_rounded`: its inches are."""

    text: str
    of: str
    is_rounded: bool = False


@dataclass(frozen=True, slots=True)
class TicketLine:
    """One line of work. `change` begins with the amount as ordered; shares of a girth follow it.

    `alteration` is its code in the catalogue. `side` is "", "both", "left", "right", or "left only" where no line of
    the piece is for the other side. `mark_again`: the finished measure gives way to a new mark. `after`: lines on
    other pieces sewn first. `second_reading`: measured again by another person before the cut. `not_pinned`: a hem
    that has no measure, and is not begun before it is marked. `cut`: where a leg is cut, which cannot be undone.
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


def ticket_line(order: Order, position: int, numbers: dict[int, int]) -> TicketLine:
    """The line at `position`, numbered as on the ticket; `numbers` are those of every line."""
    line = order.lines[position]
    doing, amount = alteration(line.alteration), line.amount
    side = (amount.side if amount else None) or ""
    notices = [notice for notice in order.notices if notice.at[1] == position]
    opposed = any(other.piece == line.piece and other.side == _OPPOSITE.get(side) for other in order.lines)
    cut = amount is not None and (amount.basis, amount.direction) == ("length", "decrease")
    return TicketLine(
        number=numbers[position],
        alteration=doing.code,
        words=doing.words.replace(" (pair)", "") if side in _OPPOSITE else doing.words,
        side=f"{side} only" if side in _OPPOSITE and not opposed else side,
        change=_change(doing, line),
        finished=_aim(line.target, _finished(doing, side)) if line.target else None,
        notices=(
            *line.look_again,
            *((UNDONE_FIRST,) if line.undone_first else ()),
            *dict.fromkeys(notice.text for notice in notices),
            *_other_side(order, position, numbers),
        ),
        mark_again=any(notice.code.endswith("_remark") for notice in notices),
        after=_after(order, position, numbers),
        inlay=_inlay(line),
        second_reading=bool(cut and amount and amount.length.mm > SECOND_READING_OVER_MM + 0.001),
        marked=_MARKED[line.marked_with] if line.marked_with else "",
        note=line.note,
        caution=doing.caution,
        minutes=line.minutes,
        price=money_text(line.price),
        not_pinned=line.to_be_pinned,
        cut=_aim(line.cut, "with the hem's cloth") if line.cut else None,
    )


def _change(doing: Alteration, line: OrderLine) -> tuple[Measure, ...]:
    """The amount as ordered; a girth also per side and, where the seams are known, per cloth edge."""
    amount = line.amount
    if amount is None:
        return ()

    def share(count: int, of: str) -> Measure:
        return Measure(change_text(amount.length, amount.direction, count), of, is_rounded(amount.length))

    basis = _BASIS[amount.basis]
    if amount.side is not None:
        return (share(1, f"{basis}, each" if amount.side == "both" else f"{basis}, {amount.side}"),)
    seams = _seams(doing.code)
    if not seams:
        return (share(1, basis),)
    shares = {"1": ((2, "per side, each edge"),), "2": ((2, "per side, each seam"), (4, "per cloth edge"))}
    return share(1, f"{basis}, all round"), *(share(*each) for each in shares.get(seams, ((2, "per side"),)))


def _aim(length: Length, of: str) -> Measure:
    return Measure(length_text(length), of, is_rounded(length))


def _finished(doing: Alteration, side: str) -> str:
    known = next((row["finished"] for row in _measures() if row["alteration"] == doing.code), "")
    return known or f"{_BASIS[doing.basis or 'length']}{f', {side}' if side in {'left', 'right'} else ''}"


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


def _other_side(order: Order, position: int, numbers: dict[int, int]) -> list[str]:
    """A marked difference between left and right is evened out by a tidy hand unless the paper says so."""
    line = order.lines[position]
    return [
        f"left and right differ: do not make equal (line {numbers[at]})"
        for at, other in enumerate(order.lines)
        if (other.piece, other.alteration) == (line.piece, line.alteration)
        and {line.side, other.side} == {"left", "right"}
        and (_mm(other.target), _way(other)) != (_mm(line.target), _way(line))
    ]


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

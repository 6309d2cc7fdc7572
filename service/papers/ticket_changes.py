"""What became of an order's lines since its first ticket: a bench that knows the old one must see it at once."""

from __future__ import annotations

from dataclasses import dataclass

from service.tailoring.orders.legs_again import is_hem
from service.tailoring.orders.lines.line_history import LineChange, last_other
from service.tailoring.orders.lines.order_lines import OrderLine
from service.tailoring.orders.orders import Order
from service.tailoring.quantities import Length
from service.tongues.wording import change_text, length_text


@dataclass(frozen=True, slots=True)
class SaidChange:
    """What is read first of a line that was changed, added or struck, and on which piece it is."""

    piece: int
    words: str


def said_changes(order: Order, numbers: dict[int, int], words_of: dict[int, str]) -> tuple[SaidChange, ...]:
    """The last change of each line; `numbers` are those of every line, `words_of` what each is, by its id."""
    if order.state in {"collected", "cancelled"}:
        return ()
    now = {order.lines[at].id: number for at, number in numbers.items()}
    last = {change.id: change for change in order.line_changes}
    return tuple(SaidChange(change.line.piece, _said(change, now, words_of)) for change in last.values())


def was_before(order: Order, line: OrderLine) -> str:
    """The amount and finished measure that a line had before it was changed; "" where it always had its own."""
    change = last_other(line, order.line_changes)
    before = change.before if change else None
    if before is None:
        return ""
    amount = before.amount
    found = [change_text(amount.length, amount.direction)] if amount else []
    found += [f"TO {length_text(before.target)}"] if before.target else []
    return " ".join(found)


def left_of_redo(order: Order, line: OrderLine, number: int) -> tuple[str, ...]:
    """What is left of a line that is put right: its amount was sewn once, and is not sewn again on top of that.

    As a check found it, as it was before it was changed for the redo, or only that; nothing of a line that is not done
    again, nor of a leg, which says where it is cut.
    """
    piece = next(each for each in order.pieces if each.piece == line.piece)
    if not piece.is_done_again or (piece.lines_again and number not in piece.lines_again):
        return ()
    check = line.checks[-1] if line.checks else None
    if check and check.measured and line.target and check.target == line.target and not check.is_right:
        return (_from(f"MEASURED {length_text(check.measured)}", check.measured, line.target),)
    since = [each for each in order.line_changes if each.id == line.id and each.at >= piece.since]
    before = since[0].before if since else line
    if before is None or line.amount is None or is_hem(line):
        return ()
    if before.target and line.target and before.target != line.target:
        return (_from(f"SEWN TO {length_text(before.target)}", before.target, line.target),)
    return ("SEWN ALREADY: bring it to its measure, not the whole amount again",)


def _from(now: str, size: Length, wanted: Length) -> str:
    off_mm = size.mm - wanted.mm
    rest = length_text(Length(abs(off_mm), size.unit))
    return f"{now}: now {rest} {'less' if off_mm > 0 else 'more'}, not the whole amount again"


def _said(change: LineChange, now: dict[int, int], words_of: dict[int, str]) -> str:
    number = now.get(change.id)
    by = f" ({change.by}: {change.why})" if change.why else f" ({change.by})"
    if number is None:
        amount = change.line.amount
        much = f", {change_text(amount.length, amount.direction)}" if amount else ""
        side = f" {amount.side}" if amount and amount.side else ""
        return f"STRUCK, do not sew: {words_of[change.id]}{side}{much}{by}"
    return f"line {number} {'added' if change.before is None else 'CHANGED'}{by}"

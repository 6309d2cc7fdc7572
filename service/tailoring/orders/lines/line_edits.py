"""One line as it is wanted now: amount and finished measure follow each other, and what is cut is not uncut."""

from __future__ import annotations

from dataclasses import dataclass, replace

from service.tailoring.garments.alterations import Basis, Direction, Side, alteration
from service.tailoring.garments.amounts import Amount, InlayBasis, amount_of
from service.tailoring.garments.places import places
from service.tailoring.orders.lines.order_lines import LineAsked, MarkedWith, OrderLine
from service.tailoring.orders.lines.price_reasons import PriceAsked
from service.tailoring.quantities import Length
from service.tailoring.refusals import Refusal

# The last bit of a converted length says nothing.
SAME_MM = 0.001


@dataclass(frozen=True, slots=True)
class LineEdit:
    """What is another of the line of that number; None stays as it is.

    With an amount alone the finished measure follows, with a finished measure alone the amount.
    """

    number: int
    amount: Length | None = None
    basis: Basis | None = None
    direction: Direction | None = None
    side: Side | None = None
    target: Length | None = None
    inlay_seen: Length | None = None
    inlay_basis: InlayBasis | None = None
    inlay_seams: int | None = None
    note: str | None = None
    marked_with: MarkedWith | None = None
    undone_first: bool | None = None
    price: PriceAsked | None = None

    @property
    def is_of_work(self) -> bool:
        """Whether more than its price is another."""
        return self != LineEdit(self.number, price=self.price)

    @property
    def is_of_amount(self) -> bool:
        """Whether another amount or finished measure is wanted."""
        return any(part is not None for part in (self.amount, self.basis, self.direction, self.side, self.target))


def as_asked(line: OrderLine) -> LineAsked:
    """A line as it would be asked for again."""
    return LineAsked(
        piece=line.piece,
        alteration=line.alteration,
        amount=line.amount,
        target=line.target,
        inlay_seen=line.inlay_seen,
        note=line.note,
        marked_with=line.marked_with,
        undone_first=line.undone_first,
        origin=line.origin,
        seen=line.seen,
        inlay_basis=line.inlay_basis,
        inlay_seams=line.inlay_seams,
        to_be_pinned=line.to_be_pinned,
        look_again=line.look_again,
        cut=line.cut,
        ending=line.ending,
    )


def edited(line: OrderLine, edit: LineEdit) -> LineAsked:
    """The line with what is another of it; what contradicted the amount of before is over with it.

    Raises Refusal as `amount_of`, `target_unreachable` where no amount gives the finished measure, or `cut_already`.
    """
    asked = as_asked(line)
    names = ("inlay_seen", "inlay_basis", "inlay_seams", "note", "marked_with", "undone_first")
    more = {name: value for name in names if (value := getattr(edit, name)) is not None}
    asked = replace(asked, **more)
    if edit.is_of_amount:
        amount, target = _amount_and_target(line, edit)
        asked = replace(asked, amount=amount, target=target, look_again=(), seen=True)
    _check_still_cut(line, asked.amount)
    return asked


def finished_of(line: OrderLine, edit: LineEdit) -> Length | None:
    """The finished measure that an edit comes to; None where it is not known."""
    return _amount_and_target(line, edit)[1]


def check_strike(line: OrderLine) -> None:
    """Raises Refusal `cut_already` for a line whose cloth is cut: it may be another, but not undone."""
    if line.cloth_cut:
        raise Refusal("cut_already", (), alteration=line.alteration, by=line.cloth_cut.by, least=_text(line.amount))


def _amount_and_target(line: OrderLine, edit: LineEdit) -> tuple[Amount | None, Length | None]:
    doing, was = alteration(line.alteration), line.amount
    now_mm = _now_mm(line)
    if edit.target and not edit.amount and was and now_mm is not None:
        change_mm = (edit.target.mm - now_mm) / _parts(line)
        direction: Direction = "increase" if change_mm > 0 else "decrease"
        if direction not in doing.directions:
            now = Length(now_mm, edit.target.unit).text
            raise Refusal("target_unreachable", ("target",), alteration=doing.code, now=now, target=edit.target.text)
        length, direction = Length(abs(change_mm), edit.target.unit), edit.direction or direction
    else:
        length, direction = edit.amount or (was.length if was else None), edit.direction or (was and was.direction)  # type: ignore[assignment]
    basis, side = edit.basis or (was.basis if was else None), edit.side or (was.side if was else None)
    amount = amount_of(doing, length, basis, direction, side)
    if edit.target or amount is None:
        return amount, edit.target or line.target
    if now_mm is None or line.target is None:
        return amount, None if was != amount else line.target
    signed_mm = amount.length.mm * (1 if amount.direction == "increase" else -1)
    return amount, Length(max(0.0, now_mm + signed_mm * _parts(line)), line.target.unit)


def _now_mm(line: OrderLine) -> float | None:
    """What the garment measures before the line is sewn, where the line tells it."""
    if line.amount is None or line.target is None:
        return None
    change_mm = line.amount.length.mm * _parts(line)
    return line.target.mm + (-change_mm if line.amount.direction == "increase" else change_mm)


def _parts(line: OrderLine) -> int:
    """How often the amount counts in the finished measure."""
    found = places(alteration(line.alteration).garment)
    return next((p.parts for p in found if line.alteration in (p.too_little_cure, p.too_much_cure)), 1)


def _check_still_cut(line: OrderLine, wanted: Amount | None) -> None:
    """What is cut away stays away: the amount may be more, or less by what was left in the seam."""
    was, cut = line.amount, line.cloth_cut
    if cut is None or was is None or wanted is None or wanted == was or cut.length:
        return
    least_mm = was.length.mm - (cut.left.mm if cut.left else 0.0)
    same_way = (was.direction, was.side) == (wanted.direction, wanted.side)
    if was.direction != "decrease" or (same_way and wanted.length.mm >= least_mm - SAME_MM):
        return
    least = Amount(Length(max(0.0, least_mm), was.length.unit), was.basis, was.direction, was.side)
    raise Refusal("cut_already", ("amount",), alteration=line.alteration, by=cut.by, least=_text(least))


def _text(amount: Amount | None) -> str:
    return amount.length.text if amount else ""

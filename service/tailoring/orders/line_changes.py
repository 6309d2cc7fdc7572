"""Lines that live: changed, added and struck while an order is in question, at its second fitting, or done again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from service.tailoring.body.posture import OneSide
from service.tailoring.notices import Notice
from service.tailoring.orders.agreed_lines import Agreed, as_agreed
from service.tailoring.orders.legs_again import (
    cut_of,
    hem_again,
    hems_on,
    legs_asked,
    other_leg,
    sides_pinned,
)
from service.tailoring.orders.lines.line_edits import LineEdit, as_asked, check_strike, edited, finished_of
from service.tailoring.orders.lines.line_history import Signed, with_ids
from service.tailoring.orders.lines.order_lines import LineAsked, OrderLine, line_numbers
from service.tailoring.orders.lines.price_reasons import PriceAsked
from service.tailoring.orders.orders import Order
from service.tailoring.orders.sheets.asked_garments import on_its_piece, trousers_meant
from service.tailoring.orders.sheets.follow_on_lines import follow_on_notice, following_lines, follows_from
from service.tailoring.orders.sheets.order_hems import HemAsked, dressed_now
from service.tailoring.orders.sheets.order_sheets import Sheet, SheetAsked, SheetSources, draw_up
from service.tailoring.refusals import Refusal, Where
from service.tailoring.work.prices import PriceList

# Where the till has settled what is charged.


@dataclass(frozen=True, slots=True)
class LineChangesAsked:
    """Lines that are changed, added and struck, by the numbers on the ticket; `hems` pin legs again.

    `add_follow_ons`: what a changed or added line makes necessary elsewhere becomes a line too. `price` is of the whole
    order.
    """

    change: tuple[LineEdit, ...] = ()
    add: tuple[LineAsked, ...] = ()
    strike: tuple[int, ...] = ()
    hems: tuple[HemAsked, ...] = ()
    add_follow_ons: bool = True
    price: PriceAsked | None = None

    @property
    def is_of_work(self) -> bool:
        """Whether more than prices is another."""
        return bool(self.add or self.strike or self.hems or any(edit.is_of_work for edit in self.change))


@dataclass(frozen=True, slots=True)
class LinesChanged:
    """The order with its lines as they are from now on, the same one where nothing is another; what to look at."""

    order: Order
    notices: tuple[Notice, ...] = ()


@dataclass(frozen=True, slots=True)
class _Wanted:
    """A line as it is wanted, where that was asked (None: it stays), and the line in whose place it stands."""

    asked: LineAsked
    at: Where | None = None
    was: OrderLine | None = None


@dataclass(frozen=True, slots=True)
class _Pinned:
    """Legs that are pinned again, and where that was asked."""

    hem: HemAsked
    at: Where


def sheet_of_order(order: Order) -> SheetAsked:
    """The sheet by whose charts lines are changed."""
    return SheetAsked(order.garments)


def with_lines_changed(order: Order, asked: LineChangesAsked, sources: SheetSources, signed: Signed) -> LinesChanged:
    """The order once its lines are changed: checked, timed and priced; what was not named stays to the letter.

    A leg that is cut is hemmed from where it is cut, and other cloth that is cut is not let out again. Raises Refusal
    `line_unknown`, `line_named_twice`, `cut_already`, or as `edited` and `draw_up`, each pointing at the change.
    """
    named = _named(order, asked)
    prices = {line.id: asked.change[int(at[1])].price for line, at in named if at[0] == "change"}
    agreed = Agreed(order, signed, {line: price for line, price in prices.items() if price}, asked.price)
    if not asked.is_of_work:
        return LinesChanged(agreed.with_lines(order.lines, sources.prices))
    struck = {line.id for line, at in named if at[0] == "strike"}
    edits = {line.id: (asked.change[int(at[1])], at) for line, at in named if at[0] == "change"}
    edits = {line: each for line, each in edits.items() if each[0].is_of_work}
    wanted: list[_Wanted] = []
    pinned: list[_Pinned] = []
    for each in order.lines:
        if each.id in edits:
            _take_edit(order, each, *edits[each.id], wanted, pinned)
        elif each.id not in struck:
            wanted.append(_Wanted(as_asked(each), None, each))
    for i, hem in enumerate(asked.hems):
        piece = trousers_meant(hem, order.garments, ("hems", i))
        wanted = _without_legs(wanted, piece, sides_pinned(hem))
        pinned += [_Pinned(each, ("hems", i)) for each in legs_asked(order, hem, piece)]
    for i, added in enumerate(asked.add):
        wanted.append(_Wanted(on_its_piece(added, order.garments, ("add", i)), ("add", i)))
    following = []
    if asked.add_follow_ons:
        moved = [line for line, _ in named]
        wanted = [each for each in wanted if not _follows_of(each, moved)]
        following = following_lines([(each.asked, each.at) for each in wanted], order.garments)
        wanted += [_Wanted(each, at) for each, at in following]
    sheet = _drawn_up(order, wanted, pinned, sources)
    lines = _agreed(order, wanted, sheet, sources.prices)
    notices = (*_where_asked(sheet.notices, wanted, pinned), *(follow_on_notice(*each) for each in following))
    made = agreed.with_lines(lines, sources.prices)
    return LinesChanged(
        replace(made, dressed=dressed_now(order.dressed, asked.hems)) if made is not order else made, notices
    )


def lines_again(before: Order, after: Order, numbers: Sequence[int] | None) -> tuple[int, ...] | None:
    """The numbers of the lines that a redo does again, as they are now: those asked for, and what was changed or added.

    None where none was asked for: all of them.
    """
    if numbers is None:
        return None
    was = {number: before.lines[position].id for position, number in line_numbers(before.lines).items()}
    asked = {was[number] for number in numbers if number in was}
    stays = {line.id: line for line in before.lines}
    new = line_numbers(after.lines)
    found = [new[i] for i, each in enumerate(after.lines) if each.id in asked or stays.get(each.id) != each]
    unknown = [number for number in numbers if number not in was]
    return (*sorted(found), *unknown)


def _named(order: Order, asked: LineChangesAsked) -> list[tuple[OrderLine, Where]]:
    """The lines that are named, and where. Raises Refusal `line_unknown`, `line_named_twice` or `cut_already`."""
    by_number = {number: order.lines[position] for position, number in line_numbers(order.lines).items()}
    told: list[tuple[int, Where]] = [(edit.number, ("change", i)) for i, edit in enumerate(asked.change)]
    told += [(number, ("strike", i)) for i, number in enumerate(asked.strike)]
    found: list[tuple[OrderLine, Where]] = []
    for number, at in told:
        where = (*at, "number") if at[0] == "change" else at
        if number not in by_number:
            raise Refusal("line_unknown", where, given=number, most=len(by_number))
        named = by_number[number]
        if any(named.id == other.id for other, _ in found):
            raise Refusal("line_named_twice", where, given=number)
        if at[0] == "strike":
            try:
                check_strike(replace(named, cloth_cut=cut_of(order, named)))
            except Refusal as refusal:
                raise refusal.within(*at) from None
        found.append((named, at))
    return found


def _take_edit(
    order: Order, was: OrderLine, edit: LineEdit, at: Where, wanted: list[_Wanted], pinned: list[_Pinned]
) -> None:
    """A pinned leg with another end is planned again; any other line is as the edit says."""
    try:
        if was.ending and edit.is_of_amount:
            finished = finished_of(was, edit)
            if finished is None:  # pragma: no cover  what ends has an end
                raise ValueError("a pinned leg has a finished length")
            pinned.append(_Pinned(hem_again(order, was, finished), at))
        else:
            wanted.append(_Wanted(edited(was, edit), at, was))
    except Refusal as refusal:
        raise refusal.within(*at) from None


def _without_legs(wanted: list[_Wanted], piece: int, sides: frozenset[OneSide]) -> list[_Wanted]:
    """Without the hems of the legs that are pinned again; of a hem of both legs the other one stays."""
    found = []
    for each in wanted:
        was = each.was
        if was is None or was not in hems_on([was], piece) or not ({was.side} & {*sides, "both"}):
            found.append(each)
            continue
        other = other_leg(was, sides)
        if other:
            found.append(_Wanted(replace(each.asked, amount=other), ("hems",), was))
    return found


def _follows_of(each: _Wanted, causes: Sequence[OrderLine]) -> bool:
    """Whether a line that nobody has touched was added for one that is another now, or gone."""
    line = each.was
    if line is None or each.at is not None or line.origin != "follow_on" or line.cloth_cut:
        return False
    return any(cause.piece == line.piece and line.note == follows_from(cause.alteration) for cause in causes)


def _drawn_up(order: Order, wanted: Sequence[_Wanted], pinned: Sequence[_Pinned], sources: SheetSources) -> Sheet:
    """The sheet as it is now wanted; a refusal points at the change that it is of."""
    lines, hems = tuple(each.asked for each in wanted), tuple(each.hem for each in pinned)
    try:
        asked = SheetAsked(order.garments, lines, hems, add_follow_ons=False, dressed=order.dressed)
        return draw_up(asked, sources)
    except Refusal as refusal:
        if refusal.parts:
            parts = [_refused_where_asked(part, wanted, pinned) for part in refusal.parts]
            raise Refusal.together(refusal.code, parts, **refusal.facts) from None
        raise _refused_where_asked(refusal, wanted, pinned) from None


def _refused_where_asked(refusal: Refusal, wanted: Sequence[_Wanted], pinned: Sequence[_Pinned]) -> Refusal:
    return Refusal(refusal.code, _asked_at(refusal.at, wanted, pinned) or (), **refusal.facts)


def _where_asked(notices: Sequence[Notice], wanted: Sequence[_Wanted], pinned: Sequence[_Pinned]) -> list[Notice]:
    """Notices of what was changed; what is noticed of a line that stays was known before."""
    found = ((notice, _asked_at(notice.at, wanted, pinned)) for notice in notices)
    return [replace(notice, at=at) for notice, at in found if at is not None]


def _asked_at(at: Where, wanted: Sequence[_Wanted], pinned: Sequence[_Pinned]) -> Where | None:
    """Where a part of the sheet was asked for; None for a line that stays."""
    match at:
        case ("lines", int(n), *inner) if n < len(wanted):
            asked_at = wanted[n].at
            follows = wanted[n].asked.origin == "follow_on"
            return (*asked_at, *inner) if asked_at and not follows else asked_at
        case ("hems", int(n), *inner) if n < len(pinned):
            asked_at = pinned[n].at
            return (*asked_at, *inner) if asked_at[0] == "hems" else (*asked_at, "target")
        case _:
            return at


def _agreed(order: Order, wanted: Sequence[_Wanted], sheet: Sheet, prices: PriceList) -> tuple[OrderLine, ...]:
    """The lines with their ids: what stays as it was agreed, what is another as it is drawn up."""
    built: list[OrderLine] = []
    for n, new in enumerate(sheet.lines):
        each = wanted[n] if n < len(wanted) else _Wanted(as_asked(new), ())
        if each.was and each.at is None:
            built.append(each.was)
        else:
            built.append(replace(new, id=each.was.id) if each.was else new)
    found = with_ids(built, order.lines, order.line_changes)
    before = {line.id: line for line in order.lines}
    # Each in its place: of two legs the numbers stay as they were.
    places = {line.id: place for place, line in enumerate(order.lines)}
    ordered = sorted(found, key=lambda each: places.get(each.id, len(places)))
    return tuple(as_agreed(order, before.get(each.id), each, prices) for each in ordered)

"""Amending an order: the sheet as it is wanted now, drawn up and priced again, and whether it is booked again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from typing import TypedDict

from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.hems.hems import HEM_CODES
from service.tailoring.notices import Notice
from service.tailoring.orders.lines.agreed_prices import terms_of, with_prices
from service.tailoring.orders.lines.line_edits import as_asked
from service.tailoring.orders.lines.line_history import Signed, changes_between, with_ids
from service.tailoring.orders.lines.order_lines import LineAsked, OrderLine
from service.tailoring.orders.orders import Amendment, Order, amend, check_amendable
from service.tailoring.orders.sheets.asked_garments import THE_ONLY_ONE
from service.tailoring.orders.sheets.order_hems import HemAsked, dressed_now
from service.tailoring.orders.sheets.order_sheets import SheetAsked, SheetSources, draw_up
from service.tailoring.work.prices import PriceList


class AmendmentAsked(TypedDict, total=False):
    """What is to be another of an order; what is not named stays.

    `lines` are all its lines from now on but the hems: those stay as they were pinned, for the customer has gone home,
    unless `hems` are named or the lines have a hem of that piece. `hems` take the place of the hems of the pieces that
    they pin; with `lines` they are all its hems.
    """

    garments: tuple[GarmentPiece, ...]
    lines: tuple[LineAsked, ...]
    hems: tuple[HemAsked, ...]
    needed_by: date | None
    note: str
    rush: bool


@dataclass(frozen=True, slots=True)
class Amended:
    """The order as it is wanted, the same one where nothing is another; and whether its work is to be booked again."""

    order: Order
    notices: tuple[Notice, ...]
    needs_booking: bool


def sheet_wanted(order: Order, asked: AmendmentAsked) -> SheetAsked | None:
    """The whole sheet as it is wanted now, what is not named as it is; None where the sheet stays."""
    if not asked.keys() & {"garments", "lines", "hems"}:
        return None
    garments, hems = asked.get("garments", order.garments), asked.get("hems", ())
    sizes = {each.piece: (each.chart, each.label) for each in order.garments}
    others = {each.piece for each in garments if sizes.get(each.piece) != (each.chart, each.label)}
    if "lines" in asked:
        pinned_before = () if "hems" in asked else _hems_kept(order, garments, asked["lines"])
        kept = tuple(_on_its_size(as_asked(line), others) for line in pinned_before)
        return SheetAsked(garments, (*asked["lines"], *kept), hems, dressed=order.dressed)
    pinned = {hem.piece for hem in hems}
    if THE_ONLY_ONE in pinned:
        pinned |= {piece.piece for piece in garments if piece.garment == "trousers"}
    lines = tuple(
        _on_its_size(as_asked(line), others)
        for line in order.lines
        if not (line.alteration in HEM_CODES.values() and line.piece in pinned)
    )
    # What follows of these lines was decided when they were asked for.
    return SheetAsked(garments, lines, hems, add_follow_ons=False, dressed=order.dressed)


def _hems_kept(order: Order, garments: tuple[GarmentPiece, ...], lines: tuple[LineAsked, ...]) -> Iterator[OrderLine]:
    """The hems of the order that other lines leave as they are: of trousers still there that these do not hem."""
    there = {each.piece for each in garments if each.garment == "trousers"}
    hemmed = {each.piece for each in lines if each.alteration in HEM_CODES.values()}
    if THE_ONLY_ONE in hemmed:
        hemmed |= there
    return (each for each in order.lines if each.alteration in HEM_CODES.values() and each.piece in there - hemmed)


def _on_its_size(line: LineAsked, others: set[int]) -> LineAsked:
    """Of a piece in another size a line has the amount that was agreed, and the finished measure of that size.

    A hem's finished length is the customer's own: it is pinned again, or refused.
    """
    is_hem = line.alteration in HEM_CODES.values()
    return replace(line, target=None) if line.piece in others and line.amount and not is_hem else line


def amended(order: Order, asked: AmendmentAsked, sources: SheetSources, signed: Signed) -> Amended:
    """The order with what is asked of it; priced again where its lines or its haste are another.

    Raises Refusal `amendment_too_late`, or as `draw_up`.
    """
    check_amendable(order)
    changes: Amendment = {name: asked[name] for name in ("needed_by", "note", "rush") if name in asked}  # type: ignore[assignment]
    notices = order.notices
    wanted_sheet = sheet_wanted(order, asked)
    if wanted_sheet is not None:
        sheet = draw_up(wanted_sheet, sources)
        lines = _at_their_prices(order, with_ids(sheet.lines, order.lines, order.line_changes))
        history = (*order.line_changes, *changes_between(order.lines, lines, signed))
        dressed = dressed_now(order.dressed, asked.get("hems", ()))
        changes |= {"garments": sheet.garments, "lines": lines, "line_changes": history, "dressed": dressed}
        notices = sheet.notices
    wanted = amend(order, signed.by, signed.now, signed.why, **_with_terms(sources.prices, order, changes))
    return Amended(wanted, notices, _needs_booking(order, wanted))


def _at_their_prices(order: Order, lines: tuple[OrderLine, ...]) -> tuple[OrderLine, ...]:
    """What was allowed of a line's price, or of the whole order's, holds for it as it is now."""
    reasons = {line.id: line.price_reason for line in order.lines}
    return with_prices([replace(line, price_reason=reasons.get(line.id)) for line in lines], order.price_reason)


def _with_terms(prices: PriceList, order: Order, changes: Amendment) -> Amendment:
    """Terms are agreed again where what they follow from is another: the lines, or the haste."""
    lines, rush = changes.get("lines", order.lines), changes.get("rush", order.rush)
    garments = changes.get("garments", order.garments)
    if (lines, rush, garments) == (order.lines, order.rush, order.garments):
        return changes
    return {**changes, "terms": terms_of(garments, lines, prices, rush=rush)}


def _needs_booking(order: Order, wanted: Order) -> bool:
    """A day that is wanted no sooner than it is promised needs no other; nor do words."""
    sooner = wanted.needed_by is not None and order.promised_for is not None and wanted.needed_by < order.promised_for
    return sooner or wanted.rush != order.rush or wanted.lines != order.lines

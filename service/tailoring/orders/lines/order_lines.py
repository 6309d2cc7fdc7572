"""The lines of work on the pieces of an order: checked, timed and priced."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from typing import Literal, Protocol, TypeAlias

from service.tailoring import tables
from service.tailoring.garments.alterations import Alteration, Side, alteration, from_the_shoulder
from service.tailoring.garments.amounts import Amount, InlayBasis, check_amount, inlay_of
from service.tailoring.garments.pieces import GarmentPiece, piece_of, pieces_by_number
from service.tailoring.notices import Notice
from service.tailoring.orders.lines.cloth_cut import Cut, LegEnding
from service.tailoring.orders.lines.price_reasons import PriceReason
from service.tailoring.orders.lines.work_done import LineCheck
from service.tailoring.quantities import Length
from service.tailoring.refusals import Fact, Refusal
from service.tailoring.work.circumstances import factors_on
from service.tailoring.work.knock_ons import FollowOn, follow_ons
from service.tailoring.work.order_of_work import order_of_work
from service.tailoring.work.prices import Money, PriceList

MarkedWith: TypeAlias = Literal["pins", "chalk", "thread", "written"]
# Where a line comes from: somebody asked for it, a plan has it, it follows of another line, or a redo added it.
Origin: TypeAlias = Literal["asked", "planned", "follow_on", "redo"]

MARKED_WITH: tuple[MarkedWith, ...] = ("pins", "chalk", "thread", "written")
ORIGINS: tuple[Origin, ...] = ("asked", "planned", "follow_on", "redo")

# Trade press.
UNSEEN = "No let-out is promised until the inlay has been seen."
# How many sheets of lines a worker remembers what it read of.
SHEETS_KEPT = 16


class Sewn(Protocol):
    """What the order of work must know of a line: on which piece, and what is done."""

    @property
    def piece(self) -> int: ...

    @property
    def alteration(self) -> str: ...


@dataclass(frozen=True, slots=True)
class LineAsked:
    """A line as a caller asks for it; `target` is the finished measure aimed at.

    `undone_first`: an old alteration at the same seam is undone before it. `seen`: somebody taped or looked there;
    else it is looked at before it is sewn. `to_be_pinned`: a hem that has no amount until its legs are marked.
    `look_again` are words on what contradicts the amount. `cut` is where a leg is cut: its finished inside leg and all
    the cloth below that its hem takes; `ending` how a pinned leg ends.
    """

    piece: int
    alteration: str
    amount: Amount | None = None
    target: Length | None = None
    inlay_seen: Length | None = None
    note: str = ""
    marked_with: MarkedWith | None = None
    undone_first: bool = False
    origin: Origin = "asked"
    seen: bool = True
    inlay_basis: InlayBasis | None = None
    inlay_seams: int | None = None
    to_be_pinned: bool = False
    look_again: tuple[str, ...] = ()
    cut: Length | None = None
    ending: LegEnding | None = None


@dataclass(frozen=True, slots=True)
class OrderLine:
    """A line of work as agreed: `price`, `minutes` and tax stay what they were when the order was placed.

    `subject_to_inlay`: cloth is to be let out whose inlay nobody has seen; nothing is promised of it.
    `undone_first`: an old alteration at the same seam is undone before it. `seen`: somebody taped or looked there;
    else it is looked at before it is sewn. `to_be_pinned`: a hem that is timed and priced, and not cut before its legs
    are marked. `cut` is where a leg is cut, with the cloth that its hem takes; None where nobody planned its hem. The
    note is words for people, and so are those of `look_again`: no rule reads them.
    `id` stays the line's own within its order, whatever changes (0: of no order yet). `ending` is how a pinned leg
    ends, `cloth_cut` what the bench has cut already. `list_price` is that of the list where another is charged, for
    the `price_reason` of the line or of the whole order. `sewn_by` have sewn at it, `checks` are how it was found.
    """

    piece: int
    alteration: str
    amount: Amount | None
    target: Length | None
    inlay_seen: Length | None
    subject_to_inlay: bool
    minutes: int
    price: Money
    tax_category: str
    note: str = ""
    marked_with: MarkedWith | None = None
    undone_first: bool = False
    origin: Origin = "asked"
    seen: bool = True
    inlay_basis: InlayBasis | None = None
    inlay_seams: int | None = None
    to_be_pinned: bool = False
    look_again: tuple[str, ...] = ()
    cut: Length | None = None
    id: int = 0
    ending: LegEnding | None = None
    cloth_cut: Cut | None = None
    list_price: Money | None = None
    price_reason: PriceReason | None = None
    sewn_by: tuple[str, ...] = ()
    checks: tuple[LineCheck, ...] = ()

    @property
    def side(self) -> Side:
        """Where it is done; what has no side is done on both."""
        return (self.amount.side if self.amount else None) or "both"


def line(piece: GarmentPiece, wanted: LineAsked, prices: PriceList) -> OrderLine:
    """One line of work on `piece`, with its minutes and price.

    The catalogue counts both sides of a pair, in minutes and price; one side alone is half, rounded up, but
    not where its words say one side (common practice, no source; tables/minute_factors.csv). What the price list
    raises for the garment's cloth, lining or pattern is rounded as the list says.
    Raises Refusal `alteration_unknown`, `garment_mismatch`, `cuff_holes_worked`, or as `check_amount`.
    """
    doing, amount = alteration(wanted.alteration), wanted.amount
    _check_garment(doing, piece)
    shoulder_route = from_the_shoulder(doing.code)
    if piece.worked_buttonholes and shoulder_route is not None:
        raise Refusal("cuff_holes_worked", ("alteration",), alteration=doing.code, instead=shoulder_route)
    seen = wanted.inlay_seen
    inlay = inlay_of(doing, seen, wanted.inlay_basis, wanted.inlay_seams) if seen else None
    if not wanted.to_be_pinned:
        check_amount(doing, amount, inlay)
    lets_out = doing.from_inlay and amount is not None and amount.direction == "increase"
    minutes, price = _timed_and_priced(piece, doing, wanted, prices)
    return OrderLine(
        piece=piece.piece,
        alteration=doing.code,
        amount=amount,
        target=wanted.target,
        inlay_seen=seen,
        subject_to_inlay=lets_out and seen is None,
        minutes=minutes,
        price=price,
        tax_category=prices.tax_category,
        note=wanted.note,
        marked_with=wanted.marked_with,
        undone_first=wanted.undone_first,
        origin=wanted.origin,
        seen=wanted.seen,
        inlay_basis=inlay.basis if inlay else None,
        inlay_seams=inlay.seams if inlay else None,
        to_be_pinned=wanted.to_be_pinned,
        look_again=wanted.look_again,
        cut=wanted.cut,
        ending=wanted.ending,
    )


def _timed_and_priced(
    piece: GarmentPiece, doing: Alteration, wanted: LineAsked, prices: PriceList
) -> tuple[int, Money]:
    """Minutes and price; a hem that is to be pinned counts as one of both legs."""
    amount = wanted.amount
    side: Side | None = "both" if wanted.to_be_pinned else amount.side if amount else None
    factors = factors_on(doing.code, piece, side, undone_first=wanted.undone_first)
    minutes_factor = math.prod((factor.minutes for factor in factors), start=Fraction(1))
    price_factor = math.prod((factor.price for factor in factors), start=Fraction(1))
    price = prices.price(doing.code, doing.plain_hems, amount.length.mm if amount else None)
    raised = prices.raised_percent({"cloth": piece.cloth, "lining": piece.lining, "pattern": piece.pattern})
    minor = price.minor * price_factor
    whole = prices.rounded(minor * Fraction(100 + raised, 100)) if raised else math.ceil(minor)
    return math.ceil(doing.minutes * minutes_factor), Money(whole, price.currency)


def lines_of(garments: Sequence[GarmentPiece], asked: Sequence[LineAsked], prices: PriceList) -> tuple[OrderLine, ...]:
    """The lines asked for, in the caller's order, for a quote or an order.

    Every Refusal points into the request, as ("lines", 2, "amount"). Raises as `line` and `check_lines`,
    `alteration_unknown`, or `lines_refused` with each line's own refusal where several cannot be done.
    """
    pieces = pieces_by_number(garments)
    built: list[OrderLine] = []
    faults: list[Refusal] = []
    for position, wanted in enumerate(asked):
        try:
            built.append(line(piece_of(pieces, wanted.piece), wanted, prices))
        except Refusal as refusal:
            faults.append(refusal.within("lines", position))
    if len(faults) > 1:
        raise Refusal.together("lines_refused", faults, count=len(faults))
    for fault in faults:
        raise fault
    check_lines(garments, built)
    return tuple(built)


def check_lines(garments: Sequence[GarmentPiece], lines: Sequence[OrderLine]) -> None:
    """Refuse lines that cannot stand together.

    Raises Refusal `order_empty`, `piece_repeated`, `piece_unknown`, `garment_mismatch`, `line_repeated` or
    `lines_contradict`, pointing at the later of two lines.
    """
    if not lines:
        raise Refusal("order_empty", ("lines",))
    pieces = pieces_by_number(garments)
    for position, later in enumerate(lines):
        try:
            _check_line(pieces, later, lines[:position])
        except Refusal as refusal:
            raise refusal.within("lines", position) from refusal


def line_numbers(lines: Sequence[Sewn]) -> dict[int, int]:
    """By position, the number of each line on ticket and answer alike: piece by piece, each piece's as it is sewn."""
    sewn = order_of_work([line.alteration for line in lines])
    pieces = sorted({line.piece for line in lines})
    printed = (position for piece in pieces for position in sewn if lines[position].piece == piece)
    return {position: number for number, position in enumerate(printed, start=1)}


# A ticket reads them for each of its lines.
@lru_cache(SHEETS_KEPT)
def notices_of(lines: tuple[OrderLine, ...]) -> tuple[Notice, ...]:
    """What the fitter should look at: let-outs with the inlay unseen, lines to mark again once another is sewn."""
    found = [
        Notice("subject_to_inlay", ("lines", position, "inlay_seen"), UNSEEN, (("alteration", done.alteration),))
        for position, done in enumerate(lines)
        if done.subject_to_inlay
    ]
    found += [
        Notice(each.knock_on.notice, ("lines", position), each.knock_on.words, _facts(each))
        for each in follow_ons(lines)
        if each.knock_on.notice and not each.met
        for position in each.lines
    ]
    return tuple(found)


def _facts(each: FollowOn) -> tuple[tuple[str, Fact], ...]:
    """Which alteration it comes of, and how much it comes to where that is known."""
    between = {"least_mm": each.least, "most_mm": each.most}
    amounts = tuple((name, round(length.mm, 1)) for name, length in between.items() if length)
    return (("alteration", each.knock_on.alteration), *amounts)


def _check_garment(doing: Alteration, piece: GarmentPiece) -> None:
    if doing.garment != piece.garment:
        raise Refusal(
            "garment_mismatch",
            ("alteration",),
            alteration=doing.code,
            piece=piece.piece,
            garment=piece.garment,
            needs=doing.garment,
        )


def _check_line(pieces: dict[int, GarmentPiece], later: OrderLine, before: Sequence[OrderLine]) -> None:
    _check_garment(alteration(later.alteration), piece_of(pieces, later.piece))
    for position, earlier in enumerate(before):
        if earlier.piece != later.piece:
            continue
        same_side = earlier.side == later.side or "both" in {earlier.side, later.side}
        if earlier.alteration == later.alteration and same_side:
            raise Refusal("line_repeated", (), alteration=later.alteration, piece=later.piece, first_line=position)
        against = _contradictions().get(frozenset((earlier.alteration, later.alteration)))
        if against and (same_side or not against[0]):
            raise Refusal(
                "lines_contradict",
                (),
                alteration=later.alteration,
                other=earlier.alteration,
                piece=later.piece,
                other_line=position,
                reason=against[1],
            )


@cache
def _contradictions() -> dict[frozenset[str], tuple[bool, str]]:
    return {
        frozenset((row["one"], row["other"])): (row["same_side_only"] == "yes", row["reason"])
        for row in tables.rows("orders/contradictions")
    }

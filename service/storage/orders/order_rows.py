"""Orders as rows: garments, lines and events, there and back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import Any

from sqlalchemy import Row

from service.storage import records
from service.tailoring.fitting.left_open import OpenDoubt
from service.tailoring.garments.amounts import Amount
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.hems.dressed import AS_USUAL, Dressed
from service.tailoring.orders.lines.cloth_cut import Cut, LegEnding
from service.tailoring.orders.lines.line_history import LineChange
from service.tailoring.orders.lines.order_lines import OrderLine, Origin
from service.tailoring.orders.lines.price_reasons import PriceReason
from service.tailoring.orders.lines.work_done import Assigned, LineCheck, Spell
from service.tailoring.orders.order_states import EventKind, OrderEvent, State
from service.tailoring.orders.orders import Order
from service.tailoring.orders.planned_fittings import PlannedFitting
from service.tailoring.quantities import Length
from service.tailoring.work.prices import Money
from service.tailoring.work.taxes import UNSAID, TaxTerms


@dataclass(frozen=True, slots=True)
class LineDetails:
    """What of a line is kept together: nobody looks for it, and it is read with its line."""

    ending: LegEnding | None = None
    cloth_cut: Cut | None = None
    list_price: Money | None = None
    price_reason: PriceReason | None = None
    sewn_by: tuple[str, ...] = ()
    checks: tuple[LineCheck, ...] = ()


@dataclass(frozen=True, slots=True)
class PieceDetails:
    """What of a piece is kept together: nobody looks for it, and it is read with its piece."""

    measures: tuple[tuple[str, Length], ...] = ()
    photos: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class OrderDetails:
    """What of an order is kept together: nobody looks for it, and it is read with its order.

    `doubted` are the garments of its doubts, in turn.
    """

    price_reason: PriceReason | None = None
    tax: TaxTerms = UNSAID
    planned_fittings: tuple[PlannedFitting, ...] = ()
    assigned: tuple[Assigned, ...] = ()
    dressed: Dressed = AS_USUAL
    doubted: tuple[str, ...] = ()


# What releases before 0011 wrote into the note of a line, having no columns for it.
_FOLLOWS = "follows from: "
_NOT_SEEN = "not seen or taped at the fitting: look before it is sewn"


def order_details(order: Order) -> OrderDetails:
    """What of an order is kept together."""
    doubted = tuple(each.garment for each in order.look_again)
    return OrderDetails(order.price_reason, order.tax, order.planned_fittings, order.assigned, order.dressed, doubted)


def doubts_of(words: Sequence[str], details: OrderDetails) -> tuple[OpenDoubt, ...]:
    """What the fitting left in doubt; of what a release before filed it is not known of which garment it is."""
    return tuple(OpenDoubt(each, garment) for each, garment in zip_longest(words, details.doubted, fillvalue=""))


def event_row(event: OrderEvent) -> dict[str, Any]:
    """An event's columns."""
    return {
        "at": event.at,
        "by": event.by,
        "from_state": event.from_state,
        "to_state": event.to_state,
        "note": event.note,
        "facts": dict(event.facts),
        "kind": event.kind,
    }


def event_of(row: Row[Any]) -> OrderEvent:
    """The event that a row keeps."""
    # What was filed before events had kinds is a placing or a move.
    kind: EventKind = "placed" if row.from_state is None else row.kind
    return OrderEvent(row.at, row.by, row.from_state, row.to_state, row.note, tuple(row.facts.items()), kind)


def piece_row(piece: GarmentPiece) -> dict[str, Any]:
    """A garment's columns."""
    apart = {"repeat", "measures", "photos"}
    parts = {name: getattr(piece, name) for name in GarmentPiece.__dataclass_fields__ if name not in apart}
    details = records.written(PieceDetails(piece.measures, piece.photos)) if piece.measures or piece.photos else None
    return {**parts, **_length_row("repeat", piece.repeat), "details": details}


def piece_of(row: Row[Any]) -> GarmentPiece:
    """The garment that a row keeps."""
    details = records.read(row.details or {}, PieceDetails)
    return GarmentPiece(
        piece=row.piece,
        garment=row.garment,
        chart=row.chart,
        label=row.label,
        cloth=row.cloth,
        pattern=row.pattern,
        worked_buttonholes=row.worked_buttonholes,
        pins_left_in=row.pins_left_in,
        style=row.style or "",
        lining=row.lining,
        repeat=_length(row, "repeat"),
        must_keep=row.must_keep or "",
        faults_seen=row.faults_seen or "",
        hemmed=bool(row.hemmed),
        pleats=row.pleats,
        crease=row.crease,
        brought_in=row.brought_in,
        measures=details.measures,
        photos=details.photos,
    )


def piece_state(row: Row[Any], order_state: State) -> State:
    """Where the piece of a row is whose order is in `order_state`.

    One that a release before 0020 filed, or whose order such a release has moved since, is where its order is.
    """
    known: State | None = row.state if row.order_state == order_state else None
    return known or order_state


def line_row(line: OrderLine) -> dict[str, Any]:
    """A line's columns."""
    amount = line.amount
    return {
        "piece": line.piece,
        "alteration": line.alteration,
        **_length_row("amount", amount.length if amount else None),
        "basis": amount.basis if amount else None,
        "direction": amount.direction if amount else None,
        "side": amount.side if amount else None,
        **_length_row("target", line.target),
        **_length_row("inlay_seen", line.inlay_seen),
        "subject_to_inlay": line.subject_to_inlay,
        "minutes": line.minutes,
        "price_minor": line.price.minor,
        "currency": line.price.currency,
        "tax_category": line.tax_category,
        "note": line.note,
        "marked_with": line.marked_with,
        "undone_first": line.undone_first,
        "origin": line.origin,
        "seen": line.seen,
        "inlay_basis": line.inlay_basis,
        "inlay_seams": line.inlay_seams,
        "to_be_pinned": line.to_be_pinned,
        "look_again": list(line.look_again),
        **_length_row("cut", line.cut),
        "line_id": line.id,
        "details": records.written(
            LineDetails(line.ending, line.cloth_cut, line.list_price, line.price_reason, line.sewn_by, line.checks)
        ),
    }


def line_of(row: Row[Any]) -> OrderLine:
    """The line that a row keeps."""
    size = _length(row, "amount")
    details = records.read(row.details or {}, LineDetails)
    return OrderLine(
        piece=row.piece,
        alteration=row.alteration,
        amount=Amount(size, row.basis, row.direction, row.side) if size else None,
        target=_length(row, "target"),
        inlay_seen=_length(row, "inlay_seen"),
        subject_to_inlay=row.subject_to_inlay,
        minutes=row.minutes,
        price=Money(row.price_minor, row.currency),
        tax_category=row.tax_category,
        note=row.note,
        marked_with=row.marked_with,
        undone_first=bool(row.undone_first),
        origin=row.origin or _origin_of_before(row.note),
        seen=row.note != _NOT_SEEN if row.seen is None else row.seen,
        inlay_basis=row.inlay_basis,
        inlay_seams=row.inlay_seams,
        to_be_pinned=bool(row.to_be_pinned),
        look_again=tuple(row.look_again or ()),
        cut=_length(row, "cut"),
        # What a release filed that knows no ids has those of its places.
        id=row.position + 1 if row.line_id is None else row.line_id,
        ending=details.ending,
        cloth_cut=details.cloth_cut,
        list_price=details.list_price,
        price_reason=details.price_reason,
        sewn_by=details.sewn_by,
        checks=details.checks,
    )


def line_change_row(change: LineChange) -> dict[str, Any]:
    """A change's columns."""
    sides = {"before": change.before, "after": change.after}
    lines = {name: records.written(line) if line else None for name, line in sides.items()}
    return {"at": change.at, "by": change.by, "why": change.why, **lines}


def line_change_of(row: Row[Any]) -> LineChange:
    """The change that a row keeps."""
    before, after = (records.read(line, OrderLine) if line else None for line in (row.before, row.after))
    return LineChange(row.by, row.at, row.why, before, after)


def spell_row(spell: Spell) -> dict[str, Any]:
    """A spell's columns."""
    return {name: getattr(spell, name) for name in Spell.__dataclass_fields__}


def spell_of(row: Row[Any]) -> Spell:
    """The spell that a row keeps."""
    return Spell(row.tailor, row.piece, row.line_id, row.bench, row.since, row.until, row.ended)


def _origin_of_before(note: str) -> Origin:
    """Where a line comes from that a release without the column filed: only its note said so."""
    if note == _NOT_SEEN:
        return "planned"
    return "follow_on" if note.startswith(_FOLLOWS) else "asked"


def _length_row(name: str, length: Length | None) -> dict[str, Any]:
    return {f"{name}_mm": length.mm if length else None, f"{name}_unit": length.unit if length else None}


def _length(row: Row[Any], name: str) -> Length | None:
    mm = getattr(row, f"{name}_mm")
    return None if mm is None else Length(mm, getattr(row, f"{name}_unit"))

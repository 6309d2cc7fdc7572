"""The catalogue as fitter and workroom read it: each alteration with its price, its limits and what goes with it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from service.tailoring.garments.alterations import (
    Alteration,
    Basis,
    Direction,
    Inlay,
    catalogue,
    from_the_shoulder,
    instead_of,
    usual_inlay,
)
from service.tailoring.quantities import Length
from service.tailoring.work.circumstances import MinuteFactor, factors_of
from service.tailoring.work.knock_ons import KnockOn, knock_ons
from service.tailoring.work.order_of_work import precedences
from service.tailoring.work.prices import Money, PriceList


class Limit(NamedTuple):
    """How far an alteration goes one way: as advice goes, and as far as a willing workroom does."""

    direction: Direction
    usual: Length
    most: Length


class Neighbour(NamedTuple):
    """Another alteration in the order of work, and why it comes before or after."""

    alteration: str
    reason: str
    source: str


@dataclass(frozen=True, slots=True)
class CatalogueEntry:
    """An alteration at a shop's price. `basis` is none where it has no limits: it is done or not done."""

    alteration: Alteration
    basis: Basis | None
    limits: tuple[Limit, ...]
    instead: str
    with_worked_cuff_holes: str | None
    usual_inlay: Inlay | None
    price: Money
    factors: tuple[MinuteFactor, ...]
    sewn_after: tuple[Neighbour, ...]
    sewn_before: tuple[Neighbour, ...]
    knock_ons: tuple[KnockOn, ...]


def catalogue_entries(garment: str | None, prices: PriceList) -> tuple[CatalogueEntry, ...]:
    """Every alteration of a garment, or of all, in the catalogue's order."""
    return tuple(_entry(each, prices) for each in catalogue().values() if garment in (None, each.garment))


def _entry(doing: Alteration, prices: PriceList) -> CatalogueEntry:
    pairs = precedences()
    return CatalogueEntry(
        alteration=doing,
        basis=doing.basis if doing.directions else None,
        limits=tuple(
            Limit(way, Length(doing.usual_most_mm(way), "in"), Length(doing.most_mm(way), "in"))
            for way in doing.directions
        ),
        instead=instead_of(doing.code),
        with_worked_cuff_holes=from_the_shoulder(doing.code),
        usual_inlay=usual_inlay(doing.code),
        price=prices.price(doing.code, doing.plain_hems),
        factors=factors_of(doing.code),
        sewn_after=tuple(
            Neighbour(pair.before, pair.reason, pair.source) for pair in pairs if pair.after == doing.code
        ),
        sewn_before=tuple(
            Neighbour(pair.after, pair.reason, pair.source) for pair in pairs if pair.before == doing.code
        ),
        knock_ons=knock_ons(doing.code),
    )

"""A shop's own ease and tolerance: how it likes its garments to sit, place by place, in front of the table's."""

from __future__ import annotations

from dataclasses import dataclass

from service.tailoring.garments.charts import GARMENTS
from service.tailoring.garments.places import WISHES, OwnEase, Place, places
from service.tailoring.quantities import Length, inches, inches_text
from service.tailoring.refusals import Refusal

# A shop that wants its ease further from the table's than this means another unit or another place, and one that
# calls it right further from its ideal than that does not look (common practice, no source).
EASE_APART_IN = 4.0
TOLERANCE_MOST_IN = 4.0
# No needle goes closer: a band must be as wide as this in all, and a bound nearer to the ideal is the ideal itself.
BAND_LEAST_MM = 3.0
BOUND_LEAST_MM = 0.05


@dataclass(frozen=True, slots=True)
class EaseRow:
    """What a shop says of one place: ideal ease by wish, and how far below (low) and above (high) it is still right."""

    garment: str
    place: str
    close: Length
    usual: Length
    easy: Length
    low: Length
    high: Length


def own_ease(row: EaseRow) -> OwnEase:
    """A row as the engine takes it. Raises Refusal `place_unknown` or `ease_implausible`, pointing at the column."""
    known = {place.name: place for place in places(row.garment)}
    place = known.get(row.place)
    if place is None:
        raise Refusal("place_unknown", ("place",), given=row.place, garment=row.garment, allowed=tuple(known))
    ideal = (("close", row.close.mm), ("usual", row.usual.mm), ("easy", row.easy.mm))
    if not row.close.mm <= row.usual.mm <= row.easy.mm:
        raise _implausible(("usual",), row, "close is at most usual, and usual at most easy")
    for wish, mm in ideal:
        table_mm = place.ideal_mm[wish]
        if abs(mm - table_mm) > inches(EASE_APART_IN):
            words = f"the table has {inches_text(table_mm)} in, and this is more than {EASE_APART_IN:g} in from it"
            raise _implausible((wish,), row, words)
    low_mm, high_mm = (0.0 if abs(each.mm) < BOUND_LEAST_MM else each.mm for each in (row.low, row.high))
    most_mm = inches(TOLERANCE_MOST_IN)
    if not -most_mm <= low_mm <= 0:
        raise _implausible(("low",), row, f"it is from -{TOLERANCE_MOST_IN:g} in to zero")
    if not 0 <= high_mm <= most_mm:
        raise _implausible(("high",), row, f"it is from zero to {TOLERANCE_MOST_IN:g} in")
    if high_mm - low_mm < BAND_LEAST_MM:
        raise _implausible(("high",), row, f"from low to high it is at least {BAND_LEAST_MM:g} mm")
    return OwnEase(row.garment, row.place, ideal, low_mm, high_mm)


def check_each_once(rows: tuple[OwnEase, ...]) -> None:
    """Raises Refusal `ease_repeated`, pointing at the row that says a place again."""
    seen = set()
    for position, row in enumerate(rows):
        if (row.garment, row.place) in seen:
            raise Refusal("ease_repeated", ("rows", position), garment=row.garment, place=row.place)
        seen.add((row.garment, row.place))


@dataclass(frozen=True, slots=True)
class PlaceEase:
    """One place as a shop is advised by it: ideal ease by wish, and the band around it; `own` where the shop set it."""

    garment: str
    place: str
    words: str
    own: bool
    close: Length
    usual: Length
    easy: Length
    low: Length
    high: Length


@dataclass(frozen=True, slots=True)
class EaseTable:
    """Every place of every garment, the shop's own ease before the table's."""

    rows: tuple[PlaceEase, ...]


def ease_table(ease: tuple[OwnEase, ...]) -> EaseTable:
    """Every place as a shop with this ease of its own is advised by it."""
    own = {(each.garment, each.place): each for each in ease}
    return EaseTable(
        tuple(
            _place_ease(place, own.get((place.garment, place.name)))
            for garment in GARMENTS
            for place in places(garment)
        )
    )


def _place_ease(place: Place, own: OwnEase | None) -> PlaceEase:
    shown = own or table_ease(place)
    ideal = {wish: Length(mm, "in") for wish, mm in shown.ideal_mm}
    low, high = Length(shown.low_mm, "in"), Length(shown.high_mm, "in")
    return PlaceEase(place.garment, place.name, place.words, own is not None, low=low, high=high, **ideal)


def table_ease(place: Place) -> OwnEase:
    """What the table says of a place, as a shop would say it."""
    ideal = tuple((wish, place.ideal_mm[wish]) for wish in WISHES)
    return OwnEase(place.garment, place.name, ideal, place.low_mm, place.high_mm)


def _implausible(at: tuple[str], row: EaseRow, words: str) -> Refusal:
    return Refusal("ease_implausible", at, garment=row.garment, place=row.place, words=words)

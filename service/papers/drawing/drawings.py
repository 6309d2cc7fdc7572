"""The drawing of a fit check: what stands on it, and where on the man, is decided here, once for every format."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from itertools import groupby
from typing import Literal, TypeAlias

from service.storage.fitting.fit_checks import KeptFitCheck
from service.tailoring.fitting.fit_check_records import FitCheckRecord, RecordedVerdict
from service.tailoring.fitting.fit_points import fit_points
from service.tailoring.fitting.sightings import Sighting, amount_in_words
from service.tailoring.garments.alterations import Side
from service.tailoring.garments.charts import GARMENTS
from service.tailoring.quantities import LengthUnit

View: TypeAlias = Literal["front", "side", "back"]
Sign: TypeAlias = Literal["right", "too_little", "too_much", "watch", "not_judged"]
Column: TypeAlias = Literal["left", "right"]
# Down from the crown and to the right of his middle as he stands on the page, in 1/380 of his stature.
Spot: TypeAlias = tuple[float, float]

VIEWS: tuple[View, ...] = ("front", "side", "back")
SIGNS: tuple[Sign, ...] = ("right", "too_little", "too_much", "watch", "not_judged")
SAYS: dict[Sign, str] = {
    "right": "right",
    "too_little": "too little",
    "too_much": "too much",
    "watch": "can be worn, watch it",
    "not_judged": "not judged",
}
SIDES_NOTE = "Left and right are the wearer's."

_DECIDED = {
    "keep": "keep what is worn",
    "alter": "alter what is worn",
    "swap": "swap it for another size",
    "undecided": "left to the fitter",
}
_BOTH = frozenset({"left", "right"})
# Nearer to his middle than this, a mark may have its words on either side.
_MIDDLE = 13.0
# As far below one mark the next is clear of it.
_STEP = 14.0


@dataclass(frozen=True, slots=True)
class Remark:
    """One verdict in words and where it is marked; a verdict of both sides has two spots and is said once.

    `seen` is what was seen there, in the point's own words: "1 in spare cloth", "rays level"; "" where nobody said.
    """

    number: int
    view: View
    column: Column
    sign: Sign
    verdict: str
    words: str
    spots: tuple[Spot, ...]
    seen: str = ""

    @property
    def text(self) -> str:
        """Where it is, and what was seen there."""
        return f"{self.words}: {self.seen}" if self.seen else self.words


@dataclass(frozen=True, slots=True)
class Drawing:
    """All that a drawing says. `bare` are the spots that nobody judged, `unjudged` their words by garment."""

    title: str
    worn: str
    decision: str
    garments: tuple[str, ...]
    remarks: tuple[Remark, ...]
    bare: tuple[tuple[View, Spot], ...]
    unjudged: tuple[str, ...]
    number: str


@dataclass(frozen=True, slots=True)
class Place:
    """Where a point is marked. `x` of a point with sides is counted outward from his middle."""

    view: View
    x: float
    y: float


def drawing(check: KeptFitCheck) -> Drawing:
    """The drawing of a fit check."""
    record = check.record
    garments = tuple(each for each in GARMENTS if any(row.garment == each for row in record.verdicts))
    judged = [row for row in record.verdicts if row.verdict]
    open_ = [row for row in record.verdicts if not row.verdict]
    return Drawing(
        title="Fit check",
        worn=", ".join(f"{garment} {size.label}" for garment, size in record.worn.items()),
        decision=_DECIDED[record.decision],
        garments=garments,
        remarks=_remarks(judged, record),
        bare=tuple((place_of(row).view, spot) for row in open_ for spot in _spots(row, _sides([row]))),
        unjudged=tuple(
            f"{garment.capitalize()}: {', '.join(words)}." for garment in garments if (words := _left(open_, garment))
        ),
        number=check.id,
    )


def place_of(row: RecordedVerdict) -> Place:
    """Where a verdict is marked: at its point; where that has no spot, at its garment's place; else at the garment."""
    point = fit_points().get(row.point)
    place = point.place if point else ""
    known = _places()
    keys = ((row.point, "", ""), ("", row.garment, place), ("", row.garment, ""))
    return next(known[key] for key in keys if key in known)


def said(paper: Drawing) -> Iterator[str]:
    """The whole drawing in words, a line each: for who cannot see it."""
    yield f"{paper.title}. Worn: {paper.worn}. Decision: {paper.decision}. {SIDES_NOTE}"
    for view, remarks in groupby(paper.remarks, key=lambda each: each.view):
        yield f"{view.capitalize()}:"
        yield from (
            f"{each.number} {each.words}: {each.verdict}{f' ({each.seen})' if each.seen else ''}." for each in remarks
        )
    if not paper.remarks:
        yield "Nothing was judged."
    if paper.unjudged:
        yield "Not judged:"
        yield from paper.unjudged
    yield f"Fit check {paper.number}"


def drawing_text(paper: Drawing) -> str:
    """The drawing as plain text."""
    return "\n".join(said(paper)) + "\n"


def _remarks(rows: Sequence[RecordedVerdict], record: FitCheckRecord) -> tuple[Remark, ...]:
    """The verdicts in the order in which they are read: view by view, a column of words down, then the other."""
    alike: dict[tuple[str, str, bool], list[RecordedVerdict]] = {}
    for row in rows:
        alike.setdefault((row.point, row.verdict or "not_judged", row.watch), []).append(row)
    made = sorted(_apart([_remark(group, record) for group in alike.values()]), key=_height)
    placed = [each for view in VIEWS for each in _in_columns([one for one in made if one.view == view])]
    return tuple(replace(each, number=number) for number, each in enumerate(placed, start=1))


def _remark(rows: Sequence[RecordedVerdict], record: FitCheckRecord) -> Remark:
    first, sides = rows[0], _sides(rows)
    verdict: Sign = first.verdict or "not_judged"
    watched = first.watch and verdict != "right"
    return Remark(
        number=0,
        view=place_of(first).view,
        column="left",
        sign="watch" if watched else verdict,
        verdict=f"{SAYS[verdict]}, can be worn" if watched else SAYS[verdict],
        words=first.words + _sides_words(first, sides),
        spots=_spots(first, sides),
        seen=_seen(rows, record),
    )


def _seen(rows: Sequence[RecordedVerdict], record: FitCheckRecord) -> str:
    """What was seen at a point, in its own words; of sides that differ each by itself."""
    point, sides = rows[0].point, {row.side for row in rows}
    mine = [each for each in record.seen if each.point == point and (_met(each.side, sides))]
    said_ = {each.side: _sighting_words(each, record.unit or "in") for each in mine if each.amount_mm is not None}
    said_ = said_ or {each.side: _sighting_words(each, record.unit or "in") for each in mine}
    if len(set(said_.values())) == 1:
        return next(iter(said_.values()))
    return ", ".join(f"{side} {words}" if side else words for side, words in said_.items())


def _met(side: Side | None, sides: set[Side | None]) -> bool:
    return side in sides or side in (None, "both") or bool(sides & {None, "both"})


def _sighting_words(seen: Sighting, unit: LengthUnit) -> str:
    if seen.amount_mm is None:
        return "" if seen.seen in (None, "right") else str(seen.seen).replace("_", " ")
    return amount_in_words(fit_points()[seen.point], seen.amount_mm, unit)


def _in_columns(remarks: Sequence[Remark]) -> list[Remark]:
    """Each remark's words on the side of its mark; what is marked in the middle goes where fewer stand."""
    columns: dict[Column, list[Remark]] = {"left": [], "right": []}
    free = [each for each in remarks if _is_free(each)]
    for each in (one for one in remarks if not _is_free(one)):
        columns["right" if each.spots[0][0] > 0 else "left"].append(each)
    for each in free:
        columns[min(columns, key=lambda name: len(columns[name]))].append(each)
    return [replace(each, column=name) for name, those in columns.items() for each in sorted(those, key=_height)]


def _height(remark: Remark) -> float:
    return min(y for _, y in remark.spots)


def _apart(remarks: Sequence[Remark]) -> list[Remark]:
    """No mark on another: what is seen twice at a point, and points that share a place, stand one below the other."""
    apart: list[Remark] = []
    for each in remarks:
        moved = each
        while any(one.view == moved.view and set(one.spots) & set(moved.spots) for one in apart):
            moved = replace(moved, spots=tuple((x, y + _STEP) for x, y in moved.spots))
        apart.append(moved)
    return apart


def _is_free(remark: Remark) -> bool:
    return len(remark.spots) > 1 or abs(remark.spots[0][0]) < _MIDDLE


def _sides(rows: Sequence[RecordedVerdict]) -> frozenset[str]:
    """The sides that verdicts on one point speak of; none for a point that has none."""
    if _has_no_sides(rows[0]):
        return frozenset()
    said_ = frozenset(row.side or "both" for row in rows)
    return _BOTH if said_ - _BOTH else said_


def _has_no_sides(row: RecordedVerdict) -> bool:
    point = fit_points().get(row.point)
    return point.sides == "none" if point else row.side is None


def _sides_words(row: RecordedVerdict, sides: frozenset[str]) -> str:
    if not sides or (sides == _BOTH and row.side is None):
        return ""
    return ", both sides" if sides == _BOTH else f", {next(iter(sides))}"


def _spots(row: RecordedVerdict, sides: frozenset[str]) -> tuple[Spot, ...]:
    place = place_of(row)
    if not sides:
        return ((place.x, place.y),)
    # Who faces us has his left on our right; who turns his back on us has it on our left.
    lefts = 1 if place.view == "front" else -1
    return tuple((place.x * (lefts if side == "left" else -lefts), place.y) for side in sorted(sides))


def _left(rows: Sequence[RecordedVerdict], garment: str) -> list[str]:
    """What of a garment nobody judged, a point once."""
    mine = [row for row in rows if row.garment == garment]
    points = {row.point: [each for each in mine if each.point == row.point] for row in mine}
    named = ((group[0].words, _sides(group)) for group in points.values())
    return [f"{words} ({next(iter(sides))})" if len(sides) == 1 else words for words, sides in named]


@cache
def _places() -> dict[tuple[str, str, str], Place]:
    text = (files(__package__) / "drawing_places.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(io.StringIO(text))
    return {(row["point"], row["garment"], row["place"]): _place(row) for row in rows}


def _place(row: dict[str, str]) -> Place:
    view = next(each for each in VIEWS if each == row["view"])
    return Place(view, float(row["x"]), float(row["y"]))

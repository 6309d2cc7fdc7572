"""A shop's own fit points: the bands, causes and remedies that it puts before the trade's.

What a look says of the body is not a shop's taste: an inch of spare cloth is an inch, whatever a shop calls right.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise

from service.tailoring.fitting.fit_points import (
    VERDICTS,
    Appearance,
    Band,
    FitPoint,
    FitTable,
    appearances,
    fit_points,
    trade_table,
)
from service.tailoring.garments.alterations import alteration
from service.tailoring.garments.places import Verdict
from service.tailoring.quantities import Length
from service.tailoring.refusals import Refusal

# What is written like a code of the catalogue is meant as one.
CODE = re.compile(r"^[a-z]+(?:_[a-z]+)+$")
SHOPS_KEPT = 64


@dataclass(frozen=True, slots=True)
class OwnLook:
    """What a shop says of one look: its likely causes and what cures it, best first.

    A look of the table keeps its verdict; a look of the shop's own says one.
    """

    name: str
    verdict: Verdict
    causes: tuple[str, ...]
    remedies: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OwnPoint:
    """What a shop says of one point: its band (None: the table's), its looks, and where it has that from."""

    point: str
    band: Band | None
    looks: tuple[OwnLook, ...]
    source: str


def own_band(point: FitPoint, right: Length, ok: tuple[Length, Length], watch: tuple[Length, Length]) -> Band:
    """A shop's band at a point. Raises Refusal `point_has_no_band`, or `band_wrong` at the edge."""
    if point.band is None:
        raise Refusal("point_has_no_band", (), point=point.code)
    named = (
        ("watch_low", watch[0]),
        ("ok_low", ok[0]),
        ("right", right),
        ("ok_high", ok[1]),
        ("watch_high", watch[1]),
    )
    for (_, lower), (name, upper) in pairwise(named):
        if lower.mm > upper.mm:
            raise Refusal("band_wrong", (name,), point=point.code, words="each edge is at least the one below it")
    for name, edge in named:
        if abs(edge.mm) > point.most_mm:
            most = Length(point.most_mm, "in").text
            raise Refusal("band_wrong", (name,), point=point.code, words=f"more than {most} is not possible there")
    return Band(right.mm, (ok[0].mm, ok[1].mm), (watch[0].mm, watch[1].mm))


def own_look(
    point: FitPoint, name: str, verdict: str | None, causes: tuple[str, ...], remedies: tuple[str, ...]
) -> OwnLook:
    """A shop's look at a point.

    Raises Refusal `look_verdict_missing`, `look_verdict_fixed`, `look_needs_remedy` or `alteration_unknown`, pointing
    at the part.
    """
    known = next((each.verdict for each in appearances(point.code) if each.name == name), None)
    judged = known or next((each for each in VERDICTS if each == verdict), None)
    if judged is None:
        raise Refusal("look_verdict_missing", ("verdict",), seen=name, allowed=VERDICTS)
    if verdict not in (None, judged):
        raise Refusal("look_verdict_fixed", ("verdict",), seen=name, verdict=judged)
    if (judged == "right") == bool(remedies):
        raise Refusal("look_needs_remedy", ("remedies",), seen=name, verdict=judged)
    for position, remedy in enumerate(remedies):
        if CODE.match(remedy):
            try:
                alteration(remedy)
            except Refusal as refusal:
                raise Refusal(refusal.code, ("remedies", position), **refusal.facts) from None
    return OwnLook(name, judged, causes, remedies)


def own_point(point: str, band: Band | None, looks: tuple[OwnLook, ...], source: str) -> OwnPoint:
    """What a shop says of one point. Raises Refusal `look_repeated` or `own_point_empty`."""
    names = [each.name for each in looks]
    for position, name in enumerate(names):
        if name in names[:position]:
            raise Refusal("look_repeated", ("appearances", position), seen=name)
    if band is None and not looks:
        raise Refusal("own_point_empty", (), point=point)
    return OwnPoint(point, band, looks, source)


def point_named(code: str) -> FitPoint:
    """The point of that code. Raises Refusal `fit_point_unknown`."""
    point = fit_points().get(code)
    if point is None:
        raise Refusal("fit_point_unknown", ("point",), given=code, allowed=tuple(fit_points()))
    return point


def check_points_once(rows: tuple[OwnPoint, ...]) -> None:
    """Raises Refusal `fit_point_repeated`, pointing at the row that says a point again."""
    seen: set[str] = set()
    for position, row in enumerate(rows):
        if row.point in seen:
            raise Refusal("fit_point_repeated", ("rows", position), point=row.point)
        seen.add(row.point)


@lru_cache(SHOPS_KEPT)
def shops_table(own: tuple[OwnPoint, ...]) -> FitTable:
    """The table with a shop's own rows before the trade's."""
    trade = trade_table()
    mine = {each.point: each for each in own}
    points = {code: _with_own_band(point, mine.get(code)) for code, point in trade.points.items()}
    looks = {code: _looks_of(trade.points[code], trade.looks[code], mine.get(code)) for code in trade.points}
    return FitTable(points, looks)


def _with_own_band(point: FitPoint, mine: OwnPoint | None) -> FitPoint:
    if mine is None:
        return point
    return replace(point, band=mine.band or point.band, source=mine.source)


def _looks_of(point: FitPoint, looks: tuple[Appearance, ...], mine: OwnPoint | None) -> tuple[Appearance, ...]:
    if mine is None:
        return looks
    said = {each.name: each for each in mine.looks}
    moved_mm = _right_moved_mm(point, mine.band)
    known = tuple(_with_own_look(each, said.get(each.name), mine, moved_mm) for each in looks)
    added = tuple(
        _own_appearance(point, each, mine) for each in mine.looks if each.name not in {look.name for look in looks}
    )
    return known + added


def _own_appearance(point: FitPoint, look: OwnLook, mine: OwnPoint) -> Appearance:
    """A look of the shop's own has a verdict, and says nothing of the body."""
    return Appearance(
        point=point.code,
        name=look.name,
        verdict=look.verdict,
        place="",
        residual_mm=None,
        sd_mm=0.0,
        both_sides=False,
        causes=look.causes,
        remedies=look.remedies,
        source=mine.source,
    )


def _with_own_look(look: Appearance, said: OwnLook | None, mine: OwnPoint, moved_mm: float) -> Appearance:
    if said:
        look = replace(look, causes=said.causes, remedies=said.remedies, source=mine.source)
    if look.verdict == "right" and look.residual_mm is not None:
        # A shop that calls more cloth right has seen more cloth where it says "right".
        return replace(look, residual_mm=look.residual_mm + moved_mm)
    return look


def _right_moved_mm(point: FitPoint, band: Band | None) -> float:
    if band is None or point.band is None or point.factor is None:
        return 0.0
    return point.factor * (band.right_mm - point.band.right_mm)

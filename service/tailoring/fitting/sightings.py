"""Sightings: what was seen at the fit points of a worn garment, and the verdict on each.

An amount is read against the point's band; a named appearance has its verdict in the table. Where a point was both
measured and named, the amount decides; where they disagree, that is said.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from service.tailoring.fitting.fit_points import Appearance, FitPoint, FitTable, trade_table
from service.tailoring.fitting.left_open import LeftToFitter
from service.tailoring.garments.alterations import Side
from service.tailoring.garments.places import Verdict
from service.tailoring.hems.dressed import Dressed
from service.tailoring.notices import Notice
from service.tailoring.quantities import Length, LengthUnit
from service.tailoring.refusals import Refusal


@dataclass(frozen=True, slots=True)
class Sighting:
    """What was seen at one fit point: an appearance, or an amount in mm (spare is positive, short negative).

    Both together: the look is that of the amount.
    """

    point: str
    seen: str | None = None
    amount_mm: float | None = None
    side: Side | None = None


@dataclass(frozen=True, slots=True)
class Judgement:
    """The verdict at one point and side; `watch`: not right, but still worn. None: not judged.

    `places` are those that the look speaks of.
    """

    point: FitPoint
    side: Side | None
    verdict: Verdict | None
    watch: bool = False
    causes: tuple[str, ...] = ()
    remedies: tuple[str, ...] = ()
    places: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class JudgedSighting:
    """One sighting as it counts: where it stands in the request, and how it was judged."""

    at: int
    sighting: Sighting
    judgement: Judgement

    @property
    def point(self) -> FitPoint:
        """The point seen."""
        return self.judgement.point


def check_sighting(sighting: Sighting, worn: frozenset[str], table: FitTable | None = None) -> FitPoint:
    """The point seen.

    Raises Refusal `fit_point_unknown`, `point_not_worn`, `seen_unknown`, `amount_not_read_here`,
    `amount_implausible`, `side_missing` or `side_not_taken`.
    """
    of = table or trade_table()
    point = of.points.get(sighting.point)
    if point is None:
        raise Refusal("fit_point_unknown", ("point",), given=sighting.point, allowed=tuple(of.points))
    if point.garment not in worn:
        raise Refusal("point_not_worn", ("point",), point=point.code, garment=point.garment)
    names = tuple(dict.fromkeys(each.name for each in of.looks[point.code]))
    if sighting.seen is not None and sighting.seen not in names:
        raise Refusal("seen_unknown", ("seen",), given=sighting.seen, allowed=names)
    if sighting.amount_mm is not None and not _reads(of, point, sighting.amount_mm):
        raise Refusal("amount_not_read_here", (), point=point.code, allowed=names)
    if sighting.amount_mm is not None and abs(sighting.amount_mm) > point.most_mm:
        where = "spare" if sighting.amount_mm > 0 else "short"
        raise Refusal("amount_implausible", (where,), point=point.code, most=Length(point.most_mm, "in").text)
    _check_side(of, point, sighting)
    return point


def _check_side(table: FitTable, point: FitPoint, sighting: Sighting) -> None:
    if point.sides == "none" and sighting.side is not None:
        raise Refusal("side_not_taken", ("side",), of=point.code)
    if point.sides == "each" and sighting.side is None:
        raise Refusal("side_missing", ("side",), of=point.code, allowed=("left", "right", "both"))
    # Where nothing differs there is no odd one.
    differs = point.sides == "odd_one" and judge(point, sighting, table).verdict != "right"
    if differs and sighting.side not in ("left", "right"):
        raise Refusal("side_missing", ("side",), of=point.code, allowed=("left", "right"))


def judge_sightings(
    sightings: tuple[Sighting, ...], worn: frozenset[str], table: FitTable
) -> tuple[tuple[JudgedSighting, ...], tuple[Notice, ...]]:
    """Every sighting judged, an amount and a look at one point and side together; and where those two disagree.

    Raises Refusal `sighting_repeated` or what `check_sighting` refuses, pointing at `("observations", i)`.
    """
    taken: dict[tuple[str, Side | None, bool], int] = {}
    for position, sighting in enumerate(sightings):
        try:
            point = check_sighting(sighting, worn, table)
        except Refusal as refusal:
            raise refusal.within("observations", position) from None
        for side in sides_of(point, sighting.side):
            key = (sighting.point, side, sighting.amount_mm is None)
            if key in taken:
                raise Refusal("sighting_repeated", ("observations", position), point=sighting.point)
            taken[key] = position
    twice = {point for point, side, named in taken if named and (point, side, False) in taken}
    plain = [
        JudgedSighting(at, each, judge(table.points[each.point], each, table))
        for at, each in enumerate(sightings)
        if each.point not in twice
    ]
    both, notices = _measured_and_named(sightings, taken, twice, table)
    return tuple(sorted(plain + both, key=lambda each: each.at)), notices


def believed(
    judged: Sequence[JudgedSighting], table: FitTable, dressed: Dressed
) -> tuple[tuple[JudgedSighting, ...], tuple[LeftToFitter, ...], tuple[Notice, ...]]:
    """What of it counts over what was worn at the fitting; the rest is left to the fitter, and said."""
    counted: list[JudgedSighting] = []
    left: list[LeftToFitter] = []
    notices: list[Notice] = []
    for each in judged:
        seen, verdict = each.sighting, each.judgement.verdict
        why = dressed.doubt_of(each.point.code, verdict, measured=seen.amount_mm is not None)
        if why is None or verdict is None:
            counted.append(each)
            continue
        words, of = said(table, seen), each.point
        # What is still worn so is no fault to decide on.
        if not each.judgement.watch:
            left.append(LeftToFitter(of.garment, of.code, seen.side, verdict, words, why, (), look_again=True))
        notices.append(Notice("seen_over_what_was_worn", ("observations", each.at), f"{words}: {why}."))
    return tuple(counted), tuple(left), tuple(notices)


def _measured_and_named(
    sightings: tuple[Sighting, ...],
    taken: dict[tuple[str, Side | None, bool], int],
    twice: set[str],
    table: FitTable,
) -> tuple[list[JudgedSighting], tuple[Notice, ...]]:
    """Points that were both measured and named, side by side."""
    judged: list[JudgedSighting] = []
    notices: dict[int, Notice] = {}
    for code, side in dict.fromkeys((point, side) for point, side, _ in taken if point in twice):
        point = table.points[code]
        measured, named = taken.get((code, side, False)), taken.get((code, side, True))
        # The odd one out is said by its own side.
        given = [sightings[at] for at in (measured, named) if at is not None]
        ways = [replace(each, side=side if point.sides != "odd_one" else each.side) for each in given]
        at = measured if measured is not None else named or 0
        counted = ways[0]
        if measured is not None and named is not None:
            one, other = (judge(point, each, table) for each in ways)
            if one.verdict == other.verdict and (one.side == other.side or one.verdict == "right"):
                counted = replace(counted, seen=ways[1].seen)
            else:
                words = f"{said(table, ways[1])}, yet {said(table, ways[0])}: look again. The amount is counted."
                facts = (("against", f"/observations/{measured}"),)
                notices[named] = Notice("sightings_disagree", ("observations", named), words, facts)
        judged.append(JudgedSighting(at, counted, judge(point, counted, table)))
    return judged, tuple(notices.values())


def sides_of(point: FitPoint, side: Side | None) -> tuple[Side | None, ...]:
    """The sides that a sighting speaks of, one by one; of an odd one out there is one sighting."""
    if point.sides == "odd_one":
        return (None,)
    if side == "both" or (side is None and point.sides == "either"):
        return ("left", "right")
    return (side,)


def judge(point: FitPoint, sighting: Sighting, table: FitTable | None = None) -> Judgement:
    """The verdict on one sighting, its likely causes and what cures it, best first."""
    looks = looks_seen(point, sighting, table)
    look, places = looks[0], tuple(each.place for each in looks if each.place)
    return Judgement(point, sighting.side, look.verdict, _watch(point, sighting), look.causes, look.remedies, places)


def looks_seen(point: FitPoint, sighting: Sighting, table: FitTable | None = None) -> list[Appearance]:
    """The appearance that was seen, or the first one that has the verdict of the amount; a row for each place."""
    looks = (table or trade_table()).looks[point.code]
    name = sighting.seen
    if name is None:
        verdict = _verdict(point, sighting.amount_mm or 0.0)
        name = next(each.name for each in looks if each.verdict == verdict)
    return [each for each in looks if each.name == name]


def residuals(point: FitPoint, sighting: Sighting, table: FitTable | None = None) -> list[tuple[str, float, float]]:
    """What a sighting says of `garment - body - ideal ease`: (place, residual, SD) in mm, for whole garments."""
    if sighting.amount_mm is not None and point.factor is not None and point.band is not None:
        place = point.place or point.code
        return [(place, point.factor * (sighting.amount_mm - point.zero_mm), point.sd_mm)]
    one_sided = sighting.side in ("left", "right")
    return [
        (each.place, each.residual_mm, each.sd_mm)
        for each in looks_seen(point, sighting, table)
        if each.residual_mm is not None and not (each.both_sides and one_sided)
    ]


def said(table: FitTable, sighting: Sighting) -> str:
    """A sighting in words: where, on which side, and what was seen."""
    point = table.points[sighting.point]
    side = f" ({sighting.side})" if sighting.side else ""
    if sighting.amount_mm is None:
        return f"{point.words}{side}: {(sighting.seen or '').replace('_', ' ')}"
    return f"{point.words}{side}: {amount_in_words(point, sighting.amount_mm)}"


def amount_in_words(point: FitPoint, amount_mm: float, unit: LengthUnit = "in") -> str:
    """What is read at a point: so much of what it reads, or so much short."""
    return f"{Length(abs(amount_mm), unit).text} {point.amount if amount_mm >= 0 else 'short'}".rstrip()


def _reads(table: FitTable, point: FitPoint, amount_mm: float) -> bool:
    """Whether the amount can be seen there: a gap, for one, is never short."""
    if point.band is None:
        return False
    return any(each.verdict == _verdict(point, amount_mm) for each in table.looks[point.code])


def _verdict(point: FitPoint, amount_mm: float) -> Verdict:
    low, high = point.band.ok_mm if point.band else (0.0, 0.0)
    # A hundredth of a millimetre forgives the last bit of a converted eighth.
    if low - 0.01 <= amount_mm <= high + 0.01:
        return "right"
    return "too_little" if (amount_mm < low) != point.more_is_tighter else "too_much"


def _watch(point: FitPoint, sighting: Sighting) -> bool:
    if sighting.amount_mm is None or point.band is None or _verdict(point, sighting.amount_mm) == "right":
        return False
    low, high = point.band.watch_mm
    return low - 0.01 <= sighting.amount_mm <= high + 0.01

"""Fit points: what is looked at on the worn garment, what was seen there, and what that says of the body.

An amount is read against the point's bands; a named appearance brings the evidence that its row states. Both are
evidence about `garment - body` at a place, on the same body that the tape readings describe.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Literal, TypeAlias, cast

from service.tailoring import tables
from service.tailoring.fit import Verdict
from service.tailoring.places import places
from service.tailoring.population import Observation
from service.tailoring.quantities import Length, inches
from service.tailoring.refusals import Refusal

if TYPE_CHECKING:
    from service.tailoring.alterations import Side
    from service.tailoring.charts import Garment, GarmentSize

Seen: TypeAlias = Literal["amount", "appearance"]

# Nobody sews finer than an eighth: what is within half of one of the band is at its edge, and right.
FINEST_MM = inches(1 / 16)
# A look this sharp is as good as a tape (twice the error of taping a girth).
LOOKED_SD_MM = 14.0
# What the drop is made of: chest less trouser waist (common practice, no source).
DROP = (("chest_girth", 1.0), ("trouser_waist_girth", -1.0))


@dataclass(frozen=True, slots=True)
class Band:
    """What is right (`ok`), what is still worn (`watch`), and the amount aimed at, in mm of what is read there."""

    right_mm: float
    ok_mm: tuple[float, float]
    watch_mm: tuple[float, float]


@dataclass(frozen=True, slots=True)
class FitPoint:
    """A place a fitter looks at. `amount` names what is measured there (empty: it is judged by eye only).

    `more_is_tighter`: what is measured is a gap, and a wide one says that the garment has too little cloth.
    `factor` turns the amount beyond what is right into a residual (None: an amount gives a verdict, and the
    verdict's appearance the evidence), `sd_mm` is that residual's reading error. More than
    `most_mm` either way is a slip of the unit or the tape.
    """

    code: str
    garment: Garment
    place: str
    words: str
    how: str
    sided: bool
    amount: str
    more_is_tighter: bool
    band: Band | None
    most_mm: float
    factor: float | None
    sd_mm: float
    source: str


@dataclass(frozen=True, slots=True)
class Appearance:
    """A named look at a point: its verdict, and the residual that it speaks of at one place (None: none)."""

    point: str
    name: str
    verdict: Verdict
    place: str
    residual_mm: float | None
    sd_mm: float
    causes: tuple[str, ...]
    remedies: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class Sighting:
    """What was seen at one fit point: an appearance, or an amount in mm (spare is positive, short negative)."""

    point: str
    seen: str | None = None
    amount_mm: float | None = None
    side: Side | None = None


@dataclass(frozen=True, slots=True)
class Judgement:
    """The verdict at one point and side; `watch`: not right, but still worn. None: not judged."""

    point: FitPoint
    side: Side | None
    verdict: Verdict | None
    watch: bool = False
    causes: tuple[str, ...] = ()
    remedies: tuple[str, ...] = ()


@cache
def fit_points() -> dict[str, FitPoint]:
    """Every fit point by code, in the order of looking."""
    return {row["point"]: _point(row) for row in tables.rows("fit_points")}


@cache
def appearances(point: str) -> tuple[Appearance, ...]:
    """Every named look at a point; one name has a row for each place that it speaks of."""
    return tuple(_appearance(row) for row in tables.rows("appearances") if row["point"] == point)


def check_sighting(sighting: Sighting, worn: frozenset[str]) -> FitPoint:
    """The point seen.

    Raises Refusal `fit_point_unknown`, `point_not_worn`, `seen_unknown`, `amount_not_read_here`,
    `amount_implausible`, `side_missing` or `side_not_taken`.
    """
    point = fit_points().get(sighting.point)
    if point is None:
        raise Refusal("fit_point_unknown", ("point",), given=sighting.point, allowed=tuple(fit_points()))
    if point.garment not in worn:
        raise Refusal("point_not_worn", ("point",), point=point.code, garment=point.garment)
    names = tuple(dict.fromkeys(each.name for each in appearances(point.code)))
    if sighting.seen is not None and sighting.seen not in names:
        raise Refusal("seen_unknown", ("seen",), given=sighting.seen, allowed=names)
    if sighting.amount_mm is not None and not _reads(point, sighting.amount_mm):
        raise Refusal("amount_not_read_here", (), point=point.code, allowed=names)
    if sighting.amount_mm is not None and abs(sighting.amount_mm) > point.most_mm:
        where = "spare" if sighting.amount_mm > 0 else "short"
        raise Refusal("amount_implausible", (where,), point=point.code, most=Length(point.most_mm, "in").text)
    if point.sided and sighting.side is None:
        raise Refusal("side_missing", ("side",), of=point.code, allowed=("left", "right", "both"))
    if not point.sided and sighting.side is not None:
        raise Refusal("side_not_taken", ("side",), of=point.code)
    return point


def judge(point: FitPoint, sighting: Sighting) -> Judgement:
    """The verdict on one sighting, its likely causes and what cures it, best first."""
    looks = [each for each in appearances(point.code) if each.name == _name(point, sighting)]
    verdict = looks[0].verdict
    return Judgement(point, sighting.side, verdict, _watch(point, sighting), looks[0].causes, looks[0].remedies)


def residuals(point: FitPoint, sighting: Sighting) -> list[tuple[str, float, float]]:
    """What a sighting says of `garment - body - ideal ease`: (place, residual, SD) in mm, for whole garments."""
    if sighting.amount_mm is not None and point.factor is not None and point.band is not None:
        place = point.place or point.code
        return [(place, point.factor * (sighting.amount_mm - point.band.right_mm), point.sd_mm)]
    return [
        (each.place, each.residual_mm, each.sd_mm)
        for each in appearances(point.code)
        if each.name == _name(point, sighting) and each.residual_mm is not None
    ]


def held_band(point: FitPoint) -> tuple[float, float] | None:
    """Between which residuals (mm) the point is right, once it has been seen; None where it has no place."""
    if point.factor is None or point.band is None or not point.place:
        return None
    low, high = (point.factor * (edge - point.band.right_mm) for edge in point.band.ok_mm)
    return (low - FINEST_MM, high + FINEST_MM)


def observation(
    garment: str, size: GarmentSize, place: str, residual_mm: float, sd_mm: float, *, looked: bool = True
) -> Observation | None:
    """A residual on a worn size as evidence on the body; None where the chart does not give the place.

    A vague look does not count as having read the dimension: the tape is still worth asking for.
    """
    if place == "drop":
        middle = fit_points()["drop"].band
        return Observation("drop", (middle.right_mm if middle else 0.0) + residual_mm, sd_mm, DROP, looked=False)
    at = next(each for each in places(garment) if each.name == place)
    garment_mm = size.mm(place)
    if garment_mm is None:
        return None
    # The fitter's words for right are the usual ease, whatever this customer wishes for.
    size_mm, size_sd = (garment_mm - at.ideal_mm["usual"] - residual_mm) / at.share, sd_mm / at.share
    return Observation(at.dimension, size_mm, size_sd, looked=looked and sd_mm <= LOOKED_SD_MM)


def _name(point: FitPoint, sighting: Sighting) -> str:
    """The appearance that was seen, or the first one that has the verdict of the amount."""
    if sighting.seen is not None:
        return sighting.seen
    verdict = _verdict(point, sighting.amount_mm or 0.0)
    return next(each.name for each in appearances(point.code) if each.verdict == verdict)


def _reads(point: FitPoint, amount_mm: float) -> bool:
    """Whether the amount can be seen there: a gap, for one, is never short."""
    if point.band is None:
        return False
    return any(each.verdict == _verdict(point, amount_mm) for each in appearances(point.code))


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


def _point(row: dict[str, str]) -> FitPoint:
    def pair(name: str) -> tuple[float, float]:
        return (inches(float(row[f"{name}_min_in"])), inches(float(row[f"{name}_max_in"])))

    band = Band(inches(float(row["right_in"])), pair("ok"), pair("watch")) if row["right_in"] else None
    return FitPoint(
        code=row["point"],
        garment=cast("Garment", row["garment"]),
        place=row["place"],
        words=row["words"],
        how=row["how"],
        sided=row["sided"] == "yes",
        amount=row["amount"],
        more_is_tighter=row["more_is"] == "tighter",
        band=band,
        most_mm=inches(float(row["most_in"] or 0)),
        factor=float(row["factor"]) if row["factor"] else None,
        sd_mm=inches(float(row["sd_in"] or 0)),
        source=row["source"],
    )


def _appearance(row: dict[str, str]) -> Appearance:
    return Appearance(
        point=row["point"],
        name=row["seen"],
        verdict=cast("Verdict", row["verdict"]),
        place=row["place"],
        residual_mm=inches(float(row["residual_in"])) if row["residual_in"] else None,
        sd_mm=inches(float(row["sd_in"] or 0)),
        causes=_listed(row["causes"]),
        remedies=_listed(row["remedies"]),
        source=row["source"],
    )


def _listed(cell: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in cell.split(";") if part.strip())

"""The rank of evidence: an amount seen on the worn garment, then the tape, then an estimate.

The higher decides what a place of the worn garment is off by, and no other point moves it. What is of lower rank and
contradicts it by more than the tolerance is said, never averaged.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from service.tailoring.body.body import Body
from service.tailoring.fitting.evidence import PlaceEvidence, Worn
from service.tailoring.fitting.fit_points import FitPoint, FitTable
from service.tailoring.fitting.left_open import Contradicts, LookAgain
from service.tailoring.fitting.sightings import amount_in_words, said
from service.tailoring.garments.alterations import Side
from service.tailoring.garments.places import Place, Verdict, places
from service.tailoring.quantities import Length
from service.tailoring.sizing.cuts import Bands

# A garment and a place of it.
Spot = tuple[str, str]
# What is seen right is inside its band, whatever the last bit says.
INSIDE_MM = 0.1
# An estimate contradicts what was seen where chance has it no more (three standard deviations; derived here).
APART_SD = 3.0
EACH_SIDE: tuple[Side, Side] = ("left", "right")

# What decides, said with what contradicts it: of a place that was seen right nothing is sewn.
SEWN_AS_SEEN, AS_SEEN = "What was seen is sewn.", "It is left as it was seen."


@dataclass(frozen=True, slots=True)
class Decided:
    """What one place of a worn garment is off by, in mm of the whole garment: left, right.

    `sides` are those that were seen; `measured`: an amount was seen on all of them, and `past_wear` on some of them it
    is no longer worn so. `by` says what decided each side.
    """

    residual_mm: tuple[float, float]
    sides: frozenset[Side]
    measured: bool
    past_wear: bool
    by: tuple[PlaceEvidence, ...]


class Ranks:
    """What was seen of each place, what the tape or the rest of the body says of it, and which of them decides."""

    def __init__(self, worn: Worn, told: tuple[PlaceEvidence, ...], before: Body, held: Bands) -> None:
        self._worn, self._before = worn, before
        self._held = {(garment, place): (low, high) for garment, place, low, high in held}
        self._told: dict[Spot, list[PlaceEvidence]] = defaultdict(list)
        for each in told:
            if any(place.name == each.place for place in places(each.judged.point.garment)):
                self._told[each.judged.point.garment, each.place].append(each)

    def decided(self) -> dict[Spot, Decided]:
        """Every place at which something that was seen decides."""
        found = ((spot, self._at(spot)) for spot in self._told)
        return {spot: decided for spot, decided in found if decided}

    def _at(self, spot: Spot) -> Decided | None:
        by_side = {side: self._best(spot, side) for side in EACH_SIDE}
        off = {
            side: mm
            for side, best in by_side.items()
            for mm in ((self._residual(spot, best) if best else None),)
            if mm is not None
        }
        if not off:
            return None
        # Of a side that nobody saw the tape tells; else it is taken to be as the other.
        other = self._taped(spot)
        missing = next(iter(off.values())) if other is None else other
        by = tuple(dict.fromkeys(best for side, best in by_side.items() if best and side in off))
        left, right = (off.get(side, missing) for side in EACH_SIDE)
        wrong = (each.judged.judgement for each in by)
        past_wear = any(each.verdict != "right" and not each.watch for each in wrong)
        return Decided((left, right), frozenset(off), all(map(_is_measured, by)), past_wear, by)

    def _best(self, spot: Spot, side: Side) -> PlaceEvidence | None:
        there = [each for each in self._told[spot] if each.side in (None, "both", side)]
        return min(there, key=_rank, default=None)

    def _residual(self, spot: Spot, best: PlaceEvidence) -> float | None:
        """What decides there; None where a look tells no amount."""
        if _is_measured(best):
            return best.residual_mm
        low, high = self._band(spot)
        verdict = best.judged.judgement.verdict
        taped = self._taped(spot)
        if verdict == "right":
            believed = best.residual_mm if taped is None else taped
            inside = min(max(believed, low + INSIDE_MM), high - INSIDE_MM)
            return inside if _is_primary(best.judged.point) else None
        likely = self._estimated(spot, best) if taped is None else taped
        if likely is not None and _verdict(likely, low, high) == verdict:
            return likely
        # Nobody alters by what a look elsewhere may mean; another size, though, is brought for it.
        curable = _place_at(spot).too_little_cure if verdict == "too_little" else _place_at(spot).too_much_cure
        return best.residual_mm if _is_primary(best.judged.point) or not curable else None

    def look_again(self, table: FitTable, decided: Mapping[Spot, Decided]) -> tuple[tuple[int, LookAgain], ...]:
        """What contradicts what was decided, and the sighting (its position in the request) that decided."""
        return tuple(
            (each.judged.at, found)
            for spot, decision in decided.items()
            for each in decision.by
            for found in (self._against(table, spot, each),)
            if found
        )

    def _against(self, table: FitTable, spot: Spot, each: PlaceEvidence) -> LookAgain | None:
        taped = self._taped(spot)
        other_mm = self._believed(spot) if taped is None else taped
        if other_mm is None or each.on_body is None:
            return None
        low, high = self._band(spot)
        point, sighting = each.judged.point, each.judged.sighting
        verdict = _verdict(each.residual_mm, low, high) if _is_measured(each) else each.judged.judgement.verdict
        off_mm = abs(other_mm - each.residual_mm)
        place = _place_at(spot)
        sd = (
            0.0
            if taped is not None
            else APART_SD * (self._before.belief.sd(place.dimension) * place.share + each.sd_mm)
        )
        if _verdict(other_mm, low, high) == verdict or off_mm <= max((high - low) / 2, sd):
            return None
        kind: Contradicts = "estimated" if taped is None else "taped"
        factor = point.factor or 1.0
        amount_mm = other_mm / factor + point.zero_mm
        read = Length(self._before.belief.median(place.dimension), "in").text
        words = (
            f"look again: seen {said(table, sighting)}; {kind} {place.dimension.replace('_', ' ')} {read}, "
            f"which comes to {amount_in_words(point, amount_mm)}. {AS_SEEN if verdict == 'right' else SEWN_AS_SEEN}"
        )
        return LookAgain(
            point.garment, each.place, point.code, sighting.side, said(table, sighting), sighting.amount_mm, amount_mm,
            kind, words,
        )  # fmt: skip

    def _estimated(self, spot: Spot, look: PlaceEvidence) -> float | None:
        """What a look and the rest of the body say together, each by how sharp it is."""
        believed, place = self._believed(spot), _place_at(spot)
        if believed is None:
            return None
        sd = self._before.belief.sd(place.dimension) * place.share
        share = sd**2 / (sd**2 + look.sd_mm**2)
        return believed + share * (look.residual_mm - believed)

    def _taped(self, spot: Spot) -> float | None:
        return self._believed(spot) if _place_at(spot).dimension in self._before.belief.read else None

    def _believed(self, spot: Spot) -> float | None:
        """The residual of the worn garment on the body as it was known before anybody looked."""
        place = _place_at(spot)
        garment_mm = self._worn.size(place.garment).mm(place.name)
        if garment_mm is None or not self._before.knows(place.dimension):
            return None
        wanted_mm = place.ideal_mm["usual"] + self._worn.more_mm.get(spot, 0.0)
        return garment_mm - self._before.belief.median(place.dimension) * place.share - wanted_mm

    def _band(self, spot: Spot) -> tuple[float, float]:
        place = _place_at(spot)
        return self._held.get(spot, (place.low_mm, place.high_mm))


def shown_on(
    worn: Worn, body: Body, decided: Mapping[Spot, Decided]
) -> tuple[dict[Spot, float], dict[Spot, tuple[float, float]]]:
    """By how much (mm) the body is larger at a place than it is believed to be, and how its sides differ there."""
    shift: dict[Spot, float] = {}
    aside: dict[Spot, tuple[float, float]] = {}
    for spot, each in decided.items():
        place = _place_at(spot)
        garment_mm = worn.size(place.garment).mm(place.name)
        if garment_mm is None or not body.knows(place.dimension):
            continue
        middle = sum(each.residual_mm) / 2
        shown_mm = garment_mm - place.ideal_mm["usual"] - middle
        shift[spot] = shown_mm - body.belief.median(place.dimension) * place.share
        if each.residual_mm[0] != each.residual_mm[1] or len(each.sides) == 1:
            aside[spot] = (each.residual_mm[0] - middle, each.residual_mm[1] - middle)
    return shift, aside


def vague_at(before: Body, decided: Mapping[Spot, Decided]) -> frozenset[Spot]:
    """Where a look decides that something can be altered, and neither an amount nor a tape says how much."""
    return frozenset(
        spot
        for spot, each in decided.items()
        for place in (_place_at(spot),)
        if not each.measured and place.dimension not in before.belief.read
        if (place.too_little_cure if sum(each.residual_mm) < 0 else place.too_much_cure)
    )


def _place_at(spot: Spot) -> Place:
    return next(place for place in places(spot[0]) if place.name == spot[1])


def _rank(each: PlaceEvidence) -> tuple[bool, bool, float, bool, str]:
    """A measured amount first, then the sharper look; of two alike the one that is wrong."""
    point, judgement = each.judged.point, each.judged.judgement
    return not _is_measured(each), not _is_primary(point), each.sd_mm, judgement.verdict == "right", point.code


def _is_measured(each: PlaceEvidence) -> bool:
    return each.judged.point.factor is not None and each.judged.sighting.amount_mm is not None


def _is_primary(point: FitPoint) -> bool:
    """Whether the place itself is looked at there, and not only what shows of it elsewhere."""
    return point.factor is not None or not point.amount


def _verdict(residual_mm: float, low: float, high: float) -> Verdict:
    if residual_mm < low:
        return "too_little"
    return "too_much" if residual_mm > high else "right"

"""What is sewn of what was seen: lines of a plan by whether somebody looked there, and the points without a place.

A point without a place is mended by the amount that was seen there, or by the remedy of a cause that is likely enough.
What was seen wrong and is mended by neither is left to the fitter.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import cast

from service.tailoring import tables
from service.tailoring.fitting.causes import alteration_of
from service.tailoring.fitting.diagnosis import Diagnosis, Explanation
from service.tailoring.fitting.evidence import Worn
from service.tailoring.fitting.fit_points import FitTable
from service.tailoring.fitting.left_open import LeftToFitter, ToLookAt
from service.tailoring.fitting.ranks import Decided, Spot
from service.tailoring.fitting.sighting_facts import figures
from service.tailoring.fitting.sightings import JudgedSighting, said
from service.tailoring.garments.alterations import Direction, Side, alteration
from service.tailoring.garments.amounts import STEP_MM, Amount, sewn_steps
from service.tailoring.garments.charts import Garment
from service.tailoring.garments.found_inlays import alteration_on
from service.tailoring.garments.places import Verdict
from service.tailoring.quantities import Length, inches
from service.tailoring.sizing.planning import planned_alteration
from service.tailoring.sizing.plans import PlaceReport, Plan, PlannedAlteration
from service.tailoring.work.prices import PriceList

DROP, DROP_SPOT, HEM = "drop", ("trousers", "waist"), "trouser_hem"
NO_SIZE = "no alteration puts it right, and no size on offer is known to"
NO_AMOUNT = "there is no set amount for it: mark it on the customer"
OF_BASIS = {"girth": "of girth", "per_side": "a side", "per_leg": "a leg", "length": "of length"}
ANOTHER_BROUGHT = "no chart says whether the size that is brought cures it: check it there first"


@dataclass(frozen=True)
class Mirror:
    """What was seen at the mirror, on what, and what it decided.

    At the `vague` places a look told that something is wrong, and nobody how much.
    """

    table: FitTable
    worn: Worn
    judged: tuple[JudgedSighting, ...]
    decided: Mapping[Spot, Decided]
    diagnosis: Diagnosis
    prices: PriceList
    vague: frozenset[Spot] = frozenset()

    def keeps(self, plan: Plan, garment: str) -> bool:
        """Whether a plan keeps the garment that was tried on."""
        kept = cast("Garment", garment)
        return kept in plan.chosen and plan.chosen[kept] == self.worn.sizes.get(kept)

    def is_uncut_hem(self, line: PlannedAlteration) -> bool:
        """Whether a line is the hem of an uncut leg: it belongs to selling it, and is marked on the man."""
        return self.worn.chart.unfinished and line.code == HEM


@dataclass(frozen=True, slots=True)
class Mended:
    """A plan whose lines say what was seen; `by_cause`: some line answers a cause and no amount that was seen."""

    plan: Plan
    by_cause: bool


def mend(mirror: Mirror, plan: Plan) -> Mended:
    """The plan with what was seen told from what is estimated, and what mends the points that no place has."""
    lines = [_told(mirror, plan, line) for line in plan.alterations]
    for judged in _faults(mirror, plan):
        line = _by_amount(mirror, judged)
        if line and not _has(lines, line):
            lines = [*(each for each in lines if each.seen or not _has([each], line, unseen=True)), line]
    seen = replace(plan, alterations=tuple(lines))
    unmended = {each.point.code for each in _unmended(mirror, seen)}
    causes = [line for each in mirror.diagnosis.causes for line in _by_cause(mirror, plan, each, unmended)]
    fresh = [line for line in causes if not _has(lines, line)]
    return Mended(replace(plan, alterations=(*lines, *fresh)), bool(fresh))


def is_worked(mirror: Mirror, plan: Plan) -> bool:
    """Whether anything that was seen is to be sewn, but the hem of an uncut leg."""
    return any(line.seen and not mirror.is_uncut_hem(line) for line in plan.alterations)


def left_to_fitter(mirror: Mirror, mended: Plan) -> tuple[LeftToFitter, ...]:
    """The points that were seen wrong, and that neither a line of the plan mends nor a size of it is known to."""
    left = [(each, _why(mirror, mended, each)) for each in _unmended(mirror, mended)]
    swapped = [each for each in _wrong(mirror) if not mirror.keeps(mended, each.point.garment)]
    left += [(each, ANOTHER_BROUGHT) for each in swapped if not each.point.place]
    return tuple(
        LeftToFitter(
            garment=each.point.garment,
            point=each.point.code,
            side=each.sighting.side,
            verdict=cast("Verdict", each.judgement.verdict),
            seen=said(mirror.table, each.sighting),
            why=why,
            remedies=each.judgement.remedies,
        )
        for each, why in left
    )


def to_look_at(mirror: Mirror, mended: Plan) -> tuple[ToLookAt, ...]:
    """The lines of what is kept that nobody saw: offered, and no line by themselves."""
    found = []
    for line in mended.alterations:
        if line.seen or mirror.is_uncut_hem(line) or not mirror.keeps(mended, line.garment):
            continue
        spot = (line.garment, line.place)
        points = [each for each in mirror.table.points.values() if (each.garment, each.place) == spot]
        point = min(points, key=lambda each: (each.factor is None, not each.core, each.sd_mm), default=None)
        amount = f", about {line.amount.length.text}" if line.amount else ""
        look = f"look at {point.words}" if point else "look there"
        words = f"{alteration(line.code).words}{amount}: estimated, not seen; {look} before it is sewn."
        found.append(
            ToLookAt(
                *spot, point.code if point else None, line.code, line.amount, line.minutes, line.price,
                words,
            )
        )  # fmt: skip
    return tuple(found)


def _told(mirror: Mirror, plan: Plan, line: PlannedAlteration) -> PlannedAlteration:
    """The line, seen only where somebody looked at what is kept, and how the amount comes of what was seen."""
    spot = (line.garment, line.place)
    side = line.amount.side if line.amount else None
    decided = mirror.decided.get(spot)
    looked = decided is not None and (side in (None, "both") or side in decided.sides)
    by_drop = spot == DROP_SPOT and any(each.point.code == DROP for each in mirror.judged)
    # A line of no place answers the posture, which somebody noted.
    seen = mirror.keeps(plan, line.garment) and (looked or by_drop or not line.place)
    words = _arithmetic(line, decided, side) if seen and decided and decided.measured else ""
    return line if (seen, words) == (line.seen, line.arithmetic) else replace(line, seen=seen, arithmetic=words)


def _arithmetic(line: PlannedAlteration, decided: Decided, side: Side | None) -> str:
    """From what was read at the point to the amount that is sewn, where the two differ."""
    by = next((each for each in decided.by if side in (None, "both") or each.side in (None, "both", side)), None)
    if by is None or line.amount is None:
        return ""
    point, read_mm = by.judged.point, by.judged.sighting.amount_mm or 0.0
    if point.factor == 1 and not point.zero_mm:
        return ""
    unit = line.amount.length.unit

    def text(mm: float) -> str:
        return Length(abs(mm), unit).text

    off_mm = read_mm - point.zero_mm
    way, but = ("spare", "less") if read_mm >= 0 else ("short", "and")
    aimed = f"{but} the {text(point.zero_mm)} that is right: {text(off_mm)}" if point.zero_mm else text(off_mm)
    doubled = ", held double" if abs(point.factor or 1) > 1 else ""
    wanted_mm = abs((point.factor or 1.0) * off_mm)
    limit = ", as far as it goes" if line.amount.length.mm < wanted_mm - inches(1 / 8) else ""
    return f"{text(read_mm)} {way}, {aimed}{doubled}: {line.amount.length.text} {OF_BASIS[line.amount.basis]}{limit}"


def _wrong(mirror: Mirror) -> list[JudgedSighting]:
    """What was seen wrong, and is not worn so."""
    seen = [each for each in mirror.judged if each.judgement.verdict not in ("right", None)]
    return [each for each in seen if not each.judgement.watch]


def _faults(mirror: Mirror, plan: Plan) -> list[JudgedSighting]:
    """What was seen wrong on what the plan keeps."""
    return [each for each in _wrong(mirror) if mirror.keeps(plan, each.point.garment)]


def _by_amount(mirror: Mirror, judged: JudgedSighting) -> PlannedAlteration | None:
    """What mends a point that has no place, by as much as was seen there; None where the house has no amount."""
    row = _point_cure(judged)
    seen_mm, band = judged.sighting.amount_mm, judged.point.band
    if row is None or seen_mm is None or band is None or (row["alteration"] == HEM and mirror.worn.chart.unfinished):
        return None
    wanted_mm = abs(seen_mm - band.right_mm)
    if wanted_mm > _most_mm(mirror, row) + 0.01:
        return None
    return _line(mirror, row, wanted_mm, judged.sighting.side, pair=True)


def _most_mm(mirror: Mirror, row: dict[str, str]) -> float:
    return alteration_on(mirror.worn.chart, row["alteration"]).most_mm(cast("Direction", row["direction"]))


def _why(mirror: Mirror, mended: Plan, judged: JudgedSighting) -> str:
    """Why a point is left: it is off by more than is altered, no size is known to cure it, or nobody said how much."""
    row = _point_cure(judged)
    if row and row["alteration"] != HEM and judged.sighting.amount_mm:
        # Its own alteration has an amount of what was seen, and would be a line, did it go as far.
        most = Length(_most_mm(mirror, row), mirror.worn.chart.unit).text
        return f"it is more than the {most} that can be altered: another size or cut, or the coat maker"
    return NO_SIZE if _is_misfit(mended, judged) or not _codes(judged) else NO_AMOUNT


def _by_cause(mirror: Mirror, plan: Plan, cause: Explanation, unmended: set[str]) -> Iterable[PlannedAlteration]:
    """What cures a likely cause of something that nothing else mends; an amount that was seen is not replaced by it."""
    row = _cause_cures().get(cause.suspect.cause.code)
    if row is None or cause.probability < figures()["planned_from"]:
        return
    doing = alteration(row["alteration"])
    speaks = {each.point for each in cause.speaks_for}
    there = [each for each in _faults(mirror, plan) if each.point.code in doing.mends]
    measured = bool(row["amount_in"]) and any(each.sighting.amount_mm is not None for each in there)
    if measured or not speaks & unmended or not mirror.keeps(plan, doing.garment):
        return
    amount_mm = inches(float(row["amount_in"])) if row["amount_in"] else 0.0
    yield _line(mirror, row, amount_mm, cause.suspect.side or "both", pair=False)


def _line(mirror: Mirror, row: dict[str, str], wanted_mm: float, side: Side | None, *, pair: bool) -> PlannedAlteration:
    """A line of so much on a side; of a `pair` one side is half of the work."""
    doing = alteration_on(mirror.worn.chart, row["alteration"])
    unit = mirror.worn.chart.unit
    amount: Amount | None = None
    if doing.basis and row["direction"]:
        direction = cast("Direction", row["direction"])
        steps = max(1, sewn_steps(wanted_mm, doing.most_mm(direction), STEP_MM[unit]))
        amount = Amount(
            Length(steps * STEP_MM[unit], unit), doing.basis, direction, (side or "both") if doing.sided else None
        )
    one_side = pair and amount is not None and amount.side in ("left", "right")
    return planned_alteration(mirror.prices, cast("Garment", doing.garment), doing, amount, half=one_side)


def _has(lines: Sequence[PlannedAlteration], line: PlannedAlteration, *, unseen: bool = False) -> bool:
    """Whether the same is to be done already where somebody looked, or by the `unseen` too."""
    side = line.amount.side if line.amount else None
    return any(
        each.code == line.code and (each.amount is None or each.amount.side in (None, "both", side))
        for each in lines
        if each.seen or unseen
    )


def _unmended(mirror: Mirror, plan: Plan) -> list[JudgedSighting]:
    """What no line mends, or a line less than it should; where nobody said how much, as far as it goes will do."""
    return [
        each
        for each in _faults(mirror, plan)
        if not _is_mended(mirror, plan, each)
        or (_is_misfit(plan, each) and (each.point.garment, each.point.place) not in mirror.vague)
    ]


def _is_mended(mirror: Mirror, plan: Plan, judged: JudgedSighting) -> bool:
    """Whether a line that was seen mends the point, on the side on which it is wrong."""
    row = _point_cure(judged)
    if row and row["alteration"] != HEM and judged.sighting.amount_mm and not _by_amount(mirror, judged):
        # More than its own alteration can do.
        return False
    codes = _codes(judged)
    wrong = {each.place for each in _reports(plan, judged) if each.verdict != "right"}
    sides = [
        each.amount.side if each.amount else None
        for each in plan.alterations
        if each.seen or mirror.is_uncut_hem(each)
        if each.garment == judged.point.garment and (each.code in codes or each.place in wrong)
    ]
    wanted = judged.sighting.side
    if wanted in (None, "both"):
        return bool(sides)
    odd = judged.point.sides == "odd_one"
    return any(odd or side in (None, "both", wanted) for side in sides)


def _codes(judged: JudgedSighting) -> set[str]:
    """What may mend a point, as the table has it."""
    return {code for remedy in judged.judgement.remedies for code in (alteration_of(remedy),) if code}


def _is_misfit(plan: Plan, judged: JudgedSighting) -> bool:
    return any(each.misfit and each.verdict == judged.judgement.verdict for each in _reports(plan, judged))


def _reports(plan: Plan, judged: JudgedSighting) -> list[PlaceReport]:
    point = judged.point
    return [each for each in plan.places if (each.garment, each.place) == (point.garment, point.place)]


def _point_cure(judged: JudgedSighting) -> dict[str, str] | None:
    return _point_cures().get((judged.point.code, judged.judgement.verdict or ""))


@cache
def _point_cures() -> dict[tuple[str, str], dict[str, str]]:
    return {(row["point"], row["verdict"]): row for row in tables.rows("fitting/point_cures")}


@cache
def _cause_cures() -> dict[str, dict[str, str]]:
    return {row["cause"]: row for row in tables.rows("fitting/cause_cures")}

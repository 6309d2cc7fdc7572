"""Sightings that contradict each other, or the tape: nothing is thrown away, and it is said where to look again.

Two looks at one measure of the body are laid side by side; what has no measure in common stands in a table.
"""

from __future__ import annotations

import math
from functools import cache
from itertools import combinations

from service.tailoring import tables
from service.tailoring.body.body import Body
from service.tailoring.fitting.evidence import LOW_SHOULDER, ODD_LEG, PlaceEvidence
from service.tailoring.fitting.fit_points import FitTable
from service.tailoring.fitting.sightings import JudgedSighting, said, sides_of
from service.tailoring.notices import Notice

# Further apart than chance has it: three standard deviations (derived here).
APART_SD = 3.0
# Two garments of one size are not cut to the millimetre (common practice, no source).
BETWEEN_GARMENTS_SD_MM = 10.0
# The note of posture that speaks of the same, and whether of the same side: the longer leg breaks less.
NOTED = {LOW_SHOULDER: ("low_shoulder", True), ODD_LEG: ("longer_leg", False)}


def disagreements(
    table: FitTable, judged: tuple[JudgedSighting, ...], told: tuple[PlaceEvidence, ...], body: Body
) -> tuple[Notice, ...]:
    """What contradicts what. `body` is what was known before anybody looked; notices point at the later sighting."""
    return (
        *_with_each_other(table, told),
        *_legs(table, judged, told),
        *_named(table, judged),
        *_with_the_notes(table, judged, body),
    )


def _with_each_other(table: FitTable, told: tuple[PlaceEvidence, ...]) -> list[Notice]:
    found: dict[tuple[int, int], Notice] = {}
    for one, other in combinations(told, 2):
        first, later = sorted((one.judged, other.judged), key=lambda each: each.at)
        if first.at == later.at or first.point == later.point or (first.at, later.at) in found:
            continue
        if first.judgement.verdict == later.judgement.verdict or not _apart(one, other):
            continue
        words = f"{said(table, first.sighting)}, yet {said(table, later.sighting)}: look again."
        facts = (("against", f"/observations/{first.at}"),)
        found[first.at, later.at] = Notice("sightings_disagree", ("observations", later.at), words, facts)
    return list(found.values())


def _apart(one: PlaceEvidence, other: PlaceEvidence) -> bool:
    """Whether two looks tell of bodies that cannot be one."""
    if one.on_body is None or other.on_body is None or one.on_body.dimension != other.on_body.dimension:
        return False
    if {one.side, other.side} == {"left", "right"}:
        return False
    same = one.judged.point.garment == other.judged.point.garment
    between_mm = 0.0 if same else BETWEEN_GARMENTS_SD_MM
    off_mm = abs(one.on_body.size - other.on_body.size)
    return off_mm > APART_SD * math.hypot(one.on_body.sd, other.on_body.sd, between_mm)


def _named(table: FitTable, judged: tuple[JudgedSighting, ...]) -> list[Notice]:
    by_verdict: dict[tuple[str, str], list[JudgedSighting]] = {}
    for each in judged:
        by_verdict.setdefault((each.point.code, each.judgement.verdict or ""), []).append(each)
    found = []
    for row in _clashes():
        for one in by_verdict.get((row["point"], row["verdict"]), ()):
            for other in by_verdict.get((row["other_point"], row["other_verdict"]), ()):
                if row["same_side"] == "yes" and not _share_a_side(one, other):
                    continue
                first, later = sorted((one, other), key=lambda each: each.at)
                text = f"{said(table, first.sighting)}; {said(table, later.sighting)}: {row['words']}."
                facts = (("against", f"/observations/{first.at}"),)
                found.append(Notice("sightings_disagree", ("observations", later.at), text, facts))
    return found


def _legs(table: FitTable, judged: tuple[JudgedSighting, ...], told: tuple[PlaceEvidence, ...]) -> list[Notice]:
    """Where one leg is said to break more, and the breaks of both say otherwise."""
    breaks = {each.side: each for each in told if each.place == "inside_leg" and each.side in ("left", "right")}
    found = []
    for odd in judged:
        if odd.point.code != ODD_LEG or odd.sighting.amount_mm is None or len(breaks) < len(("left", "right")):
            continue
        left, right = breaks["left"], breaks["right"]
        more_left_mm = odd.sighting.amount_mm if odd.sighting.side == "left" else -odd.sighting.amount_mm
        off_mm = abs(left.residual_mm - right.residual_mm - more_left_mm)
        if off_mm <= APART_SD * math.hypot(left.sd_mm, right.sd_mm):
            continue
        sides = f"{said(table, left.judged.sighting)}, {said(table, right.judged.sighting)}"
        words = f"{said(table, odd.sighting)}, yet {sides}: measure both legs again."
        facts = (("against", f"/observations/{left.judged.at}"),)
        found.append(Notice("sightings_disagree", ("observations", odd.at), words, facts))
    return found


def _with_the_notes(table: FitTable, judged: tuple[JudgedSighting, ...], body: Body) -> list[Notice]:
    """Where a posture note has the other side."""
    found = []
    for each in judged:
        name, same = NOTED.get(each.point.code, ("", True))
        for i, note in enumerate(body.posture):
            if note.name != name or each.judgement.verdict == "right":
                continue
            if (note.side == each.sighting.side) != same:
                words = f"{said(table, each.sighting)}, yet noted: {note.kind.words}, {note.side}. Look again."
                facts = (("against", f"/posture/{i}"),)
                found.append(Notice("sightings_disagree", ("observations", each.at), words, facts))
    return found


def _share_a_side(one: JudgedSighting, other: JudgedSighting) -> bool:
    sides = (frozenset(sides_of(each.point, each.sighting.side)) for each in (one, other))
    return bool(frozenset.intersection(*sides))


@cache
def _clashes() -> tuple[dict[str, str], ...]:
    return tuple(tables.rows("fitting/clashing_sightings"))

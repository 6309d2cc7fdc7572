"""What was seen, as a diagnosis counts it: a fact a side, how loud each is, and what a further look would tell."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, cast

import numpy as np

from service.tailoring import tables
from service.tailoring.arrays import Array, Indices
from service.tailoring.body.body import Body
from service.tailoring.fitting.evidence import DROP, Worn
from service.tailoring.fitting.fit_points import FitTable
from service.tailoring.fitting.sightings import JudgedSighting, Sighting, judge, said, sides_of
from service.tailoring.garments.alterations import Side
from service.tailoring.quantities import Length
from service.tailoring.refusals import Where


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing seen at a point and side: the looks that it may be (none: it is right), and its weight.

    `alone`: the other side shows something else.
    """

    at: Where
    point: str
    side: Side | None
    looks: frozenset[str]
    alone: bool
    weight: float
    text: str


def facts_of(table: FitTable, judged: Sequence[JudgedSighting]) -> tuple[Fact, ...]:
    """What was seen, a fact a side. Two sides that show the same are one observation: each counts half."""
    by_side = [
        (each, side, _looks(table, each))
        for each in judged
        for side in (sides_of(each.point, each.sighting.side) if each.point.sides != "odd_one" else (_odd(each),))
    ]
    shown = {(each.point.code, side): looks for each, side, looks in by_side}
    opposite: dict[Side | None, Side] = {"left": "right", "right": "left"}
    found = []
    for each, side, looks in by_side:
        code = each.point.code
        other = shown.get((code, opposite[side])) if side in opposite else None
        # Where a side may be left out, one that is said alone is the only one.
        alone = other != looks if other is not None else side is not None and each.point.sides == "either"
        weight = (0.5 if other == looks else 1.0) * (figures()["watch_weight"] if each.judgement.watch else 1.0)
        text = said(table, each.sighting)
        found.append(Fact(("observations", each.at), code, side, looks, alone, weight, text))
    return tuple(found)


def taped_drop(table: FitTable, body: Body, worn: Worn, judged: Sequence[JudgedSighting]) -> tuple[Fact, ...]:
    """The drop as the tape has it, against what is worn; nothing where it was not taped, or was looked at."""
    if any(each.point.code == "drop" for each in judged) or not {name for name, _ in DROP} <= body.belief.read:
        return ()
    point = table.points["drop"]
    taped_mm = sum(weight * body.belief.median(name) for name, weight in DROP)
    own_mm = point.zero_mm if worn.chart.drop_mm is None else worn.chart.drop_mm
    sighting = Sighting("drop", amount_mm=taped_mm - own_mm + point.zero_mm)
    judgement = judge(point, sighting, table)
    text = f"chest less trouser waist as taped: {Length(taped_mm, 'in').text}"
    weight = figures()["watch_weight"] if judgement.watch else 1.0
    return (
        Fact(
            (),
            "drop",
            None,
            _looks(table, JudgedSighting(0, sighting, judgement)),
            alone=False,
            weight=weight,
            text=text,
        ),
    )


@cache
def figures() -> dict[str, Any]:
    """How causes are weighed against each other."""
    return tables.document("fitting/diagnosis")


def unexplained_share(point: str) -> float:
    """How often a point is not right though none of the causes is at work."""
    return float(figures()["unexplained_at"].get(point, figures()["unexplained_share"]))


def _odd(judged: JudgedSighting) -> Side | None:
    # Where nothing differs, no side is the odd one.
    return judged.sighting.side if judged.judgement.verdict != "right" else None


def _looks(table: FitTable, judged: JudgedSighting) -> frozenset[str]:
    if judged.judgement.verdict == "right":
        return frozenset()
    if judged.sighting.seen is not None:
        return frozenset((judged.sighting.seen,))
    looks = table.looks[judged.point.code]
    return frozenset(look.name for look in looks if look.verdict == judged.judgement.verdict)


def bits(chances: Array, shown: Array, counts: list[int]) -> list[float]:
    """In bits, what a look at each of several points tells of which set of causes is at work.

    `chances` [sets] add up to one. `shown` [sets, looks] is the chance that each look that is not right shows;
    the looks of one point are side by side, `counts` of them. What is not shown is right.
    """
    starts = np.cumsum([0, *counts[:-1]])
    right = np.exp(np.add.reduceat(np.log1p(-shown), starts, axis=1))
    wrong = shown * np.repeat((1 - right) / np.add.reduceat(shown, starts, axis=1), counts, axis=1)
    before = _entropy(chances @ right, chances @ wrong, starts)
    after = chances @ _entropy(right, wrong, starts)
    return cast("list[float]", np.maximum(before - after, 0.0).tolist())


def _entropy(right: Array, wrong: Array, starts: Indices) -> Array:
    """Of each point, in bits: it is `right` [..., points], or shows one of its looks in `wrong` [..., looks]."""
    return np.asarray(_surprise(right) + np.add.reduceat(_surprise(wrong), starts, axis=-1))


def _surprise(chances: Array) -> Array:
    return np.asarray(-chances * np.log2(np.maximum(chances, 1e-300)))

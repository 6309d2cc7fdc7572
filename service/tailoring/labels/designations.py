"""Designations: a body, or the label of a garment, in the size systems of standards and of the trade.

From a label to another system the way leads through the body: what the label says of it, with its error, then the
labels in whose cells he may lie. A custom between labels (`designation_systems.Custom`) never touches a measure: a
body is written in it only through the system from which it stems, measure to inch label to custom label. What the
custom's sum gives and what its own number says (half the girth in centimetres) drift apart, and which of the two a
maker prints is not known: the label lies anywhere between them, no place likelier (common practice, no source). That
spread is the custom's error, there and back.

Labels drift from the tape too (`label_bias`, `label_sd` in `tables/dimensions.csv`): the bias shifts the cells, both
when a label is written and when it is read, so that the two agree; the scatter widens what a label that is read says.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from scipy.special import ndtr

from service.tailoring.arrays import Vector
from service.tailoring.body.body import Body, read_body
from service.tailoring.body.draws import drawn
from service.tailoring.body.population import Belief, Observation, men
from service.tailoring.body.readings import dimensions
from service.tailoring.labels.designation_systems import (
    DROP,
    DROP_OF,
    Bound,
    Cell,
    Custom,
    Part,
    System,
    system_named,
    systems,
)
from service.tailoring.notices import Notice
from service.tailoring.quantities import inches
from service.tailoring.refusals import Where

# Labels rarer than this are not told; with less than `COVERED_LEAST` on all labels the system hardly has this man.
SHARE_LEAST = 0.0005
COVERED_LEAST = 0.5
# Bodies on which labels of several measures are counted: enough that a share is right to a hundredth.
POINTS = 4096


@dataclass(frozen=True, slots=True)
class Designation:
    """A label and how likely it is his. `error_mm`, for a custom: by how much of the girth its number falls short."""

    system: str
    label: str
    probability: float
    error_mm: float | None = None


def designate(belief: Belief, system: str) -> tuple[Designation, ...]:
    """The labels of `system`, likeliest first, each with the probability that the man lies in its cell.

    Exact where one measure decides, else counted on fixed quasi-random bodies. A custom goes through its stem, never
    from the measure. Empty where a measure is not known at all. Raises Refusal `designation_system_unknown`.
    """
    asked = system_named(system)
    if wanted(belief, asked):
        return ()
    if asked.custom is None:
        return _ranked(asked, {label: (share, None) for label, share in _shares(belief, asked).items()})
    stem = _stem_part(asked.custom)
    return _by_custom(asked, {float(cell.code): _exact(belief, cell.bounds[0]) for cell in stem.cells})


def wanted(belief: Belief, system: System) -> tuple[str, ...]:
    """The dimensions that `system` needs and of which nothing is known."""
    behind = _stem_part(system.custom).cells[0].bounds if system.custom else ()
    needed = (*system.dimensions, *(bound.measure for bound in behind))
    return tuple(name for name in needed if name not in belief.names)


def read_label(system: str, label: str) -> tuple[Observation, ...]:
    """What a label says of the body: a cell is uniform (width / √12), and labels drift by `label_sd` where known.

    A type by chest less waist tells the waist. A custom tells its stem's girth, with the custom's error.
    Raises Refusal `designation_system_unknown`, `designation_unreadable` or `designation_outside`.
    """
    asked = system_named(system)
    cells = asked.read(label)
    if asked.custom:
        return (_seen_through(asked.custom, float(label)),)
    bounds = {b.measure: b for cell in cells.values() for b in cell.bounds}
    drop = bounds.pop(DROP, None)
    seen = [_seen(b.measure, b.middle, _width(b)) for b in bounds.values()]
    if drop:
        chest = bounds[DROP_OF[0]]
        widths = (_width(drop), _width(chest))
        seen.append(_seen(DROP_OF[1], chest.middle - drop.middle, *widths))
    return tuple(seen)


def body_of_label(system: str, label: str, age_years: float | None = None) -> Body:
    """The man who wears `label`, as far as it tells. Raises what `read_label` does."""
    seen = read_label(system, label)
    body = read_body((), age_years)
    low, high = men().domain.stature_mm
    if not body.outside and any(o.dimension == "stature" and not low <= o.size <= high for o in seen):
        words = f"{label}: nothing is estimated outside the range that the model knows. Take the tape."
        body = replace(body, outside=True, notices=(*body.notices, Notice("outside_model", (), words)))
    return body.also(seen)


def translate(system: str, label: str, to: str, age_years: float | None = None) -> tuple[Designation, ...]:
    """The labels of `to` that the wearer of `label` would have, likeliest first.

    Through the body, with all the error of the first label; only between a custom and its stem from label to label,
    as the trade does, with the custom's error. Raises what `read_label` does, and `designation_system_unknown`.
    """
    given, asked = system_named(system), system_named(to)
    cells = given.read(label)
    if asked.custom and asked.custom.stem == given.name:
        return _by_custom(asked, {float(cells[asked.custom.part].code): 1.0})
    body = body_of_label(system, label, age_years)
    if given.custom and given.custom.stem == asked.name and not wanted(body.belief, asked):
        return _to_stem(given.custom, asked, float(label), body.belief)
    return designate(body.belief, to)


def cautions(system: str, at: Where) -> tuple[Notice, ...]:
    """What to know of a system before its labels are believed."""
    asked = system_named(system)
    found = []
    measures = asked.measures
    if asked.custom:
        measures = systems()[asked.custom.stem].measures
        words = (
            f"{system}: a customary step between labels ({asked.custom.stem} + {asked.custom.add:g}), not a measure."
        )
        found.append(Notice("label_is_custom", at, f"{words} Each label gives its error."))
    for name in measures:
        drift = 0.0 if name == DROP else dimensions()[name].label_bias_mm
        if drift:
            words = f"{system}: labels give {drift:.0f} mm less than the tape ({dimensions()[name].words})."
            found.append(Notice("label_not_the_tape", at, words))
    return tuple(found)


def doubts(belief: Belief, system: str, found: tuple[Designation, ...], at: Where) -> tuple[Notice, ...]:
    """What is to be said of labels that hardly take this man in, or of none."""
    lacking = [dimensions()[name].words for name in wanted(belief, system_named(system))]
    if lacking:
        return (Notice("measure_wanted", at, f"{system}: take {', '.join(lacking)}."),)
    covered = sum(each.probability for each in found)
    if covered >= COVERED_LEAST:
        return ()
    return (Notice("size_range_short", at, f"{system}: the chance that one of its labels fits is only {covered:.0%}."),)


def _shares(belief: Belief, system: System) -> dict[str, float]:
    if len(system.measures) == 1 and not belief.intervals:
        (part,) = system.parts
        return {system.write({part.name: cell.code}): _exact(belief, cell.bounds[0]) for cell in part.cells}
    sizes, counts = _bodies(belief, system)
    at, within = [], np.ones(POINTS, dtype=np.bool_)
    for part in system.parts:
        inside = np.array([_inside(cell, sizes) for cell in part.cells])
        at.append(inside.argmax(axis=0)[:, None])
        within &= inside.any(axis=0)
    met, which = np.unique(np.hstack(at)[within], axis=0, return_inverse=True)
    shares = np.bincount(which, weights=counts[within], minlength=len(met)) / counts.sum()
    return {
        system.write({part.name: part.cells[i].code for part, i in zip(system.parts, cells, strict=True)}): share
        for cells, share in zip(met.tolist(), shares.tolist(), strict=True)
    }


def _bodies(belief: Belief, system: System) -> tuple[dict[str, Vector], Vector]:
    """Each measure that `system` states (mm), on the same bodies for ever, and what each body counts for."""
    names = system.dimensions
    bodies, counts = drawn(belief, names, POINTS)
    sizes = dict(zip(names, bodies, strict=True))
    if DROP in system.measures:
        sizes[DROP] = sizes[DROP_OF[0]] - sizes[DROP_OF[1]]
    return sizes, counts


def _inside(cell: Cell, sizes: dict[str, Vector]) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    within = np.ones(POINTS, dtype=np.bool_)
    for b in cell.bounds:
        within &= (b.least <= sizes[b.measure]) & (sizes[b.measure] < b.most)
    return within


def _exact(belief: Belief, bound: Bound) -> float:
    """The probability that one measure lies in its bounds, in closed form."""
    i = belief.index(bound.measure)
    edges = np.array([bound.least, bound.most])
    z = ((np.log(edges) if belief.logs[i] else edges) - belief.mean[i]) / math.sqrt(belief.cov[i, i])
    return float(ndtr(z[1]) - ndtr(z[0]))


def _by_custom(asked: System, stem_numbers: dict[float, float]) -> tuple[Designation, ...]:
    """Labels of a custom from the shares of its stem's numbers."""
    custom = asked.custom
    if custom is None:
        return ()
    found: dict[str, tuple[float, float | None]] = {}
    for cell in asked.parts[0].cells:
        number = float(cell.code)
        shares = {n: p * _overlap(custom.span_of(n), number, custom.step) for n, p in stem_numbers.items()}
        total = sum(shares.values())
        if total > 0:
            error = sum(p * custom.error_mm(n, number) for n, p in shares.items()) / total
            found[cell.code] = (total, error)
    return _ranked(asked, found)


def _to_stem(custom: Custom, stem: System, number: float, belief: Belief) -> tuple[Designation, ...]:
    """Labels of the stem behind a custom's number; its other parts (a length) as the wearer may have them."""
    span = custom.span_behind(number)
    found: dict[str, tuple[float, float | None]] = {}
    rest = [
        [(part.name, cell.code, _exact(belief, cell.bounds[0])) for cell in part.cells]
        for part in stem.parts
        if part.name != custom.part
    ]
    for cell in _stem_part(custom).cells:
        n = float(cell.code)
        share = _overlap(span, n, _width(cell.bounds[0]) / inches(1))
        for others in product(*rest):
            label = stem.write({custom.part: cell.code} | {name: code for name, code, _ in others})
            found[label] = (share * math.prod(p for _, _, p in others), custom.error_mm(n, number))
    return _ranked(stem, found)


def _overlap(span: tuple[float, float], middle: float, step: float) -> float:
    """How much of a span lies in the cell around `middle`."""
    low, high = span
    if high == low:
        return float(middle - step / 2 <= low < middle + step / 2)
    return max(0.0, min(high, middle + step / 2) - max(low, middle - step / 2)) / (high - low)


def _ranked(system: System, found: dict[str, tuple[float, float | None]]) -> tuple[Designation, ...]:
    told = [
        Designation(system.name, label, share, error) for label, (share, error) in found.items() if share >= SHARE_LEAST
    ]
    return tuple(sorted(told, key=lambda each: (-each.probability, each.label)))


def _stem_part(custom: Custom) -> Part:
    return next(part for part in systems()[custom.stem].parts if part.name == custom.part)


def _seen_through(custom: Custom, number: float) -> Observation:
    """The stem's girth as a custom label tells it."""
    low, high = custom.span_behind(number)
    cells = _stem_part(custom).cells
    bound = cells[0].bounds[0]
    # From the stem's number to the tape as its own cells have it.
    drift = bound.middle - inches(float(cells[0].code))
    return _seen(bound.measure, inches((low + high) / 2) + drift, _width(bound), inches(high - low))


def _seen(dimension: str, middle: float, *widths: float) -> Observation:
    drift = dimensions()[dimension].label_sd_mm or 0.0
    return Observation(dimension, middle, math.sqrt(sum(width**2 for width in widths) / 12 + drift**2))


def _width(bound: Bound) -> float:
    return bound.most - bound.least

"""Plausibility: which readings can be trusted, judged by each other and by what men are like."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import NamedTuple, cast

import numpy as np

from service.tailoring.arrays import Array, Mask
from service.tailoring.body.population import Belief, Observation, age_of, men
from service.tailoring.body.readings import Reading, dimensions, observed
from service.tailoring.notices import Notice
from service.tailoring.quantities import LENGTH_UNITS, MASS_UNITS, Length, Mass, length, mass
from service.tailoring.refusals import Refusal, Where

# Beyond this many standard deviations a reading is pointed out; within `FITS_Z` another unit would fit.
FLAG_Z = 4.0
FITS_Z = 2.5
# What is nothing has no logarithm: it is taken for next to nothing, and refused by its bounds.
LEAST_SIZE = 1e-6
# Statistics cannot catch a slip of 5 cm in these: the trade reads them twice (common practice, no source).
READ_TWICE = ("chest_girth", "waist_girth", "trouser_waist_girth")


def plausible(readings: tuple[Reading, ...], known_of_him: tuple[Observation, ...]) -> tuple[list[int], list[Notice]]:
    """Which of `readings` to take up, by position, and notices on the others.

    First each by itself, so that one slip does not discredit the rest; then each against those that were left, and
    the likeliest slip first, so that it does not discredit what disagrees with it, in whatever order they came.
    `known_of_him` is evidence that is not in question (his age). A number that would fit another unit far better is
    asked about and never replaced: it is taken as it was said where a man can be so, and left out where none can.
    Raises Refusal `reading_out_of_bounds` where a value is none of a man in any unit.
    """
    years = age_of(known_of_him)
    seen = {i: observed(given, years) for i, given in enumerate(readings)}
    alone, beside_others = _far(seen, years)
    bounded = [within_bounds(given) for given in readings]
    if all(bounded) and all(far <= FLAG_Z for each in (alone, beside_others) for far in each.values()):
        return list(seen), []
    notices: list[Notice] = []
    taken_up, unquestioned, men_of_age = list(seen), list(seen), men().believe(known_of_him)
    for i, given in enumerate(readings):
        if alone[i] <= FLAG_Z and bounded[i]:
            continue
        meant = _meant_unit(given, men_of_age, years)
        if meant:
            notices.append(_asked(given, meant, i))
            unquestioned.remove(i)
            if not _can_be(given):
                taken_up.remove(i)
        elif not bounded[i]:
            raise _out_of_bounds(given, ("readings", i, "value"))
    while True:
        doubtful = _doubtful({i: seen[i] for i in unquestioned}, known_of_him)
        slips = [(z, i, meant) for z, i, rest in doubtful if (meant := _meant_unit(readings[i], rest, years))]
        if not slips:
            break
        _, worst, unit = max(slips)
        notices.append(_asked(readings[worst], unit, worst))
        unquestioned.remove(worst)
    notices += [_unlikely(readings[i], rest, i) for _, i, rest in doubtful]
    return taken_up, sorted(notices, key=lambda notice: notice.at[1])


def _can_be(given: Reading) -> bool:
    """Whether a man can be so: a height or weight within the model's domain, however seldom; else within a few SDs."""
    if not within_bounds(given):
        return False
    model = men()
    domain = {"stature": model.domain.stature_mm, "weight_kg": model.domain.mass_kg}
    column = model.columns[model.names.index(given.dimension)]
    if column in domain:
        low, high = domain[column]
        return all(low <= size <= high for size in given.sizes)
    return abs(z_of(model.believe(()), observed(given))) <= FLAG_Z


def _far(seen: Mapping[int, Observation], years: float | None) -> tuple[dict[int, float], dict[int, float]]:
    """How many SDs each of `seen` lies from men of so many years, and from what all of other dimensions says of him.

    One solve tells all: what was read of one dimension is one reading at its weighted mean.
    """
    if not seen:
        return {}, {}
    model = men()
    which: dict[str, int] = {}
    for each in seen.values():
        which.setdefault(each.dimension, len(which))
    at, of = [model.names.index(name) for name in which], [which[each.dimension] for each in seen.values()]
    size, sd = np.array([(each.size, each.sd) for each in seen.values()]).T
    mean, cov = model.of_age(years)
    whole = cov[np.ix_(at, at)]
    size, noise = modelled(model.logs[at][of], size, sd)
    off, prior = size - mean[at][of], whole.diagonal()[of]
    weight = np.bincount(of, 1 / noise)
    together = solved(np.bincount(of, off / noise) / weight, 1 / weight, whole)
    rest, spread = (each[of] for each in together.left_out)
    alone, beside = abs(off) / np.sqrt(prior + noise), abs(off - rest) / np.sqrt(spread + noise)
    return dict(zip(seen, alone.tolist(), strict=True)), dict(zip(seen, beside.tolist(), strict=True))


class Solved(NamedTuple):
    """What one solve says of men [...], in the model's space.

    `off` is how far what was read lies from the mean, `prior` what it varies by before anything is read and `noise` its
    error's variance [..., read], `inverse` that of their covariance [..., read, read], `pulled` the product with `off`.
    """

    off: Array
    prior: Array
    noise: Array
    inverse: Array
    pulled: Array

    @property
    def left_out(self) -> tuple[Array, Array]:
        """How far off each would be by all the others, and the variance of that [..., read]."""
        precision = np.einsum("...ii->...i", self.inverse)
        return self.off - self.pulled / precision, np.maximum(1 / precision - self.noise, 0.0)


def modelled(logs: Mask, size: Array, sd: Array) -> tuple[Array, Array]:
    """Sizes and the variances of their errors [..., read] in the model's space; `logs` are those that live in logs."""
    size = np.maximum(size, LEAST_SIZE)
    return np.where(logs, np.log(size), size), np.square(np.where(logs, sd / size, sd))


def solved(off: Array, noise: Array, cov: Array) -> Solved:
    """Solve for what was read: how far it is off the mean, its errors' variances [..., read] and its covariance."""
    inverse = cast("Array", np.linalg.inv(cov + noise[..., None] * np.eye(noise.shape[-1])))
    return Solved(off, np.einsum("...ii->...i", cov), noise, inverse, np.einsum("...ij,...j->...i", inverse, off))


def go_together(men_read: Solved) -> Mask:
    """Of which men every reading goes with men of their age and with their other readings: each is left out in turn."""
    rest, spread = men_read.left_out
    off, prior, noise = men_read.off, men_read.prior, men_read.noise
    far = np.maximum(np.abs(off) / np.sqrt(prior + noise), np.abs(off - rest) / np.sqrt(spread + noise))
    return np.asarray(np.all(far <= FLAG_Z, axis=-1))


def _doubtful(
    seen: Mapping[int, Observation], known_of_him: tuple[Observation, ...]
) -> list[tuple[float, int, Belief]]:
    """The readings that the others speak against: how many SDs off, where, and what the others say."""
    far = {i: z for i, z in _far(seen, age_of(known_of_him))[1].items() if z > FLAG_Z}
    rests = {
        name: men().believe((*known_of_him, *(each for each in seen.values() if each.dimension != name)))
        for name in dict.fromkeys(seen[i].dimension for i in far)
    }
    return [(z, i, rests[seen[i].dimension]) for i, z in far.items()]


def repeats_wanted(readings: tuple[Reading, ...], trusted: list[int]) -> list[Notice]:
    """Ask for a second reading of the girths that matter, and a third where two differ by too much."""
    notices = []
    by_dimension: dict[str, list[int]] = {}
    for i in trusted:
        if readings[i].source == "measured":
            by_dimension.setdefault(readings[i].dimension, []).append(i)
    for name, at in by_dimension.items():
        known = dimensions()[name]
        sizes = [size for i in at for size in readings[i].sizes]
        if max(sizes) - min(sizes) > known.allowable_error:
            size = readings[at[-1]].size
            apart = type(size)(known.allowable_error, size.unit).text  # type: ignore[arg-type]  # each its own unit
            words = f"{known.words}: the readings differ by more than {apart}. Take another."
            notices.append(Notice("repeats_disagree", ("readings", at[-1]), words))
        elif len(sizes) == 1 and name in READ_TWICE:
            notices.append(Notice("second_reading_advised", ("readings", at[0]), f"{known.words}: measure it twice."))
    return notices


def z_of(rest: Belief, seen: Observation) -> float:
    """How many SDs `seen` lies from what `rest` predicts."""
    i = rest.index(seen.dimension)
    if rest.logs[i]:
        size = max(seen.size, LEAST_SIZE)
        off, sd = math.log(size) - rest.mean[i], seen.sd / size
    else:
        off, sd = seen.size - rest.mean[i], seen.sd
    return float(off / math.sqrt(rest.cov[i, i] + sd**2))


def within_bounds(given: Reading) -> bool:
    """Whether a man can measure this at all."""
    known = dimensions()[given.dimension]
    return all(known.least <= size <= known.most for size in given.sizes)


def _meant_unit(given: Reading, rest: Belief, years: float | None) -> str | None:
    """The unit in which the same number would be plausible of a man of so many years, if there is one."""
    known = dimensions()[given.dimension]
    others = [u for u in (MASS_UNITS if known.is_mass else LENGTH_UNITS) if u != given.size.unit]
    read = mass if known.is_mass else length
    for unit in others:
        try:
            sizes = tuple(read(size.value, unit) for size in (given.size, *given.repeats))
        except Refusal:
            continue
        other = replace(given, size=sizes[0], repeats=sizes[1:])
        if within_bounds(other) and abs(z_of(rest, observed(other, years))) < FITS_Z:
            return unit
    return None


def _asked(given: Reading, meant: str, i: int) -> Notice:
    words, number = dimensions()[given.dimension].words, f"{given.size.value:g}"
    as_said = f"{number} {given.size.unit}"
    what = "It is taken as it was given." if _can_be(given) else "It is left out until that is known."
    return Notice(
        "did_you_mean",
        ("readings", i),
        f"{as_said} is unlikely for {words}: did you mean {number} {meant}? {what}",
        facts=(("given", as_said), ("meant", f"{number} {meant}")),
    )


def _unlikely(given: Reading, rest: Belief, i: int) -> Notice:
    likely = _sized_like(given, rest.median(given.dimension))
    return Notice(
        "reading_unlikely",
        ("readings", i),
        f"{dimensions()[given.dimension].words}: {given.size.text} does not go with the other "
        f"readings, which suggest about {likely.text}. "
        "Measure it again.",
    )


def _out_of_bounds(given: Reading, where: Where) -> Refusal:
    known = dimensions()[given.dimension]
    least, most = (_sized_like(given, size).text for size in (known.least, known.most))
    return Refusal("reading_out_of_bounds", where, dimension=known.name, least=least, most=most)


def _sized_like(given: Reading, size: float) -> Length | Mass:
    """`size` (mm, or kg) written as `given` is."""
    return replace(given.size, kg=size) if isinstance(given.size, Mass) else replace(given.size, mm=size)

"""Many men at once: the same sizes at the same cost as one by one, reckoned together.

Men of whom the same dimensions were read once each are conditioned in one go. Whoever is out of the ordinary (a
repeat, a slip, a reading at odds with the rest, a body outside the model) takes the way of a single question.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from service.tailoring.body import AGE_SD_YEARS, Body, beyond_domain, read_body
from service.tailoring.charts import Garment
from service.tailoring.fit import Array
from service.tailoring.notices import Notice
from service.tailoring.plans import Chosen
from service.tailoring.plausibility import FLAG_Z, repeats_wanted, within_bounds
from service.tailoring.population import AGE, Belief, Observation, Population, men
from service.tailoring.readings import Reading, observed
from service.tailoring.refusals import Refusal
from service.tailoring.sizing import Bay, Question, advise, bay_of, check_stock, needs

# Past this age the survey's mean is moved man by man.
OLD_YEARS = 54
# So many men are reckoned together: their arrays stay in a core's own memory.
TOGETHER = 256


@dataclass(frozen=True, slots=True)
class Person:
    """One of many: what was read of him, and his age."""

    readings: tuple[Reading, ...]
    age_years: float | None = None


@dataclass(frozen=True, slots=True)
class Ranked:
    """A size of each garment asked for, and what it is expected to cost, in minor units."""

    sizes: tuple[Chosen, ...]
    expected_minor: int


@dataclass(frozen=True, slots=True)
class Answer:
    """What one of many gets: ranked sizes and what to look at, or why there is no answer for him."""

    ranked: tuple[Ranked, ...] = ()
    notices: tuple[Notice, ...] = ()
    refusal: Refusal | None = None


def rank_many(people: Sequence[Person], question: Question) -> list[Answer]:
    """The best sizes for each of `people`, in their order. Raises Refusal `label_unknown` for a stock label."""
    check_stock(question)
    answers: list[Answer | None] = [None] * len(people)
    alike: dict[tuple[str, ...], list[int]] = defaultdict(list)
    for i, person in enumerate(people):
        names = tuple(given.dimension for given in person.readings)
        aged = (AGE,) if person.age_years is not None else ()
        once = len(set(names)) == len(names) and not any(given.repeats for given in person.readings)
        if names and once and (person.age_years or 0) <= OLD_YEARS:
            alike[*aged, *names].append(i)
    for names, group in alike.items():
        for start in range(0, len(group), TOGETHER):
            chunk = group[start : start + TOGETHER]
            for i, answer in zip(chunk, _together([people[i] for i in chunk], names, question), strict=True):
                answers[i] = answer
    return [_alone(people[i], question) if answer is None else answer for i, answer in enumerate(answers)]


def _alone(person: Person, question: Question) -> Answer:
    """The way of a single question."""
    try:
        body = read_body(person.readings, person.age_years)
    except Refusal as refusal:
        return Answer(refusal=refusal)
    advice = advise(body, question)
    found = tuple(
        Ranked(tuple(filter(None, (plan.jacket, plan.trousers, plan.waistcoat))), plan.expected_cost.minor)
        for plan in advice.plans
    )
    return Answer(found, (*body.notices, *advice.notices))


def _together(people: list[Person], names: tuple[str, ...], question: Question) -> Iterator[Answer | None]:
    """Answers for men of whom the same was read; None for one who is out of the ordinary."""
    model = men()
    seen = [_observations(person) for person in people]
    at = [model.names.index(name) for name in names]
    size = np.array([[o.size for o in each] for each in seen])
    sd = np.array([[o.sd for o in each] for each in seen])
    logs = model.logs[at]
    with np.errstate(divide="ignore", invalid="ignore"):
        value = np.where(logs, np.log(size), size)
        noise = np.where(logs, sd / size, sd) ** 2
    inverse = np.linalg.inv(model.cov[np.ix_(at, at)] + noise[:, :, None] * np.eye(len(at)))
    off = value - model.mean[at]
    pulled = np.einsum("nij,nj->ni", inverse, off)
    plain = _plain(model, at, names, off, noise, inverse, pulled)
    across = model.cov[:, at]
    mean = model.mean + pulled @ across.T
    gained = np.einsum("di,nij,dj->nd", across, inverse, across)
    wider = _wider(model, names)
    variance = (np.diag(model.cov) - gained) * wider**2
    belief = Belief(model.names, model.logs, model.mean, model.cov, frozenset(names))
    found = _ranked(Body(belief, seen[0], ()), question, mean, variance)
    for i, (person, answer) in enumerate(zip(people, found, strict=True)):
        ordinary = plain[i] and not beyond_domain(seen[i], model) and all(map(within_bounds, person.readings))
        notices = tuple(repeats_wanted(person.readings, list(range(len(person.readings))))) if ordinary else ()
        yield replace(answer, notices=notices) if ordinary else None


def _observations(person: Person) -> tuple[Observation, ...]:
    age = () if person.age_years is None else (Observation(AGE, person.age_years, AGE_SD_YEARS),)
    return (*age, *(observed(given) for given in person.readings))


def _plain(
    model: Population, at: list[int], names: tuple[str, ...], off: Array, noise: Array, inverse: Array, pulled: Array
) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """Whose every reading goes with the survey and with his other readings; one solve leaves each out in turn."""
    widen = model.multiplier[at] ** 2
    precision = np.einsum("nii->ni", inverse)
    off_the_rest = pulled / precision
    spread = np.maximum(1 / precision - noise, 0.0) * widen + noise
    # Alone each is held against the men of his age, where that is known.
    aged = names[0] == AGE
    prior = np.diag(model.cov)[at]
    alone = off
    if aged:
        share = model.cov[at, at[0]] / (prior[0] + noise[:, :1])
        alone, prior = off - share * off[:, :1], prior - share * model.cov[at, at[0]]
    alone_z = np.abs(alone) / np.sqrt(prior * widen + noise)
    rest_z = np.abs(off_the_rest) / np.sqrt(spread)
    first = 1 if aged else 0
    return np.all((alone_z[:, first:] <= FLAG_Z) & (rest_z[:, first:] <= FLAG_Z), axis=1)


@cache
def _wider(model: Population, names: tuple[str, ...]) -> Array:
    looked_at = {model.columns[model.names.index(name)] for name in names}
    return np.where([column in looked_at for column in model.columns], 1.0, model.multiplier)


def _ranked(body: Body, question: Question, mean: Array, variance: Array) -> list[Answer]:
    """The cheapest pairs of each man, whose moments are `mean`, `variance` [N, dimensions]."""
    bays = [bay_of(body, question, chart) for chart in question.charts]
    costs = [_pair_costs(bay, body.belief, mean, variance) for bay in bays]
    together = np.concatenate([cost for cost, _ in costs], axis=1)
    starts = np.cumsum([0, *(cost.shape[1] for cost, _ in costs)]).tolist()
    named = _Named(bays, starts)
    best = _cheapest(together, question.limit)
    money = np.take_along_axis(together, best, axis=1)
    answers = []
    for man, (places, minors) in enumerate(zip(best.tolist(), money.tolist(), strict=True)):
        found = []
        for place, minor in zip(places, minors, strict=True):
            if minor != np.inf:
                b = bisect_right(starts, place) - 1
                beside = {garment: at[man] for garment, at in costs[b][1].items()}
                found.append(Ranked(named.sizes(b, place, beside), round(minor)))
        answers.append(Answer(tuple(found)))
    return answers


def _cheapest(costs: Array, most: int) -> np.ndarray[tuple[int, ...], np.dtype[np.intp]]:
    """The places [N, most] of the least costs, cheapest first; of equal ones the first."""
    most = min(most, costs.shape[1])
    few = np.sort(np.argpartition(costs, most - 1, axis=1)[:, :most], axis=1)
    order = np.argsort(np.take_along_axis(costs, few, axis=1), axis=1, kind="stable")
    return np.take_along_axis(few, order, axis=1)


class _Named:
    """The sizes of each pair by name, made once for all men."""

    def __init__(self, bays: list[Bay], starts: list[int]) -> None:
        self._bays, self._starts = bays, starts
        self._kept: dict[int, tuple[Chosen, ...]] = {}

    def sizes(self, b: int, place: int, beside: dict[Garment, int]) -> tuple[Chosen, ...]:
        """The sizes at a place of bay `b`, with the man's own best of what goes beside them."""
        if beside:
            return self._made(b, place, beside)
        kept = self._kept.get(place)
        if kept is None:
            kept = self._kept[place] = self._made(b, place, beside)
        return kept

    def _made(self, b: int, place: int, beside: dict[Garment, int]) -> tuple[Chosen, ...]:
        bay = self._bays[b]
        sizes = {**bay.sizes(*divmod(place - self._starts[b], bay.pairs.shape[1])), **beside}
        chart = bay.chart
        return tuple(Chosen(chart.code, chart.revision, chart.sizes(g)[at].label) for g, at in sizes.items())


def _pair_costs(bay: Bay, belief: Belief, mean: Array, variance: Array) -> tuple[Array, dict[Garment, list[int]]]:
    """The expected cost [N, pairs] of a bay's pairs, and each man's best size of what goes beside them."""
    total = np.zeros((len(mean), 1, 1))
    beside: dict[Garment, list[int]] = {}
    for garment, rack in bay.racks.items():
        need, sd = needs(belief, rack.costing, rack.at, mean, variance)
        cost = rack.costing.expected(need, sd, rack.at, rack.sizes)
        if garment not in bay.axes:
            beside[garment] = [rack.sizes[i] for i in cost.argmin(axis=1).tolist()]
            total = total + cost.min(axis=1)[:, None, None]
        else:
            total = total + (cost[:, :, None] if garment == bay.axes[0] else cost[:, None, :])
    found = np.where(np.isfinite(bay.pairs), total, np.inf)
    return found.reshape(len(mean), -1), beside

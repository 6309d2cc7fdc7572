"""Many men at once: the same sizes at the same cost as one by one, reckoned together.

Men of whom the same dimensions were read alike are conditioned in one go. Whoever is out of the ordinary (a label, a
slip, a reading at odds with the rest, a body outside the model) is read like a single question, and only ranked.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple, TypeAlias, cast

import numpy as np

from service.tailoring.arrays import Array, Indices, Mask
from service.tailoring.body.body import Body, read_body
from service.tailoring.body.builds import AGE
from service.tailoring.body.plausibility import go_together, repeats_wanted, solved
from service.tailoring.body.population import Belief, Observation, Population, men
from service.tailoring.body.readings import Reading, Source, dimensions, taken
from service.tailoring.garments.charts import Chart, ChartSize, Garment
from service.tailoring.notices import Notice
from service.tailoring.quantities import Length
from service.tailoring.refusals import Refusal
from service.tailoring.sizing.batch_costs import EvidenceShape
from service.tailoring.sizing.costing import Costing
from service.tailoring.sizing.offers import ChartOffer, GarmentOffer, Offers, Question, check_stock, wanted_mm
from service.tailoring.sizing.size_advice import SizeAdvice, size_advice
from service.tailoring.sizing.sizing import cannot_size, cheapest

# Whether the age is known, and the dimensions read with their sources and how often each, in order.
_Kind: TypeAlias = tuple[bool, tuple[tuple[str, Source, int], ...]]
# The names of a pair's sizes, by the number of its chart in a question and its place in it.
_SizesByPlace: TypeAlias = dict[tuple[int, int], Mapping[Garment, ChartSize]]

# So many men are reckoned together: their arrays stay in a core's own memory.
TOGETHER = 192


@dataclass(frozen=True, slots=True)
class Person:
    """One of many: what was read of him, and his age."""

    readings: tuple[Reading, ...]
    age_years: float | None = None


@dataclass(frozen=True, slots=True)
class Ranked:
    """A size of each garment asked for, and what it is expected to cost (minor units)."""

    sizes: Mapping[Garment, ChartSize]
    expected_minor: int


@dataclass(frozen=True, slots=True)
class Answer:
    """What one of many gets: ranked sizes and what to look at, or why there is no answer for him.

    `whole` is there where it was asked for, and stands in their place.
    """

    ranked: tuple[Ranked, ...] = ()
    notices: tuple[Notice, ...] = ()
    refusal: Refusal | None = None
    whole: SizeAdvice | None = None


def answer_whole(people: Sequence[Person], question: Question) -> list[Answer]:
    """To each of `people` what a single question is answered. Raises Refusal `label_unknown` for a stock label.

    Reasons and shares cannot be reckoned for many at once: some forty times the work of ranking.
    """
    check_stock(question)
    return [_whole(person, question) for person in people]


def rank_many(people: Sequence[Person], question: Question) -> list[Answer]:
    """The best sizes for each of `people`, in their order. Raises Refusal `label_unknown` for a stock label."""
    check_stock(question)
    answers: list[Answer | None] = [None] * len(people)
    alike: dict[_Kind, list[int]] = defaultdict(list)
    known: _SizesByPlace = {}
    for i, person in enumerate(people):
        kind = _kind(person)
        if kind is not None:
            alike[kind].append(i)
    for kind, group in alike.items():
        for start in range(0, len(group), TOGETHER):
            chunk = group[start : start + TOGETHER]
            for i, answer in zip(chunk, _together([people[i] for i in chunk], kind, question, known), strict=True):
                answers[i] = answer
    return [_alone(people[i], question) if answer is None else answer for i, answer in enumerate(answers)]


def shape_of(person: Person) -> EvidenceShape:
    """What is known of one of many, for its cost."""
    values = sum(1 + len(given.repeats) for given in person.readings)
    return EvidenceShape(values, len(person.readings), _kind(person))


def _kind(person: Person) -> _Kind | None:
    """With whom he can be answered together; None for a label, or where one dimension has two readings."""
    read = person.readings
    once = len({given.dimension for given in read}) == len(read)
    if not read or not once or any(given.source == "label" for given in read):
        return None
    return person.age_years is not None, tuple((each.dimension, each.source, len(each.repeats)) for each in read)


def _whole(person: Person, question: Question) -> Answer:
    return _read(person, lambda body: Answer(whole=size_advice(body, question)))


def _alone(person: Person, question: Question) -> Answer:
    """Read like a single question, and ranked without its reasons."""

    def ranked(body: Body) -> Answer:
        offers = Offers(body, question).in_stock()
        best = cheapest(offers, question.limit) if body.observations else []
        found = tuple(Ranked(_chosen(offer.chart, sizes), round(cost)) for cost, offer, sizes in best)
        return Answer(found, (*body.notices, *cannot_size(body, question, offers)))

    return _read(person, ranked)


def _read(person: Person, answer: Callable[[Body], Answer]) -> Answer:
    """The answer to his body, or why his readings make none."""
    try:
        body = read_body(person.readings, person.age_years)
    except Refusal as refusal:
        return Answer(refusal=refusal)
    return answer(body)


def _together(people: list[Person], kind: _Kind, question: Question, known: _SizesByPlace) -> list[Answer | None]:
    """Answers for men of whom the same was read; None for one who is out of the ordinary."""
    model = men()
    aged, read = kind
    at = [model.names.index(name) for name, *_ in read]
    years = np.array([person.age_years for person in people], dtype=np.float64) if aged else None
    size, sd = _evidence(people, years)
    mean, cov = (model.mean, model.cov) if years is None else model.builds.at(years)
    across = np.broadcast_to(cov[..., at], (len(people), len(model.names), len(at)))
    men_read = solved(model.logs[at], size, sd, mean[..., at], across[:, at])
    ordinary = go_together(men_read) & _within_domain(model, [name for name, *_ in read], size, years) & _agree(people)
    moved = mean + np.einsum("ndi,ni->nd", across, men_read.pulled)
    gained = np.einsum("ndi,ndi->nd", across @ men_read.inverse, across)
    variance = np.einsum("...dd->...d", cov) - gained
    names = (*((AGE,) if aged else ()), *(name for name, *_ in read))
    belief = Belief(model.names, model.logs, model.mean, model.cov, frozenset(names))
    seen = tuple(Observation(name, 1.0, 1.0) for name in names)
    body = Body(belief, seen, ())
    offers = Offers(body, question).in_stock()
    found = _ranked(offers, belief, question.limit, moved, variance, known)
    # What is asked to be read twice depends on what was read, not on what it measured, where repeats agree.
    notices = (*repeats_wanted(people[0].readings, list(range(len(read)))), *cannot_size(body, question, offers))
    return [Answer(ranked, notices) if plain else None for ranked, plain in zip(found, ordinary.tolist(), strict=True)]


def _evidence(people: list[Person], years: Array | None) -> tuple[Array, Array]:
    """Each man's sizes and the SDs of their errors [N, read]: as `observed` has them."""
    sizes = np.array([[_middle(given) for given in person.readings] for person in people])
    sds = np.empty_like(sizes)
    for column, given in enumerate(people[0].readings):
        sizes[:, column], sds[:, column] = taken(given.dimension, given.source, sizes[:, column], years)
        sds[:, column] /= math.sqrt(1 + len(given.repeats))
    return sizes, sds


def _middle(given: Reading) -> float:
    """Where it was read once, without a detour: it is asked of every reading of every man."""
    if given.repeats:
        return sum(given.sizes) / len(given.sizes)
    return given.size.mm if isinstance(given.size, Length) else given.size.kg


def _agree(people: list[Person]) -> Mask:
    """Whose repeats agree, and are each what a man can measure; others are asked to read again."""
    agree = np.ones(len(people), dtype=np.bool_)
    for column, first in enumerate(people[0].readings):
        if first.repeats:
            known = dimensions()[first.dimension]
            sizes = np.array([person.readings[column].sizes for person in people])
            least, most = sizes.min(axis=1), sizes.max(axis=1)
            agree &= (known.least <= least) & (most <= known.most) & (most - least <= known.allowable_error)
    return agree


def _within_domain(model: Population, names: Sequence[str], size: Array, years: Array | None) -> Mask:
    """Who is within what a man can measure and what the model knows; the rest go one by one."""
    within = np.ones(len(size), dtype=np.bool_)
    column = dict(zip(names, size.T, strict=True))
    for name, sizes in column.items():
        known = dimensions()[name]
        # A reading is held to its bounds as it was read: a little room for a known bias sends it one by one.
        room = (known.most - known.least) / 50
        within &= (known.least + room <= sizes) & (sizes <= known.most - room)
    if years is not None:
        column[AGE] = years
    ranges = {AGE: model.domain.age_years, "stature": model.domain.stature_mm, "body_mass": model.domain.mass_kg}
    for name, (low, high) in ranges.items():
        if name in column:
            within &= (low <= column[name]) & (column[name] <= high)
    if {"stature", "body_mass"} <= column.keys():
        bmi = column["body_mass"] / (column["stature"] / 1000) ** 2
        within &= (model.domain.bmi[0] <= bmi) & (bmi <= model.domain.bmi[1])
    return within


def _ranked(
    offers: Sequence[ChartOffer], belief: Belief, most: int, mean: Array, variance: Array, known: _SizesByPlace
) -> list[tuple[Ranked, ...]]:
    """The cheapest pairs of each man, whose moments are `mean`, `variance` [N, dimensions]."""
    whole = _WholeCosts(belief, mean, variance)
    best = [_best_pairs(offer, whole, most) for offer in offers]
    together = np.concatenate([each.costs for each in best], axis=1)
    starts = np.cumsum([0, *(each.costs.shape[1] for each in best)])
    few = _cheapest(together, most)
    which = np.searchsorted(starts, few, side="right") - 1
    money = np.take_along_axis(together, few, axis=1)
    ranked = []
    for man, (of, columns, minors) in enumerate(zip(which.tolist(), few.tolist(), money.tolist(), strict=True)):
        found = []
        for b, column, minor in zip(of, columns, minors, strict=True):
            if minor != np.inf:
                place = int(best[b].places[man, column - starts[b]])
                found.append(Ranked(_named(offers[b], b, place, best[b].beside, man, known), round(minor)))
        ranked.append(tuple(found))
    return ranked


def _cheapest(costs: Array, most: int) -> Indices:
    """The places [N, most] of the least costs, cheapest first; of equal ones the first."""
    most = min(most, costs.shape[1])
    if most == 1:
        return costs.argmin(axis=1)[:, None]
    return cast("Indices", np.argsort(costs, axis=1, kind="stable")[:, :most])


class _BestPairs(NamedTuple):
    """Of each man [N, pairs] what an offer's cheapest pairs cost and their places (row times columns and column).

    `beside` has each man's best size of what goes with any pair.
    """

    costs: Array
    places: Indices
    beside: dict[Garment, list[int]]


class _WholeCosts:
    """What every size of some charts is expected to cost each man, costed together as the charts are."""

    def __init__(self, belief: Belief, mean: Array, variance: Array) -> None:
        self._belief, self._mean, self._variance = belief, mean, variance
        self._found: dict[Costing, Array] = {}

    def of(self, offer: GarmentOffer) -> Array:
        """The cost [N, sizes] of what is on a rack."""
        among = offer.among.among
        if among not in self._found:
            need, sd = wanted_mm(self._belief, among, offer.at, self._mean, self._variance)
            self._found[among] = among.expected(need, sd, offer.at, list(range(len(among.spare_mm))))
        whole = self._found[among][:, offer.among.sizes]
        return whole if len(offer.sizes) == whole.shape[1] else whole[:, offer.sizes]


def _best_pairs(offer: ChartOffer, whole: _WholeCosts, most: int) -> _BestPairs:
    costs = {garment: whole.of(each) for garment, each in offer.garment_offers.items()}
    people = len(next(iter(costs.values()))) if costs else 0
    if not costs or not offer.is_open:
        return _BestPairs(np.empty((people, 0)), np.empty((people, 0), dtype=np.intp), {})
    beside, extra = {}, np.zeros((people, 1))
    for garment in costs.keys() - set(offer.axes):
        cost = costs[garment]
        beside[garment] = [offer.garment_offers[garment].sizes[i] for i in cost.argmin(axis=1).tolist()]
        extra = extra + cost.min(axis=1)[:, None]
    rows = costs[offer.axes[0]]
    columns = costs[offer.axes[1]] if len(offer.axes) > 1 else np.zeros((people, 1))
    if offer.sold is not None:
        # What is sold in pairs need not be made of what is best apart.
        r, c = np.nonzero(offer.sold)
        total = rows[:, r] + columns[:, c] + extra
        few = _cheapest(total, most)
        return _BestPairs(np.take_along_axis(total, few, axis=1), (r * columns.shape[1] + c)[few], beside)
    r, c = _cheapest(rows, most), _cheapest(columns, most)
    total = np.take_along_axis(rows, r, axis=1)[:, :, None] + np.take_along_axis(columns, c, axis=1)[:, None, :]
    places = r[:, :, None] * columns.shape[1] + c[:, None, :]
    # In the order of their places, so that of equal ones the first is taken.
    order = np.argsort(places.reshape(people, -1), axis=1)
    total = np.take_along_axis(total.reshape(people, -1), order, axis=1) + extra
    return _BestPairs(total, np.take_along_axis(places.reshape(people, -1), order, axis=1), beside)


def _named(
    offer: ChartOffer, b: int, place: int, beside: dict[Garment, list[int]], man: int, known: _SizesByPlace
) -> Mapping[Garment, ChartSize]:
    """The sizes of a pair by name, made once for all men where no other garment of his own goes with it."""
    found = None if beside else known.get((b, place))
    if found is None:
        columns = len(offer.garment_offers[offer.axes[1]].sizes) if len(offer.axes) > 1 else 1
        sizes = {**offer.sizes(*divmod(place, columns)), **{garment: at[man] for garment, at in beside.items()}}
        found = _chosen(offer.chart, sizes)
        if not beside:
            known[b, place] = found
    return found


def _chosen(chart: Chart, sizes: dict[Garment, int]) -> Mapping[Garment, ChartSize]:
    """Sizes by name, from their positions in the chart."""
    return tuple((garment, chosen_size(chart, garment, size)) for garment, size in sizes.items())

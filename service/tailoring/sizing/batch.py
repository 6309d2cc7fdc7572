"""Many men at once: the same sizes at the same cost as one by one, reckoned together.

Men of whom the same dimensions were read alike are conditioned in one go. Whoever is out of the ordinary (a label, a
slip, a reading at odds with the rest, a body outside the model) is read like a single question, and only ranked.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from service.tailoring.arrays import Array, Mask
from service.tailoring.body.body import Body, read_body
from service.tailoring.body.builds import AGE
from service.tailoring.body.plausibility import go_together, modelled, repeats_wanted, solved
from service.tailoring.body.population import Belief, Observation, Population, men
from service.tailoring.body.readings import Reading, Source, dimensions, taken
from service.tailoring.garments.stock import check_stock
from service.tailoring.notices import Notice
from service.tailoring.quantities import Length
from service.tailoring.refusals import Refusal
from service.tailoring.sizing.batch_costs import EvidenceShape
from service.tailoring.sizing.offers import Offers, Question
from service.tailoring.sizing.ranking import Ranked, SizesByPlace, chosen, ranked_by_man
from service.tailoring.sizing.size_advice import SizeAdvice, size_advice
from service.tailoring.sizing.sizing import cannot_size, cheapest

# Whether the age is known, and the dimensions read with their sources and how often each, in order.
_Kind: TypeAlias = tuple[bool, tuple[tuple[str, Source, int], ...]]

# So many men are reckoned together: their arrays stay in a core's own memory.
TOGETHER = 192


@dataclass(frozen=True, slots=True)
class Person:
    """One of many: what was read of him, and his age."""

    readings: tuple[Reading, ...]
    age_years: float | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """What one of many gets: ranked sizes and what to look at, or why there is no answer for him.

    `whole` is there where it was asked for, and stands in their place. `population_version` is that of the men by whom
    he was judged.
    """

    ranked: tuple[Ranked, ...] = ()
    notices: tuple[Notice, ...] = ()
    refusal: Refusal | None = None
    whole: SizeAdvice | None = None
    population_version: int = 0


def answer_whole(people: Sequence[Person], question: Question, among: Population | None = None) -> list[Answer]:
    """To each of `people`, men `among` others, what a single question is answered.

    Raises Refusal `label_unknown` for a stock label.

    Reasons and shares cannot be reckoned for many at once: some forty times the work of ranking.
    """
    check_stock(question.stock, question.charts)
    return [_whole(person, question, among) for person in people]


def rank_many(people: Sequence[Person], question: Question, among: Population | None = None) -> list[Answer]:
    """The best sizes for each of `people`, men `among` others, in their order.

    Raises Refusal `label_unknown` for a stock label.
    """
    check_stock(question.stock, question.charts)
    answers: list[Answer | None] = [None] * len(people)
    alike: dict[_Kind, list[int]] = defaultdict(list)
    known: SizesByPlace = {}
    others = among or men()
    for i, person in enumerate(people):
        kind = _kind(person)
        if kind is not None:
            alike[kind].append(i)
    for kind, group in alike.items():
        for start in range(0, len(group), TOGETHER):
            chunk = group[start : start + TOGETHER]
            found = _together([people[i] for i in chunk], kind, question, known, others)
            for i, answer in zip(chunk, found, strict=True):
                answers[i] = answer
    return [_alone(people[i], question, others) if answer is None else answer for i, answer in enumerate(answers)]


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


def _whole(person: Person, question: Question, among: Population | None) -> Answer:
    return _read(person, among, lambda body: Answer(whole=size_advice(body, question)))


def _alone(person: Person, question: Question, among: Population) -> Answer:
    """Read like a single question, and ranked without its reasons."""

    def ranked(body: Body) -> Answer:
        offers = Offers(body, question).in_stock()
        best = cheapest(offers, question.limit) if body.observations else []
        found = tuple(Ranked(chosen(offer.chart, sizes), round(cost)) for cost, offer, sizes in best)
        notices = (*body.notices, *cannot_size(body, question, offers))
        return Answer(found, notices, population_version=among.version)

    return _read(person, among, ranked)


def _read(person: Person, among: Population | None, answer: Callable[[Body], Answer]) -> Answer:
    """The answer to his body, or why his readings make none."""
    try:
        body = read_body(person.readings, person.age_years, among)
    except Refusal as refusal:
        return Answer(refusal=refusal)
    return answer(body)


def _together(
    people: list[Person], kind: _Kind, question: Question, known: SizesByPlace, model: Population
) -> list[Answer | None]:
    """Answers for men of whom the same was read; None for one who is out of the ordinary."""
    aged, read = kind
    at = [model.names.index(name) for name, *_ in read]
    years = np.array([person.age_years for person in people], dtype=np.float64) if aged else None
    said = np.array([[_middle(given) for given in person.readings] for person in people])
    size, sd = _evidence(people[0].readings, said, years)
    mean, cov = (model.mean, model.cov) if years is None else model.of_ages(years)
    across = np.broadcast_to(cov[..., at], (len(people), len(model.names), len(at)))
    told, noise = modelled(model.logs[at], size, sd)
    men_read = solved(told - mean[..., at], noise, across[:, at])
    ordinary = go_together(men_read) & _within_domain(model, [name for name, *_ in read], said, years) & _agree(people)
    moved = mean + np.einsum("ndi,ni->nd", across, men_read.pulled)
    gained = np.einsum("ndi,ndi->nd", across @ men_read.inverse, across)
    variance = np.einsum("...dd->...d", cov) - gained
    names = (*((AGE,) if aged else ()), *(name for name, *_ in read))
    belief = Belief(model.names, model.logs, model.mean, model.cov, frozenset(names))
    seen = tuple(Observation(name, 1.0, 1.0) for name in names)
    body = Body(belief, seen, ())
    offers = Offers(body, question).in_stock()
    found = ranked_by_man(offers, belief, question.limit, moved, variance, known)
    # What is asked to be read twice depends on what was read, not on what it measured, where repeats agree.
    notices = (*repeats_wanted(people[0].readings, list(range(len(read)))), *cannot_size(body, question, offers))
    return [
        Answer(ranked, notices, population_version=model.version) if plain else None
        for ranked, plain in zip(found, ordinary.tolist(), strict=True)
    ]


def _evidence(readings: Sequence[Reading], said: Array, years: Array | None) -> tuple[Array, Array]:
    """Each man's sizes and the SDs of their errors [N, read]: as `observed` has them, of `readings` like these."""
    sizes, sds = np.empty_like(said), np.empty_like(said)
    for column, given in enumerate(readings):
        sizes[:, column], sds[:, column] = taken(given.dimension, given.source, said[:, column], years)
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


def _within_domain(model: Population, names: Sequence[str], said: Array, years: Array | None) -> Mask:
    """Whose readings, as they were said, are what a man can measure and the model knows; the rest go one by one."""
    within = np.ones(len(said), dtype=np.bool_)
    column = dict(zip(names, said.T, strict=True))
    for name, sizes in column.items():
        known = dimensions()[name]
        within &= (known.least <= sizes) & (sizes <= known.most)
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

"""A customer's body: what his readings say together.

A reading is never corrected by us. One that cannot be right is set aside with a notice that says why; one that
disagrees with the rest is kept and pointed out, because a tape has been right before.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TypeAlias

import numpy as np

from service.tailoring.body.builds import AGE, AGE_SD_YEARS
from service.tailoring.body.plausibility import plausible, repeats_wanted
from service.tailoring.body.population import Belief, Observation, Population, men
from service.tailoring.body.posture import PostureNote
from service.tailoring.body.posture import notices as posture_notices
from service.tailoring.body.readings import Reading, observed
from service.tailoring.notices import Notice
from service.tailoring.refusals import Where

# (left, right) in mm at (garment, place).
Asymmetry: TypeAlias = dict[tuple[str, str], tuple[float, float]]


@dataclass(frozen=True, eq=False)
class Body:
    """What the readings say. `outside` the model only what was read is known, and nothing is predicted.

    `posture` is what was noted of it; `asymmetry` how much more spare cloth than their middle the left and the right
    side have, in mm, at (garment, place): the man's own, whatever he puts on. `looked_at` are the places that were
    judged on a worn garment. `shown_mm` is how much larger a worn garment shows the body at a place than the rest of
    it has it; it decides there. An amount was `measured_on` it, or one side alone (`one_side`) was seen.
    `taped` is what was read before anybody looked (None: nobody did). `among` are the men of whom this is one.
    """

    belief: Belief
    observations: tuple[Observation, ...]
    notices: tuple[Notice, ...]
    outside: bool = False
    posture: tuple[PostureNote, ...] = ()
    asymmetry: Asymmetry = field(default_factory=dict)
    looked_at: frozenset[tuple[str, str]] = frozenset()
    shown_mm: Mapping[tuple[str, str], float] = field(default_factory=dict)
    measured_on: frozenset[tuple[str, str]] = frozenset()
    one_side: frozenset[tuple[str, str]] = frozenset()
    taped: frozenset[str] | None = None
    among: Population = field(default_factory=men)

    def knows(self, dimension: str) -> bool:
        """Whether there is an estimate of `dimension`."""
        return dimension in self.belief.names

    def also(
        self, seen: tuple[Observation, ...], notices: tuple[Notice, ...] = (), asymmetry: Asymmetry | None = None
    ) -> Body:
        """The same body with more evidence on it; sides that were seen stand before sides that were noted."""
        together = (*self.observations, *seen)
        belief = self.belief
        if seen:
            belief = _read_only(together) if self.outside else self.among.believe(together)
        return replace(
            self,
            belief=belief,
            observations=together,
            notices=(*self.notices, *notices),
            asymmetry={**self.asymmetry, **(asymmetry or {})},
        )

    def judged_at(self, garment: str, place: str, dimension: str) -> bool:
        """Whether somebody taped or looked there, or all is reckoned from the rest of him."""
        read = self.belief.read if self.taped is None else self.taped
        return dimension in read or (garment, place) in self.looked_at

    def with_posture(self, notes: tuple[PostureNote, ...], at: Where = ("posture",)) -> Body:
        """The same body with what was noted of its posture, at `at` in the request. Raises Refusal `note_repeated`."""
        sides = {(note.kind.garment, note.kind.place): note.aside_mm for note in notes if note.kind.place}
        return replace(
            self,
            posture=notes,
            asymmetry={**sides, **self.asymmetry},
            notices=(*self.notices, *posture_notices(notes, at)),
        )


def read_body(readings: tuple[Reading, ...], age_years: float | None = None, among: Population | None = None) -> Body:
    """What `readings` (and an age) say together of one man `among` others; notices point at `("readings", i)`.

    Which readings can be trusted is judged by men in general. Raises Refusal `reading_out_of_bounds`.
    """
    age = () if age_years is None else (Observation(AGE, age_years, AGE_SD_YEARS),)
    trusted, notices = plausible(readings, age)
    seen = (*age, *(observed(readings[i], age_years) for i in trusted))
    notices += repeats_wanted(readings, trusted)
    others = among or men()
    beyond = beyond_domain([readings[i] for i in trusted], age_years, others)
    if beyond:
        words = f"{beyond}: nothing is estimated outside the range that the model knows. Take the tape."
        return Body(_read_only(seen), seen, (*notices, Notice("outside_model", (), words)), outside=True, among=others)
    return Body(others.believe(seen), seen, tuple(notices), among=others)


def beyond_domain(readings: Sequence[Reading], age_years: float | None, model: Population) -> str:
    """What lies outside the model's domain, in words; empty where all is within.

    It is held against what was said: what the heavy understate would put some of them out of it.
    """
    asked = ("body_mass", "stature")
    size = {each.dimension: sum(each.sizes) / len(each.sizes) for each in readings if each.dimension in asked}
    domain = model.domain
    bmi = size["body_mass"] / (size["stature"] / 1000) ** 2 if {"body_mass", "stature"} <= size.keys() else None
    checks = (
        ("age in years", age_years, domain.age_years),
        ("standing height in mm", size.get("stature"), domain.stature_mm),
        ("body mass in kg", size.get("body_mass"), domain.mass_kg),
        ("body mass index", bmi, domain.bmi),
    )
    return "; ".join(
        f"{words} {value:.0f} is not within {low:g} to {high:g}"
        for words, value, (low, high) in checks
        if value is not None and not low <= value <= high
    )


def _read_only(seen: tuple[Observation, ...]) -> Belief:
    """Only what was read, each dimension by its own readings, without the population."""
    model = men()
    names = tuple(n for n in model.names if n != AGE and any(_reads(o, n) for o in seen))
    logs = np.array([model.logs[model.names.index(n)] for n in names], dtype=np.bool_)
    mean, variance = [], []
    for name, log in zip(names, logs, strict=True):
        mine = [o for o in seen if _reads(o, name)]
        weight = [1 / (o.sd / o.size if log else o.sd) ** 2 for o in mine]
        value = [math.log(o.size) if log else o.size for o in mine]
        mean.append(sum(w * v for w, v in zip(weight, value, strict=True)) / sum(weight))
        variance.append(1 / sum(weight))
    return Belief(names, logs, np.array(mean), np.diag(variance).reshape(len(names), len(names)), frozenset(names))


def _reads(seen: Observation, dimension: str) -> bool:
    return seen.dimension == dimension and seen.looked and not seen.weights

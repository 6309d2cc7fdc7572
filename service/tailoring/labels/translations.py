"""Designations: a body, or what a label tells of one, in the size systems that are asked for."""

from __future__ import annotations

from dataclasses import dataclass

from service.tailoring.body.body import Body, read_body
from service.tailoring.body.estimates import Estimate, estimates
from service.tailoring.body.population import Observation
from service.tailoring.body.readings import Reading
from service.tailoring.labels.designation_systems import System, system_named
from service.tailoring.labels.designations import (
    Designation,
    body_of_label,
    cautions,
    designate,
    doubts,
    read_label,
    translate,
)
from service.tailoring.notices import Notice
from service.tailoring.refusals import Refusal


@dataclass(frozen=True, slots=True)
class LabelAsked:
    """A label of a system."""

    system: str
    label: str


@dataclass(frozen=True, slots=True)
class TranslationAsked:
    """A label, or readings of a man, and the systems in which he is to be written."""

    to: tuple[str, ...]
    label: LabelAsked | None = None
    readings: tuple[Reading, ...] = ()
    age_years: float | None = None
    limit: int = 5


@dataclass(frozen=True, slots=True)
class InSystem:
    """He in one system: its likeliest labels, and how likely it is that it has one for him."""

    system: System
    labels: tuple[Designation, ...]
    covered: float


@dataclass(frozen=True, eq=False)
class Translation:
    """What the label says, the body behind it, its labels in each system, and what to look at."""

    said: tuple[Observation, ...]
    body: Body
    written: tuple[InSystem, ...]
    notices: tuple[Notice, ...]

    @property
    def estimates(self) -> tuple[Estimate, ...]:
        """Every dimension of the body that is known, read or estimated."""
        return estimates(self.body)


def translate_designation(asked: TranslationAsked) -> Translation:
    """Write a label's wearer, or a man's readings, in each system of `to`.

    Raises Refusal `designation_system_unknown`, `designation_unreadable`, `designation_outside` or
    `reading_out_of_bounds`.
    """
    label = asked.label
    try:
        said = read_label(label.system, label.label) if label else ()
    except Refusal as refusal:
        raise refusal.within("from") from None
    if label:
        body = body_of_label(label.system, label.label, asked.age_years)
        notices = (*cautions(label.system, ("from", "label")), *body.notices)
    else:
        body = read_body(asked.readings, asked.age_years)
        notices = body.notices
    written = []
    for i in range(len(asked.to)):
        found, doubted = _written(asked, body, i)
        written.append(found)
        notices += (*cautions(found.system.name, ("to", i)), *doubted)
    return Translation(said, body, tuple(written), notices)


def _written(asked: TranslationAsked, body: Body, i: int) -> tuple[InSystem, tuple[Notice, ...]]:
    to, label = asked.to[i], asked.label
    try:
        system = system_named(to)
    except Refusal as refusal:
        raise Refusal(refusal.code, ("to", i), **refusal.facts) from None
    found = translate(label.system, label.label, to, asked.age_years) if label else designate(body.belief, to)
    covered = min(1.0, sum(each.probability for each in found))
    return InSystem(system, found[: asked.limit], covered), doubts(body.belief, to, found, ("to", i))

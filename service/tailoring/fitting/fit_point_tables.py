"""The fit points as a fitter reads them: each with its looks, what is the shop's own, and the try-on step by step."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from service.tailoring.fitting.fit_points import Appearance, FitPoint, TryOnStep, try_on_steps
from service.tailoring.fitting.own_fit_points import OwnPoint, shops_table


class ShownLook(NamedTuple):
    """A named look; `own` where the shop has set it."""

    look: Appearance
    own: bool


@dataclass(frozen=True, slots=True)
class ShownPoint:
    """A point with its looks, each once however many places it speaks of; `own` where the shop has a row of its own."""

    point: FitPoint
    appearances: tuple[ShownLook, ...]
    own: bool


@dataclass(frozen=True, slots=True)
class ShownStep:
    """A step of the try-on, and the codes of the points that are judged in it."""

    step: TryOnStep
    points: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FitPointTable:
    """Every fit point in the order of looking, and the try-on."""

    fit_points: tuple[ShownPoint, ...]
    try_on: tuple[ShownStep, ...]


def fit_point_table(own: tuple[OwnPoint, ...]) -> FitPointTable:
    """The table with a shop's own rows before the trade's."""
    table = shops_table(own)
    rows = {each.point: each for each in own}
    points = tuple(_point(point, table.looks[code], rows.get(code)) for code, point in table.points.items())
    steps = (
        ShownStep(step, tuple(code for code, point in table.points.items() if point.step == step.number))
        for step in try_on_steps()
    )
    return FitPointTable(points, tuple(steps))


def _point(point: FitPoint, looks: tuple[Appearance, ...], row: OwnPoint | None) -> ShownPoint:
    own = {each.name for each in row.looks} if row else set()
    by_name = {each.name: each for each in looks}
    return ShownPoint(point, tuple(ShownLook(each, each.name in own) for each in by_name.values()), row is not None)

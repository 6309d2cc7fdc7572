"""What is known of a body, dimension by dimension, as figures that can be kept."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from service.tailoring.body.builds import AGE

if TYPE_CHECKING:
    from service.tailoring.body.body import Body


@dataclass(frozen=True, slots=True)
class Estimate:
    """One dimension: whether it was read, its middle estimate and SD, in mm or, for the mass, in kg."""

    dimension: str
    read: bool
    middle: float
    sd: float


def estimates(body: Body) -> tuple[Estimate, ...]:
    """Every dimension that is known, read or estimated."""
    belief = body.belief
    return tuple(
        Estimate(name, name in belief.read, float(belief.median(name)), float(belief.sd(name)))
        for name in belief.names
        if name != AGE
    )

"""A man's inside leg, taped or reckoned from the rest of him, and the legs that trousers are sold with."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from statistics import NormalDist

from service.tailoring import tables
from service.tailoring.body.body import Body
from service.tailoring.body.builds import AGE
from service.tailoring.garments.charts import Chart
from service.tailoring.hems.breaks import BIT_MM
from service.tailoring.hems.hems import Hem, Leg
from service.tailoring.quantities import Length, inches

DIMENSION = "inside_leg_length"
SHARES = (0.8, 0.95)
# What a finished leg keeps inside at least (common practice, no source: 1 1/2 to 2 1/2 in), where nobody says.
FINISHED_CLOTH = Length(inches(1.5), "in")


@dataclass(frozen=True, slots=True)
class InsideLeg:
    """Crotch to floor, barefoot, in mm: the middle estimate, its SD, whether it was read, and each leg's own part.

    `aside_mm` is by how much the left and the right leg are shorter than the middle.
    """

    mm: float
    sd_mm: float
    read: bool
    aside_mm: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True)
class SoldLeg:
    """A leg as trousers are sold with it."""

    name: str
    words: str
    leg: Leg
    source: str


@dataclass(frozen=True, slots=True)
class Serves:
    """Whether a leg as sold has the cloth for a finished length, and what is cut off the shorter of the two legs."""

    sold: SoldLeg
    serves: bool
    left_over: Length


def inside_leg_of(body: Body) -> InsideLeg | None:
    """What is known of his inside leg; None where nothing tells it."""
    if not body.knows(DIMENSION) or all(seen.dimension == AGE for seen in body.observations):
        return None
    belief = body.belief
    aside = body.asymmetry.get(("trousers", "inside_leg"), (0.0, 0.0))
    return InsideLeg(belief.median(DIMENSION), belief.sd(DIMENSION), DIMENSION in belief.read, aside)


def interval(middle_mm: float, sd_mm: float, share: float = SHARES[0]) -> tuple[float, float]:
    """Between which lengths that share of such men lie, around the middle of a normal."""
    off_mm = NormalDist().inv_cdf((1 + share) / 2) * sd_mm
    return middle_mm - off_mm, middle_mm + off_mm


@cache
def sold_legs() -> dict[str, SoldLeg]:
    """The legs that trousers are sold with, by name: unfinished by length class, or ready hemmed."""
    return {
        row["sold_as"]: SoldLeg(row["sold_as"], row["words"], _leg(row), row["source"])
        for row in tables.rows("hems/legs_as_sold")
    }


def leg_of(chart: Chart, label: str) -> Leg | None:
    """The leg of a size as its chart sells it; None where the chart does not say it. Raises Refusal `label_unknown`."""
    inside_leg_mm = chart.size("trousers", label).mm("inside_leg")
    if inside_leg_mm is None:
        return None
    cloth = Length(0.0, chart.unit) if chart.unfinished else FINISHED_CLOTH
    return Leg(Length(inside_leg_mm, chart.unit), cloth)


def which_serve(finished: tuple[Length, ...], hem: Hem) -> tuple[Serves, ...]:
    """Which legs as sold have the cloth for all of `finished`; none is lengthened past what is inside it."""
    found = []
    for sold in sold_legs().values():
        left = [sold.leg.cloth_mm - each.mm - hem.cloth_below_mm for each in finished]
        found.append(Serves(sold, min(left) >= -BIT_MM, Length(max(0.0, *left), finished[0].unit)))
    return tuple(found)


def _leg(row: dict[str, str]) -> Leg:
    return Leg(Length(inches(float(row["inside_leg_in"])), "in"), Length(inches(float(row["cloth_inside_in"])), "in"))

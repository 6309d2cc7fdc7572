"""How long the leg is: shoe, break, and the formula that joins them to the man's inside leg.

The formula is derived and still to be checked on real men in shoes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cache
from typing import Literal, TypeAlias, cast

from service.tailoring import tables
from service.tailoring.body.posture import OneSide
from service.tailoring.quantities import Length, inches, inches_text
from service.tailoring.refusals import Refusal

BreakName: TypeAlias = Literal["cropped", "none", "quarter", "half", "full"]

# How the front falls: a break that is asked for, or more than any of them.
Falls: TypeAlias = Literal["cropped", "none", "quarter", "half", "full", "too_long"]

BREAK_NAMES: tuple[BreakName, ...] = ("cropped", "none", "quarter", "half", "full")

# The house standard's one single break (common practice, no source).
USUAL_BREAK: BreakName = "half"
# A tape shows a sixteenth of an inch; this is only the last bit of a conversion.
BIT_MM = 0.001
# The error of an inside leg by the tape: half the published allowable error (NATICK/TR-11/017 app. G).
TAPE_SD_MM = 5.0


@dataclass(frozen=True, slots=True)
class Break:
    """By how much the front is longer than its way down to the shoe, and where the back ends on the usual shoe.

    `hem_girth_mm` is the width of hem that it is worn with, all round.
    """

    name: Falls
    surplus_from_mm: float
    surplus_to_mm: float
    back_above_floor_mm: float
    looks: str
    hem_girth_mm: tuple[float, float]
    hem_width: str
    source: str

    @property
    def surplus_mm(self) -> float:
        """The surplus that makes this break: what its usual back height leaves on the usual shoe and slant."""
        return typical("front_height").mm - self.back_above_floor_mm - typical("slant").mm

    @property
    def surplus_sd_mm(self) -> float:
        """How far fronts that are called by this name differ: its range is read as two SDs either way."""
        return (self.surplus_to_mm - self.surplus_from_mm) / 4


@dataclass(frozen=True, slots=True)
class Quantity:
    """One quantity of the hem's arithmetic: what is typical, and beyond what it is a slip of unit or tape."""

    name: str
    meaning: str
    typical_mm: float
    usual_mm: tuple[float, float]
    least_mm: float
    most_mm: float
    source: str


@dataclass(frozen=True, slots=True)
class Shoe:
    """The shoe worn: its heel, and the height above the floor at which the front hem meets it.

    Raises Refusal `hem_quantity_outside`, pointing at the part.
    """

    heel: Length
    front_height: Length = field(default_factory=lambda: typical("front_height"))

    def __post_init__(self) -> None:
        check_quantity("heel", self.heel, "heel")
        check_quantity("front_height", self.front_height, "front_height")


def usual_shoe() -> Shoe:
    """The shoe of a suit where nobody measured it."""
    return Shoe(typical("heel"))


@dataclass(frozen=True, slots=True)
class Wearer:
    """What the formula needs of the man: inside leg to the floor barefoot, his shoe, the break he likes.

    `sd_mm` is the error of the inside leg: the tape's, or that of an estimate. `aside_mm` is by how much the left and
    the right leg are shorter than it. `unsaid` names what of his shoe and trousers nobody measured. Raises Refusal
    `break_unknown` or `hem_quantity_outside`, pointing at the part.
    """

    inside_leg: Length
    break_name: BreakName = USUAL_BREAK
    shoe: Shoe = field(default_factory=usual_shoe)
    fork_gap: Length = field(default_factory=lambda: typical("fork_gap"))
    sd_mm: float = TAPE_SD_MM
    aside_mm: tuple[float, float] = (0.0, 0.0)
    unsaid: tuple[str, ...] = ("heel", "fork_gap", "front_height")

    def __post_init__(self) -> None:
        if self.break_name not in BREAK_NAMES:
            raise Refusal("break_unknown", ("break",), allowed=BREAK_NAMES)
        check_quantity("inside_leg", self.inside_leg, "inside_leg")
        check_quantity("fork_gap", self.fork_gap, "fork_gap")

    @property
    def is_taped(self) -> bool:
        """Whether his inside leg was read, and not only reckoned from the rest of him."""
        return self.sd_mm <= 2 * TAPE_SD_MM

    @property
    def finished_sd_mm(self) -> float:
        """The spread of the formula's answer: of the leg, of the break, and of what is unsaid, as it is usually worn.

        The usual range of each is read as two SDs either way (derived here, to be checked on real men in shoes).
        """
        loose = (quantities()[name].usual_mm for name in self.unsaid)
        return math.hypot(
            self.sd_mm, breaks()[self.break_name].surplus_sd_mm, *((most - least) / 4 for least, most in loose)
        )

    def finished_mm(self, slant_mm: float, side: OneSide | None = None) -> float:
        """The finished inside leg that the formula gives him, or one leg of his."""
        leg_mm = self.inside_leg.mm - (self.aside_mm[side == "right"] if side else 0.0)
        back_mm = self.back_above_floor_mm(slant_mm)
        return finished_inside_leg(leg_mm, back_mm, self.shoe.heel.mm, self.fork_gap.mm, slant_mm)

    def back_above_floor_mm(self, slant_mm: float) -> float:
        """Where the back hem ends above the floor, so that the front breaks as asked on this shoe."""
        return back_above_floor(self.break_name, self.shoe.front_height.mm, slant_mm)

    def falls_mm(self, finished_mm: float, slant_mm: float, side: OneSide) -> float:
        """The surplus at the front of a leg that is finished so: longer than the formula by so much, so much more."""
        return breaks()[self.break_name].surplus_mm + finished_mm - self.finished_mm(slant_mm, side)


def back_above_floor(break_name: BreakName, front_height_mm: float, slant_mm: float) -> float:
    """Back hem above the floor, `c = v − b − s` (derived here); below zero it would lie on the floor."""
    return front_height_mm - breaks()[break_name].surplus_mm - slant_mm


def finished_inside_leg(
    inside_leg_mm: float, back_above_floor_mm: float, heel_mm: float, fork_gap_mm: float, slant_mm: float
) -> float:
    """Finished inside leg, `I = F + h − g − c − s/2` (derived here)."""
    return inside_leg_mm + heel_mm - fork_gap_mm - back_above_floor_mm - slant_mm / 2


def falls_as(surplus_mm: float) -> Break:
    """How a front with such a surplus looks; beyond the table's ends, its first and its last."""
    known = list(breaks().values())
    return next((each for each in known if surplus_mm < each.surplus_to_mm + BIT_MM), known[-1])


def typical(quantity: str) -> Length:
    """What a quantity of the hem's arithmetic usually is, in inches as the trade quotes it."""
    return Length(quantities()[quantity].typical_mm, "in")


def check_quantity(quantity: str, given: Length | None, at: str) -> None:
    """Refuse what can only be a slip of unit or tape. Raises Refusal `hem_quantity_outside` at `at`."""
    known = quantities()[quantity]
    if given is not None and not known.least_mm - BIT_MM <= given.mm <= known.most_mm + BIT_MM:
        raise Refusal(
            "hem_quantity_outside",
            (at,),
            quantity=quantity,
            least_mm=round(known.least_mm, 1),
            most_mm=round(known.most_mm, 1),
            least_in=inches_text(known.least_mm),
            most_in=inches_text(known.most_mm),
            given=given.text,
        )


@cache
def breaks() -> dict[str, Break]:
    """How the front may fall by name, from cropped to too long."""
    return {
        row["break"]: Break(
            cast("Falls", row["break"]),
            inches(float(row["surplus_from_in"])),
            inches(float(row["surplus_to_in"])) if row["surplus_to_in"] else math.inf,
            inches(float(row["back_above_floor_in"])),
            row["looks"],
            (
                inches(float(row["hem_girth_from_in"])) if row["hem_girth_from_in"] else 0.0,
                inches(float(row["hem_girth_to_in"])) if row["hem_girth_to_in"] else math.inf,
            ),
            row["hem_width"],
            row["source"],
        )
        for row in tables.rows("hems/breaks")
    }


@cache
def quantities() -> dict[str, Quantity]:
    """The quantities of the hem's arithmetic by name."""
    return {
        row["quantity"]: Quantity(
            row["quantity"],
            row["meaning"],
            inches(float(row["typical_in"])),
            (inches(float(row["usual_from_in"])), inches(float(row["usual_to_in"]))),
            inches(float(row["refused_below_in"])),
            inches(float(row["refused_above_in"])),
            row["source"],
        )
        for row in tables.rows("hems/hem_quantities")
    }

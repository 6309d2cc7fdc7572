"""How long the leg is: shoe, break, and the formula that joins them to the man's inside leg.

The formula is derived and still to be checked on real men in shoes.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from typing import Literal, TypeAlias, cast

from service.tailoring import tables
from service.tailoring.quantities import Length, inches
from service.tailoring.refusals import Refusal

BreakName: TypeAlias = Literal["cropped", "none", "quarter", "half", "full"]

BREAK_NAMES: tuple[BreakName, ...] = ("cropped", "none", "quarter", "half", "full")

# The house standard's one single break (common practice, no source).
USUAL_BREAK: BreakName = "half"
# A tape shows a sixteenth of an inch; this is only the last bit of a conversion.
BIT_MM = 0.001


@dataclass(frozen=True, slots=True)
class Break:
    """By how much the front is longer than its way down to the shoe, and where the back then ends."""

    name: BreakName
    surplus_from_mm: float
    surplus_to_mm: float
    back_above_floor_mm: float
    looks: str
    hem_width: str
    source: str


@dataclass(frozen=True, slots=True)
class Quantity:
    """One quantity of the hem's arithmetic: what is typical, and beyond what it is a slip of unit or tape."""

    name: str
    meaning: str
    typical_mm: float
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

    Raises Refusal `break_unknown` or `hem_quantity_outside`, pointing at the part.
    """

    inside_leg: Length
    break_name: BreakName = USUAL_BREAK
    shoe: Shoe = field(default_factory=usual_shoe)
    fork_gap: Length = field(default_factory=lambda: typical("fork_gap"))

    def __post_init__(self) -> None:
        if self.break_name not in BREAK_NAMES:
            raise Refusal("break_unknown", ("break",), allowed=BREAK_NAMES)
        check_quantity("inside_leg", self.inside_leg, "inside_leg")
        check_quantity("fork_gap", self.fork_gap, "fork_gap")

    def finished_mm(self, slant_mm: float) -> float:
        """The finished inside leg that the formula gives him."""
        return finished_inside_leg(self.inside_leg.mm, self.break_name, self.shoe.heel.mm, self.fork_gap.mm, slant_mm)


def finished_inside_leg(
    inside_leg_mm: float, break_name: BreakName, heel_mm: float, fork_gap_mm: float, slant_mm: float
) -> float:
    """Finished inside leg, `I = F + h − g − c − s/2`; `c` is the break's back height (derived here)."""
    return inside_leg_mm + heel_mm - fork_gap_mm - breaks()[break_name].back_above_floor_mm - slant_mm / 2


def break_mm(break_name: BreakName, front_height_mm: float, slant_mm: float) -> float:
    """Surplus front length, `b = v − c − s` (derived here); below zero the hem hangs clear of the shoe."""
    return front_height_mm - breaks()[break_name].back_above_floor_mm - slant_mm


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
            given=given.text,
        )


@cache
def breaks() -> dict[str, Break]:
    """The breaks by name, from cropped to full."""
    return {
        row["break"]: Break(
            cast("BreakName", row["break"]),
            inches(float(row["surplus_from_in"])),
            inches(float(row["surplus_to_in"])),
            inches(float(row["back_above_floor_in"])),
            row["looks"],
            row["hem_width"],
            row["source"],
        )
        for row in tables.rows("breaks")
    }


@cache
def quantities() -> dict[str, Quantity]:
    """The quantities of the hem's arithmetic by name."""
    return {
        row["quantity"]: Quantity(
            row["quantity"],
            row["meaning"],
            inches(float(row["typical_in"])),
            inches(float(row["refused_below_in"])),
            inches(float(row["refused_above_in"])),
            row["source"],
        )
        for row in tables.rows("hem_quantities")
    }

"""Trouser hems: where each leg ends, from its pin or from the formula, and the cloth that the hem takes.

The pin set on the man in his shoes always beats the formula; the formula checks the pin, and serves where
nobody can pin.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Literal, TypeAlias

from service.tailoring import tables
from service.tailoring.body.posture import OneSide
from service.tailoring.garments.alterations import Direction
from service.tailoring.garments.amounts import Amount
from service.tailoring.hems.breaks import BIT_MM, Break, Wearer, check_quantity, falls_as, typical
from service.tailoring.hems.hem_checks import Fitting, Pinned, hem_notices
from service.tailoring.notices import Notice
from service.tailoring.quantities import Length, LengthUnit, inches, inches_text
from service.tailoring.refusals import Fact, Refusal, Where

Finish: TypeAlias = Literal["plain", "turn_up"]
Scale: TypeAlias = Literal["usual", "other"]

FINISHES: tuple[Finish, ...] = ("plain", "turn_up")
SCALES: tuple[Scale, ...] = ("usual", "other")
# The catalogue's alteration that ends a leg so.
HEM_CODES: dict[Finish, str] = {"plain": "trouser_hem", "turn_up": "trouser_hem_turn_up"}


@dataclass(frozen=True, slots=True)
class Hem:
    """How the leg ends. What is not said is usual: a slant of 1/2 in on a plain hem, none with turn-ups.

    Raises Refusal `finish_unknown`, `turn_up_not_taken`, `slant_with_turn_up` or `hem_quantity_outside`.
    """

    finish: Finish = "plain"
    turn_up: Length | None = None
    inside_turn: Length | None = None
    slant: Length | None = None

    def __post_init__(self) -> None:
        if self.finish not in FINISHES:
            raise Refusal("finish_unknown", ("finish",), allowed=FINISHES)
        if self.finish == "plain" and self.turn_up is not None:
            raise Refusal("turn_up_not_taken", ("turn_up",), finish=self.finish)
        if self.finish == "turn_up" and self.slant is not None and self.slant.mm > 0:
            raise Refusal("slant_with_turn_up", ("slant",))
        check_quantity("turn_up_depth", self.turn_up, "turn_up")
        check_quantity(f"{self.finish}_inside_turn", self.inside_turn, "inside_turn")
        check_quantity("slant", self.slant, "slant")

    @property
    def slant_mm(self) -> float:
        """By how much the back is longer than the front."""
        if self.finish == "turn_up":
            return 0.0
        return (self.slant or typical("slant")).mm

    @property
    def inside_turn_mm(self) -> float:
        """The cloth turned up inside, out of sight."""
        return (self.inside_turn or typical(f"{self.finish}_inside_turn")).mm

    @property
    def cloth_below_mm(self) -> float:
        """The cloth needed below the finished edge: the inside turn, and twice the depth of a turn-up."""
        if self.finish == "plain":
            return self.inside_turn_mm
        return 2 * (self.turn_up or typical("turn_up_depth")).mm + self.inside_turn_mm

    def words(self, unit: LengthUnit = "in") -> str:
        """As the workroom says it: what was said as it was said, the rest in the unit of the order.

        "plain, 2 in inside", "turn-up of 4 cm, 2.5 cm inside".
        """
        inside = f"{_text(self.inside_turn or Length(self.inside_turn_mm, unit))} inside"
        if self.finish == "plain":
            return f"plain, {inside}"
        return f"turn-up of {_text(self.turn_up or Length(typical('turn_up_depth').mm, unit))}, {inside}"


def _text(length: Length) -> str:
    """As a bench writes it: 4 cm, and not 4.0."""
    return length.text.replace(".0 ", " ")


@dataclass(frozen=True, slots=True)
class Leg:
    """A leg of the trousers as brought: inside leg to its present edge, and the cloth turned up inside that.

    An unfinished leg has no cloth inside. Raises Refusal `hem_quantity_outside`.
    """

    inside_leg: Length
    cloth_inside: Length = field(default_factory=lambda: Length(0.0, "in"))

    def __post_init__(self) -> None:
        check_quantity("garment_inside_leg", self.inside_leg, "inside_leg")
        check_quantity("cloth_inside", self.cloth_inside, "cloth_inside")

    @property
    def cloth_mm(self) -> float:
        """All the cloth there is below the crotch, along the inside seam."""
        return self.inside_leg.mm + self.cloth_inside.mm


@dataclass(frozen=True, slots=True)
class Pins:
    """The finished inside leg as pinned on the man, a pin for each leg.

    Raises Refusal `hem_quantity_outside`, pointing at the side.
    """

    left: Length | None = None
    right: Length | None = None

    def __post_init__(self) -> None:
        check_quantity("finished_inside_leg", self.left, "left")
        check_quantity("finished_inside_leg", self.right, "right")


@dataclass(frozen=True, slots=True)
class LegPlan:
    """One leg: `cut` is finished and cloth below; `change` is from its present edge (no direction: none).

    `falls` is how the front then falls on his shoe, and `surplus_mm` by how much: known where his inside leg was taped,
    or where the leg follows the formula. `missing` is the cloth that is not there; `instead` then says what serves.
    `longest` is the longest finished leg with this hem. `formula` is what the formula says of this leg of his.
    """

    side: OneSide
    basis: Literal["pinned", "formula"]
    finished: Length
    direction: Direction | None
    change: Length
    cut: Length
    left_over: Length
    missing: Length
    longest: Length
    instead: str | None = None
    formula: Length | None = None
    falls: Break | None = None
    surplus_mm: float | None = None

    @property
    def amount(self) -> Amount | None:
        """The change as an order line takes it; None where the leg stays as it is."""
        return Amount(self.change, "length", self.direction, self.side) if self.direction else None

    @property
    def at(self) -> Where:
        """Where in the request its end was asked for."""
        return ("pins", self.side) if self.basis == "pinned" else ("pins",)

    @property
    def pin_off(self) -> Length | None:
        """By how much the pin is longer than the formula has it; negative where it is shorter."""
        if self.formula is None or self.basis == "formula":
            return None
        return Length(self.finished.mm - self.formula.mm, self.finished.unit)

    @property
    def shortage(self) -> dict[str, Fact]:
        """The facts of the cloth that is missing."""
        return {
            "side": self.side,
            "short_mm": round(self.missing.mm, 1),
            "short_in": inches_text(self.missing.mm),
            "longest_mm": round(self.longest.mm, 1),
            "longest_in": inches_text(self.longest.mm),
            "instead": self.instead,
        }


@dataclass(frozen=True, slots=True)
class HemPlan:
    """The legs that are hemmed, what the formula says of the wearer, and how far the legs are apart."""

    hem: Hem
    cloth_below: Length
    legs: tuple[LegPlan, ...]
    formula: Length | None
    apart: Length
    notices: tuple[Notice, ...]


def turn_up_depth(stature: Length, scale: Scale = "usual") -> Length:
    """The turn-up that suits the height (common practice, no source): 1 1/4, 1 1/2 or 2 in; or by another scale."""
    rows = [row for row in tables.rows("hems/turn_up_depths") if row["scale"] == scale]
    fitting = (row for row in rows if stature.mm < inches(float(row["stature_below_in"])))
    return Length(inches(float(next(fitting, rows[-1])["depth_in"])), "in")


def plan_hem(pins: Pins, leg: Leg, hem: Hem, wearer: Wearer | None = None, fitting: Fitting | None = None) -> HemPlan:
    """The hem as it can be sewn: as `reckon_hem`, and no leg misses cloth.

    Raises Refusal `pins_missing`, or `hem_cloth_short` (at the pin, with the longest possible).
    """
    plan = reckon_hem(pins, leg, hem, wearer, fitting)
    for each in plan.legs:
        if each.missing.mm:
            raise Refusal("hem_cloth_short", each.at, **each.shortage)
    return plan


def reckon_hem(pins: Pins, leg: Leg, hem: Hem, wearer: Wearer | None = None, fitting: Fitting | None = None) -> HemPlan:
    """Where each leg ends, what is cut, and what cloth is left or missing.

    A pinned leg goes to its pin; with no pin at all both legs follow the formula. Raises Refusal
    `pins_missing` (neither pin nor wearer).
    """
    formula_mm = wearer.finished_mm(hem.slant_mm) if wearer else None
    pinned = {side: pin for side, pin in _sides(pins) if pin is not None}
    if pinned:
        legs = tuple(_leg_plan(side, "pinned", pin, leg, hem) for side, pin in pinned.items())
    elif wearer and formula_mm is not None:
        unit = wearer.inside_leg.unit
        finished = ((side, Length(wearer.finished_mm(hem.slant_mm, side), unit)) for side, _ in _sides(pins))
        legs = tuple(_leg_plan(side, "formula", length, leg, hem) for side, length in finished)
    else:
        raise Refusal("pins_missing", ("pins",))
    unit = legs[0].finished.unit
    apart_mm = abs(legs[0].finished.mm - legs[-1].finished.mm)
    told = tuple(Pinned(each.side, each.finished, each.basis == "pinned", _off_mm(each)) for each in legs)
    return HemPlan(
        hem=hem,
        cloth_below=Length(hem.cloth_below_mm, unit),
        legs=tuple(_on_him(each, hem, wearer) for each in legs),
        formula=None if formula_mm is None else Length(formula_mm, unit),
        apart=Length(apart_mm, unit),
        notices=(
            *(_short(each) for each in legs if each.missing.mm),
            *hem_notices(told, hem.slant_mm, hem.inside_turn_mm, wearer, fitting or Fitting()),
        ),
    )


def _off_mm(leg: LegPlan) -> float:
    """What comes off its present edge."""
    return leg.change.mm if leg.direction == "decrease" else 0.0


def _short(leg: LegPlan) -> Notice:
    words = f"{leg.side}: {leg.missing.text} of cloth is missing. Instead: {leg.instead}."
    return Notice("hem_cloth_short", leg.at, words, tuple(leg.shortage.items()))


def _on_him(leg: LegPlan, hem: Hem, wearer: Wearer | None) -> LegPlan:
    """The leg with what the formula says of it, and how its front falls, where that can be told."""
    if wearer is None:
        return leg
    leg = replace(leg, formula=Length(wearer.finished_mm(hem.slant_mm, leg.side), leg.finished.unit))
    if leg.basis == "pinned" and not wearer.is_taped:
        return leg
    surplus_mm = wearer.falls_mm(leg.finished.mm, hem.slant_mm, leg.side)
    return replace(leg, falls=falls_as(surplus_mm), surplus_mm=surplus_mm)


def _sides(pins: Pins) -> tuple[tuple[OneSide, Length | None], ...]:
    return (("left", pins.left), ("right", pins.right))


def _leg_plan(side: OneSide, basis: Literal["pinned", "formula"], finished: Length, leg: Leg, hem: Hem) -> LegPlan:
    cut_mm = finished.mm + hem.cloth_below_mm
    left_over_mm = leg.cloth_mm - cut_mm
    is_short = left_over_mm < -BIT_MM
    change_mm = finished.mm - leg.inside_leg.mm
    direction: Direction | None = None
    if abs(change_mm) > BIT_MM:
        direction = "increase" if change_mm > 0 else "decrease"
    unit = finished.unit
    return LegPlan(
        side=side,
        basis=basis,
        finished=finished,
        direction=direction,
        change=Length(abs(change_mm) if direction else 0.0, unit),
        cut=Length(cut_mm, unit),
        left_over=Length(max(0.0, left_over_mm), unit),
        missing=Length(-left_over_mm if is_short else 0.0, unit),
        longest=Length(max(0.0, leg.cloth_mm - hem.cloth_below_mm), unit),
        instead=_hem_instead(finished, leg, hem) if is_short else None,
    )


def _hem_instead(finished: Length, leg: Leg, hem: Hem) -> str:
    """The first that fits of what takes less cloth: a shallower turn-up, less turned in, a facing."""
    spare_mm = leg.cloth_mm - finished.mm + BIT_MM
    if hem.finish == "turn_up":
        depths = sorted((float(row["depth_in"]) for row in tables.rows("hems/turn_up_cloth")), reverse=True)
        shallower = (Hem("turn_up", Length(inches(depth), finished.unit), hem.inside_turn) for depth in depths)
        found = next((other for other in shallower if other.cloth_below_mm <= spare_mm), None)
        if found:
            return found.words(finished.unit)
    for row in tables.rows("hems/shorter_turns"):
        turn_mm = inches(float(row["inside_turn_in"]))
        if turn_mm <= spare_mm and turn_mm < hem.cloth_below_mm - BIT_MM:
            return row["words"].format(turn=Length(turn_mm, finished.unit).text)
    return "trousers of a longer inside leg"

"""How much of an alteration is asked for, and whether it can be had."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, TypeAlias

from service.tailoring.garments.alterations import (
    BASES,
    DIRECTIONS,
    SIDES,
    Alteration,
    Basis,
    Direction,
    Side,
    instead_of,
    usual_inlay,
)
from service.tailoring.quantities import Length, inches, inches_text
from service.tailoring.refusals import Refusal

# How inlay was seen: at each seam the cloth beyond what stays sewn, or all that there is together.
InlayBasis: TypeAlias = Literal["per_seam", "girth"]
INLAY_BASES: tuple[InlayBasis, ...] = ("per_seam", "girth")
# A garment has two side seams.
SIDE_SEAMS = 2
# The seam that must stay sewn when cloth is let out (common practice, no source).
SEAM_MM = inches(3 / 8)
# Nobody sews finer than this: an eighth of an inch, or half a centimetre where the chart is metric.
STEP_MM = {"in": inches(1 / 8), "cm": 5.0, "mm": 5.0}


@dataclass(frozen=True, slots=True)
class Amount:
    """How much, in four parts: a length with its unit, basis, direction, and the side where it has one."""

    length: Length
    basis: Basis
    direction: Direction
    side: Side | None = None


@dataclass(frozen=True, slots=True)
class InlaySeen:
    """Cloth seen inside: `per_seam` at each of so many seams, beyond the 3/8 in that stays sewn there; or all of it."""

    length: Length
    basis: InlayBasis
    seams: int

    @property
    def out_mm(self) -> float:
        """How much can come out of it, as the alteration's own basis counts it."""
        if self.basis == "per_seam":
            return self.length.mm * self.seams
        return max(0.0, self.length.mm - SEAM_MM * self.seams)


def inlay_of(doing: Alteration, seen: Length, basis: InlayBasis | None = None, seams: int | None = None) -> InlaySeen:
    """Inlay as it was said; what is not said is usual: at a jacket's side seams each of both, elsewhere all of one.

    Half an inch at each side seam is an inch of girth, which is the catalogue's limit (common practice, no source).
    """
    usual = usual_inlay(doing.code)
    at_sides = usual is not None and usual.basis == "per_side"
    counted = seams or (SIDE_SEAMS if at_sides else 1)
    return InlaySeen(seen, basis or ("per_seam" if at_sides else "girth"), counted)


def amount_of(
    doing: Alteration, amount: Length | None, basis: Basis | None, direction: Direction | None, side: Side | None
) -> Amount | None:
    """An amount from its four parts as they were said; the direction may be left out where there is only one.

    Raises Refusal `amount_missing`, `basis_missing` or `direction_missing`, pointing at the part.
    """
    if amount is None:
        if basis or direction or side:
            raise Refusal("amount_missing", ("amount",), alteration=doing.code, basis=doing.basis)
        return None
    if basis is None:
        raise Refusal("basis_missing", ("basis",), alteration=doing.code, basis=doing.basis, allowed=BASES)
    if direction is None and len(doing.directions) > 1:
        raise Refusal("direction_missing", ("direction",), alteration=doing.code, allowed=doing.directions)
    # Where no direction is known there is no amount either: `check_amount` says so.
    return Amount(amount, basis, direction or (doing.directions or DIRECTIONS)[0], side)


def check_amount(doing: Alteration, amount: Amount | None, inlay: InlaySeen | None = None) -> None:
    """Refuse an amount that the alteration cannot take.

    Raises Refusal `amount_missing`, `amount_not_taken`, `basis_wrong`, `direction_impossible`,
    `side_missing`, `side_not_taken`, `amount_zero`, `alteration_beyond_limit` or
    `inlay_too_small`, pointing at the part.
    """
    if not doing.basis or not doing.directions:
        if amount is not None:
            raise Refusal("amount_not_taken", ("amount",), alteration=doing.code)
        return
    if amount is None:
        raise Refusal("amount_missing", ("amount",), alteration=doing.code, basis=doing.basis)
    if amount.basis != doing.basis:
        raise Refusal("basis_wrong", ("basis",), alteration=doing.code, basis=doing.basis, given=amount.basis)
    if amount.direction not in doing.directions:
        raise Refusal(
            "direction_impossible",
            ("direction",),
            alteration=doing.code,
            allowed=doing.directions,
            limited_by=doing.limited_by,
        )
    if doing.sided and amount.side is None:
        raise Refusal("side_missing", ("side",), of=doing.code, allowed=SIDES)
    if not doing.sided and amount.side is not None:
        raise Refusal("side_not_taken", ("side",), of=doing.code)
    _check_size(doing, amount, inlay)


def _check_size(doing: Alteration, amount: Amount, inlay: InlaySeen | None) -> None:
    if amount.length.mm <= 0:
        raise Refusal("amount_zero", ("amount",), alteration=doing.code)
    most_mm = doing.most_mm(amount.direction)
    # A thousandth of a millimetre forgives the last bit of a converted limit, nothing that a tape can show.
    if amount.length.mm > most_mm + 0.001:
        raise Refusal(
            "alteration_beyond_limit",
            ("amount",),
            alteration=doing.code,
            most_in=inches_text(most_mm),
            most_mm=round(most_mm, 1),
            limited_by=doing.limited_by,
            instead=instead_of(doing.code),
        )
    lets_out = doing.from_inlay and amount.direction == "increase"
    if lets_out and inlay is not None and amount.length.mm > inlay.out_mm + 0.001:
        raise Refusal(
            "inlay_too_small",
            ("inlay_seen",),
            alteration=doing.code,
            most_in=inches_text(inlay.out_mm),
            most_mm=round(inlay.out_mm, 1),
        )


def sewn_steps(wanted_mm: float, most_mm: float, step_mm: float) -> int:
    """How many of the tailor's steps are sewn where `wanted_mm` would be right: the nearest within the limit."""
    return min(math.floor(wanted_mm / step_mm + 0.5), math.floor(most_mm / step_mm + 1e-9))

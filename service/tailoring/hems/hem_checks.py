"""What is to be looked at before a leg is cut: the formula, the shoe, the foot and the other leg check the pins."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from service.tailoring import tables
from service.tailoring.body.posture import OneSide
from service.tailoring.hems.breaks import BIT_MM, Wearer, breaks, check_quantity, quantities
from service.tailoring.hems.dressed import AS_USUAL, Dressed
from service.tailoring.notices import Notice
from service.tailoring.quantities import Length, inches
from service.tailoring.refusals import Fact, Where


@dataclass(frozen=True, slots=True)
class Fitting:
    """What was taken beside the pins; none of it is needed, all of it checks them.

    `dressed` is what was worn at it, `steamed` whether the cloth was steamed before it was marked (None: it does not
    shrink, or nobody asked). Raises Refusal `hem_quantity_outside`, pointing at the part.
    """

    hem_girth: Length | None = None
    foot_girth: Length | None = None
    waist_to_floor: Length | None = None
    side_rise: Length | None = None
    steamed: bool | None = None
    dressed: Dressed = AS_USUAL

    def __post_init__(self) -> None:
        for part in ("hem_girth", "foot_girth", "waist_to_floor", "side_rise"):
            check_quantity(part, getattr(self, part), part)


@dataclass(frozen=True, slots=True)
class Pinned:
    """Where one leg ends, whether a pin or only the formula says so, and how much comes off its present edge."""

    side: OneSide
    finished: Length
    by_pin: bool
    off_mm: float = 0.0


def hem_notices(
    legs: tuple[Pinned, ...], slant_mm: float, turn_mm: float, wearer: Wearer | None, fitting: Fitting
) -> tuple[Notice, ...]:
    """Everything to look at, leg by leg and then of the pair."""
    found = [*_against_formula(legs, slant_mm, wearer), *_of_the_pair(legs), *_of_the_shoe(wearer, fitting)]
    found += _of_the_back(slant_mm, wearer)
    if slant_mm > 0:
        found += _over("deep_turn_on_slant", ("inside_turn",), turn_mm)
    found += _outside_leg(legs, fitting)
    for leg in legs:
        found += _over("leg_narrows", ("pins", leg.side), leg.off_mm, alteration="trouser_leg_taper")
    if fitting.steamed is False:
        shrink = quantities()["pressing_shrink"]
        facts: dict[str, Fact] = {"usually_mm": round(shrink.typical_mm, 1)}
        found += _over("may_shrink", ("steamed",), shrink.usual_mm[1], **facts)
    return tuple(found)


def _against_formula(legs: tuple[Pinned, ...], slant_mm: float, wearer: Wearer | None) -> Iterator[Notice]:
    for leg in legs:
        if wearer is None or not leg.by_pin:
            continue
        formula_mm = wearer.finished_mm(slant_mm, leg.side)
        differ_mm = abs(leg.finished.mm - formula_mm)
        # An estimate of his leg may be further off than 3/4 in by itself: it speaks up only past two SDs.
        own_mm = 0.0 if wearer.is_taped else 2 * wearer.finished_sd_mm
        if differ_mm > own_mm:
            yield from _over("look_again", ("pins", leg.side), differ_mm, formula_mm=round(formula_mm, 1))
    if not any(leg.by_pin for leg in legs):
        words = "estimated, not pinned: pin each leg on the customer in their shoes before it is cut"
        yield Notice("pin_first", ("pins",), words)


def _of_the_pair(legs: tuple[Pinned, ...]) -> Iterator[Notice]:
    apart_mm = abs(legs[0].finished.mm - legs[-1].finished.mm)
    limit_mm, words = _checks()["legs_nearly_alike"]
    if BIT_MM < apart_mm < limit_mm - BIT_MM:
        yield Notice("legs_nearly_alike", ("pins",), words, (("size_mm", round(apart_mm, 1)),))
    yield from _over("legs_apart", ("pins",), apart_mm)
    yield from _over("leg_difference", ("pins",), apart_mm)
    if len(legs) == 1:
        # One leg alone is a fair order, and also the commonest way to forget the other.
        yield Notice("one_leg_pinned", ("pins",), f"Only the {legs[0].side} leg is pinned.")


def _of_the_shoe(wearer: Wearer | None, fitting: Fitting) -> Iterator[Notice]:
    """Whether he stood in the shoes that he will wear, and whether the hem passes his foot and suits the break."""
    dressed = fitting.dressed
    if dressed.shoes == "lent" and dressed.own_heel is None:
        yield Notice("lent_shoes", ("pins",), _checks()["lent_shoes"][1])
    elif dressed.heel:
        worn = wearer.shoe.heel if wearer else dressed.worn_heel or dressed.heel
        yield from _over("other_shoes", ("pins",), abs(worn.mm - dressed.heel.mm))
    yield from _over("sits_otherwise", ("pins",), abs(dressed.rises_mm))
    if fitting.hem_girth is None:
        return
    hem_mm = fitting.hem_girth.mm
    foot_mm = fitting.foot_girth.mm if fitting.foot_girth else quantities()["foot_girth"].typical_mm
    yield from _over("narrow_for_foot", ("hem_girth",), foot_mm - hem_mm)
    if wearer:
        least_mm, most_mm = breaks()[wearer.break_name].hem_girth_mm
        yield from _over("narrow_for_break", ("hem_girth",), least_mm - hem_mm)
        yield from _over("wide_for_break", ("hem_girth",), hem_mm - most_mm)


def _of_the_back(slant_mm: float, wearer: Wearer | None) -> list[Notice]:
    """Whether break, slant and shoe agree: together they decide where the back ends, and each break has its usual."""
    if wearer is None:
        return []
    back_mm, usual_mm = wearer.back_above_floor_mm(slant_mm), breaks()[wearer.break_name].back_above_floor_mm
    facts: dict[str, Fact] = {"back_above_floor_mm": round(back_mm, 1), "usually_mm": round(usual_mm, 1)}
    return _over("break_disagrees", ("break",), abs(back_mm - usual_mm), **facts)


def _outside_leg(legs: tuple[Pinned, ...], fitting: Fitting) -> Iterator[Notice]:
    """The quick check at the side: waist to floor less a little is the outside leg; less the rise, the inside."""
    if fitting.waist_to_floor is None:
        return
    above, rise = quantities()["outside_leg_above_floor"].usual_mm, quantities()["side_rise"].usual_mm
    if fitting.side_rise:
        rise = (fitting.side_rise.mm, fitting.side_rise.mm)
    least_mm, most_mm = (fitting.waist_to_floor.mm - above[end] - rise[end] for end in (1, 0))
    for leg in legs:
        beyond_mm = max(least_mm - leg.finished.mm, leg.finished.mm - most_mm)
        facts: dict[str, Fact] = {"least_mm": round(least_mm, 1), "most_mm": round(most_mm, 1)}
        yield from _over("outside_leg_disagrees", ("pins", leg.side), beyond_mm, **facts)


@cache
def _checks() -> dict[str, tuple[float, str]]:
    return {row["check"]: (inches(float(row["limit_in"])), row["words"]) for row in tables.rows("hems/hem_checks")}


def _over(check: str, at: Where, size_mm: float, **facts: Fact) -> list[Notice]:
    over_mm, words = _checks()[check]
    if size_mm <= over_mm + BIT_MM:
        return []
    told = {"size_mm": round(size_mm, 1), "over_mm": round(over_mm, 1), **facts}
    return [Notice(check, at, words, tuple(told.items()))]

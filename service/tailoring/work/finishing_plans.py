"""Finishing plans: how each garment is pressed, by its cloth and its make, and what to mind at the iron."""

from __future__ import annotations

from dataclasses import dataclass

from service.tailoring.garments.pieces import Pattern
from service.tailoring.notices import Notice
from service.tailoring.quantities import Length
from service.tailoring.work.cautions import cautions
from service.tailoring.work.creases import Front, crease_stop, creases
from service.tailoring.work.finishing import (
    FUSED,
    PILE,
    Heat,
    PressingStep,
    careful_heat,
    finishing_rules,
    heat_of,
    heat_of_fibres,
    is_casual,
    kind_of,
    pressing_steps,
)


@dataclass(frozen=True, slots=True)
class GarmentToPress:
    """A garment to be pressed: its cloth by `fibres` or by the words of an order for it, and how it is made.

    `fused` is None where its fronts were not described, `pleats` (of a front, 0: flat) where they were not counted.
    `crease` is whether one was asked for (True) or refused; where nobody said, casual trousers get none.
    """

    garment: str
    fibres: tuple[str, ...] = ()
    cloth: str = ""
    lining: str | None = None
    fused: bool | None = None
    dark: bool = False
    pleats: int | None = None
    casual: bool = False
    crease: bool | None = None
    turn_up: bool = False
    pattern: Pattern = "plain"


@dataclass(frozen=True, slots=True)
class PressedGarment:
    """How one garment is pressed; without `heat` its fibre is not known, and its care label decides."""

    garment: str
    heat: Heat | None
    lining: Heat | None
    creases: tuple[str, ...]
    crease_below_band: Length | None
    steps: tuple[PressingStep, ...]
    rules: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FinishingPlan:
    """How the garments are pressed, the cautions of all benches (pins and bastings come out first), and warnings."""

    garments: tuple[PressedGarment, ...]
    cautions: tuple[str, ...]
    warnings: tuple[Notice, ...]


def finishing_plan(garments: tuple[GarmentToPress, ...]) -> FinishingPlan:
    """Plan the pressing of garments. Raises Refusal `fibre_unknown`."""
    pressed = tuple(_pressed(each) for each in garments)
    return FinishingPlan(
        pressed,
        tuple(each.text for each in cautions()),
        tuple(_fibre_not_known(position) for position, each in enumerate(pressed) if each.heat is None),
    )


def _pressed(garment: GarmentToPress) -> PressedGarment:
    heat, kind = _heat(garment), kind_of(garment.cloth, garment.fibres)
    front = Front(
        pleats=garment.pleats,
        casual=garment.casual or is_casual(garment.cloth),
        wanted=garment.crease,
        pile=kind in PILE,
        pattern=garment.pattern,
        turn_up=garment.turn_up,
    )
    is_trousers = garment.garment == "trousers"
    return PressedGarment(
        garment=garment.garment,
        heat=heat,
        lining=heat_of_fibres([garment.lining]) if garment.lining else None,
        creases=creases(front, unsaid=("flat", "pleated")) if is_trousers else (),
        crease_below_band=crease_stop(front) if is_trousers else None,
        steps=pressing_steps(garment.garment, kind, creased=front.is_creased),
        rules=finishing_rules(garment.garment, heat, kind, creased=front.is_creased, dark=garment.dark),
    )


def _heat(garment: GarmentToPress) -> Heat | None:
    by_words = heat_of(garment.cloth)
    if by_words is None and "%" in garment.cloth:
        # A share that is not known leaves the whole cloth unknown, whatever else is named.
        return None
    fibres = {*garment.fibres, *(by_words.fibres if by_words else ())}
    is_fused = garment.garment in FUSED if garment.fused is None else garment.fused
    # Fused fronts bear less than some cloth, and say nothing of cloth that is not known.
    return heat_of_fibres(fibres | {"fused fronts"} if fibres and is_fused else fibres)


def _fibre_not_known(position: int) -> Notice:
    careful = careful_heat()
    words = (
        f"its fibre is not known: press it by its care label; where it has none, at most {careful.most_c} °C, "
        f"{careful.dots}, without steam, under a dry press cloth, tried first where it does not show"
    )
    return Notice("fibre_not_known", ("garments", position), words, (("most_c", careful.most_c),))

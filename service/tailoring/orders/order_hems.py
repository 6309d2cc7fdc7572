"""Hems of an order: from pins on each leg to lines of work, with the cloth that each ending takes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from service.tailoring.garments.charts import Chart
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.hems.breaks import USUAL_BREAK, BreakName, Shoe, Wearer, usual_shoe
from service.tailoring.hems.hems import HEM_CODES, Hem, Leg, LegPlan, Pins, plan_hem
from service.tailoring.hems.inside_legs import InsideLeg, leg_of
from service.tailoring.notices import Notice
from service.tailoring.orders.order_lines import LineAsked
from service.tailoring.quantities import Length
from service.tailoring.refusals import Refusal


@dataclass(frozen=True, slots=True)
class HemAsked:
    """The hem of one pair of trousers: a pin for each leg, how the leg ends, and the leg as it is now.

    `leg` is needed only where the chart does not say it; `inside_leg` of the man, barefoot, checks the pins. The
    usual shoe is reckoned with where none is said.
    """

    piece: int
    pins: Pins
    hem: Hem = Hem()
    leg: Leg | None = None
    inside_leg: Length | None = None
    break_name: BreakName = USUAL_BREAK
    shoe: Shoe | None = None


def hem_lines(
    asked: HemAsked, i: int, garments: Sequence[GarmentPiece], charts: Mapping[str, Chart], known: InsideLeg | None
) -> tuple[list[LineAsked], list[Notice]]:
    """Lines for the legs that change, and what is to be looked at; an inside leg that is `known` checks the pins.

    Raises Refusal `piece_unknown`, `leg_unknown`, `pins_missing` or `hem_cloth_short`, pointing at ("hems", i).
    """
    piece = next((piece for piece in garments if piece.piece == asked.piece), None)
    if piece is None:
        pieces = [str(each.piece) for each in garments]
        raise Refusal("piece_unknown", ("hems", i, "piece"), piece=asked.piece, pieces=pieces)
    leg = asked.leg or _leg_of(piece, charts)
    if leg is None:
        raise Refusal("leg_unknown", ("hems", i, "leg"), piece=asked.piece)
    try:
        plan = plan_hem(asked.pins, leg, asked.hem, _wearer(asked, known))
    except Refusal as refusal:
        raise refusal.within("hems", i) from None
    code = HEM_CODES[asked.hem.finish]
    # The cloth was checked against the pin: what is let down is there.
    lines = [
        LineAsked(piece.piece, code, each.amount, each.finished, _let_down(leg, each), _hem_note(asked, each))
        for each in plan.legs
        if each.amount
    ]
    notices = [replace(notice, at=("hems", i, *notice.at)) for notice in plan.notices]
    return lines, notices


def _let_down(leg: Leg, planned: LegPlan) -> Length | None:
    """The cloth that a longer leg comes out of."""
    return leg.cloth_inside if planned.direction == "increase" else None


def _hem_note(asked: HemAsked, leg: LegPlan) -> str:
    """How the leg ends and where it is cut: 31 in finished says nothing of the cloth below it.

    A heel that was said stands there too: another shoe at collection makes the right hem wrong (trade press).
    """
    hem = asked.hem
    slant = f", slant {Length(hem.slant_mm, leg.cut.unit).text}" if hem.slant_mm else ""
    heel = f"; marked in shoes with a heel of {asked.shoe.heel.text}" if asked.shoe else ""
    return f"{hem.words(leg.cut.unit)}{slant}; cut at {leg.cut.text}{heel}"


def _leg_of(piece: GarmentPiece, charts: Mapping[str, Chart]) -> Leg | None:
    """The leg as the chart sells it."""
    if piece.garment != "trousers" or piece.chart is None or piece.label is None:
        return None
    return leg_of(charts[piece.chart], piece.label)


def _wearer(asked: HemAsked, known: InsideLeg | None) -> Wearer | None:
    """The man whose inside leg checks the pins, if it is known."""
    shoe = asked.shoe or usual_shoe()
    if asked.inside_leg is not None:
        return Wearer(asked.inside_leg, asked.break_name, shoe)
    if known is None:
        return None
    # One that was only reckoned is known as roughly as the check said: held to a tape's error it would call half of
    # all right pins wrong (from height alone its SD is 30 mm, and pins are looked at past 19).
    return Wearer(Length(known.mm, "in"), asked.break_name, shoe, sd_mm=known.sd_mm)

"""Hems of an order: from pins on each leg to lines of work, with the cloth that each ending takes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from service.tailoring.garments.charts import Chart
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.hems.breaks import USUAL_BREAK, BreakName, Shoe, Wearer, usual_shoe
from service.tailoring.hems.dressed import AS_USUAL, Dressed
from service.tailoring.hems.hem_checks import Fitting
from service.tailoring.hems.hems import HEM_CODES, Hem, HemPlan, Leg, LegPlan, Pins, plan_hem
from service.tailoring.hems.inside_legs import InsideLeg, leg_of
from service.tailoring.notices import Notice
from service.tailoring.orders.lines.cloth_cut import LegEnding
from service.tailoring.orders.lines.order_lines import LineAsked
from service.tailoring.quantities import Length
from service.tailoring.refusals import Refusal, Where

LOOK_AGAIN = "look again before cutting"
TO_BE_PINNED = "The hem is still to be pinned: no bench begins on these trousers before each leg is marked."


@dataclass(frozen=True, slots=True)
class HemAsked:
    """The hem of one pair of trousers: a pin for each leg, how the leg ends, and the leg as it is now.

    `to_be_pinned`: its legs are marked later, by an amendment, and no bench begins before. `leg` is needed only where
    the chart does not say it, `is_cut` where its edge is raw; `inside_leg` of the man, barefoot, checks the pins. The
    usual shoe is reckoned with where none is given; `dressed` is what was worn when it was pinned (None: as at the
    fitting that the sheet is of).
    """

    piece: int
    pins: Pins = Pins()
    hem: Hem = Hem()
    leg: Leg | None = None
    inside_leg: Length | None = None
    break_name: BreakName = USUAL_BREAK
    shoe: Shoe | None = None
    to_be_pinned: bool = False
    is_cut: bool = False
    dressed: Dressed | None = None

    @property
    def worn_in(self) -> Dressed:
        """What was worn when it was pinned, as far as it was said."""
        return self.dressed or AS_USUAL

    @property
    def worn_shoe(self) -> Shoe | None:
        """The shoe that it will be worn with, where that was said."""
        heel = self.worn_in.worn_heel
        return self.shoe or (Shoe(heel) if heel else None)

    @property
    def is_pinned(self) -> bool:
        """Whether a leg of it has a pin."""
        return self.pins.left is not None or self.pins.right is not None


def dressed_now(known: Dressed, hems: Sequence[HemAsked]) -> Dressed:
    """What was worn, as it is `known`, once legs were pinned again and it was said over what."""
    for hem in hems:
        known = known.pinned_again(hem.dressed) if hem.dressed else known
    return known


def hem_lines(
    asked: HemAsked, i: int, garments: Sequence[GarmentPiece], charts: Mapping[str, Chart], known: InsideLeg | None
) -> tuple[list[LineAsked], list[Notice]]:
    """Lines for the legs that change, and what is to be looked at; an inside leg that is `known` checks the pins.

    What only the formula says is no mark: it checks a pin, and is never cut by. Raises Refusal `piece_unknown`,
    `hem_not_marked`, `pinned_already`, `leg_unknown` or `hem_cloth_short`, pointing at ("hems", i).
    """
    piece = next((piece for piece in garments if piece.piece == asked.piece), None)
    if piece is None:
        pieces = [str(each.piece) for each in garments]
        raise Refusal("piece_unknown", ("hems", i, "piece"), piece=asked.piece, pieces=pieces)
    if asked.to_be_pinned:
        if asked.is_pinned:
            raise Refusal("pinned_already", ("hems", i, "to_be_pinned"), piece=piece.piece)
        return [to_be_pinned(asked)], [to_be_pinned_notice(("hems", i, "to_be_pinned"))]
    if not asked.is_pinned:
        raise Refusal("hem_not_marked", ("hems", i, "pins"), pieces=[piece.piece])
    leg = asked.leg or _leg_of(piece, charts)
    if leg is None:
        raise Refusal("leg_unknown", ("hems", i, "leg"), piece=asked.piece)
    try:
        plan = plan_hem(asked.pins, leg, asked.hem, _wearer(asked, known), Fitting(dressed=asked.worn_in))
    except Refusal as refusal:
        raise refusal.within("hems", i) from None
    code = HEM_CODES[asked.hem.finish]
    # The cloth was checked against the pin: what is let down is there.
    lines = [
        LineAsked(
            piece.piece,
            code,
            each.amount,
            each.finished,
            _let_down(leg, each),
            _hem_note(asked, each),
            look_again=(*_look_again(each, plan), *(f"{LOOK_AGAIN}: {why}" for why in asked.worn_in.doubts_of_legs)),
            cut=each.cut,
            ending=LegEnding(asked.hem, leg, asked.worn_shoe),
        )
        for each in plan.legs
        if each.amount
    ]
    notices = [replace(notice, at=("hems", i, *notice.at)) for notice in plan.notices]
    return lines, notices


def to_be_pinned_notice(at: Where) -> Notice:
    """That an order was taken whose legs are still to be marked."""
    return Notice("hem_to_be_pinned", at, TO_BE_PINNED)


def to_be_pinned(asked: HemAsked) -> LineAsked:
    """The hem that is still to be marked: how it ends, and no length."""
    code, note = HEM_CODES[asked.hem.finish], asked.hem.words(asked.inside_leg.unit if asked.inside_leg else "in")
    return LineAsked(asked.piece, code, note=note, to_be_pinned=True)


def _look_again(leg: LegPlan, plan: HemPlan) -> tuple[str, ...]:
    """What the bench must have looked at again: a pin far from what is known, legs far apart."""
    found = []
    if leg.formula and any(each.code == "look_again" and each.at == leg.at for each in plan.notices):
        found.append(f"{LOOK_AGAIN}: pinned {leg.finished.text}, expected {leg.formula.text}")
    if any(each.code == "legs_apart" for each in plan.notices):
        ends = ", ".join(f"{each.side} {each.finished.text}" for each in plan.legs)
        found.append(f"{LOOK_AGAIN}: the legs are {plan.apart.text} apart ({ends})")
    return tuple(found)


def _let_down(leg: Leg, planned: LegPlan) -> Length | None:
    """The cloth that a longer leg comes out of."""
    return leg.cloth_inside if planned.direction == "increase" else None


def _hem_note(asked: HemAsked, leg: LegPlan) -> str:
    """How the leg ends; where it is cut is a length of its own.

    A heel that was said stands there too: another shoe at collection makes the right hem wrong (common practice, no
    source).
    """
    hem, pinned_in = asked.hem, asked.worn_in.heel or (asked.shoe.heel if asked.shoe else None)
    slant = f", slant {Length(hem.slant_mm, leg.cut.unit).text}" if hem.slant_mm else ""
    heel = f"; marked in shoes with a heel of {pinned_in.text}" if pinned_in else ""
    is_cut = asked.is_cut and asked.leg
    edge = f"; the leg is cut at {Length(is_cut.inside_leg.mm, leg.cut.unit).text} now" if is_cut else ""
    return f"{hem.words(leg.cut.unit)}{slant}{heel}{edge}"


def _leg_of(piece: GarmentPiece, charts: Mapping[str, Chart]) -> Leg | None:
    """The leg as the chart sells it; what was hemmed before is not so any more."""
    if piece.garment != "trousers" or piece.hemmed or piece.chart is None or piece.label is None:
        return None
    return leg_of(charts[piece.chart], piece.label)


def _wearer(asked: HemAsked, known: InsideLeg | None) -> Wearer | None:
    """The man whose inside leg checks the pins, if it is known."""
    shoe, fork_gap = asked.worn_shoe or usual_shoe(), asked.worn_in.fork_gap
    if asked.inside_leg is not None:
        return Wearer(asked.inside_leg, asked.break_name, shoe, fork_gap)
    if known is None:
        return None
    # One that was only reckoned is known as roughly as the check said: held to a tape's error it would call half of
    # all right pins wrong (from height alone its SD is 30 mm, and pins are looked at past 19).
    unit = (asked.pins.left or asked.pins.right or Length(0.0, "in")).unit
    leg = Length(known.mm, unit)
    return Wearer(leg, asked.break_name, shoe, fork_gap, sd_mm=known.sd_mm, aside_mm=known.aside_mm)

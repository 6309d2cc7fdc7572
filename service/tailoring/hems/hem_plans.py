"""Hem plans: where each leg ends, from its pin, or reckoned for a man whom nobody can pin."""

from __future__ import annotations

from dataclasses import dataclass, replace

from service.tailoring.body.body import Body
from service.tailoring.garments.alterations import alteration, instead_of
from service.tailoring.garments.amounts import check_amount
from service.tailoring.garments.charts import Chart
from service.tailoring.hems.breaks import USUAL_BREAK, BreakName, Shoe, Wearer, check_quantity, typical
from service.tailoring.hems.hem_checks import Fitting
from service.tailoring.hems.hems import HEM_CODES, SCALES, Hem, HemPlan, Leg, Pins, reckon_hem, turn_up_depth
from service.tailoring.hems.inside_legs import InsideLeg, Serves, inside_leg_of, leg_of, sold_legs, which_serve
from service.tailoring.notices import Notice
from service.tailoring.quantities import Length, LengthUnit
from service.tailoring.refusals import Refusal, Where

USUAL_LEG = "unfinished_regular"


@dataclass(frozen=True, slots=True)
class HemPlanAsked:
    """Pins, how the leg ends, and the leg as it is now.

    The leg is said by `leg`, by `sold_as` or by `chart` and `label`; unfinished and regular where none of them is.
    `inside_leg` is his own as taped, before what else is known of him. The usual shoe and fork are taken where neither
    they nor what he had on (`fitting`) are said. Raises Refusal `hem_quantity_outside`.
    """

    pins: Pins = Pins()
    hem: Hem = Hem()
    leg: Leg | None = None
    sold_as: str | None = None
    chart: str | None = None
    label: str | None = None
    inside_leg: Length | None = None
    break_name: BreakName = USUAL_BREAK
    heel: Length | None = None
    front_height: Length | None = None
    fork_gap: Length | None = None
    fitting: Fitting = Fitting()

    def __post_init__(self) -> None:
        for part in ("inside_leg", "heel", "front_height", "fork_gap"):
            check_quantity(part, getattr(self, part), part)

    @property
    def shoe(self) -> Shoe:
        """The shoe that he will wear, as far as it was measured."""
        heel = self.heel or self.fitting.dressed.worn_heel or typical("heel")
        return Shoe(heel, self.front_height or typical("front_height"))

    @property
    def unsaid(self) -> tuple[str, ...]:
        """What of his shoe and trousers nobody measured."""
        said = {"heel": self.heel or self.fitting.dressed.worn_heel, "fork_gap": self.fork_gap}
        return tuple(part for part, size in {**said, "front_height": self.front_height}.items() if size is None)


@dataclass(frozen=True, slots=True)
class LegNow:
    """The leg that is hemmed, and of which size it is where a chart says it; `measured`: somebody taped it."""

    leg: Leg
    measured: bool = False
    unfinished: bool | None = None
    chart: str | None = None
    revision: int | None = None
    label: str | None = None


@dataclass(frozen=True, slots=True)
class HemAnswer:
    """The leg as it is, the plan, the man it is reckoned for where he is known, and which legs as sold would serve."""

    now: LegNow
    plan: HemPlan
    inside_leg: InsideLeg | None
    wearer: Wearer | None
    serves: tuple[Serves, ...]
    notices: tuple[Notice, ...]


def plan_hems(asked: HemPlanAsked, body: Body | None, chart: Chart | None, known_at: Where) -> HemAnswer:
    """Where each leg ends, what is cut, and what is left or missing; pins beat the formula, which checks them.

    `chart` is the one that is asked for; `known_at` is where in the request the body comes from. Raises Refusal
    `inside_leg_unknown`, `hem_quantity_outside`, `leg_said_twice`, `leg_unknown`, `chart_unknown` or `label_unknown`.
    """
    now = _leg_now(asked, chart)
    man = _inside_leg(asked, body)
    wearer = _wearer(asked, man, known_at) if man else None
    pin = asked.pins.left or asked.pins.right or asked.inside_leg
    hem, said = _turned_up(asked.hem, body, pin.unit if pin else "in")
    plan = reckon_hem(asked.pins, now.leg, hem, wearer, asked.fitting)
    return HemAnswer(
        now=now,
        plan=plan,
        inside_leg=man,
        wearer=wearer,
        serves=which_serve(tuple(each.finished for each in plan.legs), hem),
        notices=(*(body.notices if body else ()), *said, *plan.notices, *_not_sewn(plan)),
    )


def _leg_now(asked: HemPlanAsked, chart: Chart | None) -> LegNow:
    by_chart = asked.chart is not None or asked.label is not None
    if (asked.leg is not None) + (asked.sold_as is not None) + by_chart > 1:
        raise Refusal("leg_said_twice", ("leg",))
    if asked.leg is not None:
        return LegNow(asked.leg, measured=True)
    if not by_chart:
        leg = sold_legs()[asked.sold_as or USUAL_LEG].leg
        return LegNow(leg, unfinished=leg.cloth_inside.mm == 0)
    if asked.chart is None or asked.label is None:
        raise Refusal("leg_said_twice", ("label" if asked.chart else "chart",))
    if chart is None:
        raise Refusal("chart_unknown", ("chart",), given=asked.chart)
    found = leg_of(chart, asked.label)
    if found is None:
        raise Refusal("leg_unknown", ("leg",), piece=asked.label)
    return LegNow(found, unfinished=chart.unfinished, chart=chart.code, revision=chart.revision, label=asked.label)


def _inside_leg(asked: HemPlanAsked, body: Body | None) -> InsideLeg | None:
    """His inside leg as taped, or what is known of it. Without pins it must be known."""
    aside = body.asymmetry.get(("trousers", "inside_leg"), (0.0, 0.0)) if body else (0.0, 0.0)
    if asked.inside_leg is not None:
        taped = Wearer(asked.inside_leg)
        return InsideLeg(taped.inside_leg.mm, taped.sd_mm, read=True, aside_mm=aside)
    found = inside_leg_of(body) if body else None
    if found is None and asked.pins.left is None and asked.pins.right is None:
        raise Refusal("inside_leg_unknown", ("pins",))
    return found


def _wearer(asked: HemPlanAsked, man: InsideLeg, known_at: Where) -> Wearer:
    unit = (asked.inside_leg or asked.pins.left or asked.pins.right or Length(0.0, "in")).unit
    try:
        return Wearer(
            Length(man.mm, unit),
            asked.break_name,
            asked.shoe,
            asked.fork_gap or asked.fitting.dressed.fork_gap,
            sd_mm=man.sd_mm,
            aside_mm=man.aside_mm,
            unsaid=asked.unsaid,
        )
    except Refusal as refusal:
        raise Refusal(refusal.code, known_at, **refusal.facts) from None


def _not_sewn(plan: HemPlan) -> list[Notice]:
    """What an order would refuse, because a hem does not go so far or that way."""
    doing = alteration(HEM_CODES[plan.hem.finish])
    found = []
    for leg in plan.legs:
        if leg.amount is None or leg.missing.mm:
            continue
        try:
            check_amount(doing, leg.amount)
        except Refusal as refusal:
            words = f"{leg.side}: an order refuses this; it is limited by {doing.limited_by}."
            instead = instead_of(doing.code)
            found.append(Notice(refusal.code, leg.at, f"{words} Instead: {instead}.", tuple(refusal.facts.items())))
    return found


def _turned_up(hem: Hem, body: Body | None, unit: LengthUnit) -> tuple[Hem, tuple[Notice, ...]]:
    """A turn-up whose depth nobody said follows the man's height, where that was read; said in `unit`."""
    if hem.finish != "turn_up" or hem.turn_up or body is None or "stature" not in body.belief.read:
        return hem, ()
    stature = Length(body.belief.median("stature"), "in")
    depth, other = (Length(turn_up_depth(stature, scale).mm, unit) for scale in SCALES)
    words = f"{depth.text} turned up for their height; by another scale {other.text}"
    return replace(hem, turn_up=depth), (Notice("turn_up_by_height", ("turn_up",), words),)

"""Hem plans: where each leg ends, from its pin, or reckoned for a man whom nobody can pin."""

from __future__ import annotations

from dataclasses import dataclass, replace

from service.counter.charts import find_chart
from service.counter.desk import Caller, Desk
from service.counter.measurement_sets import Known, body_asked, looking_up
from service.storage.database import Transaction
from service.tailoring.body import Body
from service.tailoring.breaks import USUAL_BREAK, BreakName, Shoe, Wearer, usual_shoe
from service.tailoring.hem_checks import Fitting
from service.tailoring.hems import Hem, HemPlan, Leg, Pins, plan_hem, turn_up_depth
from service.tailoring.inside_legs import InsideLeg, Serves, inside_leg_of, leg_of, sold_legs, which_serve
from service.tailoring.notices import Notice
from service.tailoring.quantities import Length
from service.tailoring.refusals import Refusal

USUAL_LEG = "unfinished_regular"


@dataclass(frozen=True, slots=True)
class HemPlanAsked:
    """Pins, how the leg ends, the leg as it is now, and what is known of the man.

    The leg is said by `leg`, by `sold_as` or by `chart` and `label`; unfinished and regular where none of them is.
    `inside_leg` is his own as taped, before what `known` tells of it.
    """

    pins: Pins = Pins()
    hem: Hem = Hem()
    leg: Leg | None = None
    sold_as: str | None = None
    chart: str | None = None
    label: str | None = None
    inside_leg: Length | None = None
    break_name: BreakName = USUAL_BREAK
    shoe: Shoe | None = None
    fork_gap: Length | None = None
    fitting: Fitting = Fitting()
    known: Known = Known()


@dataclass(frozen=True, slots=True)
class HemAnswer:
    """The plan; the man it is reckoned for, where he is known; and which legs as sold would serve."""

    plan: HemPlan
    inside_leg: InsideLeg | None
    wearer: Wearer | None
    serves: tuple[Serves, ...]
    notices: tuple[Notice, ...]


def plan_hems(desk: Desk, caller: Caller, asked: HemPlanAsked) -> HemAnswer:
    """Where each leg ends, what is cut, and what is left; the pin beats the formula, and the formula checks the pin.

    Raises Refusal `inside_leg_unknown`, `leg_said_twice`, `leg_unknown`, `hem_cloth_short`, `chart_unknown`,
    `label_unknown` or what `body_asked` refuses.
    """
    with looking_up(desk, asked.known) as tx:
        body = body_asked(tx, desk, caller, asked.known)[0] if asked.known != Known() else None
        leg = _leg(tx, caller, asked)
    man = _inside_leg(asked, body)
    wearer = _wearer(asked, man) if man else None
    hem, said = _turned_up(asked.hem, body)
    plan = plan_hem(asked.pins, leg, hem, wearer, asked.fitting)
    return HemAnswer(
        plan=plan,
        inside_leg=man,
        wearer=wearer,
        serves=which_serve(tuple(each.finished for each in plan.legs), hem),
        notices=(*(body.notices if body else ()), *said, *plan.notices),
    )


def _leg(tx: Transaction, caller: Caller, asked: HemPlanAsked) -> Leg:
    by_chart = asked.chart is not None or asked.label is not None
    if (asked.leg is not None) + (asked.sold_as is not None) + by_chart > 1:
        raise Refusal("leg_said_twice", ("leg",))
    if asked.leg is not None:
        return asked.leg
    if not by_chart:
        return sold_legs()[asked.sold_as or USUAL_LEG].leg
    if asked.chart is None or asked.label is None:
        raise Refusal("leg_said_twice", ("label" if asked.chart else "chart",))
    found = leg_of(find_chart(tx, caller.shop.id, asked.chart), asked.label)
    if found is None:
        raise Refusal("leg_unknown", ("leg",), piece=asked.label)
    return found


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


def _wearer(asked: HemPlanAsked, man: InsideLeg) -> Wearer:
    told = {"fork_gap": asked.fork_gap} if asked.fork_gap else {}
    unit = (asked.inside_leg or asked.pins.left or asked.pins.right or Length(0.0, "in")).unit
    return Wearer(
        Length(man.mm, unit),
        asked.break_name,
        asked.shoe or usual_shoe(),
        sd_mm=man.sd_mm,
        aside_mm=man.aside_mm,
        **told,
    )


def _turned_up(hem: Hem, body: Body | None) -> tuple[Hem, tuple[Notice, ...]]:
    """A turn-up whose depth nobody said follows the man's height, where that was read."""
    if hem.finish != "turn_up" or hem.turn_up or body is None or "stature" not in body.belief.read:
        return hem, ()
    stature = Length(body.belief.median("stature"), "in")
    depth, other = turn_up_depth(stature), turn_up_depth(stature, "other")
    words = f"{depth.text} turned up for his height; by another scale {other.text}"
    return replace(hem, turn_up=depth), (Notice("turn_up_by_height", ("turn_up",), words),)

"""Hem plans over HTTP."""

from __future__ import annotations

from typing import Any

from marshmallow import Schema, fields, post_load, validate

from service.counter.desk import Caller
from service.counter.hems import USUAL_LEG, HemAnswer, HemPlanAsked, plan_hems
from service.http.bodies import KnownSchema, take_known
from service.http.notices import NoticeSchema, notices
from service.http.operations import desk, operation
from service.http.order_sheets import LegSchema, PinsSchema
from service.http.parsing import Room
from service.http.values import Choice, Flag, LengthSchema, Out, Text, refusals_as_errors, written
from service.tailoring.alterations import DIRECTIONS
from service.tailoring.breaks import BREAK_NAMES, USUAL_BREAK, Shoe, Wearer, breaks
from service.tailoring.cautions import cautions_at
from service.tailoring.hem_checks import Fitting
from service.tailoring.hems import FINISHES, Hem, LegPlan, Pins
from service.tailoring.inside_legs import SHARE, InsideLeg, interval, sold_legs
from service.tailoring.quantities import Length

room = Room("hems", __name__, description="Where each leg ends: by its pin, or reckoned where nobody can pin")

EXAMPLE = {
    "readings": [
        {"dimension": "stature", "value": 178, "unit": "cm", "source": "self_reported"},
        {"dimension": "body_mass", "value": 76, "unit": "kg", "source": "self_reported"},
    ],
    "age_years": 34,
    "break": "half",
}
ENDING = ("finish", "turn_up", "inside_turn", "slant")
FITTING = ("pinned_heel", "hem_girth", "foot_girth", "waist_to_floor", "side_rise", "steamed")
FALLS = (*BREAK_NAMES, "too_long")


def _length(words: str) -> fields.Nested:
    return fields.Nested(LengthSchema, metadata={"description": words})


class HemPlanAskedSchema(KnownSchema):
    """Pins, how the leg ends, the leg as it is now, and what is known of the man. Every part may be left out.

    Without pins both legs are reckoned from `inside_leg`, or from what is known of him.
    """

    pins = fields.Nested(PinsSchema)
    finish = Choice(FINISHES, load_default="plain")
    turn_up = _length("its depth; by his height where that was read, else 1 1/2 in")
    inside_turn = _length("cloth turned up inside")
    slant = _length("by how much the back is longer; none with turn-ups")
    break_name = Choice(BREAK_NAMES, data_key="break", load_default=USUAL_BREAK)
    leg = fields.Nested(LegSchema, metadata={"description": "the leg as it is now"})
    sold_as = Choice(
        tuple(sold_legs()), metadata={"description": f"in place of `leg`; {USUAL_LEG} where no leg is said"}
    )
    chart = Text(most=40, least=1, metadata={"description": "with `label`, in place of `leg`"})
    label = Text(most=20, least=1)
    inside_leg = _length("the man's own as taped, crotch to floor barefoot")
    heel = _length("of the shoe that he will wear")
    front_height = _length("above the floor, where the front hem meets the shoe")
    fork_gap = _length("of the trouser fork below the body")
    pinned_heel = _length("of the shoe that he stood on when the pins were set")
    hem_girth = _length("width of the hem, all round")
    foot_girth = _length("from heel to instep, all round")
    waist_to_floor = _length("at the side, in shoes, from where the band sits")
    side_rise = _length("outside leg less inside leg, band included")
    steamed = Flag(metadata={"description": "false: wool or linen that was not steamed before it was marked"})

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> HemPlanAsked:
        with refusals_as_errors():
            hem = Hem(**{part: data.pop(part) for part in ENDING if part in data})
            fitting = Fitting(**{part: data.pop(part) for part in FITTING if part in data})
            shoe = {part: data.pop(part) for part in ("heel", "front_height") if part in data}
            if shoe:
                data["shoe"] = Shoe(**shoe)
            if "inside_leg" in data:
                Wearer(data["inside_leg"])
            if "fork_gap" in data:
                Wearer(Length(800.0), fork_gap=data["fork_gap"])
        return HemPlanAsked(hem=hem, fitting=fitting, **{"pins": Pins(), **take_known(data)})


class HemEndingSchema(Schema):
    """How the leg ends, whole: what was not said is usual."""

    finish = fields.String(required=True, validate=validate.OneOf(FINISHES))
    words = fields.String(required=True)
    slant = Out(required=True)
    inside_turn = Out(required=True)
    cloth_below = Out(
        required=True, metadata={"description": "below the finished edge: the inside turn, and twice a turn-up"}
    )


class BreakSchema(Schema):
    """A break of the front on the shoe; `surplus_mm` is the cloth beyond the way to the shoe."""

    name = fields.String(required=True, validate=validate.OneOf(FALLS))
    looks = fields.String(required=True)
    surplus_mm = fields.Float(required=True)


class InsideLegSchema(Schema):
    """The man's own inside leg: read, or reckoned. `share` of men like him lie between `low` and `high`."""

    middle = Out(required=True)
    read = fields.Boolean(required=True)
    sd_mm = fields.Float(required=True)
    low = Out(required=True)
    high = Out(required=True)
    share = fields.Float(required=True)


class ReckonedSchema(Schema):
    """The finished inside leg by the formula, with its interval: for the shop that cannot pin, and to check the pin."""

    finished = Out(required=True)
    sd_mm = fields.Float(required=True)
    low = Out(required=True)
    high = Out(required=True)
    share = fields.Float(required=True)
    words = fields.String(required=True)


class LegPlanSchema(Schema):
    """One leg: `cut` is finished and the cloth below; `change` is from its present edge."""

    side = fields.String(required=True, validate=validate.OneOf(["left", "right"]))
    basis = fields.String(required=True, validate=validate.OneOf(["pinned", "formula"]))
    finished = Out(required=True)
    direction = fields.String(required=True, allow_none=True, validate=validate.OneOf([*DIRECTIONS, None]))
    change = Out(required=True)
    cut = Out(required=True)
    left_over = Out(required=True)
    falls = fields.Nested(
        BreakSchema, required=True, allow_none=True, metadata={"description": "known where his inside leg was taped"}
    )


class ServesSchema(Schema):
    """A leg as trousers are sold with it: whether its cloth serves, and what would be cut off at the most."""

    sold_as = fields.String(required=True, validate=validate.OneOf(tuple(sold_legs())))
    words = fields.String(required=True)
    inside_leg = Out(required=True)
    serves = fields.Boolean(required=True)
    left_over = Out(required=True)


class HemPlanSchema(Schema):
    """Where each leg ends, and what is to be looked at before it is cut."""

    hem = fields.Nested(HemEndingSchema, required=True)
    asked_break = fields.Nested(BreakSchema, required=True, allow_none=True, data_key="break")
    inside_leg = fields.Nested(InsideLegSchema, required=True, allow_none=True)
    reckoned = fields.Nested(ReckonedSchema, required=True, allow_none=True)
    legs = fields.List(fields.Nested(LegPlanSchema), required=True)
    apart = Out(required=True)
    as_sold = fields.List(fields.Nested(ServesSchema), required=True)
    cautions = fields.List(fields.String(), required=True)
    warnings = fields.List(fields.Nested(NoticeSchema), required=True)


@operation(
    room, "POST", "/hem-plans", scope="advise", body=HemPlanAskedSchema, answer=HemPlanSchema, example=EXAMPLE,
    pages=True,
)  # fmt: skip
def plan_hem_lengths(caller: Caller, asked: HemPlanAsked) -> dict[str, Any]:
    """Where each leg is cut: to its own pin, or reckoned with an interval, and what to look at before it is cut."""
    found = plan_hems(desk(), caller, asked)
    plan = found.plan
    return {
        "hem": {
            "finish": plan.hem.finish,
            "words": plan.hem.words,
            "slant": written(Length(plan.hem.slant_mm, "in")),
            "inside_turn": written(Length(plan.hem.inside_turn_mm, "in")),
            "cloth_below": written(plan.cloth_below),
        },
        "break": _break(found.wearer, plan.hem.slant_mm),
        "inside_leg": _inside_leg(found.inside_leg, plan.legs[0].finished) if found.inside_leg else None,
        "reckoned": _reckoned(found) if found.wearer else None,
        "legs": [_leg(each) for each in plan.legs],
        "apart": written(plan.apart),
        "as_sold": [
            {
                "sold_as": each.sold.name,
                "words": each.sold.words,
                "inside_leg": written(each.sold.leg.inside_leg),
                "serves": each.serves,
                "left_over": written(each.left_over),
            }
            for each in found.serves
        ],
        "cautions": [each.text for each in cautions_at(("trousers", "finishing"))],
        "warnings": notices(found.notices),
    }


def _break(wearer: Wearer | None, slant_mm: float) -> dict[str, Any] | None:
    """The break that was asked for, and the surplus that it has on this shoe."""
    if wearer is None:
        return None
    surplus_mm = wearer.falls_mm(wearer.finished_mm(slant_mm, "left"), slant_mm, "left")
    asked = breaks()[wearer.break_name]
    return {"name": asked.name, "looks": asked.looks, "surplus_mm": round(surplus_mm, 1)}


def _inside_leg(man: InsideLeg, like: Length) -> dict[str, Any]:
    low, high = interval(man.mm, man.sd_mm)
    return {
        "middle": written(Length(man.mm, like.unit)),
        "read": man.read,
        "sd_mm": round(man.sd_mm, 1),
        "low": written(Length(low, like.unit)),
        "high": written(Length(high, like.unit)),
        "share": SHARE,
    }


def _reckoned(found: HemAnswer) -> dict[str, Any]:
    plan, wearer = found.plan, found.wearer
    if wearer is None or plan.formula is None:
        raise AssertionError("a formula without a wearer")
    low, high = interval(plan.formula.mm, wearer.finished_sd_mm)
    return {
        "finished": written(plan.formula),
        "sd_mm": round(wearer.finished_sd_mm, 1),
        "low": written(Length(low, plan.formula.unit)),
        "high": written(Length(high, plan.formula.unit)),
        "share": SHARE,
        "words": "derived, still to be checked on real men in shoes; the pin beats it",
    }


def _leg(leg: LegPlan) -> dict[str, Any]:
    falls = leg.falls
    return {
        "side": leg.side,
        "basis": leg.basis,
        "finished": written(leg.finished),
        "direction": leg.direction,
        "change": written(leg.change),
        "cut": written(leg.cut),
        "left_over": written(leg.left_over),
        "falls": falls and {"name": falls.name, "looks": falls.looks, "surplus_mm": round(leg.surplus_mm or 0.0, 1)},
    }

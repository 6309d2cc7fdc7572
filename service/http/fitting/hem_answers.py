"""Hem plans going out: the leg as it is, each leg as it will be, the formula beside it, and what to look at."""

from __future__ import annotations

from typing import Any

from marshmallow import fields, validate

from service.http.notices import NoticeSchema, notices
from service.http.quantities import Out, written
from service.http.schemas import Schema
from service.http.texts import in_words
from service.tailoring.garments.alterations import DIRECTIONS
from service.tailoring.hems.breaks import BREAK_NAMES, Wearer, breaks
from service.tailoring.hems.hem_plans import HemAnswer, LegNow
from service.tailoring.hems.hems import FINISHES, LegPlan
from service.tailoring.hems.inside_legs import SHARES, InsideLeg, interval, sold_legs
from service.tailoring.quantities import Length, LengthUnit
from service.tailoring.work.cautions import cautions_at

FALLS = (*BREAK_NAMES, "too_long")


class HemEndingSchema(Schema):
    """How the leg ends in full: what was not given is as usual."""

    finish = fields.String(required=True, validate=validate.OneOf(FINISHES))
    words = fields.String(required=True)
    slant = Out(required=True)
    inside_turn = Out(required=True)
    cloth_below = Out(
        required=True, metadata={"description": "below the finished edge: the inside turn, and twice a turn-up"}
    )


class BreakSchema(Schema):
    """A break of the front on the shoe."""

    name = fields.String(required=True, validate=validate.OneOf(FALLS))
    looks = fields.String(required=True)
    surplus = Out(
        required=True, metadata={"description": "cloth beyond what reaches the shoe; negative where it hangs clear"}
    )


class IntervalSchema(Schema):
    """The range in which a share of people like the customer lies."""

    # No list of numbers: generated clients know enumerations of words only.
    share = fields.Float(required=True, validate=validate.Range(0, 1), metadata={"example": SHARES[0]})
    low = Out(required=True)
    high = Out(required=True)


class InsideLegSchema(Schema):
    """The customer's own inside leg, the middle of both legs: taped, or estimated."""

    middle = Out(required=True)
    read = fields.Boolean(required=True)
    sd_mm = fields.Float(required=True)
    intervals = fields.List(fields.Nested(IntervalSchema), required=True)


class EstimatedLegSchema(Schema):
    """The finished inside leg by the formula, with its intervals: for the shop that cannot pin, and to check the pin.

    They are of the customer's leg, of the back hem, and of heel and fork gap where these were not given.
    """

    finished = Out(required=True)
    sd_mm = fields.Float(required=True)
    intervals = fields.List(fields.Nested(IntervalSchema), required=True)
    words = fields.String(required=True)


class LegNowSchema(Schema):
    """The leg as it is now: as it was `measured`, as the chart says, or as such trousers are sold."""

    inside_leg = Out(required=True)
    cloth_inside = Out(required=True)
    measured = fields.Boolean(required=True)
    unfinished = fields.Boolean(required=True, allow_none=True, metadata={"description": "null: not known"})
    chart = fields.String(required=True, allow_none=True)
    revision = fields.Integer(required=True, allow_none=True)
    label = fields.String(required=True, allow_none=True)


class LegCheckSchema(Schema):
    """What the formula says about one leg, and about its pin."""

    finished = Out(required=True)
    intervals = fields.List(fields.Nested(IntervalSchema), required=True)
    pin_off = Out(
        required=True, allow_none=True, metadata={"description": "pin less formula, negative where it is shorter"}
    )
    look_again = fields.Boolean(required=True)


class LegPlanSchema(Schema):
    """One leg: `cut` is finished and the cloth below; `change` is from its present edge."""

    side = fields.String(required=True, validate=validate.OneOf(["left", "right"]))
    basis = fields.String(required=True, validate=validate.OneOf(["pinned", "formula"]))
    finished = Out(required=True)
    direction = fields.String(required=True, allow_none=True, validate=validate.OneOf([*DIRECTIONS, None]))
    change = Out(required=True)
    cut = Out(required=True)
    left_over = Out(required=True)
    missing = Out(required=True, metadata={"description": "cloth that the leg lacks; an order would be refused"})
    longest = Out(required=True, metadata={"description": "the longest finished leg that its cloth and hem allow"})
    instead = fields.String(
        required=True, allow_none=True, metadata={"description": "what would serve where cloth is missing"}
    )
    formula = fields.Nested(LegCheckSchema, required=True, allow_none=True)
    falls = fields.Nested(
        BreakSchema,
        required=True,
        allow_none=True,
        metadata={"description": "how the front falls on the shoe; null: the customer's inside leg was not taped"},
    )


class LegLengthSoldSchema(Schema):
    """A leg length in which trousers are sold: whether its cloth serves, and the most that would be cut off."""

    sold_as = fields.String(required=True, validate=validate.OneOf(tuple(sold_legs())))
    words = fields.String(required=True)
    inside_leg = Out(required=True)
    serves = fields.Boolean(required=True)
    left_over = Out(required=True)


class HemPlanSchema(Schema):
    """Where each leg ends, and what is to be checked before it is cut."""

    leg = fields.Nested(LegNowSchema, required=True)
    hem = fields.Nested(HemEndingSchema, required=True)
    asked_break = fields.Nested(BreakSchema, required=True, allow_none=True, data_key="break")
    inside_leg = fields.Nested(InsideLegSchema, required=True, allow_none=True)
    estimated = fields.Nested(EstimatedLegSchema, required=True, allow_none=True)
    legs = fields.List(fields.Nested(LegPlanSchema), required=True)
    apart = Out(required=True)
    as_sold = fields.List(fields.Nested(LegLengthSoldSchema), required=True)
    cautions = fields.List(fields.String(), required=True)
    warnings = fields.List(fields.Nested(NoticeSchema), required=True)


def hem_document(found: HemAnswer) -> dict[str, Any]:
    """A hem plan as it is answered."""
    plan = found.plan
    return {
        "leg": _leg_now(found.now),
        "hem": {
            "finish": plan.hem.finish,
            "words": plan.hem.words(plan.cloth_below.unit),
            "slant": written(Length(plan.hem.slant_mm, "in")),
            "inside_turn": written(Length(plan.hem.inside_turn_mm, "in")),
            "cloth_below": written(plan.cloth_below),
        },
        "break": _break(found.wearer, plan.hem.slant_mm, plan.apart.unit),
        "inside_leg": _inside_leg(found.inside_leg, plan.legs[0].finished) if found.inside_leg else None,
        "estimated": _estimated(found) if found.wearer else None,
        "legs": [_leg(each, found) for each in plan.legs],
        "apart": written(plan.apart),
        "as_sold": [
            {
                "sold_as": each.sold.name,
                "words": in_words(each.sold.words, rough=False),
                "inside_leg": written(each.sold.leg.inside_leg),
                "serves": each.serves,
                "left_over": written(each.left_over),
            }
            for each in found.serves
        ],
        "cautions": [each.text for each in cautions_at(("trousers", "finishing"))],
        "warnings": notices(found.notices),
    }


def _leg_now(now: LegNow) -> dict[str, Any]:
    return {
        "inside_leg": written(now.leg.inside_leg),
        "cloth_inside": written(now.leg.cloth_inside),
        "measured": now.measured,
        "unfinished": now.unfinished,
        "chart": now.chart,
        "revision": now.revision,
        "label": now.label,
    }


def _break(wearer: Wearer | None, slant_mm: float, unit: LengthUnit) -> dict[str, Any] | None:
    """The break that was asked for, and the surplus that it has on this shoe."""
    if wearer is None:
        return None
    surplus_mm = wearer.falls_mm(wearer.finished_mm(slant_mm, "left"), slant_mm, "left")
    asked = breaks()[wearer.break_name]
    return {"name": asked.name, "looks": asked.looks, "surplus": written(Length(surplus_mm, unit))}


def _inside_leg(man: InsideLeg, like: Length) -> dict[str, Any]:
    return {
        "middle": written(Length(man.mm, like.unit)),
        "read": man.read,
        "sd_mm": round(man.sd_mm, 1),
        "intervals": _intervals(Length(man.mm, like.unit), man.sd_mm),
    }


def _estimated(found: HemAnswer) -> dict[str, Any]:
    plan, wearer = found.plan, found.wearer
    if wearer is None or plan.formula is None:
        raise AssertionError("a formula without a wearer")
    return {
        "finished": written(plan.formula),
        "sd_mm": round(wearer.finished_sd_mm, 1),
        "intervals": _intervals(plan.formula, wearer.finished_sd_mm),
        "words": "derived, still to be checked on customers in shoes; the pin beats it",
    }


def _intervals(middle: Length, sd_mm: float) -> list[dict[str, Any]]:
    found = []
    for share in SHARES:
        low, high = (written(Length(end_mm, middle.unit)) for end_mm in interval(middle.mm, sd_mm, share))
        found.append({"share": share, "low": low, "high": high})
    return found


def _check(leg: LegPlan, found: HemAnswer) -> dict[str, Any] | None:
    if leg.formula is None or found.wearer is None:
        return None
    return {
        "finished": written(leg.formula),
        "intervals": _intervals(leg.formula, found.wearer.finished_sd_mm),
        "pin_off": written(leg.pin_off) if leg.pin_off else None,
        "look_again": any(each.code == "look_again" and each.at == leg.at for each in found.plan.notices),
    }


def _leg(leg: LegPlan, found: HemAnswer) -> dict[str, Any]:
    falls, surplus = leg.falls, Length(leg.surplus_mm or 0.0, leg.finished.unit)
    return {
        "side": leg.side,
        "basis": leg.basis,
        "finished": written(leg.finished),
        "direction": leg.direction,
        "change": written(leg.change),
        "cut": written(leg.cut),
        "left_over": written(leg.left_over),
        "missing": written(leg.missing),
        "longest": written(leg.longest),
        "instead": leg.instead,
        "formula": _check(leg, found),
        "falls": falls and {"name": falls.name, "looks": falls.looks, "surplus": written(surplus)},
    }

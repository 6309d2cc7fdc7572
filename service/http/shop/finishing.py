"""Finishing plans over HTTP: how pieces are pressed, by their cloth and their make."""

from __future__ import annotations

from typing import Any

from marshmallow import ValidationError, fields, post_load, validate

from service.http.notices import NoticeSchema, notices
from service.http.operations import operation
from service.http.parsing import StrictBlueprint
from service.http.schemas import Schema
from service.http.values import Choice, Count, Flag, Number, Out, Strict, Text, written
from service.tailoring.garments.pieces import PATTERNS
from service.tailoring.notices import Notice
from service.tailoring.refusals import Refusal
from service.tailoring.work.cautions import cautions
from service.tailoring.work.finishing import (
    FUSED,
    Heat,
    careful_heat,
    crease_stop,
    creases_for,
    fibre_names,
    finishing_rules,
    heat_of,
    heat_of_fibres,
    pressing_steps,
)
from service.use_cases.context import Caller

room = StrictBlueprint("finishing", __name__, description="How pieces are pressed")

GARMENTS_MOST = 10
FIBRES_MOST = 8
PLEATS_MOST = 4
PRESSED = ("jacket", "trousers", "waistcoat")
# Labels round each share to a whole number.
SHARES_MOST = 101.0
SHARES_LEAST = 99.0
EXAMPLE = {
    "garments": [
        {
            "garment": "trousers",
            "fibres": [{"fibre": "wool", "share": 97}, {"fibre": "elastane", "share": 3}],
            "dark": True,
            "pleats": 1,
        },
        {"garment": "jacket", "cloth": "navy wool flannel", "lining": "viscose or cupro"},
    ]
}


class FibreSchema(Strict):
    """A fibre of the cloth, with its share in percent where the label says it."""

    fibre = Choice(fibre_names(), required=True)
    share = Number(validate=validate.Range(0, 100, min_inclusive=False))


class PressedSchema(Strict):
    """A garment to be pressed. The cloth is known by its `fibres`, or by the words of an order for it.

    `pleats` are those of a front: 0 is a flat front; where it is not said, both rules are answered.
    """

    garment = Choice(PRESSED, required=True)
    fibres = fields.List(fields.Nested(FibreSchema), load_default=list, validate=validate.Length(max=FIBRES_MOST))
    cloth = Text(most=80, load_default="")
    lining = Choice(fibre_names())
    fused = Flag(metadata={"description": "fused fronts; as a jacket and a waistcoat have, where it is not said"})
    dark = Flag(load_default=False)
    pleats = Count(0, PLEATS_MOST, load_default=None)
    casual = Flag(load_default=False, metadata={"description": "casual cotton trousers"})
    turn_up = Flag(load_default=False)
    pattern = Choice(PATTERNS, load_default="plain")

    @post_load
    def _checked(self, data: dict[str, Any], **_: object) -> dict[str, Any]:
        names = [each["fibre"] for each in data["fibres"]]
        for i, name in enumerate(names):
            if name in names[:i]:
                raise ValidationError({"fibres": {i: {"fibre": [Refusal("fibre_repeated", fibre=name)]}}})
        shares = sum(each.get("share", 0.0) for each in data["fibres"])
        is_whole = bool(names) and all("share" in each for each in data["fibres"])
        # What no share speaks for could be more delicate than all that was named.
        if shares > SHARES_MOST or (is_whole and shares < SHARES_LEAST):
            raise ValidationError({"fibres": [Refusal("shares_wrong", sum=round(shares, 1))]})
        return data


class FinishingAskedSchema(Strict):
    """The garments to be pressed."""

    garments = fields.List(fields.Nested(PressedSchema), required=True, validate=validate.Length(1, GARMENTS_MOST))


class HeatSchema(Schema):
    """What a cloth bears: ISO 3758's dots and degrees at the most. `fibres` stand with the most delicate first."""

    fibres = fields.List(fields.String(), required=True)
    most_c = fields.Integer(required=True)
    dots = fields.String(required=True)
    steam = fields.String(required=True)
    press_cloth = fields.String(required=True)
    cautions = fields.List(fields.String(), required=True)


class StepSchema(Schema):
    """A step, in its order; `seconds` from and to, `per` pair, leg, section or garment."""

    words = fields.String(required=True)
    note = fields.String(required=True)
    seconds = fields.List(fields.Integer(), required=True, validate=validate.Length(equal=2))
    per = fields.String(required=True)


class FinishedSchema(Schema):
    """How one garment is pressed. Without `heat` its fibre is not known: the care label decides."""

    garment = fields.String(required=True)
    heat = fields.Nested(HeatSchema, required=True, allow_none=True)
    lining = fields.Nested(HeatSchema, required=True, allow_none=True)
    creases = fields.List(fields.String(), required=True)
    crease_below_band = Out(
        required=True, allow_none=True, metadata={"description": "where the crease of a flat front stops"}
    )
    steps = fields.List(fields.Nested(StepSchema), required=True)
    rules = fields.List(fields.String(), required=True)


class FinishingSchema(Schema):
    """How the garments are pressed, and what to mind at the iron."""

    garments = fields.List(fields.Nested(FinishedSchema), required=True)
    cautions = fields.List(fields.String(), required=True)
    warnings = fields.List(fields.Nested(NoticeSchema), required=True)


@operation(
    room, "POST", "/finishing-plans", scope=("order", "workroom"), body=FinishingAskedSchema, answer=FinishingSchema,
    example=EXAMPLE,
)  # fmt: skip
def plan_finishing(_caller: Caller, asked: dict[str, Any]) -> dict[str, Any]:
    """How pieces are pressed: heat by the most delicate fibre, steps with their seconds, creases, and cautions."""
    garments = [_finished(each) for each in asked["garments"]]
    unknown = [i for i, each in enumerate(garments) if each["heat"] is None]
    return {
        "garments": garments,
        # Blades and pins too: pins and bastings come out first.
        "cautions": [each.text for each in cautions()],
        "warnings": notices(tuple(_not_known(i) for i in unknown)),
    }


def _not_known(position: int) -> Notice:
    careful = careful_heat()
    words = (
        f"its fibre is not known: press it by its care label; where it has none, at most {careful.most_c} °C, "
        f"{careful.dots}, without steam, under a dry press cloth, tried first where it is not seen"
    )
    return Notice("fibre_not_known", ("garments", position), words, (("most_c", careful.most_c),))


def _finished(asked: dict[str, Any]) -> dict[str, Any]:
    named = {each["fibre"] for each in asked["fibres"]}
    by_words = heat_of(asked["cloth"])
    named |= set(by_words.fibres) if by_words else set()
    # Fused fronts bear less than some cloth, and say nothing of cloth that is not known.
    named |= {"fused fronts"} if named and asked.get("fused", asked["garment"] in FUSED) else set()
    # A share that nobody knows leaves the whole cloth unknown, whatever else is named.
    heat = None if by_words is None and "%" in asked["cloth"] else heat_of_fibres(named)
    lining = heat_of_fibres([asked["lining"]]) if "lining" in asked else None
    is_creased = asked["garment"] == "trousers"
    stop = crease_stop(pleats=asked["pleats"], casual=asked["casual"]) if is_creased else None
    options = {name: asked[name] for name in ("pleats", "casual", "pattern", "turn_up")}
    return {
        "garment": asked["garment"],
        "heat": _heat(heat),
        "lining": _heat(lining),
        "creases": list(creases_for(**options)) if is_creased else [],
        "crease_below_band": written(stop) if stop else None,
        "steps": [
            {"words": each.words, "note": each.note, "seconds": list(each.seconds), "per": each.per}
            for each in pressing_steps(asked["garment"])
        ],
        "rules": list(finishing_rules(asked["garment"], heat, dark=asked["dark"])),
    }


def _heat(heat: Heat | None) -> dict[str, Any] | None:
    if heat is None:
        return None
    return {
        "fibres": list(heat.fibres),
        "most_c": heat.most_c,
        "dots": heat.dots,
        "steam": heat.steam,
        "press_cloth": heat.press_cloth,
        "cautions": list(heat.cautions),
    }

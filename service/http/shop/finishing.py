"""Finishing plans over HTTP: how pieces are pressed, by their cloth and their make."""

from __future__ import annotations

from typing import Any

from marshmallow import ValidationError, fields, post_load, validate

from service.http.notices import NoticeSchema
from service.http.operations import operation
from service.http.parsing import StrictBlueprint
from service.http.quantities import Out
from service.http.schemas import Schema, Word
from service.http.texts import Text
from service.http.values import Choice, Count, Flag, Number, Strict
from service.tailoring.garments.charts import GARMENTS
from service.tailoring.garments.pieces import PATTERNS
from service.tailoring.refusals import Refusal
from service.tailoring.work.finishing import fibre_names
from service.tailoring.work.finishing_plans import FinishingPlan, GarmentToPress, finishing_plan
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


class GarmentToPressSchema(Strict):
    """A garment to be pressed. The cloth is known by its `fibres`, or by the words of an order for it.

    `pleats` are those of a front: 0 is a flat front; where it is not given, both rules are answered.
    """

    garment = Choice(PRESSED, required=True)
    fibres = fields.List(fields.Nested(FibreSchema), load_default=list, validate=validate.Length(max=FIBRES_MOST))
    cloth = Text(most=80, load_default="")
    lining = Choice(fibre_names())
    fused = Flag(metadata={"description": "fused fronts; as a jacket and a waistcoat have, where it is not given"})
    dark = Flag(load_default=False)
    pleats = Count(0, PLEATS_MOST, load_default=None)
    casual = Flag(load_default=False, metadata={"description": "casual cotton trousers"})
    crease = Flag(
        metadata={"description": "true: a crease is wanted, false: none; casual trousers get none where it is left out"}
    )
    turn_up = Flag(load_default=False)
    pattern = Choice(PATTERNS, load_default="plain")

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> GarmentToPress:
        names = [each["fibre"] for each in data["fibres"]]
        for i, name in enumerate(names):
            if name in names[:i]:
                raise ValidationError({"fibres": {i: {"fibre": [Refusal("fibre_repeated", fibre=name)]}}})
        shares = sum(each.get("share", 0.0) for each in data["fibres"])
        is_whole = bool(names) and all("share" in each for each in data["fibres"])
        # What no share speaks for could be more delicate than all that was named.
        if shares > SHARES_MOST or (is_whole and shares < SHARES_LEAST):
            raise ValidationError({"fibres": [Refusal("shares_wrong", sum=round(shares, 1))]})
        return GarmentToPress(**{**data, "fibres": tuple(names)})


class FinishingAskedSchema(Strict):
    """The garments to be pressed."""

    garments = fields.List(
        fields.Nested(GarmentToPressSchema), required=True, validate=validate.Length(1, GARMENTS_MOST)
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> tuple[GarmentToPress, ...]:
        return tuple(data["garments"])


class HeatSchema(Schema):
    """What a cloth bears: the dots of ISO 3758, and degrees at most. `fibres` has the most delicate first."""

    fibres = fields.List(fields.String(), required=True)
    most_c = fields.Integer(required=True)
    dots = fields.String(required=True)
    steam = fields.String(required=True)
    press_cloth = fields.String(required=True)
    cautions = fields.List(fields.String(), required=True)


class StepSchema(Schema):
    """One step, in order; `seconds` from and to, `per` pair, leg, section or garment."""

    words = fields.String(required=True)
    note = fields.String(required=True)
    seconds = fields.List(fields.Integer(), required=True, validate=validate.Length(equal=2))
    per = fields.String(required=True)


class FinishedGarmentSchema(Schema):
    """How one garment is pressed. Without `heat` its fibre is not known: the care label decides."""

    garment = Word(GARMENTS)
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

    garments = fields.List(fields.Nested(FinishedGarmentSchema), required=True)
    cautions = fields.List(fields.String(), required=True)
    warnings = fields.List(fields.Nested(NoticeSchema), required=True)


@operation(
    room, "POST", "/finishing-plans", scope=("order", "workroom"), body=FinishingAskedSchema, answer=FinishingSchema,
    example=EXAMPLE,
)  # fmt: skip
def plan_finishing(_caller: Caller, garments: tuple[GarmentToPress, ...]) -> FinishingPlan:
    """How pieces are pressed: heat by the most delicate fibre, steps with their seconds, creases, and cautions."""
    return finishing_plan(garments)

"""What the customer had on at the fitting, over HTTP: as it is said, and as it is shown."""

from __future__ import annotations

from typing import Any

from marshmallow import fields, post_load

from service.http.quantities import LengthSchema, Out
from service.http.schemas import Schema, Word
from service.http.values import Choice, Strict, refusals_as_errors
from service.tailoring.hems.dressed import COLLARS, CUFFS, HELD_UP_BY, POCKETS, SHOES, Dressed

HEEL = "heel of the shoes at the fitting; it decides where a leg ends, and the half of their height in shoes"
OWN_HEEL = "heel of the shoes that they will wear, where those of the fitting were lent"
COLLAR = "of the shirt; it decides how much linen is right above the jacket's collar, and whether its gap can be judged"
CUFF = "of the shirt: `double` shows more linen; with `none` the linen cannot be judged"
FULL = "`full`: what is in them pulls the cloth, so a fault that it may cause is left to be checked again"
HELD = "what held the trousers up; on braces they sit higher and want more room in the band than on a belt"
TO_BE_HELD = "what will hold them up when they are worn; left out: the same"


class DressedAskedSchema(Strict):
    """What the customer has on at the fitting, beside the suit. Every part may be left out."""

    heel = fields.Nested(LengthSchema, metadata={"description": HEEL})
    shoes = Choice(SHOES, metadata={"description": "whether those at the fitting are their own"})
    own_heel = fields.Nested(LengthSchema, metadata={"description": OWN_HEEL})
    shirt_collar = Choice(COLLARS, metadata={"description": COLLAR})
    shirt_cuff = Choice(CUFFS, metadata={"description": CUFF})
    pockets = Choice(POCKETS, metadata={"description": FULL})
    held_up_by = Choice(HELD_UP_BY, metadata={"description": HELD})
    to_be_held_up_by = Choice(HELD_UP_BY, metadata={"description": TO_BE_HELD})

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> Dressed:
        with refusals_as_errors():
            return Dressed(**data)


class DressedSchema(Schema):
    """What the customer had on at the fitting; null: not given."""

    heel = Out(required=True, allow_none=True, metadata={"description": HEEL})
    shoes = Word(SHOES, allow_none=True, metadata={"description": "whether those at the fitting were their own"})
    own_heel = Out(required=True, allow_none=True, metadata={"description": OWN_HEEL})
    shirt_collar = Word(COLLARS, allow_none=True, metadata={"description": COLLAR})
    shirt_cuff = Word(CUFFS, allow_none=True, metadata={"description": CUFF})
    pockets = Word(POCKETS, allow_none=True, metadata={"description": FULL})
    held_up_by = Word(HELD_UP_BY, allow_none=True, metadata={"description": HELD})
    to_be_held_up_by = Word(HELD_UP_BY, allow_none=True, metadata={"description": TO_BE_HELD})


DRESSED = DressedSchema()

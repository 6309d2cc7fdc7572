"""Hem plans over HTTP."""

from __future__ import annotations

from typing import Any

from marshmallow import fields, post_load

from service.http.advice.bodies import KnownSchema, take_known
from service.http.fitting.hem_answers import HemPlanSchema, hem_document
from service.http.operations import context, operation
from service.http.orders.dressed import DressedAskedSchema
from service.http.orders.order_sheets import LegSchema, PinsSchema
from service.http.parsing import StrictBlueprint
from service.http.quantities import LengthSchema
from service.http.texts import Text
from service.http.values import Choice, Flag, refusals_as_errors
from service.tailoring.hems.breaks import BREAK_NAMES, USUAL_BREAK
from service.tailoring.hems.hem_checks import Fitting
from service.tailoring.hems.hem_plans import USUAL_LEG, HemPlanAsked
from service.tailoring.hems.hems import FINISHES, Hem, Pins
from service.tailoring.hems.inside_legs import sold_legs
from service.use_cases.context import Caller
from service.use_cases.fitting import hems as cases
from service.use_cases.people.measurement_sets import BodyEvidence

room = StrictBlueprint(
    "hems", __name__, description="Where each leg ends: by its pin, or estimated where it cannot be pinned"
)

EXAMPLE = {
    "readings": [
        {"dimension": "stature", "value": 178, "unit": "cm", "source": "self_reported"},
        {"dimension": "body_mass", "value": 76, "unit": "kg", "source": "self_reported"},
    ],
    "age_years": 34,
    "break": "half",
}
ENDING = ("finish", "turn_up", "inside_turn", "slant")
FITTING = ("dressed", "hem_girth", "foot_girth", "waist_to_floor", "side_rise", "steamed")


def _length(words: str) -> fields.Nested:
    return fields.Nested(LengthSchema, metadata={"description": words})


class HemPlanAskedSchema(KnownSchema):
    """Pins, how the leg ends, the leg as it is now, and what is known of the customer. Every part may be left out.

    Without pins both legs are estimated from `inside_leg`, or from what is known of the customer.
    """

    pins = fields.Nested(PinsSchema)
    finish = Choice(FINISHES, load_default="plain")
    turn_up = _length("depth of the turn-up; left out: by the customer's height where that is known, else 1 1/2 in")
    inside_turn = _length("cloth turned up inside")
    slant = _length("by how much the back is longer; none with turn-ups")
    break_name = Choice(BREAK_NAMES, data_key="break", load_default=USUAL_BREAK)
    leg = fields.Nested(LegSchema, metadata={"description": "the leg as it is now"})
    sold_as = Choice(
        tuple(sold_legs()), metadata={"description": f"in place of `leg`; {USUAL_LEG} where no leg is given"}
    )
    chart = Text(most=40, least=1, metadata={"description": "with `label`, in place of `leg`"})
    label = Text(most=20, least=1)
    inside_leg = _length("the customer's own as taped, from fork to floor, barefoot")
    heel = _length("the heel of the shoe that the customer will wear")
    front_height = _length("above the floor, where the front hem meets the shoe")
    fork_gap = _length("of the trouser fork below the body")
    dressed = fields.Nested(DressedAskedSchema, metadata={"description": "what they had on when it was pinned"})
    hem_girth = _length("width of the hem, all round")
    foot_girth = _length("from heel to instep, all round")
    waist_to_floor = _length("at the side, in shoes, from where the band sits")
    side_rise = _length("outside leg less inside leg, band included")
    steamed = Flag(metadata={"description": "false: wool or linen was not steamed before it was marked"})

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> tuple[HemPlanAsked, BodyEvidence]:
        with refusals_as_errors():
            hem = Hem(**{part: data.pop(part) for part in ENDING if part in data})
            fitting = Fitting(**{part: data.pop(part) for part in FITTING if part in data})
            asked = take_known(data)
            known = asked.pop("known")
            return HemPlanAsked(hem=hem, fitting=fitting, **{"pins": Pins(), **asked}), known


@operation(
    room, "POST", "/hem-plans", scope=("advise", "order"), body=HemPlanAskedSchema, answer=HemPlanSchema,
    example=EXAMPLE, for_pages=True,
)  # fmt: skip
def plan_hems(caller: Caller, asked: tuple[HemPlanAsked, BodyEvidence]) -> dict[str, Any]:
    """Where each leg is cut: to its own pin, or estimated with an interval, and what to check before it is cut.

    Nothing is booked. An order with the same pins gets the same hem, or is refused where cloth is missing.
    """
    return hem_document(cases.plan_hems(context(), caller, *asked))

"""A visitor's question, kept for the fitter, over HTTP."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any
from zoneinfo import ZoneInfo

import orjson
import segno
from flask import request
from marshmallow import fields

from service.http.advice.size_advice import AdviceAskedSchema
from service.http.callers.headers import RetrySchema
from service.http.operations import context, operation
from service.http.parsing import StrictBlueprint
from service.http.schemas import Schema
from service.http.texts import ADVICE_ID_LONGEST, Text
from service.http.values import Strict
from service.use_cases.advice.kept_advice import KeptAdvice, keep_advice, show_kept_advice
from service.use_cases.context import Caller

room = StrictBlueprint("kept_advice", __name__, description="A visitor's question, kept for the fitter")

ASKED = "the question, as size advice takes it: send it on to `POST /v1/size-advice`"


class VisitorAskedSchema(AdviceAskedSchema):
    """A question of a visitor: of size advice, without what is recorded of customers."""

    class Meta:
        exclude = ("customer_ref", "wears_last_bought", "measurement_set", "stock", "advice_ids")


class KeepAdviceSchema(Strict):
    """What is kept: the question, and the `advice_id` of the plan that was chosen."""

    asked = fields.Nested(VisitorAskedSchema, required=True, metadata={"description": ASKED})
    advice_id = Text(
        most=ADVICE_ID_LONGEST, least=1, required=True, metadata={"description": "of the plan that was chosen"}
    )


@dataclass(frozen=True, slots=True)
class ShownCode:
    """A code as it is shown."""

    code: str
    qr: list[str]
    kept_until: date


class KeptCodeSchema(Schema):
    """The code, in letters and as a QR code."""

    code = fields.String(required=True, metadata={"description": "to show or tell the fitter"})
    qr = fields.List(
        fields.String(),
        required=True,
        metadata={"description": "the same as a QR code: rows of 0 and 1 (dark), without the light edge of 4 cells"},
    )
    kept_until = fields.Date(required=True, metadata={"description": "the shop's day on which it is deleted"})


class KeptAdviceSchema(Schema):
    """What a visitor asked, and which plan they chose."""

    code = fields.String(required=True, metadata={"description": "as the visitor shows or tells it"})
    asked = fields.Dict(required=True, metadata={"description": ASKED})
    advice_id = fields.String(required=True, metadata={"description": "for the order (`from_advice`)"})
    kept_until = fields.Date(required=True, metadata={"description": "the shop's day on which it is deleted"})


@operation(
    room, "POST", "/kept-advice", scope="advise", body=KeepAdviceSchema, headers=RetrySchema, answer=KeptCodeSchema,
    status=201, refuses=(409,), for_pages=True,
)  # fmt: skip
def keep_for_fitter(caller: Caller, asked: dict[str, Any]) -> ShownCode:
    """Keep a visitor's question for the fitter, where the visitor wishes it: under a short code, without a name.

    It is deleted after 14 days. Only staff can read it.
    """
    kept = keep_advice(context(), caller, _as_sent(), asked["advice_id"])
    rows = segno.make(kept.code, error="m", micro=False).matrix
    qr = ["".join(str(cell & 1) for cell in row) for row in rows]
    return ShownCode(_spaced(kept.code), qr, _last_day(kept, caller))


@operation(
    room, "GET", "/kept-advice/<keptcode:code>", scope="measure", answer=KeptAdviceSchema, refuses=(404,),
)  # fmt: skip
def read_kept_advice(caller: Caller, code: str) -> dict[str, Any]:
    """What a visitor asked, by the code that they show: the fitter goes on from there."""
    kept = show_kept_advice(context(), caller, code)
    said = {"code": _spaced(kept.code), "asked": kept.asked, "advice_id": kept.advice_id}
    document: dict[str, Any] = KeptAdviceSchema().dump({**said, "kept_until": _last_day(kept, caller)})
    return document


def _as_sent() -> dict[str, Any]:
    """The question as it came, once its schema has read it: it is sent on as it is."""
    sent: dict[str, Any] = orjson.loads(request.get_data(cache=True))["asked"]
    return sent


def _last_day(kept: KeptAdvice, caller: Caller) -> date:
    return kept.kept_until.astimezone(ZoneInfo(caller.shop.time_zone)).date()


def _spaced(code: str) -> str:
    """As it is read out: in two halves."""
    return f"{code[:4]}-{code[4:]}"

"""Swap or alter going out: the rules that apply with what came of them, and the choices side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from marshmallow import fields, validate

from service.http.advice.plans import PlannedAlterationSchema, RankingSchema, alteration_document
from service.http.advice.serving import ChosenSizeSchema, chosen_document
from service.http.schemas import Schema
from service.http.values import MoneySchema, money
from service.tailoring.fitting.fit_check_records import RecordedChoice, RecordedRule
from service.tailoring.fitting.options import CHOICES
from service.tailoring.fitting.swap_or_alter import OUTCOMES
from service.tailoring.fitting.swap_rules import ACTIONS
from service.tailoring.garments.charts import GARMENTS

OUTCOME_WORDS = (
    "the cost agrees; the rule overrides the cost; the cost decides, since no size on offer does better; "
    "or only advice is asked for"
)
RISK_WORDS = "the chance (0 to 1) that some place is not right all the same"


class RuleAppliedSchema(Schema):
    """A rule of the trade that applies, the figures, and what came of it."""

    rule = fields.String(required=True)
    garment = fields.String(required=True, validate=validate.OneOf(GARMENTS))
    action = fields.String(required=True, validate=validate.OneOf(ACTIONS))
    words = fields.String(required=True)
    because = fields.String(required=True)
    outcome = fields.String(required=True, validate=validate.OneOf(OUTCOMES), metadata={"description": OUTCOME_WORDS})
    why = fields.String(required=True)
    source = fields.String(required=True)


class ChoiceSchema(Schema):
    """One way to go on. Where it is not available `possible` is false, and `why_not` says why."""

    choice = fields.String(required=True, validate=validate.OneOf(CHOICES))
    garment = fields.String(
        required=True,
        allow_none=True,
        validate=validate.OneOf([*GARMENTS, None]),
        metadata={"description": "the garment that is swapped; null: none is"},
    )
    possible = fields.Boolean(required=True)
    why_not = fields.String(required=True)
    advised = fields.Boolean(required=True)
    jacket = fields.Nested(ChosenSizeSchema, required=True, allow_none=True)
    trousers = fields.Nested(ChosenSizeSchema, required=True, allow_none=True)
    waistcoat = fields.Nested(ChosenSizeSchema, required=True, allow_none=True)
    alterations = fields.List(fields.Nested(PlannedAlterationSchema), required=True)
    price = fields.Nested(
        MoneySchema, required=True, allow_none=True, metadata={"description": "of the work, for the customer"}
    )
    ranking = fields.Nested(
        RankingSchema,
        required=True,
        allow_none=True,
        metadata={"description": "work and misfit once altered; null: nothing is altered"},
    )
    minutes = fields.Integer(required=True, allow_none=True)
    day = fields.Date(
        required=True,
        allow_none=True,
        metadata={"description": "the earliest day, from the rack; null: no day is free"},
    )
    risk = fields.Float(
        required=True, allow_none=True, validate=validate.Range(0, 1), metadata={"description": RISK_WORDS}
    )


def ruled_documents(rules: Sequence[RecordedRule]) -> list[dict[str, Any]]:
    """The rules that apply, in the table's order."""
    return [asdict(each) for each in rules]


def choice_documents(choices: Sequence[RecordedChoice]) -> list[dict[str, Any]]:
    """The choices side by side, keeping first."""
    return [_choice(each) for each in choices]


def _choice(each: RecordedChoice) -> dict[str, Any]:
    return {
        "choice": each.kind,
        "garment": each.garment,
        "possible": bool(each.sizes),
        "why_not": each.why_not,
        "advised": each.advised,
        **{garment: chosen_document(each.sizes.get(garment)) for garment in GARMENTS},
        "alterations": [alteration_document(line) for line in each.work],
        "price": money(each.price) if each.price else None,
        "ranking": {"expected_cost": money(each.expected_cost)} if each.expected_cost else None,
        "minutes": each.minutes,
        "day": each.day.isoformat() if each.day else None,
        "risk": each.risk,
    }

"""Swap or alter going out: the rules that apply with what came of them, and the choices side by side."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from marshmallow import fields, validate

from service.http.advice.plans import ChosenSchema, PlannedAlterationSchema, alteration_document, chosen_document
from service.http.schemas import Schema
from service.http.values import MoneySchema, money
from service.tailoring.fitting.options import CHOICES, Choice
from service.tailoring.fitting.swap_or_alter import OUTCOMES, Ruled, Ruling
from service.tailoring.fitting.swap_rules import ACTIONS
from service.tailoring.garments.charts import GARMENTS

OUTCOME_WORDS = (
    "the cost says the same; the rule overrides the cost; the cost stands, for no size on offer does better; "
    "or nothing but advice is asked for"
)
RISK_WORDS = "the share of bodies that he may have in which some place is not right all the same"


class RuledSchema(Schema):
    """A rule of the trade that applies, on which figures, and what came of it."""

    rule = fields.String(required=True)
    garment = fields.String(required=True, validate=validate.OneOf(GARMENTS))
    action = fields.String(required=True, validate=validate.OneOf(ACTIONS))
    words = fields.String(required=True)
    because = fields.String(required=True)
    outcome = fields.String(required=True, validate=validate.OneOf(OUTCOMES), metadata={"description": OUTCOME_WORDS})
    why = fields.String(required=True)
    source = fields.String(required=True)


class ChoiceSchema(Schema):
    """One way to go on. Where it cannot be had `possible` is false, and `why_not` says why."""

    choice = fields.String(required=True, validate=validate.OneOf(CHOICES))
    garment = fields.String(
        required=True, allow_none=True, validate=validate.OneOf([*GARMENTS, None]), metadata={"description": "swapped"}
    )
    possible = fields.Boolean(required=True)
    why_not = fields.String(required=True)
    advised = fields.Boolean(required=True)
    jacket = fields.Nested(ChosenSchema, required=True, allow_none=True)
    trousers = fields.Nested(ChosenSchema, required=True, allow_none=True)
    waistcoat = fields.Nested(ChosenSchema, required=True, allow_none=True)
    alterations = fields.List(fields.Nested(PlannedAlterationSchema), required=True)
    price = fields.Nested(
        MoneySchema, required=True, allow_none=True, metadata={"description": "of the work, for the customer"}
    )
    expected_cost = fields.Nested(
        MoneySchema,
        required=True,
        allow_none=True,
        metadata={"description": "work and misfit once altered; none where nothing is altered"},
    )
    minutes = fields.Integer(required=True, allow_none=True)
    day = fields.Date(
        required=True, allow_none=True, metadata={"description": "the earliest, from the rack; none where none is free"}
    )
    risk = fields.Float(
        required=True, allow_none=True, validate=validate.Range(0, 1), metadata={"description": RISK_WORDS}
    )


def ruled_documents(ruling: Ruling) -> list[dict[str, Any]]:
    """The rules that apply, in the table's order."""
    return [_ruled(each) for each in ruling.ruled]


def choice_documents(choices: Sequence[Choice], currency: str) -> list[dict[str, Any]]:
    """The choices side by side, keeping first."""
    return [_choice(each, currency) for each in choices]


def _ruled(each: Ruled) -> dict[str, Any]:
    rule = each.finding.rule
    return {
        "rule": rule.code,
        "garment": each.finding.garment,
        "action": rule.action,
        "words": rule.words,
        "because": each.finding.because,
        "outcome": each.outcome,
        "why": each.why,
        "source": rule.source,
    }


def _choice(each: Choice, currency: str) -> dict[str, Any]:
    plan = each.plan
    sizes: dict[str, Any] = {garment: chosen_document(plan.chosen(garment)) if plan else None for garment in GARMENTS}
    altered = plan if each.kind != "keep_as_is" else None
    return {
        "choice": each.kind,
        "garment": each.garment,
        "possible": plan is not None,
        "why_not": each.why_not,
        "advised": each.advised,
        **sizes,
        "alterations": [alteration_document(line) for line in each.work],
        "price": money(each.price(currency)) if plan else None,
        "expected_cost": money(altered.expected_cost) if altered else None,
        "minutes": each.minutes if plan else None,
        "day": each.day.isoformat() if each.day else None,
        "risk": each.risk,
    }

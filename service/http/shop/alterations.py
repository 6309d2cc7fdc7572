"""The catalogue of alterations, as fitter and workroom read it."""

from __future__ import annotations

from typing import Any

from marshmallow import fields, validate

from service.http.operations import operation
from service.http.parsing import StrictBlueprint
from service.http.schemas import Schema
from service.http.shop.work import InlaySchema, inlay_document
from service.http.values import OUT_UNITS, Choice, MoneySchema, Out, money, written
from service.tailoring.garments.alterations import (
    ALTERED,
    BASES,
    BENCHES,
    DIRECTIONS,
    Alteration,
    catalogue,
    from_the_shoulder,
    instead_of,
)
from service.tailoring.quantities import Length
from service.tailoring.work.circumstances import MinuteFactor, factors_of
from service.tailoring.work.knock_ons import KINDS, KnockOn, knock_ons
from service.tailoring.work.order_of_work import precedences
from service.use_cases.context import Caller

room = StrictBlueprint("alterations", __name__, description="What the workroom can do, how far, and what follows of it")

READERS = ("advise", "order", "workroom")


class CatalogueQuerySchema(Schema):
    """Of which garment; of all where it is not said."""

    units = Choice(OUT_UNITS, metadata={"description": "the unit of lengths in the answer"})
    garment = Choice(ALTERED, metadata={"description": "of this garment only"})


class LimitSchema(Schema):
    """How far it goes one way: as advice goes, and as far as a willing workroom does."""

    direction = fields.String(required=True, validate=validate.OneOf(DIRECTIONS))
    usual = Out(required=True)
    most = Out(required=True)


class SpanSchema(Schema):
    """From least to most, as the trade says."""

    least = fields.Float(required=True)
    most = fields.Float(required=True)


class EffectSchema(Schema):
    """What it does elsewhere from `from` on: `ratio` of its own amount, or `flat`, or as much as is found."""

    kind = fields.String(required=True, validate=validate.OneOf(KINDS))
    way = fields.String(required=True, allow_none=True, validate=validate.OneOf([*DIRECTIONS, None]))
    from_amount = Out(required=True, allow_none=True, data_key="from")
    alterations = fields.List(fields.String(), required=True)
    direction = fields.String(required=True, allow_none=True, validate=validate.OneOf([*DIRECTIONS, None]))
    ratio = fields.Nested(SpanSchema, required=True, allow_none=True)
    flat_most = Out(required=True, allow_none=True)
    text = fields.String(required=True)
    source = fields.String(required=True)


class NeighbourSchema(Schema):
    """Another alteration in the order of work, and why it stands there."""

    alteration = fields.String(required=True)
    reason = fields.String(required=True)
    source = fields.String(required=True)


class FactorSchema(Schema):
    """By how much minutes and price are multiplied in a circumstance."""

    circumstance = fields.String(required=True)
    minutes = fields.Float(required=True)
    price = fields.Float(required=True)
    text = fields.String(required=True)
    source = fields.String(required=True)


class AlterationSchema(Schema):
    """An alteration: what it mends, its amount, its limits, what it costs, and what comes before and after."""

    code = fields.String(required=True)
    garment = fields.String(required=True, validate=validate.OneOf(ALTERED))
    words = fields.String(required=True)
    mends = fields.List(fields.String(), required=True, metadata={"description": "fit points"})
    basis = fields.String(required=True, allow_none=True, validate=validate.OneOf([*BASES, None]))
    sided = fields.Boolean(required=True)
    limits = fields.List(fields.Nested(LimitSchema), required=True, metadata={"description": "none: done or not done"})
    limited_by = fields.String(required=True)
    instead = fields.String(required=True, metadata={"description": "what serves beyond the limit"})
    with_worked_cuff_holes = fields.String(required=True, allow_none=True)
    from_inlay = fields.Boolean(required=True)
    usual_inlay = fields.Nested(InlaySchema, required=True, allow_none=True)
    difficulty = fields.Integer(required=True, validate=validate.Range(1, 5))
    minutes = fields.Integer(required=True)
    minutes_between = fields.Nested(SpanSchema, required=True)
    price = fields.Nested(MoneySchema, required=True, metadata={"description": "of this shop, for both sides, plain"})
    plain_hems_between = fields.Nested(SpanSchema, required=True)
    factors = fields.List(fields.Nested(FactorSchema), required=True)
    bench = fields.String(required=True, validate=validate.OneOf(BENCHES))
    stage = fields.Integer(required=True)
    sewn_after = fields.List(fields.Nested(NeighbourSchema), required=True)
    sewn_before = fields.List(fields.Nested(NeighbourSchema), required=True)
    knock_ons = fields.List(fields.Nested(EffectSchema), required=True)
    knock_on_words = fields.String(required=True)
    caution = fields.String(required=True)
    source = fields.String(required=True)


class CatalogueSchema(Schema):
    """Every alteration, garment by garment."""

    alterations = fields.List(fields.Nested(AlterationSchema), required=True)


@operation(room, "GET", "/alterations", scope=READERS, query=CatalogueQuerySchema, answer=CatalogueSchema)
def list_alterations(caller: Caller, query: dict[str, Any]) -> dict[str, Any]:
    """The catalogue of alterations: limits, inlay, difficulty, order of work, knock-on effects, minutes and price."""
    garment = query.get("garment")
    found = [doing for doing in catalogue().values() if garment in (None, doing.garment)]
    return {"alterations": [_alteration(caller, doing) for doing in found]}


def _alteration(caller: Caller, doing: Alteration) -> dict[str, Any]:
    pairs = precedences()
    return {
        "code": doing.code,
        "garment": doing.garment,
        "words": doing.words,
        "mends": list(doing.mends),
        "basis": doing.basis if doing.directions else None,
        "sided": doing.sided,
        "limits": [
            {
                "direction": direction,
                "usual": written(Length(doing.usual_most_mm(direction), "in")),
                "most": written(Length(doing.most_mm(direction), "in")),
            }
            for direction in doing.directions
        ],
        "limited_by": doing.limited_by,
        "instead": instead_of(doing.code),
        "with_worked_cuff_holes": from_the_shoulder(doing.code),
        "from_inlay": doing.from_inlay,
        "usual_inlay": inlay_document(doing.code),
        "difficulty": doing.difficulty,
        "minutes": doing.minutes,
        "minutes_between": _span(doing.minutes_between),
        "price": money(caller.shop.prices.price(doing.code, doing.plain_hems)),
        "plain_hems_between": _span(doing.plain_hems_between),
        "factors": [_factor(factor) for factor in factors_of(doing.code)],
        "bench": doing.bench,
        "stage": doing.stage,
        "sewn_after": [_neighbour(p.before, p.reason, p.source) for p in pairs if p.after == doing.code],
        "sewn_before": [_neighbour(p.after, p.reason, p.source) for p in pairs if p.before == doing.code],
        "knock_ons": [_effect(effect) for effect in knock_ons(doing.code)],
        "knock_on_words": doing.knock_on,
        "caution": doing.caution,
        "source": doing.source,
    }


def _span(between: tuple[float, float]) -> dict[str, float]:
    return {"least": between[0], "most": between[1]}


def _neighbour(code: str, reason: str, source: str) -> dict[str, str]:
    return {"alteration": code, "reason": reason, "source": source}


def _factor(factor: MinuteFactor) -> dict[str, Any]:
    return {
        "circumstance": factor.circumstance,
        "minutes": float(factor.minutes),
        "price": float(factor.price),
        "text": factor.words,
        "source": factor.source,
    }


def _effect(effect: KnockOn) -> dict[str, Any]:
    return {
        "kind": effect.kind,
        "way": effect.way,
        "from": written(Length(effect.from_mm, "in")) if effect.from_mm else None,
        "alterations": list(effect.touches),
        "direction": effect.direction,
        "ratio": _span(effect.ratio) if effect.ratio else None,
        "flat_most": written(Length(effect.flat_mm[1], "in")) if effect.flat_mm else None,
        "text": effect.words,
        "source": effect.source,
    }

"""The catalogue of alterations, as fitter and workroom read it."""

from __future__ import annotations

from typing import Any

from marshmallow import fields, validate

from service.http.answering import UnitsSchema
from service.http.contract.contract_words import one_of
from service.http.operations import operation
from service.http.parsing import StrictBlueprint
from service.http.quantities import Out
from service.http.schemas import AddingSchema, Listing, Schema
from service.http.shop.work import InlaySchema
from service.http.texts import TableWords
from service.http.values import SHORT, VIEWS, Choice, Figure, MoneySchema
from service.tailoring.garments.alterations import ALTERED, BASES, BENCHES, DIRECTIONS
from service.tailoring.work.catalogue_entries import catalogue_entries
from service.tailoring.work.knock_ons import KINDS
from service.use_cases.context import Caller

room = StrictBlueprint(
    "alterations", __name__, description="What the workroom can do, how far, and what follows from it"
)

READERS = ("advise", "order", "workroom")


class CatalogueQuerySchema(UnitsSchema):
    """Of which garment, of all where it is not given; and how much of each row."""

    garment = Choice(ALTERED, metadata={"description": "of this garment only"})
    view = Choice(
        VIEWS,
        load_default=VIEWS[0],
        metadata={"description": "`short`: what a screen lists, a sixth of it; `whole`: all that is known of each"},
    )


class LimitSchema(Schema):
    """How far it goes one way: as far as advice goes, and as far as a workroom may be asked to."""

    direction = fields.String(required=True, validate=validate.OneOf(DIRECTIONS))
    usual = Out(required=True)
    most = Out(required=True)


class SpanSchema(Schema):
    """From least to most, as the trade says."""

    least = Figure(required=True)
    most = Figure(required=True)


class EffectSchema(Schema):
    """What it does elsewhere, from the amount `from` on: by `ratio` of its amount, by `flat`, or by what is found."""

    kind = fields.String(required=True, validate=validate.OneOf(KINDS))
    way = fields.String(required=True, allow_none=True, validate=validate.OneOf([*DIRECTIONS, None]))
    from_amount = Out(required=True, allow_none=True, data_key="from")
    alterations = fields.List(fields.String(), required=True, attribute="touches")
    direction = fields.String(required=True, allow_none=True, validate=validate.OneOf([*DIRECTIONS, None]))
    ratio = fields.Nested(SpanSchema, required=True, allow_none=True)
    flat_most = Out(required=True, allow_none=True, attribute="flat_mm.most", mm_in="in", dump_default=None)
    text = TableWords(required=True, attribute="words")
    source = fields.String(required=True)


class NeighbourSchema(Schema):
    """Another alteration in the order of work, and why it comes there."""

    alteration = fields.String(required=True)
    reason = TableWords(required=True)
    source = fields.String(required=True)


class FactorSchema(Schema):
    """By how much minutes and price are multiplied in a circumstance."""

    circumstance = fields.String(required=True)
    minutes = fields.Float(required=True)
    price = fields.Float(required=True)
    text = fields.String(required=True, attribute="words")
    source = fields.String(required=True)


class ShortEntrySchema(AddingSchema):
    """An alteration as a screen lists it: its words, what its amount counts, its limits, minutes and price."""

    of = "alteration"

    alteration = fields.String(required=True, attribute="alteration.code")
    garment = fields.String(required=True, validate=validate.OneOf(ALTERED))
    words = fields.String(required=True)
    basis = fields.String(required=True, allow_none=True, validate=validate.OneOf([*BASES, None]))
    sided = fields.Boolean(required=True)
    limits = fields.List(fields.Nested(LimitSchema), required=True, metadata={"description": "none: done or not done"})
    minutes = fields.Integer(required=True)
    price = fields.Nested(
        MoneySchema, required=True, metadata={"description": "this shop's price, for both sides, on plain cloth"}
    )
    caution = TableWords(required=True)


class AlterationSchema(ShortEntrySchema):
    """An alteration: what it mends, its amount, its limits, what it costs, and what comes before and after."""

    mends = fields.List(fields.String(), required=True, metadata={"description": "fit points"})
    limited_by = TableWords(required=True)
    instead = TableWords(required=True, metadata={"description": "what serves beyond the limit"})
    with_worked_cuff_holes = fields.String(required=True, allow_none=True)
    from_inlay = fields.Boolean(required=True)
    usual_inlay = fields.Nested(InlaySchema, required=True, allow_none=True)
    difficulty = fields.Integer(required=True, validate=validate.Range(1, 5))
    minutes_between = fields.Nested(SpanSchema, required=True)
    plain_hems_between = fields.Nested(SpanSchema, required=True)
    factors = fields.List(fields.Nested(FactorSchema), required=True)
    bench = fields.String(required=True, validate=validate.OneOf(BENCHES))
    stage = fields.Integer(required=True)
    sewn_after = fields.List(fields.Nested(NeighbourSchema), required=True)
    sewn_before = fields.List(fields.Nested(NeighbourSchema), required=True)
    knock_ons = fields.List(fields.Nested(EffectSchema), required=True)
    knock_on_words = TableWords(required=True, attribute="knock_on")
    source = fields.String(required=True)


class CatalogueSchema(Schema):
    """Every alteration, garment by garment."""

    alterations = fields.List(fields.Nested(AlterationSchema), required=True, attribute="rows")


class ShortCatalogueSchema(Schema):
    """Every alteration, garment by garment, as a screen lists it."""

    alterations = fields.List(fields.Nested(ShortEntrySchema), required=True, attribute="rows")


# By view.
_WRITTEN = {"whole": CatalogueSchema(), SHORT: ShortCatalogueSchema()}


@operation(
    room,
    "GET",
    "/alterations",
    scope=READERS,
    query=CatalogueQuerySchema,
    answer=one_of(CatalogueSchema, ShortCatalogueSchema),
    kept_by_key=True,
    made_of=lambda caller: caller.shop.prices,
)
def list_alterations(caller: Caller, query: dict[str, Any]) -> dict[str, Any]:
    """The catalogue of alterations: limits, inlay, difficulty, order of work, knock-on effects, minutes and price.

    `view=short` has words, basis, limits, minutes, price and caution of each.
    """
    entries = Listing(catalogue_entries(query.get("garment"), caller.shop.prices))
    document: dict[str, Any] = _WRITTEN[query["view"]].dump(entries)
    return document

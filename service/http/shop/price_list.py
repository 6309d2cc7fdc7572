"""The shop's price list: what it charges, and what a bench minute is worth when plans are compared."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, cast

from marshmallow import EXCLUDE, ValidationError, fields, post_load, validate

from service.http.callers.headers import IfMatchSchema
from service.http.operations import Versioned, context, operation, versioned
from service.http.parsing import StrictBlueprint
from service.http.quantities import LengthSchema, Out
from service.http.schemas import Schema
from service.http.texts import Text, Whole
from service.http.values import Choice, Count, Flag, Number, Strict, refusals_as_errors
from service.tailoring.garments.alterations import alteration, catalogue
from service.tailoring.refusals import Refusal
from service.tailoring.work.prices import MODIFIED_FOR, PriceBand, PriceList, PriceModifier
from service.tailoring.work.taxes import TaxRate, TaxTerms
from service.use_cases.context import Caller
from service.use_cases.shop.shops import replace_price_list

room = StrictBlueprint("price_list", __name__, description="What alterations cost at this shop")

HEM_MOST_MINOR = 1_000_000
MINUTE_MOST_MINOR = 100_000
FIXED_MOST_MINOR = 100_000_000
BANDS_MOST = 400
MODIFIERS_MOST = 100
RATES_MOST = 20
RAISED_MOST_PERCENT = 300
TAX_CATEGORY = Whole("^[A-Za-z0-9._-]+$", "Letters, digits and . _ -")
EXAMPLE = {
    "currency": "EUR",
    "plain_hem_minor": 1400,
    "round_to_minor": 50,
    "minute_minor": 25,
    "tax_category": "standard",
    "fixed": [{"alteration": "trouser_waist_in", "minor": 2500}],
    "bands": [{"alteration": "trouser_waist_in", "over": {"value": 1, "unit": "in"}, "minor": 3200}],
    "modifiers": [
        {"what": "cloth", "word": "velvet", "percent": 25},
        {"what": "pattern", "word": "check", "percent": 15},
    ],
    "rush_percent": 50,
    "deposit_percent": 30,
}


class FixedPriceSchema(Strict):
    """An alteration with a price of its own, whatever a plain hem costs."""

    alteration = fields.String(required=True, validate=validate.Length(1, 64))
    minor = Count(0, FIXED_MOST_MINOR, required=True)

    @post_load
    def _read(self, data: dict[str, Any], **_: object) -> tuple[str, int]:
        with refusals_as_errors():
            return alteration(data["alteration"]).code, data["minor"]


class PriceBandSchema(Strict):
    """What an alteration costs where its amount is over a length, up to the next of its bands."""

    alteration = fields.String(required=True, validate=validate.Length(1, 64))
    over = fields.Nested(LengthSchema, required=True)
    minor = Count(0, FIXED_MOST_MINOR, required=True)

    @post_load
    def _read(self, data: dict[str, Any], **_: object) -> PriceBand:
        with refusals_as_errors():
            if not alteration(data["alteration"]).directions:
                raise Refusal("amount_not_taken", ("over",), alteration=data["alteration"])
        return PriceBand(**data)


class PriceModifierSchema(Strict):
    """By how much the work costs more: for a lining or pattern of the order, or a word of its cloth."""

    what = Choice(MODIFIED_FOR, required=True)
    word = Text(most=40, least=1, required=True, metadata={"description": "'velvet', 'full', 'check'"})
    percent = Count(1, RAISED_MOST_PERCENT, required=True)

    @post_load
    def _read(self, data: dict[str, Any], **_: object) -> PriceModifier:
        with refusals_as_errors():
            return PriceModifier(**data)


class TaxRateSchema(Strict):
    """The rate of one tax category."""

    category = fields.String(
        required=True,
        validate=[validate.Length(1, 24), TAX_CATEGORY],
        metadata={"description": "as in `tax_category`"},
    )
    percent = Number(
        required=True,
        validate=validate.Range(0, 100),
        metadata={"description": "in percent, to the hundredth: 13.5"},
    )

    @post_load
    def _read(self, data: dict[str, Any], **_: object) -> TaxRate:
        with refusals_as_errors():
            return TaxRate(data["category"], round(data["percent"] * 100))


class PriceListSchema(Strict):
    """A price that is not fixed is the catalogue's price in plain hems times the price of a plain hem, rounded half up.

    A band for the amount comes before the fixed price. Modifiers of one garment add up, and what they raise is rounded
    again. A rush is a percentage of the lines; a deposit is a percentage of lines and rush.
    """

    currency = fields.String(
        required=True,
        validate=[validate.Length(3, 3), Whole("^[A-Z]{3}$", "ISO 4217: EUR.")],
        metadata={"description": "the currency of all its prices, by its ISO 4217 code"},
    )
    plain_hem_minor = Count(1, HEM_MOST_MINOR, required=True)
    round_to_minor = Count(1, HEM_MOST_MINOR, required=True)
    minute_minor = Count(
        0,
        MINUTE_MOST_MINOR,
        required=True,
        metadata={"description": "what a bench minute is worth in comparing plans, in whole minor units"},
    )
    tax_category = fields.String(required=True, validate=[validate.Length(1, 24), TAX_CATEGORY])
    fixed = fields.List(fields.Nested(FixedPriceSchema), required=True, validate=validate.Length(max=len(catalogue())))
    bands = fields.List(fields.Nested(PriceBandSchema), load_default=list, validate=validate.Length(max=BANDS_MOST))
    modifiers = fields.List(
        fields.Nested(PriceModifierSchema), load_default=list, validate=validate.Length(max=MODIFIERS_MOST)
    )
    rush_percent = Count(
        0,
        RAISED_MOST_PERCENT,
        load_default=0,
        metadata={"description": "what a rush adds, as a percentage of the lines"},
    )
    deposit_percent = Count(
        0,
        100,
        load_default=0,
        metadata={"description": "what is paid when an order is placed, as a percentage of the lines and the rush"},
    )
    deposit_percent_brought_in = Count(
        0,
        100,
        allow_none=True,
        load_default=None,
        metadata={
            "description": "the same percentage for pieces that were bought elsewhere; left out: as for any other"
        },
    )
    prices_include_tax = Flag(
        allow_none=True,
        load_default=None,
        attribute="tax.included",
        metadata={"description": "whether prices include tax; left out: answers do not say"},
    )
    tax_rates = fields.List(
        fields.Nested(TaxRateSchema),
        load_default=list,
        attribute="tax.rates",
        validate=validate.Length(max=RATES_MOST),
        metadata={"description": "the rate of each tax category"},
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> PriceList:
        fixed, bands, modifiers = (tuple(data.pop(name)) for name in ("fixed", "bands", "modifiers"))
        _once("fixed", fixed, lambda each: each[0])
        _once("bands", bands, lambda each: (each.alteration, round(each.over.mm, 2)))
        _once("modifiers", modifiers, lambda each: (each.what, each.word.casefold()))
        tax = data.pop("tax", {})
        rates = tuple(tax.get("rates", ()))
        _once("tax_rates", rates, lambda each: each.category)
        data["tax"] = TaxTerms(tax.get("included"), rates)
        return PriceList(**data, fixed_minor=fixed, bands=bands, modifiers=modifiers)


class PricedSchema(Schema):
    """One alteration and what it costs now."""

    alteration = fields.String(required=True)
    minor = fields.Integer(required=True)


class PriceBandShownSchema(Schema):
    """A band as it is."""

    alteration = fields.String(required=True)
    over = Out(required=True)
    minor = fields.Integer(required=True)


class FixedPriceShownSchema(FixedPriceSchema):
    """An alteration that has a price of its own."""

    class Meta(FixedPriceSchema.Meta):
        unknown = EXCLUDE


class TaxRateShownSchema(TaxRateSchema):
    """The rate of one tax category."""

    class Meta(TaxRateSchema.Meta):
        unknown = EXCLUDE


class PriceModifierShownSchema(PriceModifierSchema):
    """By how much the work costs more."""

    class Meta(PriceModifierSchema.Meta):
        unknown = EXCLUDE


class PriceListShownSchema(PriceListSchema):
    """The price list, and every alteration's price by it where no band or modifier changes it."""

    class Meta(PriceListSchema.Meta):
        unknown = EXCLUDE

    bands = fields.List(fields.Nested(PriceBandShownSchema), required=True)
    fixed = fields.List(fields.Nested(FixedPriceShownSchema), required=True)
    modifiers = fields.List(fields.Nested(PriceModifierShownSchema), required=True)
    tax_rates = fields.List(
        fields.Nested(TaxRateShownSchema),
        required=True,
        attribute="tax.rates",
        metadata={"description": "the rate of each tax category"},
    )
    prices = fields.List(fields.Nested(PricedSchema), required=True, attribute="catalogue_prices")


@operation(room, "GET", "/price-list", scope="order", answer=PriceListShownSchema, kept_by_key=True)
def read_price_list(caller: Caller) -> Versioned:
    """The shop's price list; its ETag is the version for If-Match."""
    return versioned(caller.shop.prices, caller.shop.prices_version)


@operation(
    room, "PUT", "/price-list", scope="admin", body=PriceListSchema, headers=IfMatchSchema,
    answer=PriceListShownSchema, refuses=(412, 428), sends=("ETag",), example=EXAMPLE,
)  # fmt: skip
def put_price_list(caller: Caller, headers: dict[str, Any], prices: PriceList) -> Versioned:
    """Replace the price list. Orders keep the prices at which they were placed."""
    return versioned(prices, replace_price_list(context(), caller, prices, headers["version"]))


def _once(name: str, rows: tuple[Any, ...], key: Callable[[Any], object]) -> None:
    """Raise ValidationError with Refusal `price_repeated` where two rows of a list say one thing."""
    keys = [key(row) for row in rows]
    for position, each in enumerate(keys):
        if each in keys[:position]:
            twice = each if isinstance(each, str) else " ".join(str(part) for part in cast("tuple[object, ...]", each))
            raise ValidationError({name: {position: [Refusal("price_repeated", alteration=twice)]}})

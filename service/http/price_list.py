"""The shop's price list: what it charges, and what a bench minute is worth when plans are compared."""

from __future__ import annotations

from typing import Any

from flask import Response
from marshmallow import Schema, ValidationError, fields, post_load, validate

from service.counter.desk import Caller
from service.counter.shops import replace_price_list
from service.http.operations import IfMatchSchema, answered, desk, operation, version_read
from service.http.parsing import Room
from service.http.values import Count, Strict, Whole, refusals_as_errors
from service.tailoring.alterations import alteration, catalogue
from service.tailoring.money import PriceList
from service.tailoring.refusals import Refusal

room = Room("price_list", __name__, description="What alterations cost at this shop")

HEM_MOST_MINOR = 1_000_000
MINUTE_MOST_MINOR = 100_000
FIXED_MOST_MINOR = 100_000_000
EXAMPLE = {
    "currency": "EUR",
    "plain_hem_minor": 1400,
    "round_to_minor": 50,
    "minute_minor": 25,
    "tax_category": "standard",
    "fixed": [{"alteration": "trouser_waist_in", "minor": 2500}],
}


class FixedPriceSchema(Strict):
    """An alteration that has a price of its own, whatever a plain hem costs."""

    alteration = fields.String(required=True, validate=validate.Length(1, 64))
    minor = Count(0, FIXED_MOST_MINOR, required=True)

    @post_load
    def _known(self, data: dict[str, Any], **_: object) -> tuple[str, int]:
        with refusals_as_errors():
            return alteration(data["alteration"]).code, data["minor"]


class PriceListSchema(Strict):
    """A price that is not fixed is the catalogue's price in plain hems, by the hem's price, rounded half up."""

    currency = fields.String(
        required=True, validate=[validate.Length(3, 3), Whole("^[A-Z]{3}$")], metadata={"description": "ISO 4217"}
    )
    plain_hem_minor = Count(1, HEM_MOST_MINOR, required=True)
    round_to_minor = Count(1, HEM_MOST_MINOR, required=True)
    minute_minor = Count(
        0, MINUTE_MOST_MINOR, required=True, metadata={"description": "what a bench minute is worth in comparing plans"}
    )
    tax_category = fields.String(required=True, validate=[validate.Length(1, 24), Whole("^[A-Za-z0-9._-]+$")])
    fixed = fields.List(fields.Nested(FixedPriceSchema), required=True, validate=validate.Length(max=len(catalogue())))

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> PriceList:
        fixed = data.pop("fixed")
        codes = [code for code, _ in fixed]
        for position, code in enumerate(codes):
            if code in codes[:position]:
                raise ValidationError({"fixed": {position: [Refusal("price_repeated", alteration=code)]}})
        return PriceList(**data, fixed_minor=tuple(fixed))


class PricedSchema(Schema):
    """One alteration and what it costs now."""

    alteration = fields.String(required=True)
    minor = fields.Integer(required=True)


class PriceListShownSchema(PriceListSchema):
    """The price list, and every alteration's price by it."""

    prices = fields.List(fields.Nested(PricedSchema), required=True)


@operation(room, "GET", "/price-list", scope="order", answer=PriceListShownSchema, sends=("ETag",))
def show_price_list(caller: Caller) -> Response:
    """The shop's price list; its ETag is the version for If-Match."""
    return _answered(caller.shop.prices, caller.shop.prices_version)


@operation(
    room, "PUT", "/price-list", scope="admin", body=PriceListSchema, headers=IfMatchSchema,
    answer=PriceListShownSchema, refuses=(412, 428), sends=("ETag",), example=EXAMPLE,
)  # fmt: skip
def put_price_list(caller: Caller, headers: dict[str, Any], prices: PriceList) -> Response:
    """Charge by another list from now on. Orders keep the prices that they were placed at."""
    return _answered(prices, replace_price_list(desk(), caller, prices, version_read(headers)))


def _answered(prices: PriceList, version: int) -> Response:
    document = {
        "currency": prices.currency,
        "plain_hem_minor": prices.plain_hem_minor,
        "round_to_minor": prices.round_to_minor,
        "minute_minor": prices.minute_minor,
        "tax_category": prices.tax_category,
        "fixed": [{"alteration": code, "minor": minor} for code, minor in prices.fixed_minor],
        "prices": [
            {"alteration": code, "minor": prices.price(code, each.plain_hems).minor}
            for code, each in catalogue().items()
        ],
    }
    return answered(document, ETag=f'"{version}"')

"""Size advice over HTTP."""

from __future__ import annotations

from typing import Any

from marshmallow import ValidationError, fields, post_load, validate, validates_schema

from service.http.advice.bodies import KnownSchema, take_known
from service.http.advice.plans import JudgedSchema, body_document, next_documents, plan_document
from service.http.advice.serving import serving_document
from service.http.advice.short_views import ShortAdviceSchema, ViewQuerySchema, short_advice
from service.http.callers.units import answer_in
from service.http.contract.contract_words import one_of
from service.http.metrics import count_advice
from service.http.notices import notices
from service.http.operations import context, operation
from service.http.parsing import StrictBlueprint
from service.http.texts import Reference, Text
from service.http.values import SHORT, Choice, Count, Flag, Strict
from service.tailoring.garments.charts import GARMENTS, LABEL_LONGEST, Garment
from service.tailoring.garments.places import WISHES
from service.tailoring.garments.stock import Racked, Stock
from service.tailoring.sizing.size_advice import SizeAdvice
from service.use_cases.advice.advice_ids import signer_of
from service.use_cases.advice.size_advice import AdviceAsked, give_size_advice
from service.use_cases.context import Caller

room = StrictBlueprint("size_advice", __name__, description="From what is known of a customer to ranked plans")

# The whole answer, or the short view of it.
ADVICE = one_of(JudgedSchema, ShortAdviceSchema)
CHARTS_MOST = 10
CODE_LONGEST = 40
# Of one garment: ten charts of a hundred sizes.
RACKED_MOST = 1_000
PLANS_MOST = 20
EXAMPLE = {
    "readings": [
        {"dimension": "chest_girth", "value": 36, "unit": "in"},
        {"dimension": "waist_girth", "value": 30, "unit": "in"},
        {"dimension": "stature", "value": 175, "unit": "cm"},
    ],
    "wish": "usual",
    "limit": 3,
}


class StockedSizeSchema(Strict):
    """A size on the rack. Two charts may have the same label: then `chart` tells them apart."""

    label = Text(most=LABEL_LONGEST, least=1, required=True, metadata={"description": "as it is on the garment"})
    chart = Text(
        most=CODE_LONGEST,
        least=1,
        metadata={"description": "the chart's code; left out: the label is there in every chart asked for"},
    )

    @post_load
    def _made(self, data: dict[str, str], **_: object) -> Racked:
        return Racked(**data)


class RackField(fields.List[Racked]):
    """The sizes of one garment on the rack."""

    def __init__(self, words: str, **options: Any) -> None:  # noqa: ANN401  marshmallow's own
        sizes, bounds = fields.Nested(StockedSizeSchema), validate.Length(max=RACKED_MOST)
        super().__init__(sizes, validate=bounds, metadata={"description": words}, **options)


class StockSchema(Strict):
    """Sizes on the rack; a garment that is left out is there in every size of every chart."""

    jackets = RackField("the jackets that are there; an empty list: none is", attribute="jacket")
    trousers = RackField("the trousers that are there, listed in the same way")
    waistcoats = RackField("the waistcoats that are there, listed in the same way", attribute="waistcoat")

    @post_load
    def _made(self, data: dict[Garment, list[Racked]], **_: object) -> Stock:
        return Stock({garment: tuple(racked) for garment, racked in data.items()})


class QuestionSchema(KnownSchema):
    """What advice and fit checks are asked from: the man, the charts, the stock, the wish."""

    charts = fields.List(
        Text(most=40, least=1),
        validate=validate.Length(1, CHARTS_MOST),
        metadata={"description": "codes of charts; all of the shop's where none are given"},
    )
    wish = Choice(WISHES, load_default="usual")
    stock = fields.Nested(StockSchema)
    limit = Count(1, PLANS_MOST, load_default=3)


class AdviceAskedSchema(QuestionSchema):
    """Who is to be fitted, and from what."""

    garments = fields.List(
        Choice(GARMENTS),
        validate=validate.Length(1, len(GARMENTS)),
        metadata={"description": "jacket and trousers where it is left out; a waistcoat has to be named"},
    )

    customer_ref = Reference(metadata={"description": "whose size was bought last; only with `wears_last_bought`"})
    wears_last_bought = Flag(
        load_default=False,
        metadata={
            "description": "true: the size that the customer bought last and kept counts as one that they wear; a"
            " warning says which size, and from where. Not with web keys"
        },
    )
    advice_ids = Flag(
        load_default=False,
        metadata={"description": "give each plan an `advice_id`, from which an order can be placed for 14 days"},
    )

    @validates_schema
    def _names_the_customer(self, data: dict[str, Any], **_: object) -> None:
        if data.get("wears_last_bought") and not data.get("customer_ref"):
            raise ValidationError({"customer_ref": ["Say whose: `wears_last_bought` needs it."]})

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> AdviceAsked:
        return AdviceAsked(**take_known(data))


@operation(
    room, "POST", "/size-advice", scope="advise", body=AdviceAskedSchema, query=ViewQuerySchema, answer=ADVICE,
    example=EXAMPLE, for_pages=True,
)  # fmt: skip
def advise_size(caller: Caller, query: dict[str, Any], asked: AdviceAsked) -> dict[str, Any]:
    """Rank the sizes on offer, with the alterations that make each fit, the reasons, and what to measure next.

    `view=short` leaves the reasons out: about one kilobyte in place of ten.
    """
    advice = give_size_advice(context(), caller, asked)
    count_advice()
    is_short = query["view"] == SHORT
    document = advice_document(advice, reasons=not is_short)
    if asked.advice_ids:
        signer = signer_of(context(), caller)
        for plan, written in zip(advice.plans, document["plans"], strict=True):
            written["advice_id"] = signer.sign(plan)
    return short_advice(document) if is_short else document


def advice_document(advice: SizeAdvice, *, reasons: bool = True) -> dict[str, Any]:
    """What one man is answered, alone or among many; without reasons only what its short view is made of."""
    answer_in(chart.unit for chart in advice.sizing.question.charts)
    why = {"serves": serving_document(advice.serves), "body": body_document(advice.body)} if reasons else {}
    return {
        **why,
        "plans": [plan_document(plan, reasons=reasons) for plan in advice.plans],
        "prices_include_tax": advice.sizing.question.prices.tax.included,
        "next_measures": next_documents(advice.next_measures),
        "population_version": advice.body.among.version,
        "warnings": notices(advice.notices),
    }

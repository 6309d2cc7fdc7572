"""The shop's charts: read, replaced by a new revision, and compared."""

from __future__ import annotations

from typing import Any

from marshmallow import fields, post_load, validate
from typing_extensions import override

from service.http.advice.plans import RankingSchema
from service.http.advice.serving import GTIN_ANSWERED, SKU_ANSWERED
from service.http.answering import UnitsSchema
from service.http.callers.headers import RetrySchema
from service.http.operations import context, operation
from service.http.parsing import StrictBlueprint
from service.http.quantities import Out, written
from service.http.schemas import Listing, Schema, Word
from service.http.shop.chart_bodies import EXAMPLE, ChartAsked, ChartAskedSchema
from service.http.texts import Text
from service.http.values import Choice, Count, Strict
from service.tailoring.garments.charts import GARMENTS, LABEL_LONGEST, LENGTH_CLASSES, SOLD
from service.tailoring.garments.measured_charts import MeasuredChart, measured
from service.tailoring.quantities import Length
from service.tailoring.sizing.chart_comparison import Comparison, PlaceCompared
from service.use_cases.context import Caller
from service.use_cases.shop.chart_comparisons import compare_size
from service.use_cases.shop.charts import load_chart, show_chart, show_charts

room = StrictBlueprint("charts", __name__, description="Finished garment measures, size by size")

CODE_LONGEST = 40
COMPARED_MOST = 10
REVISION_MOST = 10**6
COMPARE_EXAMPLE = {"from": {"chart": "reference", "garment": "jacket", "label": "40R"}, "to": ["reference_athletic"]}


class RevisionSchema(UnitsSchema):
    """Which revision of a chart."""

    revision = Count(1, REVISION_MOST, written=True, metadata={"description": "the newest where it is not given"})


class SizeSchema(Schema):
    """One size: the body it is cut for and its finished measures, by place."""

    label = fields.String(required=True)
    length_class = Word(LENGTH_CLASSES)
    body = Out(required=True)
    measures = fields.Dict(keys=fields.String(), values=Out(), required=True)
    sku = fields.String(required=True, allow_none=True, metadata={"description": SKU_ANSWERED})
    gtin = fields.String(required=True, allow_none=True, metadata={"description": GTIN_ANSWERED})


class ChartHeadSchema(Schema):
    """What a chart says of all its sizes; pairs are sold with one drop."""

    chart = fields.String(required=True, attribute="chart.code")
    revision = fields.Integer(required=True, attribute="chart.revision")
    title = fields.String(required=True, attribute="chart.title")
    sold = Word(SOLD, attribute="chart.sold")
    drop = Out(required=True, allow_none=True)
    unfinished = fields.Boolean(required=True, attribute="chart.unfinished")
    worked_buttonholes = fields.Boolean(required=True, attribute="chart.worked_buttonholes")


class ChartSchema(ChartHeadSchema):
    """One revision of a chart, whole."""

    jackets = fields.List(fields.Nested(SizeSchema), required=True, attribute="sizes.jacket")
    trousers = fields.List(fields.Nested(SizeSchema), required=True, attribute="sizes.trousers")
    waistcoats = fields.List(fields.Nested(SizeSchema), required=True, attribute="sizes.waistcoat")


class ChartsSchema(Schema):
    """The heads of the shop's charts and of the reference blocks."""

    charts = fields.List(fields.Nested(ChartHeadSchema), required=True, attribute="rows")


class SizeNamedSchema(Strict):
    """A size of a chart."""

    chart = Text(most=CODE_LONGEST, least=1, required=True)
    garment = Choice(GARMENTS, required=True)
    label = Text(most=LABEL_LONGEST, least=1, required=True)


class ComparisonAskedSchema(Strict):
    """A size, and the charts in which its counterpart is sought."""

    of = fields.Nested(SizeNamedSchema, required=True, data_key="from")
    to = fields.List(Text(most=CODE_LONGEST, least=1), required=True, validate=validate.Length(1, COMPARED_MOST))

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> dict[str, Any]:
        of = data["of"]
        return {"chart_code": of["chart"], "garment": of["garment"], "label": of["label"], "others": tuple(data["to"])}


class DifferenceWords(fields.String):
    """The difference at a place as a tailor says it, in the unit of the answer."""

    _CHECK_ATTRIBUTE = False

    @override
    def _serialize(self, value: object, attr: str | None, obj: PlaceCompared, **_: object) -> str:
        difference = obj.difference
        amount = written(Length(abs(difference.mm), difference.unit))["text"]
        way = "more" if difference.mm > 0 else "less"
        return f"{obj.words}: {amount} {way}" if round(difference.mm, 1) else f"{obj.words}: the same"


class PlaceComparedSchema(Schema):
    """One finished measure of both; `verdict` says how the other sits on the body of the first."""

    place = fields.String(required=True, attribute="name")
    words = fields.String(required=True)
    first = Out(required=True, data_key="from")
    other = Out(required=True, data_key="to")
    difference = Out(required=True, metadata={"description": "`to` less `from`; negative where `to` is less"})
    verdict = fields.String(
        required=True,
        allow_none=True,
        validate=validate.OneOf(("right", "too_much", "too_little", None)),
        metadata={"description": "null where the place is not judged"},
    )
    text = DifferenceWords(required=True)


class OfTheSizeItself(fields.Nested):
    """A part of an answer about a size whose values are the size's own."""

    @override
    def get_value(self, obj: object, *_: Any, **__: Any) -> object:
        return obj


class CounterpartSchema(Schema):
    """A size of the other chart on that body: what it is expected to cost, and the chance that it is the best size."""

    label = fields.String(required=True, attribute="size.label")
    length_class = Word(LENGTH_CLASSES, attribute="size.length_class")
    sku = fields.String(required=True, allow_none=True, attribute="size.sku", metadata={"description": SKU_ANSWERED})
    gtin = fields.String(required=True, allow_none=True, attribute="size.gtin", metadata={"description": GTIN_ANSWERED})
    ranking = OfTheSizeItself(RankingSchema, required=True)
    p_best = fields.Float(required=True)
    serves = fields.Boolean(required=True, metadata={"description": "every place that is judged is right as it hangs"})
    places = fields.List(fields.Nested(PlaceComparedSchema), required=True)


class ChartComparedSchema(Schema):
    """The best sizes of one chart, best first; none where it has no such garment."""

    chart = fields.String(required=True, attribute="chart.code")
    revision = fields.Integer(required=True, attribute="chart.revision")
    dimensions = fields.List(fields.String(), required=True, metadata={"description": "of the body, as it was judged"})
    sizes = fields.List(fields.Nested(CounterpartSchema), required=True, attribute="counterparts")


class ComparisonSchema(Schema):
    """A size and its counterparts, by the body and not by the label."""

    chart = fields.String(required=True, attribute="chart.code")
    revision = fields.Integer(required=True, attribute="chart.revision")
    garment = Word(GARMENTS)
    label = fields.String(required=True, attribute="size.label")
    to = fields.List(fields.Nested(ChartComparedSchema), required=True, attribute="others")


@operation(
    room, "GET", "/charts", scope="advise", answer=ChartsSchema, for_pages=True, kept_by_key=True,
    made_of=lambda caller: show_charts(context(), caller),
)  # fmt: skip
def list_charts(caller: Caller) -> Listing:
    """The shop's charts and the reference blocks, without their sizes."""
    return Listing([measured(chart) for chart in show_charts(context(), caller)])


@operation(
    room, "GET", "/charts/<chartcode:chart>", scope="advise", query=RevisionSchema, answer=ChartSchema, refuses=(404,),
    for_pages=True, kept_by_key=True,
)  # fmt: skip
def read_chart(caller: Caller, query: dict[str, Any], chart: str) -> MeasuredChart:
    """One revision of a chart, with every size; its newest where none is named."""
    return measured(show_chart(context(), caller, chart, query.get("revision")))


@operation(
    room, "PUT", "/charts/<chartcode:chart>", scope="admin", body=ChartAskedSchema, headers=RetrySchema,
    answer=ChartSchema, creates=True, refuses=(404, 409), example=EXAMPLE,
)  # fmt: skip
def put_chart(caller: Caller, asked: ChartAsked, chart: str) -> tuple[MeasuredChart, int]:
    """Load a chart as its next revision: 201 for the first. A chart that is the same as the newest makes no new one.

    A shop may have 100 charts, each with any number of revisions.
    """
    loaded, new = load_chart(context(), caller.shop.id, asked.named(chart), asked.rows)
    return measured(loaded), 201 if new and loaded.revision == 1 else 200


@operation(
    room, "POST", "/charts/compare", scope="advise", body=ComparisonAskedSchema, answer=ComparisonSchema,
    example=COMPARE_EXAMPLE, for_pages=True,
)  # fmt: skip
def compare_charts(caller: Caller, asked: dict[str, Any]) -> Comparison:
    """The sizes of other charts that serve the body one size is cut for, judged measure by measure."""
    return compare_size(context(), caller, **asked)

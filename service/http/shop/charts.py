"""The shop's charts: read, replaced by a new revision, and compared."""

from __future__ import annotations

from typing import Any

from flask import Response
from marshmallow import fields, post_load, validate

from service.http.operations import UnitsSchema, answered, context, operation
from service.http.parsing import StrictBlueprint
from service.http.schemas import Schema
from service.http.shop.chart_bodies import EXAMPLE, ChartAsked, ChartAskedSchema
from service.http.values import Choice, Count, MoneySchema, Out, Strict, Text, money, written
from service.tailoring.garments.charts import GARMENTS, LABEL_LONGEST, PLURALS, Chart, GarmentSize
from service.tailoring.quantities import Length, LengthUnit
from service.tailoring.sizing.chart_comparison import ChartCompared, Comparison, Counterpart, PlaceCompared
from service.use_cases.context import Caller
from service.use_cases.shop.charts import compare_size, load_chart, show_chart, show_charts

room = StrictBlueprint("charts", __name__, description="Finished garment measures, size by size")

CODE_LONGEST = 40
COMPARED_MOST = 10
REVISION_MOST = 10**6
COMPARE_EXAMPLE = {"from": {"chart": "reference", "garment": "jacket", "label": "40R"}, "to": ["reference_athletic"]}


class RevisionSchema(UnitsSchema):
    """Which revision of a chart."""

    revision = Count(1, REVISION_MOST, written=True, metadata={"description": "the newest where it is not said"})


class SizeSchema(Schema):
    """One size: the body it is cut for and its finished measures, by place."""

    label = fields.String(required=True)
    length_class = fields.String(required=True)
    body = Out(required=True)
    measures = fields.Dict(keys=fields.String(), values=Out(), required=True)


class ChartHeadSchema(Schema):
    """What a chart says of all its sizes; pairs are sold with one drop."""

    code = fields.String(required=True)
    revision = fields.Integer(required=True)
    title = fields.String(required=True)
    sold = fields.String(required=True)
    drop = Out(required=True, allow_none=True)
    unfinished = fields.Boolean(required=True)
    worked_buttonholes = fields.Boolean(required=True)


class ChartSchema(ChartHeadSchema):
    """One revision of a chart, whole."""

    jackets = fields.List(fields.Nested(SizeSchema), required=True)
    trousers = fields.List(fields.Nested(SizeSchema), required=True)
    waistcoats = fields.List(fields.Nested(SizeSchema), required=True)


class ChartsSchema(Schema):
    """The heads of the shop's charts and of the reference blocks."""

    charts = fields.List(fields.Nested(ChartHeadSchema), required=True)


class SizeNamedSchema(Strict):
    """A size of a chart."""

    chart = Text(most=CODE_LONGEST, least=1, required=True)
    garment = Choice(GARMENTS, required=True)
    label = Text(most=LABEL_LONGEST, least=1, required=True)


class CompareSchema(Strict):
    """A size, and the charts in which its counterpart is sought."""

    of = fields.Nested(SizeNamedSchema, required=True, data_key="from")
    to = fields.List(Text(most=CODE_LONGEST, least=1), required=True, validate=validate.Length(1, COMPARED_MOST))

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> dict[str, Any]:
        of = data["of"]
        return {"chart_code": of["chart"], "garment": of["garment"], "label": of["label"], "others": tuple(data["to"])}


class PlaceComparedSchema(Schema):
    """One finished measure of both; `verdict` says how the other sits on the body of the first."""

    place = fields.String(required=True)
    words = fields.String(required=True)
    of = Out(required=True, data_key="from")
    to = Out(required=True)
    difference = Out(required=True, metadata={"description": "to less from; below nothing where it is less"})
    verdict = fields.String(
        required=True,
        allow_none=True,
        validate=validate.OneOf(("right", "too_much", "too_little", None)),
        metadata={"description": "null where the place is not judged"},
    )
    text = fields.String(required=True)


class CounterpartSchema(Schema):
    """A size of the other chart on that body: what it is expected to cost there, and how often it is the best."""

    label = fields.String(required=True)
    length_class = fields.String(required=True)
    expected_cost = fields.Nested(MoneySchema, required=True)
    p_best = fields.Float(required=True)
    serves = fields.Boolean(required=True, metadata={"description": "every place that is judged is right as it hangs"})
    places = fields.List(fields.Nested(PlaceComparedSchema), required=True)


class ChartComparedSchema(Schema):
    """The best sizes of one chart, best first; none where it has no such garment."""

    chart = fields.String(required=True)
    revision = fields.Integer(required=True)
    dimensions = fields.List(fields.String(), required=True, metadata={"description": "of the body, as it was judged"})
    sizes = fields.List(fields.Nested(CounterpartSchema), required=True)


class ComparisonSchema(Schema):
    """A size and its counterparts, by the body and not by the label."""

    chart = fields.String(required=True)
    revision = fields.Integer(required=True)
    garment = fields.String(required=True)
    label = fields.String(required=True)
    to = fields.List(fields.Nested(ChartComparedSchema), required=True)


@operation(room, "GET", "/charts", scope="advise", answer=ChartsSchema, for_pages=True)
def list_charts(caller: Caller) -> dict[str, Any]:
    """The shop's charts and the reference blocks, without their sizes."""
    return {"charts": [_head(chart) for chart in show_charts(context(), caller)]}


@operation(
    room, "GET", "/charts/<chartcode:code>", scope="advise", query=RevisionSchema, answer=ChartSchema, refuses=(404,),
    for_pages=True,
)  # fmt: skip
def read_chart(caller: Caller, query: dict[str, Any], code: str) -> dict[str, Any]:
    """One revision of a chart, with every size; its newest where none is named."""
    return _document(show_chart(context(), caller, code, query.get("revision")))


@operation(
    room, "PUT", "/charts/<chartcode:code>", scope="admin", body=ChartAskedSchema, answer=ChartSchema,
    creates=True, refuses=(404, 409), example=EXAMPLE,
)  # fmt: skip
def put_chart(caller: Caller, asked: ChartAsked, code: str) -> Response:
    """Keep a chart as its next revision: 201 for the first. What says the same as the newest makes no other.

    A shop has 100 charts at most, of as many revisions as come.
    """
    loaded, new = load_chart(context(), caller.shop.id, asked.named(code), asked.rows)
    return answered(_document(loaded), 201 if new and loaded.revision == 1 else 200)


@operation(
    room, "POST", "/charts/compare", scope="advise", body=CompareSchema, answer=ComparisonSchema,
    example=COMPARE_EXAMPLE, for_pages=True,
)  # fmt: skip
def compare_charts(caller: Caller, asked: dict[str, Any]) -> dict[str, Any]:
    """The sizes of other charts that serve the body one size is cut for, judged measure by measure."""
    return _comparison(compare_size(context(), caller, **asked))


def _head(chart: Chart) -> dict[str, Any]:
    return {
        "code": chart.code,
        "revision": chart.revision,
        "title": chart.title,
        "sold": chart.sold,
        "drop": None if chart.drop_mm is None else written(Length(chart.drop_mm, chart.unit)),
        "unfinished": chart.unfinished,
        "worked_buttonholes": chart.worked_buttonholes,
    }


def _document(chart: Chart) -> dict[str, Any]:
    return {
        **_head(chart),
        **{name: [_size(size, chart.unit) for size in chart.sizes[garment]] for garment, name in PLURALS.items()},
    }


def _size(size: GarmentSize, unit: LengthUnit) -> dict[str, Any]:
    return {
        "label": size.label,
        "length_class": size.length_class,
        "body": written(Length(size.body_mm, unit)),
        "measures": {place: written(Length(mm, unit)) for place, mm in size.measures},
    }


def _comparison(found: Comparison) -> dict[str, Any]:
    return {
        "chart": found.chart.code,
        "revision": found.chart.revision,
        "garment": found.garment,
        "label": found.size.label,
        "to": [_chart_compared(each, found.chart.unit) for each in found.others],
    }


def _chart_compared(found: ChartCompared, unit: LengthUnit) -> dict[str, Any]:
    return {
        "chart": found.chart.code,
        "revision": found.chart.revision,
        "dimensions": list(found.dimensions),
        "sizes": [_counterpart(each, unit) for each in found.counterparts],
    }


def _counterpart(found: Counterpart, unit: LengthUnit) -> dict[str, Any]:
    return {
        "label": found.size.label,
        "length_class": found.size.length_class,
        "expected_cost": money(found.expected_cost),
        "p_best": found.p_best,
        "serves": found.serves,
        "places": [_place(each, unit) for each in found.places],
    }


def _place(found: PlaceCompared, unit: LengthUnit) -> dict[str, Any]:
    difference = written(Length(found.difference_mm, unit))
    amount = written(Length(abs(found.difference_mm), unit))["text"]
    way = "more" if found.difference_mm > 0 else "less"
    return {
        "place": found.name,
        "words": found.words,
        "from": written(Length(found.from_mm, unit)),
        "to": written(Length(found.to_mm, unit)),
        "difference": difference,
        "verdict": found.verdict,
        "text": f"{found.words}: {amount} {way}" if round(found.difference_mm, 1) else f"{found.words}: the same",
    }

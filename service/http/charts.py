"""The shop's charts, read."""

from __future__ import annotations

from typing import Any

from marshmallow import Schema, fields

from service.counter.charts import show_chart, show_charts
from service.counter.desk import Caller
from service.http.operations import Room, desk, operation
from service.http.values import Out, written
from service.tailoring.charts import Chart, GarmentSize
from service.tailoring.quantities import Length, LengthUnit

room = Room("charts", __name__, description="Finished garment measures, size by size")


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
    """A chart's newest revision, whole."""

    jackets = fields.List(fields.Nested(SizeSchema), required=True)
    trousers = fields.List(fields.Nested(SizeSchema), required=True)
    waistcoats = fields.List(fields.Nested(SizeSchema), required=True)


class ChartsSchema(Schema):
    """The heads of the shop's charts and of the reference block."""

    charts = fields.List(fields.Nested(ChartHeadSchema), required=True)


@operation(room, "GET", "/charts", scope="advise", answer=ChartsSchema)
def list_charts(caller: Caller) -> dict[str, Any]:
    """The shop's charts and the reference block, without their sizes."""
    return {"charts": [_head(chart) for chart in show_charts(desk(), caller)]}


@operation(room, "GET", "/charts/<chartcode:code>", scope="advise", answer=ChartSchema, refuses=(404,))
def read_chart(caller: Caller, code: str) -> dict[str, Any]:
    """The newest revision of one chart, with every size."""
    chart = show_chart(desk(), caller, code)
    return {
        **_head(chart),
        "jackets": [_size(size, chart.unit) for size in chart.jackets],
        "trousers": [_size(size, chart.unit) for size in chart.trousers],
        "waistcoats": [_size(size, chart.unit) for size in chart.waistcoats],
    }


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


def _size(size: GarmentSize, unit: LengthUnit) -> dict[str, Any]:
    return {
        "label": size.label,
        "length_class": size.length_class,
        "body": written(Length(size.body_mm, unit)),
        "measures": {place: written(Length(mm, unit)) for place, mm in size.measures},
    }

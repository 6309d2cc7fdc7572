"""The finished measure that a line aims at, from the chart's and the change."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from service.tailoring.garments.charts import Chart
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.garments.places import Place, places
from service.tailoring.hems.hems import HEM_CODES
from service.tailoring.orders.lines.order_lines import LineAsked
from service.tailoring.quantities import Length, inches
from service.tailoring.refusals import Refusal, Where

# A finished measure that is further than this from what the change makes of the chart's is a slip; no garment of a
# rack is nearer to its chart than this (common practice, no source).
TARGET_SLACK_MM = inches(1 / 2)


def aimed(line: LineAsked, at: Where, garments: Sequence[GarmentPiece], charts: Mapping[str, Chart]) -> LineAsked:
    """The line with the finished measure that it aims at, where the piece or its chart tells what it measures now.

    What was measured on the piece itself counts before what its chart has of its size.

    Raises Refusal `target_wrong` where one was said that the change cannot give.
    """
    piece = next((piece for piece in garments if piece.piece == line.piece), None)
    chart = charts.get(piece.chart or "") if piece else None
    if not line.amount or not piece:
        return line
    if piece.hemmed and line.alteration in HEM_CODES.values():
        return line
    place = next((p for p in places(piece.garment) if line.alteration in (p.too_little_cure, p.too_much_cure)), None)
    if place is None or (place.parts > 1 and line.amount.side != "both"):
        return line
    now_mm = _measured_mm(piece, place, chart)
    if now_mm is None:
        return line
    change_mm = line.amount.length.mm * place.parts
    finished_mm = now_mm + (change_mm if line.amount.direction == "increase" else -change_mm)
    if finished_mm <= 0 or (line.alteration in HEM_CODES.values() and line.target):
        return line
    finished = Length(finished_mm, line.target.unit if line.target else line.amount.length.unit)
    if line.target and abs(line.target.mm - finished_mm) > TARGET_SLACK_MM:
        now = Length(now_mm, finished.unit).text
        raise Refusal("target_wrong", (*at, "target"), now=now, finished=finished.text, target=line.target.text)
    return replace(line, target=line.target or finished)


def _measured_mm(piece: GarmentPiece, place: Place, chart: Chart | None) -> float | None:
    """What the piece measures at a place: as it was taped, or as its chart has its size."""
    taped = piece.measured(place.name)
    if taped is not None:
        return taped.mm
    return chart.size(place.garment, piece.label).mm(place.name) if chart and piece.label else None

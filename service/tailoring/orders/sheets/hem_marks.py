"""Whether the legs of an order are marked: what nobody marked is never a number to cut by."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from service.tailoring.garments.charts import Chart
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.hems.hems import HEM_CODES
from service.tailoring.notices import Notice
from service.tailoring.orders.lines.order_lines import LineAsked
from service.tailoring.refusals import Refusal, Where

NOT_MARKED = "This hem is not marked: pin each leg on the customer in their shoes, or an order is refused."


def unmarked_lines(lines: Sequence[tuple[LineAsked, Where]]) -> list[Where]:
    """Where hems are asked for by an amount alone: neither a finished length nor a mark on the cloth."""
    return [(*at, "target") if at[0] == "lines" else at for line, at in lines if _is_hem(line) and not _is_marked(line)]


def unmarked_pieces(
    garments: Sequence[GarmentPiece],
    lines: Sequence[LineAsked],
    charts: Mapping[str, Chart],
    hemmed: Collection[int],
    *,
    predicted: bool,
) -> list[int]:
    """Trousers that are to be hemmed and that no line or pin hems: uncut as sold, or with a hem that was `predicted`.

    `hemmed` are the pieces with pins, whose legs may already end there.
    """
    done = {line.piece for line in lines if _is_hem(line)} | set(hemmed)
    return [
        piece.piece
        for piece in garments
        if piece.garment == "trousers" and piece.piece not in done and (_is_uncut(piece, charts) or predicted)
    ]


def check_marked(lines: Sequence[tuple[LineAsked, Where]], pieces: Sequence[int]) -> None:
    """Raises Refusal `hem_not_marked`, pointing at the line, or at the hems that are not there."""
    for at in unmarked_lines(lines):
        raise Refusal("hem_not_marked", at, pieces=[line.piece for line, _ in lines if _is_hem(line)])
    if pieces:
        raise Refusal("hem_not_marked", ("hems",), pieces=list(pieces))


def not_marked_notices(lines: Sequence[tuple[LineAsked, Where]], pieces: Sequence[int]) -> list[Notice]:
    """The same for a quote, which cuts nothing."""
    ats: list[Where] = [*unmarked_lines(lines), *((("hems",),) if pieces else ())]
    return [Notice("hem_not_marked", at, NOT_MARKED) for at in ats]


def _is_hem(line: LineAsked) -> bool:
    return line.alteration in HEM_CODES.values()


def _is_marked(line: LineAsked) -> bool:
    """A finished length, or a mark on the cloth; a plan's own prediction is neither."""
    on_cloth = line.marked_with is not None and line.marked_with != "written"
    return line.to_be_pinned or on_cloth or (line.target is not None and line.origin != "planned")


def _is_uncut(piece: GarmentPiece, charts: Mapping[str, Chart]) -> bool:
    chart = charts.get(piece.chart or "")
    return chart is not None and chart.unfinished and not piece.hemmed

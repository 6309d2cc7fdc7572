"""The garments of a sheet, as asked for and as a plan has them, and the piece that a line or hem is meant for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from service.tailoring.garments.alterations import alteration
from service.tailoring.garments.charts import GARMENTS, Chart, ChartSize, Garment
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.orders.lines.order_lines import LineAsked
from service.tailoring.orders.sheets.order_hems import HemAsked
from service.tailoring.refusals import Refusal, Where

# A line or hem whose piece is not said is on the only piece of its garment.
THE_ONLY_ONE = 0


def trousers_meant(hem: HemAsked, garments: Sequence[GarmentPiece], at: Where) -> int:
    """The trousers of a hem. Raises Refusal `piece_missing`."""
    return _piece_number(hem.piece, "trousers", garments, at)


def on_its_piece(line: LineAsked, garments: Sequence[GarmentPiece], at: Where) -> LineAsked:
    """The line on the piece that was said, or on the only one of its garment. Raises Refusal `piece_missing`."""
    garment = alteration(line.alteration).garment
    return replace(line, piece=_piece_number(line.piece, garment, garments, at))


def _piece_number(said: int, garment: str, garments: Sequence[GarmentPiece], at: Where) -> int:
    """The piece that was said, or the only one of its garment. Raises Refusal `piece_missing`."""
    if said != THE_ONLY_ONE:
        return said
    found = [piece.piece for piece in garments if piece.garment == garment]
    if len(found) != 1:
        raise Refusal("piece_missing", (*at, "piece"), garment=garment, count=len(found))
    return found[0]


def garments_of(
    asked: tuple[GarmentPiece, ...], planned: Mapping[Garment, ChartSize], charts: Mapping[str, Chart]
) -> tuple[GarmentPiece, ...]:
    """The garments that were named, with the plan's sizes where none is said, and the plan's own that were not named.

    Raises Refusal `not_the_plans_size` where none of a kind is the one that was planned for, `chart_unknown` or
    `label_unknown`.
    """
    garments = _with_the_plans(asked, planned)
    _check_charts(garments, charts)
    return tuple(_as_sold(piece, charts) for piece in garments)


def _with_the_plans(asked: tuple[GarmentPiece, ...], planned: Mapping[Garment, ChartSize]) -> tuple[GarmentPiece, ...]:
    garments = list(asked)
    for garment, size in planned.items():
        chosen = (size.chart, size.label)
        mine = [i for i, piece in enumerate(garments) if piece.garment == garment]
        same = next((i for i in mine if (garments[i].chart, garments[i].label) == chosen), None)
        bare = next((i for i in mine if garments[i].label is None), None)
        if not mine:
            number = max((piece.piece for piece in garments), default=0) + 1
            garments.append(GarmentPiece(number, garment, *chosen))
        elif same is None and bare is None:
            given = f"{garments[mine[0]].chart} {garments[mine[0]].label}"
            where: Where = ("garments", mine[0], "label")
            raise Refusal("not_the_plans_size", where, garment=garment, planned=" ".join(chosen), given=given)
        elif same is None and bare is not None:
            garments[bare] = replace(garments[bare], chart=size.chart, label=size.label)
    return tuple(garments)


def _check_charts(garments: Sequence[GarmentPiece], charts: Mapping[str, Chart]) -> None:
    """Every chart and label that the garments name is there. Raises Refusal `chart_unknown` or `label_unknown`."""
    for i, piece in enumerate(garments):
        if piece.chart is None:
            continue
        if piece.chart not in charts:
            raise Refusal("chart_unknown", ("garments", i, "chart"), given=piece.chart)
        sold = next((garment for garment in GARMENTS if garment == piece.garment), None)
        if piece.label is not None and sold:
            try:
                charts[piece.chart].size(sold, piece.label)
            except Refusal as refusal:
                raise refusal.within("garments", i) from None


def _as_sold(piece: GarmentPiece, charts: Mapping[str, Chart]) -> GarmentPiece:
    chart = charts.get(piece.chart or "")
    worked = piece.garment == "jacket" and chart is not None and chart.worked_buttonholes
    return replace(piece, worked_buttonholes=True) if worked else piece

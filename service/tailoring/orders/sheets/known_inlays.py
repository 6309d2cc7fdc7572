"""What benches found in pieces of a chart, held against a line that lets cloth out of another one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from service.tailoring.garments.alterations import alteration
from service.tailoring.garments.charts import Chart
from service.tailoring.garments.found_inlays import known_out_mm
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.notices import Notice
from service.tailoring.orders.lines.order_lines import LineAsked
from service.tailoring.quantities import Length
from service.tailoring.refusals import Refusal, Where

SAME_MM = 0.001


def known_inlay_notices(
    lines: Sequence[tuple[LineAsked, Where]], garments: Sequence[GarmentPiece], charts: Mapping[str, Chart]
) -> list[Notice]:
    """How much came out of other pieces of the chart, for each let-out whose own inlay nobody has seen.

    Raises Refusal `inlay_known_too_small` where it is less than the line lets out: who looks into this piece, and sees
    more, says so.
    """
    found = []
    for line, at in lines:
        piece = next((piece for piece in garments if piece.piece == line.piece), None)
        most_mm = known_out_mm(charts.get(piece.chart or ""), line.alteration) if piece else None
        amount = line.amount
        if most_mm is None or amount is None or amount.direction != "increase" or line.inlay_seen is not None:
            continue
        most = Length(most_mm, amount.length.unit).text
        if amount.length.mm > most_mm + SAME_MM:
            raise Refusal("inlay_known_too_small", (*at, "amount"), alteration=line.alteration, most=most)
        words = f"{alteration(line.alteration).words}: {most} was let out of other garments of this chart."
        found.append(Notice("inlay_known", at, words, (("alteration", line.alteration), ("most", most))))
    return found

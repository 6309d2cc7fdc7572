"""The order sheet: from what a caller asks, by lines, by pins or by a fit check, to checked and priced lines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from service.storage import fit_checks
from service.storage.database import Transaction
from service.storage.fit_checks import KeptFitCheck
from service.tailoring.garments.alterations import alteration
from service.tailoring.garments.amounts import Amount
from service.tailoring.garments.charts import GARMENTS, Chart
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.garments.places import places
from service.tailoring.notices import Notice
from service.tailoring.orders.order_lines import LineAsked, OrderLine, lines_of, notices_of
from service.tailoring.quantities import Length, inches
from service.tailoring.refusals import Refusal, Where
from service.use_cases.context import Caller
from service.use_cases.orders.follow_on_lines import follow_on_notice, following_lines
from service.use_cases.orders.order_hems import HEM_CODES, HemAsked, hem_lines
from service.use_cases.shop.charts import find_chart

# A line or hem whose piece is not said is on the only piece of its garment.
THE_ONLY_ONE = 0
# Printed on the ticket too.
NOT_SEEN = "not seen or taped at the fitting: look before it is sewn"
# A finished measure that is further than this from what the change makes of the chart's is a slip; no garment of a
# rack is nearer to its chart than this (common practice, no source).
TARGET_SLACK_MM = inches(1 / 2)


@dataclass(frozen=True, slots=True)
class SheetAsked:
    """Garments and what is to be done to them; a fit check brings both, and the caller may add to either.

    `add_follow_ons`: what an alteration makes necessary elsewhere, by as much, becomes a line too.
    """

    garments: tuple[GarmentPiece, ...] = ()
    lines: tuple[LineAsked, ...] = ()
    hems: tuple[HemAsked, ...] = ()
    from_fit_check: str | None = None
    plan: int = 0
    needed_by: date | None = None
    rush: bool = False
    add_follow_ons: bool = True


@dataclass(frozen=True, slots=True)
class Sheet:
    """Checked garments and priced lines, and what is to be looked at."""

    garments: tuple[GarmentPiece, ...]
    lines: tuple[OrderLine, ...]
    notices: tuple[Notice, ...]


def draw_up(tx: Transaction, caller: Caller, asked: SheetAsked) -> Sheet:
    """Check and price everything that is asked; refusals point into the request.

    Raises Refusal `fit_check_unknown`, `plan_unknown`, `chart_unknown`, `label_unknown`, `leg_unknown`,
    `hem_cloth_short`, `pins_missing` or as `lines_of`.
    """
    check = _fit_check(tx, caller, asked)
    plan = check.plans[asked.plan] if check else {"garments": [], "lines": []}
    garments = _garments(asked.garments, plan["garments"])
    charts = _charts(tx, caller, garments)
    garments = tuple(_as_sold(piece, charts) for piece in garments)
    hems = [
        replace(hem, piece=_piece_number(hem.piece, "trousers", garments, ("hems", i)))
        for i, hem in enumerate(asked.hems)
    ]
    hemmed = {hem.piece for hem in hems}
    lines: list[tuple[LineAsked, Where]] = [
        (_on_its_piece(line, garments, ("lines", i)), ("lines", i)) for i, line in enumerate(asked.lines)
    ]
    lines += [(line, ("from_fit_check",)) for line in _plan_lines(plan["lines"], garments, hemmed)]
    notices: list[Notice] = []
    for i, hem in enumerate(hems):
        pinned, looked_at = hem_lines(hem, i, garments, charts, check)
        lines += [(line, ("hems", i)) for line in pinned]
        notices += looked_at
    following = following_lines(lines, garments) if asked.add_follow_ons else []
    lines = [(_aimed(line, at, garments, charts), at) for line, at in (*lines, *following)]
    built = _built(garments, lines, caller)
    notices += [_where_asked(notice, lines) for notice in notices_of(built)]
    notices += _unpinned(plan["lines"], garments, hemmed)
    notices += [follow_on_notice(line, at) for line, at in following]
    unseen = ((line.alteration, at) for line, at in lines if line.origin == "planned" and not line.seen)
    notices += [Notice("place_not_seen", at, f"{code}: {NOT_SEEN}.") for code, at in unseen]
    return Sheet(garments, built, tuple(notices))


def _on_its_piece(line: LineAsked, garments: Sequence[GarmentPiece], at: Where) -> LineAsked:
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


def _fit_check(tx: Transaction, caller: Caller, asked: SheetAsked) -> KeptFitCheck | None:
    if asked.from_fit_check is None:
        return None
    found = fit_checks.find_fit_check(tx, caller.shop.id, asked.from_fit_check)
    if found is None:
        raise Refusal("fit_check_unknown", ("from_fit_check",))
    if asked.plan >= len(found.plans):
        raise Refusal("plan_unknown", ("plan",), most=len(found.plans) - 1)
    return found


def _garments(asked: tuple[GarmentPiece, ...], planned: list[dict[str, str]]) -> tuple[GarmentPiece, ...]:
    """The caller's garments, with the plan's sizes where he gives none, and the plan's own that he did not name.

    Raises Refusal `not_the_plans_size` where none of his garments of a kind is the one that was planned for.
    """
    garments = list(asked)
    for size in planned:
        chosen = (size["chart"], size["label"])
        mine = [i for i, piece in enumerate(garments) if piece.garment == size["garment"]]
        same = next((i for i in mine if (garments[i].chart, garments[i].label) == chosen), None)
        bare = next((i for i in mine if garments[i].label is None), None)
        if not mine:
            number = max((piece.piece for piece in garments), default=0) + 1
            garments.append(GarmentPiece(number, size["garment"], *chosen))
        elif same is None and bare is None:
            given = f"{garments[mine[0]].chart} {garments[mine[0]].label}"
            where: Where = ("garments", mine[0], "label")
            raise Refusal("not_the_plans_size", where, garment=size["garment"], planned=" ".join(chosen), given=given)
        elif same is None and bare is not None:
            garments[bare] = replace(garments[bare], chart=size["chart"], label=size["label"])
    return tuple(garments)


def _charts(tx: Transaction, caller: Caller, garments: Sequence[GarmentPiece]) -> dict[str, Chart]:
    """The charts that the garments name, their labels checked."""
    charts: dict[str, Chart] = {}
    for i, piece in enumerate(garments):
        if piece.chart is None:
            continue
        chart = charts.get(piece.chart) or find_chart(tx, caller.shop.id, piece.chart, ("garments", i, "chart"))
        charts[piece.chart] = chart
        sold = next((garment for garment in GARMENTS if garment == piece.garment), None)
        if piece.label is not None and sold:
            try:
                chart.size(sold, piece.label)
            except Refusal as refusal:
                raise refusal.within("garments", i) from None
    return charts


def _as_sold(piece: GarmentPiece, charts: dict[str, Chart]) -> GarmentPiece:
    worked = piece.garment == "jacket" and piece.chart in charts and charts[piece.chart].worked_buttonholes
    return replace(piece, worked_buttonholes=True) if worked else piece


def _plan_lines(planned: list[dict[str, Any]], garments: Sequence[GarmentPiece], hemmed: set[int]) -> list[LineAsked]:
    """The plan's alterations; a pinned hem takes the place of the one that was predicted."""
    found = []
    for each in planned:
        piece = next(
            piece.piece for piece in garments if (piece.garment, piece.label) == (each["garment"], each["label"])
        )
        if each["alteration"] in HEM_CODES.values() and piece in hemmed:
            continue
        length = Length(each["amount_mm"], each["unit"])
        amount = Amount(length, each["basis"], each["direction"], each["side"])
        found.append(
            LineAsked(
                piece,
                each["alteration"],
                amount,
                note="" if each["seen"] else NOT_SEEN,
                origin="planned",
                seen=each["seen"],
            )
        )
    return found


def _built(
    garments: tuple[GarmentPiece, ...], lines: list[tuple[LineAsked, Where]], caller: Caller
) -> tuple[OrderLine, ...]:
    """Priced lines; a refusal of the n-th line points to where the caller asked for it."""
    try:
        return lines_of(garments, [line for line, _ in lines], caller.shop.prices)
    except Refusal as refusal:
        if refusal.parts:
            parts = [_refused_where_asked(part, lines) for part in refusal.parts]
            raise Refusal.together(refusal.code, parts, **refusal.facts) from None
        raise _refused_where_asked(refusal, lines) from None


def _refused_where_asked(refusal: Refusal, lines: list[tuple[LineAsked, Where]]) -> Refusal:
    match refusal.at:
        case ("lines", int(n), *inner) if n < len(lines):
            asked_at = lines[n][1]
            keep = tuple(inner) if asked_at[0] == "lines" else ()
            return Refusal(refusal.code, (*asked_at, *keep), **refusal.facts)
        case _:
            return refusal


def _where_asked(notice: Notice, lines: list[tuple[LineAsked, Where]]) -> Notice:
    """The notice of the n-th line, pointing to where the caller asked for it."""
    match notice.at:
        case ("lines", int(n), *inner):
            asked_at = lines[n][1]
            # Of a line that was added the caller sent no part.
            sent = asked_at[0] == "lines" and lines[n][0].origin != "follow_on"
            return replace(notice, at=(*asked_at, *inner) if sent else asked_at)
        case _:
            return notice


def _aimed(line: LineAsked, at: Where, garments: Sequence[GarmentPiece], charts: dict[str, Chart]) -> LineAsked:
    """The line with the finished measure that it aims at, where the chart tells what the garment measures now."""
    piece = next((piece for piece in garments if piece.piece == line.piece), None)
    if not line.amount or not piece or piece.chart not in charts or not piece.label:
        return line
    place = next((p for p in places(piece.garment) if line.alteration in (p.too_little_cure, p.too_much_cure)), None)
    if place is None or (place.parts > 1 and line.amount.side != "both"):
        return line
    now_mm = charts[piece.chart].size(place.garment, piece.label).mm(place.name)
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


def _unpinned(planned: list[dict[str, Any]], garments: Sequence[GarmentPiece], hemmed: set[int]) -> list[Notice]:
    """A hem taken from a prediction is marked on the man before it is cut."""
    trousers = {piece.piece for piece in garments if piece.garment == "trousers"}
    predicted = any(each["alteration"] in HEM_CODES.values() for each in planned) and not trousers & hemmed
    words = "The hem is predicted, not pinned: mark it on the man in his shoes before it is cut."
    return [Notice("hem_not_pinned", ("from_fit_check",), words)] if predicted else []

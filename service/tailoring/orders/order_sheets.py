"""The order sheet: from what a caller asks, by lines, by pins or by a fit check, to checked and priced lines."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from service.tailoring.fitting.fit_check_records import FitCheckRecord
from service.tailoring.garments.alterations import alteration
from service.tailoring.garments.charts import GARMENTS, Chart, Garment
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.garments.places import places
from service.tailoring.hems.hems import HEM_CODES
from service.tailoring.notices import Notice
from service.tailoring.orders.follow_on_lines import follow_on_notice, following_lines
from service.tailoring.orders.order_hems import HemAsked, hem_lines
from service.tailoring.orders.order_lines import LineAsked, OrderLine, lines_of, notices_of
from service.tailoring.quantities import Length, inches
from service.tailoring.refusals import Refusal, Where
from service.tailoring.sizing.plans import ChosenSize, Plan, PlannedAlteration
from service.tailoring.work.prices import PriceList

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


@dataclass(frozen=True, slots=True)
class SheetSources:
    """What a sheet is drawn up from: prices, charts (those of `charts_named` that there are), the fit check named."""

    prices: PriceList
    charts: Mapping[str, Chart]
    check: FitCheckRecord | None = None


def charts_named(asked: SheetAsked, check: FitCheckRecord | None) -> tuple[str, ...]:
    """The codes of the charts that a sheet is drawn up by: those of its garments, and of the plan that it takes up."""
    plan = check.plans[asked.plan] if check and asked.plan < len(check.plans) else None
    planned = (size.chart for _, size in _sizes(plan))
    return tuple(dict.fromkeys([*(piece.chart for piece in asked.garments if piece.chart), *planned]))


def draw_up(asked: SheetAsked, sources: SheetSources) -> Sheet:
    """Check and price everything that is asked; refusals point into the request.

    Raises Refusal `fit_check_unknown`, `plan_unknown`, `chart_unknown`, `label_unknown`, `leg_unknown`,
    `hem_cloth_short`, `pins_missing` or as `lines_of`.
    """
    charts, check = sources.charts, sources.check
    plan = _plan(asked, check)
    garments = _garments(asked.garments, _sizes(plan))
    _check_charts(garments, charts)
    garments = tuple(_as_sold(piece, charts) for piece in garments)
    hems = [
        replace(hem, piece=_piece_number(hem.piece, "trousers", garments, ("hems", i)))
        for i, hem in enumerate(asked.hems)
    ]
    hemmed = {hem.piece for hem in hems}
    lines: list[tuple[LineAsked, Where]] = [
        (_on_its_piece(line, garments, ("lines", i)), ("lines", i)) for i, line in enumerate(asked.lines)
    ]
    lines += [(line, ("from_fit_check",)) for line in _plan_lines(plan, garments, hemmed)]
    notices: list[Notice] = []
    for i, hem in enumerate(hems):
        pinned, looked_at = hem_lines(hem, i, garments, charts, check.inside_leg if check else None)
        lines += [(line, ("hems", i)) for line in pinned]
        notices += looked_at
    following = following_lines(lines, garments) if asked.add_follow_ons else []
    lines = [(_aimed(line, at, garments, charts), at) for line, at in (*lines, *following)]
    built = _built(garments, lines, sources.prices)
    notices += [_where_asked(notice, lines) for notice in notices_of(built)]
    notices += _unpinned(plan, garments, hemmed)
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


def _plan(asked: SheetAsked, check: FitCheckRecord | None) -> Plan | None:
    """The plan that is taken up. Raises Refusal `fit_check_unknown` or `plan_unknown`."""
    if asked.from_fit_check is None:
        return None
    if check is None:
        raise Refusal("fit_check_unknown", ("from_fit_check",))
    if asked.plan >= len(check.plans):
        raise Refusal("plan_unknown", ("plan",), most=len(check.plans) - 1)
    return check.plans[asked.plan]


def _sizes(plan: Plan | None) -> tuple[tuple[Garment, ChosenSize], ...]:
    return tuple((garment, size) for garment in GARMENTS for size in (plan and plan.chosen.get(garment),) if size)


def _garments(
    asked: tuple[GarmentPiece, ...], planned: tuple[tuple[Garment, ChosenSize], ...]
) -> tuple[GarmentPiece, ...]:
    """The caller's garments, with the plan's sizes where he gives none, and the plan's own that he did not name.

    Raises Refusal `not_the_plans_size` where none of his garments of a kind is the one that was planned for.
    """
    garments = list(asked)
    for garment, size in planned:
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


def _plan_lines(plan: Plan | None, garments: Sequence[GarmentPiece], hemmed: set[int]) -> list[LineAsked]:
    """The plan's alterations; a pinned hem takes the place of the one that was predicted."""
    if plan is None:
        return []
    labels = {garment: size.label for garment, size in _sizes(plan)}
    pieces = [
        next(piece.piece for piece in garments if (piece.garment, piece.label) == (each.garment, labels[each.garment]))
        for each in plan.alterations
    ]
    return [
        _planned_line(piece, each)
        for piece, each in zip(pieces, plan.alterations, strict=True)
        if not (_is_hem(each) and piece in hemmed)
    ]


def _planned_line(piece: int, planned: PlannedAlteration) -> LineAsked:
    """Of a hem that was only predicted another notice says that it is to be marked."""
    seen = planned.seen or planned.code == HEM_CODES["plain"]
    note = "" if seen else NOT_SEEN
    return LineAsked(piece, planned.code, planned.amount, note=note, origin="planned", seen=seen)


def _is_hem(planned: PlannedAlteration) -> bool:
    return planned.code in HEM_CODES.values()


def _built(
    garments: tuple[GarmentPiece, ...], lines: list[tuple[LineAsked, Where]], prices: PriceList
) -> tuple[OrderLine, ...]:
    """Priced lines; a refusal of the n-th line points to where the caller asked for it."""
    try:
        return lines_of(garments, [line for line, _ in lines], prices)
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


def _aimed(line: LineAsked, at: Where, garments: Sequence[GarmentPiece], charts: Mapping[str, Chart]) -> LineAsked:
    """The line with the finished measure that it aims at, where the chart tells what the garment measures now."""
    piece = next((piece for piece in garments if piece.piece == line.piece), None)
    chart = charts.get(piece.chart or "") if piece else None
    if not line.amount or not piece or not chart or not piece.label:
        return line
    place = next((p for p in places(piece.garment) if line.alteration in (p.too_little_cure, p.too_much_cure)), None)
    if place is None or (place.parts > 1 and line.amount.side != "both"):
        return line
    now_mm = chart.size(place.garment, piece.label).mm(place.name)
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


def _unpinned(plan: Plan | None, garments: Sequence[GarmentPiece], hemmed: set[int]) -> list[Notice]:
    """A hem taken from a prediction is marked on the man before it is cut."""
    trousers = {piece.piece for piece in garments if piece.garment == "trousers"}
    predicted = plan is not None and any(map(_is_hem, plan.alterations)) and not trousers & hemmed
    words = "The hem is predicted, not pinned: mark it on the man in his shoes before it is cut."
    return [Notice("hem_not_pinned", ("from_fit_check",), words)] if predicted else []

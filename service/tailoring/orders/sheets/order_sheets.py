"""The order sheet: from what a caller asks, by lines, by pins or by a fit check, to checked and priced lines."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from service.tailoring.fitting.fit_check_records import FitCheckRecord
from service.tailoring.fitting.left_open import OpenDoubt, ToLookAt
from service.tailoring.garments.alterations import alteration
from service.tailoring.garments.charts import Chart, ChartSize, Garment
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.hems.dressed import AS_USUAL, Dressed
from service.tailoring.notices import Notice
from service.tailoring.orders.lines.order_lines import LineAsked, OrderLine, lines_of, notices_of
from service.tailoring.orders.sheets.advised_plans import AdvisedPlan, taken_of
from service.tailoring.orders.sheets.asked_garments import garments_of, on_its_piece, trousers_meant
from service.tailoring.orders.sheets.finished_measures import aimed
from service.tailoring.orders.sheets.follow_on_lines import follow_on_notice, following_lines
from service.tailoring.orders.sheets.hem_marks import check_marked, not_marked_notices, unmarked_lines, unmarked_pieces
from service.tailoring.orders.sheets.known_inlays import known_inlay_notices
from service.tailoring.orders.sheets.order_hems import (
    HemAsked,
    dressed_now,
    hem_lines,
    to_be_pinned,
    to_be_pinned_notice,
)
from service.tailoring.orders.sheets.planned_lines import (
    NOT_SEEN,
    TakenUp,
    left_notices,
    not_tried_on,
    open_doubts,
    planned_lines,
    taken_up,
    untried_notices,
)
from service.tailoring.refusals import Refusal, Where
from service.tailoring.work.hard_alterations import too_many_hard
from service.tailoring.work.prices import PriceList


@dataclass(frozen=True, slots=True)
class SheetAsked:
    """Garments and what is to be done to them; a fit check brings both, and the caller may add to either.

    `add_follow_ons`: what an alteration makes necessary elsewhere, by as much, becomes a line too. `take_up` names
    what of the check is only estimated and is ordered all the same. `to_be_pinned`: hems that nobody marked are
    marked later, and no bench begins before. `dressed` is what was worn at the fitting (None: as the check says).
    `from_advice` is an advice id, in the place of a fit check; its hems are to be pinned.
    """

    garments: tuple[GarmentPiece, ...] = ()
    lines: tuple[LineAsked, ...] = ()
    hems: tuple[HemAsked, ...] = ()
    from_fit_check: str | None = None
    from_advice: str | None = None
    plan: int = 0
    needed_by: date | None = None
    rush: bool = False
    add_follow_ons: bool = True
    take_up: tuple[str, ...] = ()
    to_be_pinned: bool = False
    dressed: Dressed | None = None


@dataclass(frozen=True, slots=True)
class Sheet:
    """Checked garments and priced lines, and what is to be looked at.

    `to_look_at` is what the fit check only estimates, offered and not ordered; `look_again` what it leaves in doubt.
    `dressed` is what was worn at the fitting, as far as it was said.
    """

    garments: tuple[GarmentPiece, ...]
    lines: tuple[OrderLine, ...]
    notices: tuple[Notice, ...]
    to_look_at: tuple[ToLookAt, ...] = ()
    look_again: tuple[OpenDoubt, ...] = ()
    dressed: Dressed = AS_USUAL


@dataclass(frozen=True, slots=True)
class SheetSources:
    """What a sheet is drawn up from: prices, charts (of `charts_named`), the fit check or the advice that is named."""

    prices: PriceList
    charts: Mapping[str, Chart]
    check: FitCheckRecord | None = None
    advised: AdvisedPlan | None = None

    def dressed(self, asked: SheetAsked) -> Dressed:
        """What was worn at the fitting: as the sheet says it, else as its fit check does."""
        return asked.dressed or (self.check.dressed if self.check else AS_USUAL)


def charts_named(
    asked: SheetAsked, check: FitCheckRecord | None, advised: AdvisedPlan | None = None
) -> tuple[str, ...]:
    """The codes of the charts that a sheet is drawn up by: those of its garments, and of the plan that it takes up."""
    plan = advised or (check.plans[asked.plan] if check and asked.plan < len(check.plans) else None)
    planned = (size.chart for size in plan.chosen.values()) if plan else ()
    return tuple(dict.fromkeys([*(piece.chart for piece in asked.garments if piece.chart), *planned]))


def draw_up(asked: SheetAsked, sources: SheetSources, *, binding: bool = True) -> Sheet:
    """Check and price everything that is asked; refusals point into the request.

    A sheet that is `binding` is cut by: its hems must be marked. Any other, a quote, is answered as if they were still
    to be pinned. Raises Refusal `fit_check_unknown`, `plan_unknown`, `swap_not_tried_on`, `chart_unknown`,
    `label_unknown`, `hem_not_marked`, `leg_unknown`, `hem_cloth_short`, `not_to_look_at`, or as `taken_of`, `lines_of`.
    """
    charts, advised = sources.charts, sources.advised
    taken = taken_up(sources.check, asked.from_fit_check, asked.plan)
    taken = taken_of(advised, charts, sources.prices) if advised else taken
    if taken.untried and not (asked.lines or asked.hems or asked.to_be_pinned or taken.lines or asked.take_up):
        raise not_tried_on(taken)
    garments = garments_of(asked.garments, _needed_sizes(taken, asked), charts)
    lines, notices, hemmed = _asked_lines(asked, taken, garments, sources)
    notices += [*untried_notices(taken), *left_notices(taken)]
    following = following_lines(lines, garments) if asked.add_follow_ons else []
    lines = [(aimed(line, at, garments, charts), at) for line, at in (*lines, *following)]
    notices += known_inlay_notices(lines, garments, charts)
    is_asked = bool(lines or hemmed or taken.hems or asked.to_be_pinned)
    plain = [line for line, _ in lines]
    unmarked = unmarked_pieces(garments, plain, charts, hemmed, predicted=taken.hems) if is_asked else []
    missing = () if asked.to_be_pinned else tuple(unmarked)
    if not binding:
        notices += not_marked_notices(lines, missing)
    elif missing or unmarked_lines(lines):
        # What cannot be done at all is said first.
        if lines:
            _built(garments, lines, sources.prices, taken.to_look_at)
        check_marked(lines, missing)
    if binding or asked.to_be_pinned or taken.hems:
        at: Where = (taken.named,) if advised or not asked.to_be_pinned else ("to_be_pinned",)
        lines += [(to_be_pinned(HemAsked(piece)), at) for piece in unmarked]
        notices += [to_be_pinned_notice(at)] if asked.to_be_pinned and unmarked else []
    built = _built(garments, lines, sources.prices, taken.to_look_at)
    notices += [_where_asked(notice, lines) for notice in notices_of(built)]
    notices += [follow_on_notice(line, at) for line, at in following]
    unseen = ((line.alteration, at) for line, at in lines if line.origin == "planned" and not line.seen)
    notices += [Notice("place_not_seen", at, f"{code}: {NOT_SEEN}.") for code, at in unseen]
    notices += _too_hard(asked, garments, built, (taken.named,))
    dressed = dressed_now(sources.dressed(asked), asked.hems)
    # Of both legs of one hem the same is said once.
    once = tuple(each for n, each in enumerate(notices) if each not in notices[:n])
    return Sheet(garments, built, once, taken.to_look_at, open_doubts(taken, built), dressed)


def _asked_lines(
    asked: SheetAsked, taken: TakenUp, garments: tuple[GarmentPiece, ...], sources: SheetSources
) -> tuple[list[tuple[LineAsked, Where]], list[Notice], set[int]]:
    """Lines that the caller names, those of the plan and those of the pins, and which pieces have pins."""
    lines: list[tuple[LineAsked, Where]] = [
        (on_its_piece(line, garments, ("lines", i)), ("lines", i)) for i, line in enumerate(asked.lines)
    ]
    # The caller's own mark stands in the place of what was planned.
    planned = planned_lines(taken, asked.take_up, garments)
    mine = [line for line, _ in lines]
    lines += [(line, (taken.named,)) for line in planned if not any(_is_same_work(line, each) for each in mine)]
    notices: list[Notice] = []
    hemmed = set()
    for i, hem in enumerate(asked.hems):
        dressed = hem.dressed or sources.dressed(asked)
        of = replace(hem, piece=trousers_meant(hem, garments, ("hems", i)), dressed=dressed)
        known = sources.check.inside_leg if sources.check else None
        pinned, looked_at = hem_lines(of, i, garments, sources.charts, known)
        lines += [(line, ("hems", i)) for line in pinned]
        notices += looked_at
        hemmed.add(of.piece)
    return lines, notices, hemmed


def _is_same_work(line: LineAsked, other: LineAsked) -> bool:
    """Whether two lines do the same to the same piece, on a side that both have."""
    sides = {each.amount.side if each.amount else None for each in (line, other)}
    return (line.piece, line.alteration) == (other.piece, other.alteration) and sides != {"left", "right"}


def _needed_sizes(taken: TakenUp, asked: SheetAsked) -> dict[Garment, ChartSize]:
    """The planned sizes, without those that nobody tried on and that the caller does not work on either."""
    worked = {alteration(line.alteration).garment for line in asked.lines} | {piece.garment for piece in asked.garments}
    worked |= {"trousers"} if asked.hems or asked.to_be_pinned else set()
    needed = taken.sizes.items()
    return {garment: size for garment, size in needed if garment not in taken.untried or garment in worked}


def _too_hard(
    asked: SheetAsked, garments: Sequence[GarmentPiece], built: Sequence[OrderLine], planned: Where
) -> Iterator[Notice]:
    """Another size is offered first where one garment has too many hard alterations."""
    for position, piece in enumerate(garments):
        at: Where = ("garments", position) if position < len(asked.garments) else planned
        mine = (line.alteration for line in built if line.piece == piece.piece)
        notice = too_many_hard(piece.garment, mine, at)
        if notice:
            yield notice


def _built(
    garments: tuple[GarmentPiece, ...],
    lines: list[tuple[LineAsked, Where]],
    prices: PriceList,
    to_look_at: Sequence[ToLookAt],
) -> tuple[OrderLine, ...]:
    """Priced lines; a refusal of the n-th line points to where the caller asked for it.

    An order that would be empty says what was only estimated.
    """
    if not lines and to_look_at:
        raise Refusal("order_empty", ("lines",), to_look_at=[each.alteration for each in to_look_at])
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

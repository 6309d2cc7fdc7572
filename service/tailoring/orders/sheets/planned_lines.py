"""What of a fit check becomes order lines: what was seen, on what was tried on. The rest is offered, not ordered."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from service.tailoring.fitting.fit_check_records import FitCheckRecord
from service.tailoring.fitting.fit_points import fit_points
from service.tailoring.fitting.left_open import LeftToFitter, LookAgain, OpenDoubt, ToLookAt
from service.tailoring.garments.alterations import Alteration, alteration
from service.tailoring.garments.charts import ChartSize, Garment
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.hems.hems import HEM_CODES
from service.tailoring.notices import Notice
from service.tailoring.orders.lines.order_lines import LineAsked, OrderLine
from service.tailoring.refusals import Refusal
from service.tailoring.sizing.plans import PlannedAlteration

# Printed on the ticket too.
NOT_SEEN = "not seen or taped at the fitting: look before it is sewn"


@dataclass(frozen=True, slots=True)
class TakenUp:
    """A plan of a fit check as an order takes it up; `sizes` are those that were planned.

    `untried` were planned in a size that nobody tried on: no line is taken from them. `to_look_at` is what is only
    estimated on the others, `left_to_fitter` what was seen wrong and no line cures. `hems`: a hem was predicted, which
    is never a number to cut by. `places` are the alterations by garment and place; `named` is the part of the request
    that names the plan.
    """

    sizes: Mapping[Garment, ChartSize] = field(default_factory=dict)
    lines: tuple[PlannedAlteration, ...] = ()
    untried: tuple[Garment, ...] = ()
    to_look_at: tuple[ToLookAt, ...] = ()
    look_again: tuple[LookAgain, ...] = ()
    left_to_fitter: tuple[LeftToFitter, ...] = ()
    hems: bool = False
    places: dict[tuple[Garment, str], str] = field(default_factory=dict)
    named: str = "from_fit_check"

    def size_of(self, garment: Garment) -> str:
        """The size that was planned, in words."""
        return f"{self.sizes[garment].chart} {self.sizes[garment].label}"


NOTHING_TAKEN = TakenUp()


def taken_up(check: FitCheckRecord | None, named: str | None, position: int) -> TakenUp:
    """The plan at `position` of the check that a sheet names. Raises Refusal `fit_check_unknown` or `plan_unknown`."""
    if named is None:
        return NOTHING_TAKEN
    if check is None:
        raise Refusal("fit_check_unknown", ("from_fit_check",))
    if position >= len(check.plans):
        raise Refusal("plan_unknown", ("plan",), most=len(check.plans) - 1)
    plan = check.plans[position]
    untried = tuple(garment for garment, size in plan.chosen.items() if size != check.worn.get(garment))
    tried = [each for each in plan.alterations if each.garment not in untried]
    sewn = [each for each in tried if each.code not in HEM_CODES.values()]
    return TakenUp(
        sizes=plan.chosen,
        lines=tuple(each for each in sewn if each.seen),
        untried=untried,
        to_look_at=tuple(_to_look_at(check, [each for each in sewn if not each.seen], untried)),
        look_again=tuple(each for each in check.look_again if each.garment not in untried),
        left_to_fitter=tuple(each for each in check.left_to_fitter if each.garment not in untried),
        hems=len(sewn) < len(tried),
        places={(each.garment, each.place): each.alteration for each in plan.places if each.alteration},
    )


def planned_lines(taken: TakenUp, take_up: Sequence[str], garments: Sequence[GarmentPiece]) -> list[LineAsked]:
    """Lines for what was seen, and for what `take_up` names of what is only estimated.

    Raises Refusal `not_to_look_at` for what was never estimated.
    """
    known = [each.alteration for each in taken.to_look_at]
    for position, code in enumerate(take_up):
        if code not in known:
            raise Refusal("not_to_look_at", ("take_up", position), given=code, known=known)
    seen = [(each.garment, _seen_line(taken, each)) for each in taken.lines]
    named = [(each.garment, _estimated_line(each)) for each in taken.to_look_at if each.alteration in take_up]
    return [replace(line, piece=_piece_of(taken, garment, garments)) for garment, line in (*seen, *named)]


def open_doubts(taken: TakenUp, lines: Sequence[OrderLine]) -> tuple[OpenDoubt, ...]:
    """What is to be looked at again, and no line says so."""
    on_lines = {words for line in lines for words in line.look_again}
    doubts = [OpenDoubt(words, each.garment) for each in taken.look_again if (words := _words(each)) not in on_lines]
    doubts += [OpenDoubt(f"{each.seen}: {each.why}", each.garment) for each in taken.left_to_fitter if each.look_again]
    return tuple(dict.fromkeys(doubts))


def untried_notices(taken: TakenUp) -> list[Notice]:
    """That nothing of a garment is ordered that was planned in another size than was tried on."""
    return [
        Notice("swap_not_tried_on", ("from_fit_check",), _untried_words(taken, garment), (("garment", garment),))
        for garment in taken.untried
    ]


def left_notices(taken: TakenUp) -> list[Notice]:
    """What was seen wrong and is cured by no line: the fitter decides it before the work begins."""
    return [
        Notice("left_to_fitter", ("from_fit_check",), f"{each.seen}: {each.why}", (("point", each.point),))
        for each in taken.left_to_fitter
    ]


def not_tried_on(taken: TakenUp) -> Refusal:
    """Why an order from a swap alone has nothing to sew: the other size needs its own fit check."""
    sizes = [f"{garment} {taken.size_of(garment)}" for garment in taken.untried]
    return Refusal("swap_not_tried_on", ("from_fit_check",), planned=sizes)


def _untried_words(taken: TakenUp, garment: Garment) -> str:
    size = taken.size_of(garment)
    return f"{garment} {size} was not tried on: nothing on it is altered before it has a fit check of its own."


def _piece_of(taken: TakenUp, garment: Garment, garments: Sequence[GarmentPiece]) -> int:
    # Labels are alike from chart to chart: a 40R of another maker is not the one that was planned for.
    size = taken.sizes[garment]
    its = (garment, size.chart, size.label)
    return next(piece.piece for piece in garments if (piece.garment, piece.chart, piece.label) == its)


def _seen_line(taken: TakenUp, planned: PlannedAlteration) -> LineAsked:
    again = tuple(_words(each) for each in taken.look_again if _is_of(taken, each, planned))
    return LineAsked(
        0,
        planned.code,
        planned.amount,
        note=planned.arithmetic,
        origin="planned",
        look_again=tuple(dict.fromkeys(again)),
    )


def _estimated_line(each: ToLookAt) -> LineAsked:
    return LineAsked(0, each.alteration, each.amount, note=NOT_SEEN, origin="planned", seen=False)


def _is_of(taken: TakenUp, each: LookAgain, planned: PlannedAlteration) -> bool:
    """Whether a doubt is of the place that a line alters, on its side."""
    side = planned.amount.side if planned.amount else None
    # In a record of before lines had their place, a place has one alteration.
    planned_for = taken.places.get((each.garment, each.place))
    of_place = planned.place == each.place if planned.place else planned_for == planned.code
    of_point = each.point is not None and each.point in alteration(planned.code).mends
    return each.garment == planned.garment and (of_place or of_point) and {side, each.side} != {"left", "right"}


def _words(each: LookAgain) -> str:
    """As the paper says it."""
    said = each.words
    return said if said.casefold().startswith("look again") else f"look again: {said}"


def _to_look_at(
    check: FitCheckRecord, unseen: Sequence[PlannedAlteration], untried: Sequence[Garment]
) -> Iterator[ToLookAt]:
    """What the check says of it, with its point; of a record that says nothing, the plan's own estimate."""
    recorded = [
        each for each in check.to_look_at if each.garment not in untried and each.alteration not in HEM_CODES.values()
    ]
    yield from recorded
    said = {(each.garment, each.alteration) for each in recorded}
    for planned in unseen:
        if (planned.garment, planned.code) not in said:
            yield estimated(planned, alteration(planned.code))


def estimated(planned: PlannedAlteration, doing: Alteration) -> ToLookAt:
    """What a plan only estimates, with the point to look at."""
    point = next((code for code in doing.mends if code in fit_points()), None)
    where = f"look at {fit_points()[point].words}" if point else "look there"
    return ToLookAt(
        planned.garment, "", point, planned.code, planned.amount, planned.minutes, planned.price,
        f"{doing.words}: only estimated, {where}",
    )  # fmt: skip

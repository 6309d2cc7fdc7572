"""The work of a sheet going out: its order, its limits and its cautions, and what follows of each line."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from marshmallow import fields, validate

from service.http.schemas import Schema
from service.http.values import Out, written
from service.tailoring.garments.alterations import BENCHES, DIRECTIONS, SIDES, Alteration, alteration, usual_inlay
from service.tailoring.garments.amounts import Amount
from service.tailoring.orders.order_lines import OrderLine, line_numbers
from service.tailoring.quantities import Length
from service.tailoring.work.cautions import cautions_at
from service.tailoring.work.knock_ons import KINDS, FollowOn, follow_ons
from service.tailoring.work.order_of_work import sewn_before

FEASIBLE = ("done_or_not", "within_usual_limit", "beyond_usual_limit")
KIND_WORDS = "a line that follows by so much; a place to be marked again once this is sewn; a place to look at"


class AfterSchema(Schema):
    """A line that is sewn before, and why."""

    line = fields.Integer(required=True)
    reason = fields.String(required=True)


class InlaySchema(Schema):
    """The cloth that ready-made garments usually have there."""

    where = fields.String(required=True)
    least = Out(required=True, attribute="usual_mm.least", mm_in="in")
    most = Out(required=True, attribute="usual_mm.most", mm_in="in")
    basis = fields.String(required=True)
    source = fields.String(required=True)


class WorkSchema(Schema):
    """A line as the workroom sees it.

    `feasibility`: advice goes to the usual limit, an order of a willing workroom to `most`; it has no amount where
    it is done or not done. `usual_inlay` stands where cloth is let out.
    """

    line = fields.Integer(required=True)
    piece = fields.Integer(required=True)
    alteration = fields.String(required=True)
    stage = fields.Integer(required=True)
    bench = fields.String(required=True, validate=validate.OneOf(BENCHES))
    difficulty = fields.Integer(required=True, validate=validate.Range(1, 5))
    feasibility = fields.String(required=True, validate=validate.OneOf(FEASIBLE))
    usual_most = Out(required=True, allow_none=True)
    most = Out(required=True, allow_none=True)
    limited_by = fields.String(required=True)
    subject_to_inlay = fields.Boolean(required=True)
    usual_inlay = fields.Nested(InlaySchema, required=True, allow_none=True)
    after = fields.List(fields.Nested(AfterSchema), required=True)
    caution = fields.String(required=True)


class FollowOnSchema(Schema):
    """What a line does elsewhere.

    `direction` makes up for it, by `least` to `most` where that is known; `lines` are those of the sheet that it
    touches, and `met` says that one of them makes up for it.
    """

    of_line = fields.Integer(required=True)
    kind = fields.String(required=True, validate=validate.OneOf(KINDS), metadata={"description": KIND_WORDS})
    alterations = fields.List(fields.String(), required=True, metadata={"description": "what works there"})
    direction = fields.String(required=True, allow_none=True, validate=validate.OneOf([*DIRECTIONS, None]))
    side = fields.String(required=True, allow_none=True, validate=validate.OneOf([*SIDES, None]))
    least = Out(required=True, allow_none=True)
    most = Out(required=True, allow_none=True)
    lines = fields.List(fields.Integer(), required=True)
    met = fields.Boolean(required=True)
    text = fields.String(required=True)
    source = fields.String(required=True)


def work_documents(lines: Sequence[OrderLine]) -> list[dict[str, Any]]:
    """The lines in the order in which they are sewn, piece by piece."""
    numbers = line_numbers(lines)
    return [_work(lines, position, numbers) for position in sorted(numbers, key=numbers.__getitem__)]


def follow_on_documents(lines: Sequence[OrderLine]) -> list[dict[str, Any]]:
    """What follows of the lines, line by line."""
    numbers = line_numbers(lines)
    found = sorted(follow_ons(lines), key=lambda each: numbers[each.cause])
    return [_follow_on(each, numbers) for each in found]


def caution_texts(lines: Sequence[OrderLine]) -> list[str]:
    """The cautions of every bench that works on the lines; all of it is pressed at the end."""
    return [each.text for each in cautions_at({*(alteration(line.alteration).bench for line in lines), "finishing"})]


def _work(lines: Sequence[OrderLine], position: int, numbers: dict[int, int]) -> dict[str, Any]:
    line = lines[position]
    doing, amount = alteration(line.alteration), line.amount
    return {
        "line": numbers[position],
        "piece": line.piece,
        "alteration": doing.code,
        "stage": doing.stage,
        "bench": doing.bench,
        "difficulty": doing.difficulty,
        "feasibility": _feasibility(doing, amount),
        "usual_most": _most(doing.usual_most_mm(amount.direction), amount) if amount else None,
        "most": _most(doing.most_mm(amount.direction), amount) if amount else None,
        "limited_by": doing.limited_by,
        "subject_to_inlay": line.subject_to_inlay,
        "usual_inlay": inlay_document(doing.code) if amount and amount.direction == "increase" else None,
        "after": [
            {"line": numbers[at], "reason": pair.reason}
            for at, other in enumerate(lines)
            if at != position
            for pair in (sewn_before(other.alteration, doing.code, same_piece=other.piece == line.piece),)
            if pair
        ],
        "caution": doing.caution,
    }


def _feasibility(doing: Alteration, amount: Amount | None) -> str:
    if amount is None:
        return "done_or_not"
    # The last bit of a converted limit says nothing.
    within = amount.length.mm <= doing.usual_most_mm(amount.direction) + 0.001
    return "within_usual_limit" if within else "beyond_usual_limit"


def _most(most_mm: float, amount: Amount) -> dict[str, Any]:
    return written(Length(most_mm, amount.length.unit))


def inlay_document(code: str) -> dict[str, Any] | None:
    """The cloth that there usually is to let out, where the trade says."""
    inlay = usual_inlay(code)
    if inlay is None:
        return None
    least, most = (written(Length(mm, "in")) for mm in inlay.usual_mm)
    return {"where": inlay.where, "least": least, "most": most, "basis": inlay.basis, "source": inlay.source}


def _follow_on(each: FollowOn, numbers: dict[int, int]) -> dict[str, Any]:
    return {
        "of_line": numbers[each.cause],
        "kind": each.knock_on.kind,
        "alterations": list(each.knock_on.touches),
        "direction": each.knock_on.direction,
        "side": each.side,
        "least": written(each.least) if each.least else None,
        "most": written(each.most) if each.most else None,
        "lines": sorted(numbers[position] for position in each.lines),
        "met": each.met,
        "text": each.knock_on.words,
        "source": each.knock_on.source,
    }

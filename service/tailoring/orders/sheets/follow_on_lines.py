"""Lines that follow of others: a narrower shoulder needs a longer sleeve, and the sheet says and books both."""

from __future__ import annotations

from collections.abc import Sequence

from service.tailoring.garments.alterations import alteration, from_the_shoulder
from service.tailoring.garments.amounts import Amount
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.notices import Notice
from service.tailoring.orders.lines.order_lines import LineAsked
from service.tailoring.refusals import Where
from service.tailoring.work.knock_ons import lines_that_follow


def following_lines(
    lines: Sequence[tuple[LineAsked, Where | None]], garments: Sequence[GarmentPiece]
) -> list[tuple[LineAsked, Where]]:
    """What follows of the lines asked for by a known amount, each pointing to where its cause was asked.

    Nothing follows again of a cause that was asked nowhere: it was there before. A sleeve whose cuff holes are worked
    follows at the shoulder.
    """
    worked = {piece.piece for piece in garments if piece.worked_buttonholes}
    found: list[tuple[LineAsked, Where]] = []
    for cause, code, amount in lines_that_follow([line for line, _ in lines]):
        asked, at = lines[cause]
        if at is None:
            continue
        route = (from_the_shoulder(code) if asked.piece in worked else None) or code
        found.append((_follow_on(asked, route, amount), at))
    return found


def follow_on_notice(line: LineAsked, at: Where) -> Notice:
    """That a line was added which nobody asked for."""
    amount = line.amount.length.text if line.amount else ""
    words = f"{alteration(line.alteration).words}, {amount}: added, {line.note}."
    return Notice("line_follows", at, words, (("alteration", line.alteration),))


def follows_from(code: str) -> str:
    """The note of a line that follows of an alteration."""
    return f"follows from: {alteration(code).words}"


def _follow_on(cause: LineAsked, code: str, amount: Amount) -> LineAsked:
    """It is as surely seen as what it follows of."""
    note = follows_from(cause.alteration)
    return LineAsked(cause.piece, code, amount, note=note, origin="follow_on", seen=cause.seen)

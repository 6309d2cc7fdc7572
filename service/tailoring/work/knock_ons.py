"""Knock-on effects: what one alteration does to another place, and what follows of it on a sheet of work.

A line may follow by as much (a narrower shoulder draws the sleeve up), something is to be marked again once the
first is sewn (a hem after the waist), or only to be looked at.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Literal, Protocol, TypeAlias, cast

from service.tailoring import tables
from service.tailoring.garments.alterations import Direction, Side, alteration
from service.tailoring.garments.amounts import Amount
from service.tailoring.quantities import Length, LengthUnit, Span, inches

Kind: TypeAlias = Literal["line", "mark_again", "look"]

KINDS: tuple[Kind, ...] = ("line", "mark_again", "look")
# The last bit of a conversion must not decide: 2.54 cm is an inch.
SAME_MM = 0.001


@dataclass(frozen=True, slots=True)
class KnockOn:
    """What an alteration of `from_mm` or more, one `way` or either (None), does elsewhere.

    `touches` are the alterations that work there, the likeliest first; `direction` is the one that makes up for it.
    How much is `ratio` of the alteration's own amount, or `flat_mm` whatever that is, from least to most; neither
    where nobody can say.
    """

    alteration: str
    way: Direction | None
    from_mm: float
    kind: Kind
    touches: tuple[str, ...]
    direction: Direction | None
    ratio: Span | None
    flat_mm: Span | None
    notice: str
    words: str
    source: str

    @property
    def from_amount(self) -> Length | None:
        """From which amount on it is so; none where it always is."""
        return Length(self.from_mm, "in") if self.from_mm else None

    def between_mm(self, amount_mm: float) -> tuple[float, float] | None:
        """How much it comes to, from least to most, for an alteration of `amount_mm`."""
        if self.ratio:
            return (self.ratio[0] * amount_mm, self.ratio[1] * amount_mm)
        return self.flat_mm


class Sewn(Protocol):
    """What must be known of a line: on which piece, which alteration, how much."""

    @property
    def piece(self) -> int: ...

    @property
    def alteration(self) -> str: ...

    @property
    def amount(self) -> Amount | None: ...


@dataclass(frozen=True, slots=True)
class FollowOn:
    """What follows of the line at `cause`: `least` to `most` of it on `side`, and which lines of the sheet it touches.

    `met`: a line of the sheet makes up for it already.
    """

    cause: int
    knock_on: KnockOn
    least: Length | None
    most: Length | None
    side: Side | None
    lines: tuple[int, ...]
    met: bool


@cache
def knock_ons(code: str) -> tuple[KnockOn, ...]:
    """Every knock-on effect of one alteration, in the table's order."""
    return tuple(_knock_on(row) for row in tables.rows("work/knock_ons") if row["alteration"] == code)


def follow_ons(lines: Sequence[Sewn]) -> tuple[FollowOn, ...]:
    """All that follows of the lines of one sheet, line by line."""
    return tuple(
        _follow_on(lines, cause, effect)
        for cause, line in enumerate(lines)
        for effect in knock_ons(line.alteration)
        if _reaches(effect, line.amount)
    )


def lines_that_follow(lines: Sequence[Sewn]) -> list[tuple[int, str, Amount]]:
    """Lines that are still to be added: the position of their cause, the alteration and its amount.

    Where the fitter has a line at that place and side already, his own mark stands.
    """
    return [
        (follows.cause, follows.knock_on.touches[0], amount)
        for follows in follow_ons(lines)
        if follows.knock_on.kind == "line" and not follows.lines
        for amount in (_amount(follows),)
        if amount
    ]


def _amount(follows: FollowOn) -> Amount | None:
    doing = alteration(follows.knock_on.touches[0])
    if follows.most is None or follows.knock_on.direction is None or doing.basis is None:
        return None
    return Amount(follows.most, doing.basis, follows.knock_on.direction, follows.side if doing.sided else None)


def _reaches(effect: KnockOn, amount: Amount | None) -> bool:
    if effect.way and (amount is None or amount.direction != effect.way):
        return False
    return not effect.from_mm or (amount is not None and amount.length.mm >= effect.from_mm - SAME_MM)


def _follow_on(lines: Sequence[Sewn], cause: int, effect: KnockOn) -> FollowOn:
    line = lines[cause]
    amount = line.amount
    unit: LengthUnit = amount.length.unit if amount else "in"
    between = effect.between_mm(amount.length.mm if amount else 0.0)
    side = amount.side if amount and any(alteration(code).sided for code in effect.touches) else None
    touched = tuple(i for i, other in enumerate(lines) if i != cause and _touched(line, other, effect))
    return FollowOn(
        cause=cause,
        knock_on=effect,
        least=Length(between[0], unit) if between else None,
        most=Length(between[1], unit) if between else None,
        side=side,
        lines=touched,
        met=any(_makes_up(lines[i].amount, effect, between) for i in touched),
    )


def _touched(line: Sewn, other: Sewn, effect: KnockOn) -> bool:
    """Whether the other line works where the effect shows: on the same piece, or on one of another kind beside it."""
    if other.alteration not in effect.touches:
        return False
    same_kind = alteration(line.alteration).garment == alteration(other.alteration).garment
    if same_kind and line.piece != other.piece:
        return False
    sides = {line.amount.side if line.amount else None, other.amount.side if other.amount else None}
    return sides != {"left", "right"}


def _makes_up(amount: Amount | None, effect: KnockOn, between: tuple[float, float] | None) -> bool:
    """Only a line that follows by a known amount can be met; what is to be marked again waits for the first seam."""
    if effect.kind != "line" or amount is None or between is None:
        return False
    return amount.direction == effect.direction and amount.length.mm >= between[0] - SAME_MM


def _knock_on(row: dict[str, str]) -> KnockOn:
    def pair(least: str, most: str) -> Span | None:
        return Span(float(row[least]), float(row[most])) if row[most] else None

    flat = pair("flat_least_in", "flat_most_in")
    return KnockOn(
        alteration=row["alteration"],
        way=cast("Direction", row["way"]) if row["way"] else None,
        from_mm=inches(float(row["from_in"])),
        kind=cast("Kind", row["kind"]),
        touches=tuple(code.strip() for code in row["touches"].split(";") if code.strip()),
        direction=cast("Direction", row["direction"]) if row["direction"] else None,
        ratio=pair("ratio_least", "ratio_most"),
        flat_mm=Span(inches(flat.least), inches(flat.most)) if flat else None,
        notice=row["notice"],
        words=row["words"],
        source=row["source"],
    )

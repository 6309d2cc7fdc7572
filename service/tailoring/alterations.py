"""The catalogue of alterations: what each can do, how far, on which bench, and in which order."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Literal, TypeAlias, cast

from service.tailoring import tables
from service.tailoring.charts import GARMENTS
from service.tailoring.quantities import Length, inches, inches_text
from service.tailoring.refusals import Refusal

Basis: TypeAlias = Literal["girth", "per_side", "per_leg", "length"]
Direction: TypeAlias = Literal["decrease", "increase"]
Side: TypeAlias = Literal["left", "right", "both"]
Bench: TypeAlias = Literal["trousers", "jackets", "finishing"]

BASES: tuple[Basis, ...] = ("girth", "per_side", "per_leg", "length")
DIRECTIONS: tuple[Direction, ...] = ("decrease", "increase")
SIDES: tuple[Side, ...] = ("left", "right", "both")
BENCHES: tuple[Bench, ...] = ("trousers", "jackets", "finishing")
# A shop alters shirts as well, but has no charts of them.
ALTERED = (*GARMENTS, "shirt")

# The seam that must stay sewn when cloth is let out (trade press).
SEAM_MM = inches(3 / 8)
# Pressing: after all that is sewn on the piece.
LAST_STAGE = 11


@dataclass(frozen=True, slots=True)
class Alteration:
    """One operation of the workroom.

    `decrease_most_mm` and `increase_most_mm` are the limits that advice keeps, `hard_most_mm` the most that
    an order may ask of a willing workroom (None: as the direction's limit). `basis` None: it has no amount.
    `plain_hems` is the catalogue's price relative to a plain hem; both it and `minutes` are the middle of what the
    trade says (`minutes_between`, `plain_hems_between`). `from_inlay`: it needs cloth left inside. `mends` are the fit
    points that it puts right.
    """

    code: str
    garment: str
    words: str
    mends: tuple[str, ...]
    basis: Basis | None
    sided: bool
    decrease_most_mm: float
    increase_most_mm: float
    hard_most_mm: float | None
    from_inlay: bool
    minutes: int
    minutes_between: tuple[int, int]
    plain_hems: float
    plain_hems_between: tuple[float, float]
    difficulty: int
    stage: int
    bench: Bench
    limited_by: str
    knock_on: str
    caution: str
    source: str

    def most_mm(self, direction: Direction) -> float:
        """How far an order may go in `direction`; 0 where it cannot go at all."""
        usual = self.usual_most_mm(direction)
        return max(usual, self.hard_most_mm or 0.0) if usual else 0.0

    def usual_most_mm(self, direction: Direction) -> float:
        """How far advice goes in `direction`: further, to `most_mm`, only a willing workroom."""
        return self.decrease_most_mm if direction == "decrease" else self.increase_most_mm

    @property
    def directions(self) -> tuple[Direction, ...]:
        """The directions in which it can go; empty where it has no amount."""
        return tuple(d for d in DIRECTIONS if self.basis and self.most_mm(d) > 0)


@dataclass(frozen=True, slots=True)
class Amount:
    """How much, in four parts: a length with its unit, basis, direction, and the side where it has one."""

    length: Length
    basis: Basis
    direction: Direction
    side: Side | None = None


@cache
def catalogue() -> dict[str, Alteration]:
    """Every alteration by its code, in the table's order."""
    return {row["code"]: _alteration(row) for row in tables.rows("alterations")}


def alteration(code: str) -> Alteration:
    """The alteration of that code. Raises Refusal `alteration_unknown`."""
    found = catalogue().get(code)
    if found is None:
        raise Refusal("alteration_unknown", ("alteration",), alteration=code)
    return found


@dataclass(frozen=True, slots=True)
class Precedence:
    """Why one alteration is sewn before another."""

    before: str
    after: str
    reason: str
    source: str


@cache
def precedences() -> tuple[Precedence, ...]:
    """Every pair of the order of work.

    A row for `any` work stands for all of its garment, one for a garment for all of that. What is done last of all, at
    the irons, is never before anything.
    """
    sewing = [doing for doing in catalogue().values() if doing.stage != LAST_STAGE]
    return tuple(
        Precedence(before, row["after"], row["reason"], row["source"])
        for row in tables.rows("order_of_work")
        for before in _meant(row["before"], alteration(row["after"]), sewing)
    )


@cache
def must_precede() -> frozenset[tuple[str, str]]:
    """Pairs of codes: the first is sewn before the second."""
    return frozenset((pair.before, pair.after) for pair in precedences())


def sewn_before(one: str, other: str, *, same_piece: bool) -> Precedence | None:
    """Why `one` is sewn before `other`, if it is. Two pieces of one kind, two jackets, do not wait for one another."""
    pair = _by_pair().get((one, other))
    if pair is None or (not same_piece and alteration(one).garment == alteration(other).garment):
        return None
    return pair


@cache
def _by_pair() -> dict[tuple[str, str], Precedence]:
    return {(pair.before, pair.after): pair for pair in precedences()}


def _meant(before: str, after: Alteration, sewing: list[Alteration]) -> list[str]:
    garment = after.garment if before == "any" else before
    return [before] if before in catalogue() else [doing.code for doing in sewing if doing.garment == garment]


def order_of_work(codes: list[str]) -> list[int]:
    """Positions of `codes` in the order in which they are sewn: by stage, then the catalogue's own pairs."""
    left = sorted(range(len(codes)), key=lambda i: (alteration(codes[i]).stage, i))
    done: list[int] = []
    while left:
        waiting = {codes[i] for i in left}
        ready = (i for i in left if not any((code, codes[i]) in must_precede() for code in waiting))
        # The table holds no circle (a test shows it), so one is always ready.
        first = next(ready)
        done.append(first)
        left.remove(first)
    return done


def amount_of(
    doing: Alteration, amount: Length | None, basis: Basis | None, direction: Direction | None, side: Side | None
) -> Amount | None:
    """An amount from its four parts as they were said; the direction may be left out where there is only one.

    Raises Refusal `amount_missing`, `basis_missing` or `direction_missing`, pointing at the part.
    """
    if amount is None:
        if basis or direction or side:
            raise Refusal("amount_missing", ("amount",), alteration=doing.code, basis=doing.basis)
        return None
    if basis is None:
        raise Refusal("basis_missing", ("basis",), alteration=doing.code, basis=doing.basis, allowed=BASES)
    if direction is None and len(doing.directions) > 1:
        raise Refusal("direction_missing", ("direction",), alteration=doing.code, allowed=doing.directions)
    # Where no direction is known there is no amount either: `check_amount` says so.
    return Amount(amount, basis, direction or (doing.directions or DIRECTIONS)[0], side)


def check_amount(doing: Alteration, amount: Amount | None, inlay_seen: Length | None = None) -> None:
    """Refuse an amount that the alteration cannot take.

    Raises Refusal `amount_missing`, `amount_not_taken`, `basis_wrong`, `direction_impossible`,
    `side_missing`, `side_not_taken`, `amount_zero`, `alteration_beyond_limit` or
    `inlay_too_small`, pointing at the part.
    """
    if not doing.basis or not doing.directions:
        if amount is not None:
            raise Refusal("amount_not_taken", ("amount",), alteration=doing.code)
        return
    if amount is None:
        raise Refusal("amount_missing", ("amount",), alteration=doing.code, basis=doing.basis)
    if amount.basis != doing.basis:
        raise Refusal("basis_wrong", ("basis",), alteration=doing.code, basis=doing.basis, given=amount.basis)
    if amount.direction not in doing.directions:
        raise Refusal(
            "direction_impossible",
            ("direction",),
            alteration=doing.code,
            allowed=doing.directions,
            limited_by=doing.limited_by,
        )
    if doing.sided and amount.side is None:
        raise Refusal("side_missing", ("side",), of=doing.code, allowed=SIDES)
    if not doing.sided and amount.side is not None:
        raise Refusal("side_not_taken", ("side",), of=doing.code)
    _check_size(doing, amount, inlay_seen)


def _check_size(doing: Alteration, amount: Amount, inlay_seen: Length | None) -> None:
    if amount.length.mm <= 0:
        raise Refusal("amount_zero", ("amount",), alteration=doing.code)
    most_mm = doing.most_mm(amount.direction)
    # A thousandth of a millimetre forgives the last bit of a converted limit, nothing that a tape can show.
    if amount.length.mm > most_mm + 0.001:
        raise Refusal(
            "alteration_beyond_limit",
            ("amount",),
            alteration=doing.code,
            most_in=inches_text(most_mm),
            most_mm=round(most_mm, 1),
            limited_by=doing.limited_by,
            instead=instead_of(doing.code),
        )
    lets_out = doing.from_inlay and amount.direction == "increase"
    if lets_out and inlay_seen is not None and amount.length.mm > inlay_seen.mm - SEAM_MM + 0.001:
        out_mm = max(0.0, inlay_seen.mm - SEAM_MM)
        raise Refusal(
            "inlay_too_small",
            ("inlay_seen",),
            alteration=doing.code,
            most_in=inches_text(out_mm),
            most_mm=round(out_mm, 1),
        )


@dataclass(frozen=True, slots=True)
class Inlay:
    """Cloth that ready-made garments usually have at a seam, least and most (mm), as `basis` counts it."""

    where: str
    usual_mm: tuple[float, float]
    basis: Basis
    source: str


@cache
def usual_inlay(code: str) -> Inlay | None:
    """The inlay that an alteration lets out, where the trade says how much there usually is."""
    row = next((row for row in tables.rows("inlays") if row["alteration"] == code), None)
    if row is None:
        return None
    usual = (inches(float(row["usual_least_in"])), inches(float(row["usual_most_in"])))
    return Inlay(row["where"], usual, cast("Basis", row["basis"]), row["source"])


def instead_of(code: str) -> str:
    """What serves where the alteration cannot go so far: another operation, or another size."""
    return _instead().get(code, "another size or length class")


@cache
def _instead() -> dict[str, str]:
    return {row["alteration"]: row["instead"] for row in tables.rows("alternatives")}


def _alteration(row: dict[str, str]) -> Alteration:
    def mm(column: str) -> float:
        return inches(float(row[column] or 0))

    return Alteration(
        code=row["code"],
        garment=row["garment"],
        words=row["words"],
        mends=tuple(point.strip() for point in row["mends"].split(";") if point.strip()),
        basis=cast("Basis", row["basis"]) if row["basis"] else None,
        sided=row["sided"] == "yes",
        decrease_most_mm=mm("decrease_most_in"),
        increase_most_mm=mm("increase_most_in"),
        hard_most_mm=mm("hard_most_in") if row["hard_most_in"] else None,
        from_inlay=row["from_inlay"] == "yes",
        minutes=math.ceil((float(row["minutes_lo"]) + float(row["minutes_hi"])) / 2),
        minutes_between=(int(row["minutes_lo"]), int(row["minutes_hi"])),
        plain_hems=(float(row["hems_lo"]) + float(row["hems_hi"])) / 2,
        plain_hems_between=(float(row["hems_lo"]), float(row["hems_hi"])),
        difficulty=int(row["difficulty"]),
        stage=int(row["stage"]),
        bench=cast("Bench", row["bench"]),
        limited_by=row["limited_by"],
        knock_on=row["knock_on"],
        caution=row["caution"],
        source=row["source"],
    )


def from_the_shoulder(code: str) -> str | None:
    """What moves a sleeve's end whose cuff holes are worked, in the place of an alteration at the cuff; else None."""
    return _shoulder_routes().get(code)


@cache
def _shoulder_routes() -> dict[str, str]:
    return {row["alteration"]: row["instead"] for row in tables.rows("worked_cuff_holes")}

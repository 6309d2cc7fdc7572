"""Causes: what may be wrong with a garment on a man, what shows where if it is, and what cures it.

The signs say how often a cause shows as a look at a point; a look's verdict gives the sign its direction.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal, TypeAlias, cast

from service.tailoring import tables
from service.tailoring.body.posture import OneSide
from service.tailoring.garments.alterations import Side, catalogue
from service.tailoring.garments.charts import GARMENTS

# On which side a cause that has a side shows: its own, or the other; empty where neither cause nor point has one.
SignSide: TypeAlias = Literal["", "same", "other"]


# Compared by identity: the table is read once, and what a cause shows is kept for it by that key.
@dataclass(frozen=True, slots=True, eq=False)
class Sign:
    """That a cause shows as a look at a point, and in what share of the fittings in which it is at work.

    `too_much`: whether the look says that there is too much cloth (or too little).
    """

    cause: str
    point: str
    look: str
    too_much: bool
    share: float
    side: SignSide
    source: str


@dataclass(frozen=True, eq=False, slots=True)
class Cause:
    """Something that may be wrong; there is one of each, compared by identity.

    `prior` is the share of all fittings (on a side, where it has one) in which it is. `posture` is the note of posture
    that speaks of it. Remedies are alterations by code, or words, best first.
    """

    code: str
    garment: str
    words: str
    sided: bool
    prior: float
    posture: str
    remedies: tuple[str, ...]
    signs: tuple[Sign, ...]
    source: str


# As causes: there is one of each.
@dataclass(frozen=True, slots=True, eq=False)
class Suspect:
    """A cause, and the side on which it is suspected (None: it has no side)."""

    cause: Cause
    side: OneSide | None = None

    def shares(self, point: str, side: str | None) -> dict[str, float]:
        """How often it shows as each look at that point and side."""
        return _shares(self, point, side)


@cache
def _shares(suspect: Suspect, point: str, side: str | None) -> dict[str, float]:
    def there(sign: Sign) -> bool:
        anywhere = not sign.side or side is None or suspect.side is None
        return anywhere or (side == suspect.side) == (sign.side == "same")

    return {sign.look: sign.share for sign in suspect.cause.signs if sign.point == point and there(sign)}


@cache
def causes() -> dict[str, Cause]:
    """Every cause by code, in the table's order."""
    signs: dict[str, list[Sign]] = {}
    for row in tables.rows("fitting/cause_signs"):
        signs.setdefault(row["cause"], []).append(
            Sign(
                cause=row["cause"],
                point=row["point"],
                look=row["seen"],
                too_much=row["sign"] == "+",
                share=float(row["share"]),
                side=cast("SignSide", row["side"]),
                source=row["source"],
            )
        )
    return {row["cause"]: _cause(row, tuple(signs[row["cause"]])) for row in tables.rows("fitting/causes")}


@cache
def suspects() -> tuple[Suspect, ...]:
    """Every cause, once a side where it has one."""
    return tuple(
        suspect
        for cause in causes().values()
        for suspect in ((Suspect(cause, "left"), Suspect(cause, "right")) if cause.sided else (Suspect(cause),))
    )


def remedies_on(cause: Cause, worn: frozenset[str]) -> tuple[str, ...]:
    """What cures it, best first, without the alterations of garments that are not worn."""
    away = frozenset(GARMENTS) - worn
    codes = ((remedy, alteration_of(remedy)) for remedy in cause.remedies)
    return tuple(remedy for remedy, code in codes if code is None or catalogue()[code].garment not in away)


def alteration_of(remedy: str) -> str | None:
    """The alteration that a remedy begins with; None where it is words alone."""
    code = remedy.split(maxsplit=1)[0].rstrip(":")
    return code if code in catalogue() else None


def remedy_in_words(remedy: str) -> str:
    """A remedy as it is read: an alteration's code gives way to the catalogue's words."""
    code = alteration_of(remedy)
    return remedy if code is None else catalogue()[code].words + remedy.removeprefix(code)


def _cause(row: dict[str, str], signs: tuple[Sign, ...]) -> Cause:
    return Cause(
        code=row["cause"],
        garment=row["garment"],
        words=row["words"],
        sided=row["sided"] == "yes",
        prior=float(row["prior"]),
        posture=row["posture"],
        remedies=tuple(part.strip() for part in row["remedies"].split(";")),
        signs=signs,
        source=row["source"],
    )


@cache
def able_to_show(point: str, side: Side | None, looks: frozenset[str]) -> frozenset[Suspect]:
    """The suspects that can show so."""
    return frozenset(suspect for suspect in suspects() if looks & suspect.shares(point, side).keys())


@cache
def showing_at(point: str, side: Side | None) -> frozenset[Suspect]:
    """The suspects that show there at all."""
    return frozenset(suspect for suspect in suspects() if suspect.shares(point, side))

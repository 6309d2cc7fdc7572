"""What a fit check leaves open: what is only estimated, what contradicts the amount decided, what the fitter decides.

None of it is an order line. A caller may name what is to be looked at, and the fitter marks what is left to him.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from service.tailoring.garments.alterations import Side
from service.tailoring.garments.amounts import Amount
from service.tailoring.garments.charts import Garment
from service.tailoring.garments.places import Verdict
from service.tailoring.work.prices import Money

# Of lower rank than what was decided: the tape on the body, a pin that was moved, what is reckoned from the rest.
Contradicts: TypeAlias = Literal["pinned", "taped", "estimated"]
CONTRADICTS: tuple[Contradicts, ...] = ("pinned", "taped", "estimated")


@dataclass(frozen=True, slots=True)
class ToLookAt:
    """An alteration that is only estimated, at a place of the worn garment that was neither taped nor seen.

    `point` is the fit point to look at (None: the place has none). It becomes a line where the caller names it.
    """

    garment: Garment
    place: str
    point: str | None
    alteration: str
    amount: Amount | None
    minutes: int
    price: Money
    words: str


@dataclass(frozen=True, slots=True)
class LookAgain:
    """Evidence of lower rank that contradicts the amount decided by more than the tolerance; the amount stays.

    `seen` is what was seen, in words. `seen_mm` and `other_mm` are amounts as the point reads them: spare is positive,
    short negative (`seen_mm` None: a look without an amount).
    """

    garment: Garment
    place: str
    point: str | None
    side: Side | None
    seen: str
    seen_mm: float | None
    other_mm: float
    other: Contradicts
    words: str


@dataclass(frozen=True, slots=True)
class OpenDoubt:
    """What the fitting left in doubt and no line of an order has; `garment` is "" where nobody knows whose it is."""

    words: str
    garment: str = ""


@dataclass(frozen=True, slots=True)
class LeftToFitter:
    """A point that was seen wrong, and of which the house has no amount, or no size that cures it.

    `remedies` are what cures it, best first: alterations by code, or words. `look_again`: what was worn at the fitting
    may pretend it, and nothing is sewn of it before it was looked at again.
    """

    garment: Garment
    point: str
    side: Side | None
    verdict: Verdict
    seen: str
    why: str
    remedies: tuple[str, ...]
    look_again: bool = False

"""What became of a garment that was sold: kept, swapped, returned or altered; and what counts of them tell.

An outcome is what a caller reports, one garment at a time. Counts are of reports, not of garments: one that was
altered and then kept is two.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Literal, TypeAlias

from service.tailoring import tables
from service.tailoring.garments.alterations import alteration
from service.tailoring.garments.charts import Garment
from service.tailoring.garments.places import places
from service.tailoring.quantities import Length, Span
from service.tailoring.refusals import Refusal

Result: TypeAlias = Literal["kept", "swapped", "returned", "altered"]

RESULTS: tuple[Result, ...] = ("kept", "swapped", "returned", "altered")
# What a result must say besides, and what no other result may say.
_OWN_PARTS: dict[str, tuple[Result, ...]] = {
    "swapped_to": ("swapped",),
    "reason": ("returned", "swapped"),
    "alterations": ("altered",),
}
_MUST_SAY: dict[Result, str] = {"swapped": "swapped_to", "returned": "reason", "altered": "alterations"}
# 97.5 % of a standard normal lie below it: the interval holds 95 %.
_Z = 1.959964


@dataclass(frozen=True, slots=True)
class SizeSold:
    """A size of a chart."""

    chart: str
    label: str


@dataclass(frozen=True, slots=True)
class AlteredBy:
    """An alteration that was done, and by how much where that is said."""

    alteration: str
    amount: Length | None = None


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a garment. `advised` is what a plan had said, `p_best` how sure that was.

    Raises Refusal `outcome_part_missing`, `outcome_part_not_taken`, `outcome_same_size`, `reason_unknown`,
    `place_unknown`, `alteration_unknown` or `altered_elsewhere`.
    """

    garment: Garment
    sold: SizeSold
    result: Result
    on: date
    swapped_to: SizeSold | None = None
    reason: str | None = None
    place: str | None = None
    alterations: tuple[AlteredBy, ...] = ()
    advised: SizeSold | None = None
    p_best: float | None = None

    def __post_init__(self) -> None:
        for part, results in _OWN_PARTS.items():
            if getattr(self, part) and self.result not in results:
                raise Refusal("outcome_part_not_taken", (part,), part=part, result=self.result)
        needed = _MUST_SAY.get(self.result)
        if needed and not getattr(self, needed):
            raise Refusal("outcome_part_missing", (needed,), part=needed, result=self.result)
        if self.swapped_to == self.sold:
            raise Refusal("outcome_same_size", ("swapped_to",), label=self.sold.label)
        if self.reason is not None and self.reason not in return_reasons():
            raise Refusal("reason_unknown", ("reason",), allowed=tuple(return_reasons()))
        self._check_place()
        for i, each in enumerate(self.alterations):
            done_on = alteration_at(each.alteration, ("alterations", i, "alteration"))
            if done_on != self.garment:
                raise Refusal(
                    "altered_elsewhere", ("alterations", i, "alteration"), alteration=each.alteration, garment=done_on
                )

    def _check_place(self) -> None:
        if self.place is None:
            return
        if not self.reason:
            raise Refusal("outcome_part_missing", ("reason",), part="reason", result=f"{self.result}, at a place")
        allowed = [place.name for place in places(self.garment)]
        if self.place not in allowed:
            raise Refusal("place_unknown", ("place",), garment=self.garment, allowed=allowed)


@dataclass(frozen=True, slots=True)
class Share:
    """So many of so many, and the 95 % interval of the share that stands behind them (None of nothing)."""

    count: int
    of: int

    @property
    def share(self) -> float | None:
        """The share as it was counted."""
        return self.count / self.of if self.of else None

    @property
    def interval(self) -> Span | None:
        """Wilson's score interval (Journal of the American Statistical Association 22, 1927): honest for few, too."""
        if not self.of:
            return None
        n, p, z2 = self.of, self.count / self.of, _Z * _Z
        middle = (p + z2 / (2 * n)) / (1 + z2 / n)
        half = _Z * math.sqrt(p * (1 - p) / n + z2 / (4 * n * n)) / (1 + z2 / n)
        return Span(max(0.0, middle - half), min(1.0, middle + half))


@dataclass(frozen=True, slots=True)
class SizeTold:
    """What was reported of one size: how often each result, and of those sold as advised how many were kept."""

    garment: Garment
    sold: SizeSold
    counts: Mapping[str, int]
    as_advised: int = 0
    advised_and_kept: int = 0

    @property
    def kept(self) -> Share:
        """The share that was kept as it was sold."""
        return Share(self.counts.get("kept", 0), sum(self.counts.values()))

    @property
    def kept_as_advised(self) -> Share:
        """Of those that were sold as advised, the share that was kept."""
        return Share(self.advised_and_kept, self.as_advised)

    @property
    def results(self) -> dict[str, int]:
        """How often each result was reported, in their order."""
        return {result: self.counts.get(result, 0) for result in RESULTS}


@dataclass(frozen=True, slots=True)
class KeptShares:
    """What was reported, size by size."""

    sizes: tuple[SizeTold, ...]

    @property
    def reports(self) -> int:
        """How many reports that is."""
        return sum(each.kept.of for each in self.sizes)


@cache
def return_reasons() -> dict[str, str]:
    """Why a garment comes back, in the trade's words."""
    return {row["reason"]: row["words"] for row in tables.rows("orders/return_reasons")}


def alteration_at(code: str, at: tuple[str | int, ...]) -> str:
    """The garment that an alteration is done on. Raises Refusal `alteration_unknown`."""
    try:
        return alteration(code).garment
    except Refusal as refusal:
        raise Refusal(refusal.code, at, **refusal.facts) from None

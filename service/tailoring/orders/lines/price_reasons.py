"""Prices that are not the list's: another price, goodwill, a discount, a fee waived, each with who and why."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction
from typing import Literal, TypeAlias, get_args

from service.tailoring.refusals import Refusal

PriceKind: TypeAlias = Literal["override", "goodwill", "discount", "waived"]
PRICE_KINDS: tuple[PriceKind, ...] = get_args(PriceKind)
# What a caller may ask for beside: the list's price again.
AS_LISTED: Literal["as_listed"] = "as_listed"
PriceKindAsked: TypeAlias = PriceKind | Literal["as_listed"]
PRICE_KINDS_ASKED: tuple[PriceKindAsked, ...] = (*PRICE_KINDS, AS_LISTED)


@dataclass(frozen=True, slots=True)
class PriceAsked:
    """A price as it is asked for: `override` is that very price, `goodwill` and `discount` take off so much or percent.

    Raises Refusal `price_reason_wrong`, pointing at the part.
    """

    kind: PriceKindAsked
    minor: int | None = None
    percent: int | None = None

    def __post_init__(self) -> None:
        told = (self.minor is not None, self.percent is not None)
        if self.kind == "override" and told != (True, False):
            raise Refusal(
                "price_reason_wrong", ("minor",), kind=self.kind, needs="the price in minor units, no percent"
            )
        if self.kind in {"goodwill", "discount"} and told.count(True) != 1:
            raise Refusal("price_reason_wrong", ("minor",), kind=self.kind, needs="minor units or a percent")
        if self.kind in {"waived", AS_LISTED} and any(told):
            raise Refusal("price_reason_wrong", ("minor",), kind=self.kind, needs="no amount")

    def signed(self, by: str, at: datetime, why: str) -> PriceReason | None:
        """The reason as it is kept; None for the list's price."""
        return None if self.kind == AS_LISTED else PriceReason(self.kind, by, at, why, self.minor, self.percent)


@dataclass(frozen=True, slots=True)
class PriceReason:
    """Why a price is not the list's: of what kind, who allowed it, when and why."""

    kind: PriceKind
    by: str
    at: datetime
    why: str
    minor: int | None = None
    percent: int | None = None

    def price(self, listed_minor: int) -> int:
        """What is charged in the place of so much; never below nothing."""
        if self.kind == "waived":
            return 0
        if self.kind == "override":
            return self.minor or 0
        share = int(Fraction(listed_minor * (self.percent or 0), 100) + Fraction(1, 2))
        return max(0, listed_minor - (share if self.minor is None else self.minor))

"""Money: whole minor units of one currency (ISO 4217)."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Literal, NamedTuple, TypeAlias

from service.tailoring.garments.alterations import catalogue
from service.tailoring.garments.pieces import LININGS, PATTERNS
from service.tailoring.quantities import Length
from service.tailoring.refusals import Refusal
from service.tailoring.work.taxes import UNSAID, TaxTerms

# What a price may be raised for.
ModifiedFor: TypeAlias = Literal["cloth", "lining", "pattern"]
MODIFIED_FOR: tuple[ModifiedFor, ...] = ("cloth", "lining", "pattern")
# Two lengths closer than this are one: an inch sent as 2.54 cm is not over an inch.
SAME_MM = 0.001


@dataclass(frozen=True, slots=True)
class Money:
    """An amount in minor units (cents) and its ISO 4217 currency code."""

    minor: int
    currency: str


# So many bench minutes are worth a plain hem where plans are compared.
HEM_MINUTES_WORTH = 48


@dataclass(frozen=True, slots=True)
class PriceBand:
    """What an alteration costs where its amount is over `over`; up to the next band, or without end."""

    alteration: str
    over: Length
    minor: int


class FixedPrice(NamedTuple):
    """What an alteration costs in minor units, whatever a plain hem does."""

    alteration: str
    minor: int


@dataclass(frozen=True, slots=True)
class PriceModifier:
    """By how many percent the work on a garment costs more where its cloth, lining or pattern is `word`.

    A cloth is meant where the word, or words, stand in what the order calls it; capitals do not matter.
    Raises Refusal `lining_unknown` or `pattern_unknown`, pointing at the word.
    """

    what: ModifiedFor
    word: str
    percent: int

    def __post_init__(self) -> None:
        if self.what == "lining" and self.word not in LININGS:
            raise Refusal("lining_unknown", ("word",), allowed=LININGS)
        if self.what == "pattern" and self.word not in PATTERNS:
            raise Refusal("pattern_unknown", ("word",), allowed=PATTERNS)

    def is_meant(self, said: str) -> bool:
        """Whether `said`, of the garment, is what the modifier is for."""
        if self.what != "cloth":
            return said == self.word
        return re.search(rf"(?<!\w){re.escape(self.word)}(?!\w)", said, re.IGNORECASE) is not None


@dataclass(frozen=True, slots=True)
class Terms:
    """What was agreed of an order beside its lines: rush surcharge, deposit, and to what prices were rounded.

    An order that was placed before there were terms has none of them (zero, zero, None).
    """

    rush_minor: int = 0
    deposit_minor: int = 0
    round_to_minor: int | None = None


@dataclass(frozen=True, slots=True)
class PriceList:
    """What a shop charges, and what a bench minute is worth to it.

    An alteration costs what its band says, or its fixed price, or the catalogue's price in plain hems times
    `plain_hem_minor`, rounded half up to `round_to_minor`. `minute_minor` values bench time when plans are
    compared. Modifiers add up; a rush and a deposit are percents of an order's lines, a deposit of the rush too; of
    pieces brought in it is `deposit_percent_brought_in`, where that is said. `tax`: whether prices include it, and how
    much it is.
    """

    currency: str = "EUR"
    plain_hem_minor: int = 1200
    round_to_minor: int = 50
    minute_minor: int = 25
    tax_category: str = "standard"
    fixed_minor: tuple[tuple[str, int], ...] = ()
    bands: tuple[PriceBand, ...] = ()
    modifiers: tuple[PriceModifier, ...] = ()
    rush_percent: int = 0
    deposit_percent: int = 0
    deposit_percent_brought_in: int | None = None
    tax: TaxTerms = UNSAID

    @classmethod
    def of_plain_hem(cls, minor: int, currency: str, tax_category: str = "standard") -> PriceList:
        """The list that follows from the price of a plain hem, in any currency.

        A hem is some twenty minutes; bench time not sold to another is worth two fifths of its price, and prices
        are rounded to a twentieth of a hem or so (common practice, no source).
        """
        return cls(
            currency=currency,
            plain_hem_minor=minor,
            round_to_minor=max(1, 10 ** max(0, len(str(minor)) - 2) // 2),
            minute_minor=max(1, round(minor / HEM_MINUTES_WORTH)),
            tax_category=tax_category,
        )

    def price(self, code: str, plain_hems: float, amount_mm: float | None = None) -> Money:
        """What one alteration costs the customer; by its band where the amount is known."""
        banded = [band for band in self.bands if band.alteration == code and amount_mm is not None]
        passed = [band for band in banded if amount_mm is not None and amount_mm > band.over.mm + SAME_MM]
        if passed:
            return Money(max(passed, key=lambda band: band.over.mm).minor, self.currency)
        fixed = dict(self.fixed_minor).get(code)
        if fixed is not None:
            return Money(fixed, self.currency)
        return Money(_by_plain_hems(plain_hems, self.plain_hem_minor, self.round_to_minor), self.currency)

    @property
    def fixed(self) -> tuple[FixedPrice, ...]:
        """Its fixed prices by name."""
        return tuple(FixedPrice(code, minor) for code, minor in self.fixed_minor)

    @property
    def catalogue_prices(self) -> tuple[FixedPrice, ...]:
        """What every alteration costs where no band or modifier changes it."""
        return tuple(FixedPrice(code, self.price(code, each.plain_hems).minor) for code, each in catalogue().items())

    def raised_percent(self, garment: Mapping[ModifiedFor, str | None]) -> int:
        """By how many percent the work on a garment of that cloth, lining and pattern costs more."""
        said = ((modifier, garment.get(modifier.what)) for modifier in self.modifiers)
        return sum(modifier.percent for modifier, words in said if words and modifier.is_meant(words))

    def terms(self, lines_minor: int, brought_in_minor: int = 0, *, rush: bool = False) -> Terms:
        """What is agreed of an order whose lines cost so much, those of pieces brought in so much of it.

        The deposit is never more than all of it. Of a rush as much is of pieces brought in as of the lines.
        """
        rush_minor = self.rounded(Fraction(lines_minor * self.rush_percent, 100)) if rush else 0
        whole = lines_minor + rush_minor
        brought = self.deposit_percent if self.deposit_percent_brought_in is None else self.deposit_percent_brought_in
        share = Fraction(brought_in_minor, lines_minor) if lines_minor else Fraction(0)
        percent = share * brought + (1 - share) * self.deposit_percent
        deposit_minor = min(whole, self.rounded(whole * percent / 100))
        return Terms(rush_minor, deposit_minor, self.round_to_minor)

    def rounded(self, minor: Fraction) -> int:
        """Half up to `round_to_minor`."""
        return _rounded(minor, self.round_to_minor)


@lru_cache(maxsize=4096)
def _by_plain_hems(plain_hems: float, plain_hem_minor: int, to_minor: int) -> int:
    return _rounded(Fraction(plain_hems) * plain_hem_minor, to_minor)


def _rounded(minor: Fraction, to_minor: int) -> int:
    return int(minor / to_minor + Fraction(1, 2)) * to_minor

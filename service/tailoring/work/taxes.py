"""What of an amount is tax, and whether a price has it in it: as the shop's price list said when it was agreed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from service.tailoring.refusals import Refusal

RATE_MOST_PERCENT = 100


@dataclass(frozen=True, slots=True)
class TaxRate:
    """The rate of a tax category, in hundredths of a percent: 2300 is 23 %. Raises Refusal `tax_rate_wrong`."""

    category: str
    hundredths: int

    def __post_init__(self) -> None:
        if not 0 <= self.hundredths <= RATE_MOST_PERCENT * 100:
            raise Refusal("tax_rate_wrong", ("percent",), most=RATE_MOST_PERCENT)

    @property
    def percent(self) -> float:
        """As it is said."""
        return self.hundredths / 100


@dataclass(frozen=True, slots=True)
class TaxTerms:
    """Whether prices include their tax (None: the shop never said), and the rates by category."""

    included: bool | None = None
    rates: tuple[TaxRate, ...] = ()

    def rate(self, category: str) -> TaxRate | None:
        """The rate of a category; None where the shop has none for it."""
        return next((rate for rate in self.rates if rate.category == category), None)


UNSAID = TaxTerms()


@dataclass(frozen=True, slots=True)
class TaxPart:
    """What is taxed at one rate: amounts as they are charged, the tax on them, in it or on top, in minor units."""

    category: str
    percent: float
    charged_minor: int
    tax_minor: int


def taxes_of(terms: TaxTerms, charged: Iterable[tuple[str, int]]) -> tuple[TaxPart, ...]:
    """The tax on amounts by their categories, rounded half up once a category; nothing where no rate is known."""
    if terms.included is None:
        return ()
    sums: dict[str, int] = {}
    for category, minor in charged:
        sums[category] = sums.get(category, 0) + minor
    return tuple(
        TaxPart(category, rate.percent, minor, _tax(minor, rate.hundredths, included=terms.included))
        for category, minor in sums.items()
        for rate in (terms.rate(category),)
        if rate
    )


def _tax(minor: int, hundredths: int, *, included: bool) -> int:
    whole = Fraction(minor * hundredths, 10000 + hundredths if included else 10000)
    return int(whole + Fraction(1, 2))

"""Money: whole minor units of one currency (ISO 4217)."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Money:
    """An amount in minor units (cents) and its ISO 4217 currency code."""

    minor: int
    currency: str


# So many bench minutes are worth a plain hem where plans are compared.
HEM_MINUTES_WORTH = 48


@dataclass(frozen=True, slots=True)
class PriceList:
    """What a shop charges, and what a bench minute is worth to it.

    A price that the list does not fix is the catalogue's price in plain hems times `plain_hem_minor`,
    rounded half up to `round_to_minor`. `minute_minor` values bench time when plans are compared.
    """

    currency: str = "EUR"
    plain_hem_minor: int = 1200
    round_to_minor: int = 50
    minute_minor: int = 25
    tax_category: str = "standard"
    fixed_minor: tuple[tuple[str, int], ...] = ()

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

    def price(self, code: str, plain_hems: float) -> Money:
        """What one alteration costs the customer."""
        fixed = dict(self.fixed_minor).get(code)
        if fixed is not None:
            return Money(fixed, self.currency)
        step = self.round_to_minor
        return Money(int(plain_hems * self.plain_hem_minor / step + 0.5) * step, self.currency)

"""Public holidays, from the library that knows them."""

from __future__ import annotations

from datetime import date
from functools import lru_cache

import holidays

from service.tailoring.refusals import Refusal


def public_holidays(country: str | None, subdivision: str | None, first: date, last: date) -> dict[date, str]:
    """The public holidays from `first` to `last` and their names; none where no country is set.

    Country and subdivision are codes of ISO 3166. Raises Refusal `country_unknown`, pointing at the part.
    """
    if country is None:
        return {}
    found: dict[date, str] = {}
    for year in range(first.year, last.year + 1):
        found |= _of_year(country, subdivision, year)
    return {day: name for day, name in found.items() if first <= day <= last}


@lru_cache(1024)
def _of_year(country: str, subdivision: str | None, year: int) -> dict[date, str]:
    try:
        return dict(holidays.country_holidays(country, subdiv=subdivision, years=[year], observed=True))
    except NotImplementedError:
        part = "country" if subdivision is None or not _knows(country) else "subdivision"
        raise Refusal("country_unknown", (part,), given=subdivision if part == "subdivision" else country) from None


def _knows(country: str) -> bool:
    return country in holidays.list_supported_countries(include_aliases=True)

"""What men say of themselves: how much they over-state their height by their age, and their weight by their weight."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from service.tailoring import tables
from service.tailoring.arrays import Array
from service.tailoring.body.population import men


@dataclass(frozen=True, slots=True)
class SelfReport:
    """What a man says of a dimension, in mm or kg.

    At each of `ages` he says `over` too much, with an SD of `sd`; between them it lies between, and beyond it is as at
    the last. Above `around` he says `of_size` more for each mm or kg, and his SD is `sd_of_size` of his size larger.
    """

    ages: tuple[float, ...]
    over: tuple[float, ...]
    sd: tuple[float, ...]
    of_size: float
    around: float
    sd_of_size: float

    def true(self, said: Array | float, years: Array | float | None) -> tuple[Array | float, Array | float]:
        """The size [...] that speaks for itself once his over-statement is taken off, and its SD."""
        over, sd = (self._at(each, years) for each in (self.over, self.sd))
        size = (said - over + self.of_size * self.around) / (1 + self.of_size)
        return size, (sd + self.sd_of_size * size) / (1 + self.of_size)

    def _at(self, by_age: tuple[float, ...], years: Array | float | None) -> Array | float:
        if years is not None:
            return np.interp(years, self.ages, by_age)
        builds = men().builds
        return float(builds.shares @ np.interp(builds.ages, self.ages, by_age))


@cache
def self_reports() -> dict[str, SelfReport]:
    """What is known of self-reports, by dimension."""
    rows = tables.rows("body/self_reports")
    return {
        name: _self_report([row for row in rows if row["dimension"] == name])
        for name in dict.fromkeys(row["dimension"] for row in rows)
    }


def _self_report(rows: list[dict[str, str]]) -> SelfReport:
    ages, over, sd = (tuple(float(row[name]) for row in rows) for name in ("age_years", "over", "sd"))
    of_size, around, sd_of_size = (float(rows[0][name]) for name in ("over_of_size", "around", "sd_of_size"))
    return SelfReport(ages, over, sd, of_size, around, sd_of_size)

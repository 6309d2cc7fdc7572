"""What a customer bought last and kept, garment by garment: it says what size they take themselves for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal, TypeAlias

from service.tailoring.garments.charts import GARMENTS, Garment

BoughtBy: TypeAlias = Literal["order", "outcome"]


@dataclass(frozen=True, slots=True)
class Bought:
    """A size that a customer had, on which day, and the order or the outcome that says so."""

    garment: Garment
    chart: str
    label: str
    on: date
    source: BoughtBy
    source_id: str

    @property
    def size(self) -> tuple[Garment, str, str]:
        """What it is."""
        return self.garment, self.chart, self.label


def last_kept(bought: Sequence[Bought], gone: Sequence[Bought]) -> tuple[Bought, ...]:
    """Of each garment the last that was bought and is still kept; `gone` went back to the shop.

    What goes back on the day on which it was bought is gone.
    """
    back = {each.size: each.on for each in sorted(gone, key=lambda each: each.on)}
    kept = [each for each in bought if each.size not in back or each.on > back[each.size]]
    found = []
    for garment in GARMENTS:
        mine = [each for each in kept if each.garment == garment]
        found += [max(mine, key=lambda each: (each.on, each.source_id))] if mine else []
    return tuple(found)

"""What a maker to measure is handed where no size serves: what was read, how the customer stands, and what was seen."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from service.tailoring.body.posture import PostureNote
from service.tailoring.body.readings import Reading
from service.tailoring.fitting.fit_check_records import FitCheckRecord
from service.tailoring.garments.charts import Garment
from service.tailoring.garments.places import places
from service.tailoring.sizing.size_advice import SizeAdvice


@dataclass(frozen=True, eq=False, slots=True)
class HandOver:
    """All that a maker is handed. `check` is a fit check on a suit that was tried on, where there was one."""

    on: date
    garments: tuple[Garment, ...]
    readings: tuple[Reading, ...]
    age_years: float | None
    posture: tuple[PostureNote, ...]
    advice: SizeAdvice
    check: FitCheckRecord | None = None
    customer_ref: str | None = None
    note: str = ""

    @property
    def to_take(self) -> tuple[str, ...]:
        """The dimensions by which the garments are judged and that nobody read, in the order of their places."""
        read = {each.dimension for each in self.readings}
        judged = dict.fromkeys(place.dimension for garment in self.garments for place in places(garment))
        return tuple(name for name in judged if name not in read)

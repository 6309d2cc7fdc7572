"""The tailors of a shop: at which benches each works, for how long a day, and when not."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from service.tailoring.garments.alterations import BENCHES, Bench
from service.tailoring.refusals import Refusal

MINUTES_MOST = 24 * 60


@dataclass(frozen=True, slots=True)
class Tailor:
    """A tailor by the shop's own reference, the benches they work at, minutes on a usual day, and days off.

    The workroom's calendar counts minutes by bench; it is the shop's to set a bench's minutes where a tailor is away.
    """

    ref: str
    benches: tuple[Bench, ...]
    minutes_a_day: int
    days_off: tuple[date, ...] = ()

    def minutes_on(self, day: date) -> int:
        """The minutes that they work on a day; none on one off."""
        return 0 if day in self.days_off else self.minutes_a_day


def tailor(ref: str, benches: tuple[Bench, ...], minutes_a_day: int, days_off: tuple[date, ...] = ()) -> Tailor:
    """A tailor as a shop keeps them: benches and days once each, in their order."""
    return Tailor(ref, tuple(each for each in BENCHES if each in benches), minutes_a_day, tuple(sorted(set(days_off))))


def check_skill(tailor: Tailor, bench: Bench, at: tuple[str | int, ...]) -> None:
    """Raises Refusal `tailor_at_other_bench` where they do not work at that bench."""
    if bench not in tailor.benches:
        raise Refusal("tailor_at_other_bench", at, bench=bench, benches=tailor.benches)

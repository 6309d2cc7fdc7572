"""What puts an order at risk: minutes that it has booked and that its bench no longer has."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from service.tailoring.garments.alterations import Bench
from service.tailoring.orders.order_states import State, standings
from service.tailoring.workroom.bookings import Claim, giving_way
from service.tailoring.workroom.calendar import BenchDay, Calendar


@dataclass(frozen=True, slots=True)
class Shortage:
    """Minutes of an order for which a bench has no room on a day."""

    day: date
    bench: Bench
    minutes: int


def short_benches(calendar: Calendar) -> dict[tuple[date, Bench], BenchDay]:
    """The benches that have more booked than they have minutes, by day, in date order."""
    return {
        (on, bench): each
        for on in sorted(calendar.held)
        for bench, each in calendar.day(on).benches.items()
        if each.short
    }


def shortages(
    short: Mapping[tuple[date, Bench], BenchDay], claims: Mapping[tuple[date, Bench], Mapping[str, Claim]]
) -> dict[str, tuple[Shortage, ...]]:
    """By order, where it gives way; `claims` are by order what is booked at each short bench."""
    found: dict[str, list[Shortage]] = defaultdict(list)
    for (on, bench), each in short.items():
        mine = claims.get((on, bench), {})
        out = set(giving_way(each, tuple(mine.values())))
        for order_id, claim in mine.items():
            if claim in out and not claim.done:
                found[order_id].append(Shortage(on, bench, claim.minutes))
    return {order_id: tuple(those) for order_id, those in found.items()}


def may_be_at_risk(state: State) -> bool:
    """What an order that is sewn and pressed had booked for today is done: it is at risk by nothing."""
    return standings()[state].ahead != "nothing"

"""A shop's week: rows to values and back."""

from __future__ import annotations

from datetime import date, time
from typing import Any

from service.storage.records import written
from service.tailoring.orders.waiting import WaitingRule
from service.tailoring.workroom.opening import OpenHours, Opening
from service.tailoring.workroom.weeks import Week

# What of a week releases before 0023 do not know: it is in a column of its own, which they leave alone.
_OF_THE_COUNTER = ("opening", "fitting_after_days", "waiting")


def week_row(week: Week) -> dict[str, Any]:
    """The column of the workroom's week."""
    kept = {**written(week), "closed": sorted(day.isoformat() for day in week.closed)}
    return {name: value for name, value in kept.items() if name not in _OF_THE_COUNTER}


def counter_row(week: Week) -> dict[str, Any]:
    """The column of what holds at the counter: when it is open, and what it leaves room for."""
    cut_off = week.opening.cut_off
    return {
        "open": [day and [hour and hour.isoformat("minutes") for hour in day] for day in week.opening.days],
        "cut_off": cut_off and cut_off.isoformat("minutes"),
        "fitting_after_days": week.fitting_after_days,
        "remind_after_days": week.waiting.remind_after_days,
        "give_up_after_days": week.waiting.give_up_after_days,
    }


def week_of(kept: dict[str, Any], counter: dict[str, Any] | None) -> Week:
    """The week that the two columns keep."""
    # By hand: every request reads it, and cattrs takes 130 us more. A shop that was opened before there was more of a
    # week has the service's figures for it.
    rest = {name: value for name, value in kept.items() if name not in {"minutes", "skilled", "closed"}}
    if "skilled" in kept:
        rest["skilled"] = tuple(kept["skilled"])
    if counter is not None:
        rest["opening"] = Opening(tuple(map(_hours, counter["open"])), _hour(counter["cut_off"]))
        rest["fitting_after_days"] = counter["fitting_after_days"]
        rest["waiting"] = WaitingRule(counter.get("remind_after_days"), counter.get("give_up_after_days"))
    closed = frozenset(date.fromisoformat(day) for day in kept["closed"])
    return Week(minutes=tuple(kept["minutes"]), closed=closed, **rest)


def _hours(kept: list[str | None] | None) -> OpenHours | None:
    if kept is None:
        return None
    opens, closes, collect_from = kept
    return OpenHours(time.fromisoformat(str(opens)), time.fromisoformat(str(closes)), _hour(collect_from))


def _hour(kept: str | None) -> time | None:
    return None if kept is None else time.fromisoformat(kept)

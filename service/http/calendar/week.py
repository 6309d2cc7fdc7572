"""The workroom's week over HTTP: its usual minutes, its holidays, and how its days are promised."""

from __future__ import annotations

from datetime import time
from typing import Any

from marshmallow import EXCLUDE, ValidationError, fields, post_load, validate
from typing_extensions import override

from service.http.calendar.bench_minutes import BenchMinutesShownSchema, bench_list, by_bench
from service.http.callers.headers import IfMatchSchema
from service.http.operations import Versioned, context, operation, versioned
from service.http.parsing import StrictBlueprint
from service.http.texts import Whole
from service.http.values import Choice, Count, Day, Strict, refusals_as_errors
from service.tailoring.garments.alterations import BENCHES, Bench
from service.tailoring.orders.waiting import WaitingRule
from service.tailoring.workroom.opening import OpenHours, Opening
from service.tailoring.workroom.weeks import FITTING_AFTER_MOST, HORIZON_MOST_DAYS, WEEKDAYS, Week, figure
from service.use_cases.calendar.workroom import replace_week
from service.use_cases.context import Caller

room = StrictBlueprint("week", __name__, description="The workroom's usual week")

FOLLOW_SCOPES = ("order", "workroom")
CLOSED_MOST = 200
WAITING_MOST_DAYS = 3_660
HOUR = Whole("^(?:[01][0-9]|2[0-3]):[0-5][0-9]$", "An hour of the shop's day, as 16:00.")
EXAMPLE_WEEK = {
    "weekdays": [
        {"weekday": day, "benches": [{"bench": bench, "minutes": 360} for bench in BENCHES]} for day in WEEKDAYS[:5]
    ],
    "fill_percent": 85,
    "start_after_days": 1,
    "rush_start_after_days": 0,
    "horizon_days": 120,
    "country": "IE",
    "subdivision": None,
    "closed": ["2026-12-24"],
    "opening": [{"weekday": day, "opens": "09:00", "closes": "18:00", "collect_from": "16:00"} for day in WEEKDAYS[:5]],
    "cut_off": "15:00",
    "fitting_after_days": 1,
    "remind_after_days": 14,
    "give_up_after_days": 90,
}


class Hour(fields.String):
    """An hour of a shop's day, as 16:00."""

    def __init__(self, **options: Any) -> None:  # noqa: ANN401  marshmallow's own
        super().__init__(validate=[validate.Length(5, 5), HOUR], **options)

    @override
    def _serialize(self, value: Any, *_: Any, **__: Any) -> str | None:
        return value.isoformat("minutes") if isinstance(value, time) else value


class WeekdaySchema(Strict):
    """A day of the week; a bench that is not named does not work on it."""

    weekday = Choice(WEEKDAYS, required=True)
    benches = bench_list(required=True)


class OpenDaySchema(Strict):
    """A day of the week on which the shop serves customers, and its hours."""

    weekday = Choice(WEEKDAYS, required=True, metadata={"description": "the day of the week"})
    opens = Hour(required=True, metadata={"description": "the local hour at which it opens, as 09:00"})
    closes = Hour(required=True, metadata={"description": "the local hour at which it closes, as 18:00"})
    collect_from = Hour(
        load_default=None, allow_none=True,
        metadata={"description": "from what time orders promised for the day may be collected; printed on slips"},
    )  # fmt: skip


class WeekSchema(Strict):
    """The shop's usual week; a weekday that is not named is free."""

    weekdays = fields.List(fields.Nested(WeekdaySchema), required=True, validate=validate.Length(max=len(WEEKDAYS)))
    fill_percent = Count(
        1, 100, required=True, metadata={"description": "what percentage of the minutes ordinary orders may take"}
    )
    start_after_days = Count(0, 60, required=True)
    rush_start_after_days = Count(0, 60, required=True)
    horizon_days = Count(1, HORIZON_MOST_DAYS, required=True)
    country = fields.String(
        required=True,
        allow_none=True,
        validate=[validate.Length(2, 2), Whole("^[A-Z]{2}$", "Two capital letters of ISO 3166-1: IE.")],
        metadata={"description": "whose public holidays it keeps (ISO 3166-1); null: none"},
    )
    subdivision = fields.String(
        required=True,
        allow_none=True,
        validate=[
            validate.Length(1, 6),
            Whole("^[A-Z0-9]+$", "Capital letters and digits, as ISO 3166-2."),
        ],
        metadata={"description": "a part of the country (ISO 3166-2, what follows the hyphen)"},
    )
    opening = fields.List(
        fields.Nested(OpenDaySchema),
        load_default=list,
        validate=validate.Length(max=len(WEEKDAYS)),
        attribute="open_days",
        metadata={
            "description": "when customers are served; no order is promised for a day that is not named. With none"
            " named, opening hours are not known"
        },
    )
    cut_off = Hour(
        load_default=None,
        allow_none=True,
        metadata={"description": "the local hour from which on an order takes no minutes of the day itself"},
    )
    fitting_after_days = Count(
        0,
        FITTING_AFTER_MOST,
        load_default=lambda: figure("fitting_after_days"),
        metadata={
            "description": "days from basting to the fitting, for work that is tried on before it is"
            " closed; 0: no time is kept"
        },
    )
    remind_after_days = Count(
        1,
        WAITING_MOST_DAYS,
        load_default=None,
        allow_none=True,
        metadata={"description": "how many days after an order is ready `order.waiting` is sent for it; null: never"},
    )
    give_up_after_days = Count(
        0,
        WAITING_MOST_DAYS,
        load_default=None,
        allow_none=True,
        metadata={"description": "days after that before it may be given up; null: as soon as somebody signs for it"},
    )
    closed = fields.List(Day(), required=True, validate=validate.Length(max=CLOSED_MOST), attribute="closed_days")

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> Week:
        minutes: list[dict[Bench, int]] = [{} for _ in WEEKDAYS]
        skilled: list[dict[Bench, int]] = [{} for _ in WEEKDAYS]
        named = [each["weekday"] for each in data["weekdays"]]
        for position, each in enumerate(data.pop("weekdays")):
            if named.index(each["weekday"]) != position:
                raise ValidationError({"weekdays": {position: ["The weekday is given twice."]}})
            on = WEEKDAYS.index(each["weekday"])
            try:
                minutes[on], skilled[on] = by_bench(each["benches"], "benches")
            except ValidationError as error:
                raise ValidationError({"weekdays": {position: error.messages}}) from error
        with refusals_as_errors():
            opening = Opening(_by_weekday(data.pop("open_days")), _hour(data.pop("cut_off")))
            closed = frozenset(data.pop("closed_days"))
            waiting = WaitingRule(data.pop("remind_after_days"), data.pop("give_up_after_days"))
            rest = {"closed": closed, "opening": opening, "waiting": waiting, **data}
            return Week(minutes=tuple(minutes), skilled=tuple(skilled), **rest)


def _by_weekday(days: list[dict[str, Any]]) -> tuple[OpenHours | None, ...]:
    """Hours by weekday, Monday first; nothing where no day is named. Raises ValidationError for a day named twice."""
    found: list[OpenHours | None] = [None] * len(WEEKDAYS)
    for position, each in enumerate(days):
        on = WEEKDAYS.index(each.pop("weekday"))
        if found[on] is not None:
            raise ValidationError({"opening": {position: ["The weekday is given twice."]}})
        found[on] = OpenHours(**{name: _hour(hour) for name, hour in each.items()})  # type: ignore[arg-type]  # two are required
    return tuple(found) if days else ()


def _hour(said: str | None) -> time | None:
    return None if said is None else time.fromisoformat(said)


class OpenDayShownSchema(OpenDaySchema):
    """A day of the week on which the shop serves customers, as it is kept."""

    class Meta(OpenDaySchema.Meta):
        unknown = EXCLUDE

    collect_from = Hour(
        required=True, allow_none=True,
        metadata={"description": "from what time orders promised for the day may be collected; printed on slips"},
    )  # fmt: skip


class WeekdayShownSchema(WeekdaySchema):
    """A day of the week as it is kept."""

    class Meta(WeekdaySchema.Meta):
        unknown = EXCLUDE

    benches = fields.List(fields.Nested(BenchMinutesShownSchema), required=True)


class WeekShownSchema(WeekSchema):
    """The week as it is kept."""

    class Meta(WeekSchema.Meta):
        unknown = EXCLUDE

    weekdays = fields.List(fields.Nested(WeekdayShownSchema), required=True)
    opening = fields.List(
        fields.Nested(OpenDayShownSchema),
        required=True,
        attribute="open_days",
        metadata={"description": "when customers are served; empty: not known"},
    )
    cut_off = Hour(
        required=True,
        allow_none=True,
        metadata={"description": "the local hour from which on an order takes no minutes of the day itself"},
    )
    fitting_after_days = Count(
        0,
        FITTING_AFTER_MOST,
        required=True,
        metadata={
            "description": "days from basting to the fitting, for work that is tried on before it is"
            " closed; 0: no time is kept"
        },
    )
    remind_after_days = Count(
        1, WAITING_MOST_DAYS, required=True, allow_none=True, attribute="waiting.remind_after_days",
        metadata={"description": "how many days after an order is ready `order.waiting` is sent for it; null: never"},
    )  # fmt: skip
    give_up_after_days = Count(
        0, WAITING_MOST_DAYS, required=True, allow_none=True, attribute="waiting.give_up_after_days",
        metadata={"description": "days after that before it may be given up; null: as soon as somebody signs for it"},
    )  # fmt: skip


@operation(room, "GET", "/workroom/week", scope=FOLLOW_SCOPES, answer=WeekShownSchema, kept_by_key=True)
def read_week(caller: Caller) -> Versioned:
    """The shop's usual week, and how its days are promised; the ETag is the calendar's version."""
    return versioned(caller.shop.week, caller.shop.week_version)


@operation(
    room, "PUT", "/workroom/week", scope="admin", body=WeekSchema, headers=IfMatchSchema, answer=WeekShownSchema,
    refuses=(412, 428), sends=("ETag",), example=EXAMPLE_WEEK,
)  # fmt: skip
def put_week(caller: Caller, headers: dict[str, Any], week: Week) -> Versioned:
    """Replace the week. What is promised stays promised: see the orders at risk."""
    return versioned(week, replace_week(context(), caller, week, headers["version"]))

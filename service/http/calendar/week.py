"""The workroom's week over HTTP: its usual minutes, its holidays, and how its days are promised."""

from __future__ import annotations

from typing import Any

from marshmallow import EXCLUDE, ValidationError, fields, post_load, validate

from service.http.calendar.bench_minutes import BenchMinutesShownSchema, bench_list, by_bench
from service.http.operations import IfMatchSchema, Versioned, context, operation, versioned
from service.http.parsing import StrictBlueprint
from service.http.texts import Whole
from service.http.values import Choice, Count, Day, Strict, refusals_as_errors
from service.tailoring.garments.alterations import BENCHES, Bench
from service.tailoring.workroom.calendar import HORIZON_MOST_DAYS, WEEKDAYS, Week
from service.use_cases.calendar.workroom import replace_week
from service.use_cases.context import Caller

room = StrictBlueprint("week", __name__, description="The workroom's usual week")

FOLLOW_SCOPES = ("order", "workroom")
CLOSED_MOST = 200
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
}


class WeekdaySchema(Strict):
    """A day of the week; a bench that is not named does not work on it."""

    weekday = Choice(WEEKDAYS, required=True)
    benches = bench_list(required=True)


class WeekSchema(Strict):
    """The week that the shop keeps; a weekday that is not named is free."""

    weekdays = fields.List(fields.Nested(WeekdaySchema), required=True, validate=validate.Length(max=len(WEEKDAYS)))
    fill_percent = Count(1, 100, required=True, metadata={"description": "the share promised to ordinary orders"})
    start_after_days = Count(0, 60, required=True)
    rush_start_after_days = Count(0, 60, required=True)
    horizon_days = Count(1, HORIZON_MOST_DAYS, required=True)
    country = fields.String(
        required=True,
        allow_none=True,
        validate=[validate.Length(2, 2), Whole("^[A-Z]{2}$", "Two capital letters of ISO 3166-1: IE.")],
        metadata={"description": "whose public holidays it keeps (ISO 3166-1); none, where it keeps none"},
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
    closed = fields.List(Day(), required=True, validate=validate.Length(max=CLOSED_MOST), attribute="closed_days")

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> Week:
        minutes: list[dict[Bench, int]] = [{} for _ in WEEKDAYS]
        skilled: list[dict[Bench, int]] = [{} for _ in WEEKDAYS]
        named = [each["weekday"] for each in data["weekdays"]]
        for position, each in enumerate(data.pop("weekdays")):
            if named.index(each["weekday"]) != position:
                raise ValidationError({"weekdays": {position: ["The weekday is there already."]}})
            on = WEEKDAYS.index(each["weekday"])
            try:
                minutes[on], skilled[on] = by_bench(each["benches"], "benches")
            except ValidationError as error:
                raise ValidationError({"weekdays": {position: error.messages}}) from error
        with refusals_as_errors():
            return Week(
                minutes=tuple(minutes), skilled=tuple(skilled), closed=frozenset(data.pop("closed_days")), **data
            )


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


@operation(room, "GET", "/workroom/week", scope=FOLLOW_SCOPES, answer=WeekShownSchema, kept_by_key=True)
def read_week(caller: Caller) -> Versioned:
    """The week that the shop keeps, and how its days are promised; its ETag is the calendar's version."""
    return versioned(caller.shop.week, caller.shop.week_version)


@operation(
    room, "PUT", "/workroom/week", scope="admin", body=WeekSchema, headers=IfMatchSchema, answer=WeekShownSchema,
    refuses=(412, 428), sends=("ETag",), example=EXAMPLE_WEEK,
)  # fmt: skip
def put_week(caller: Caller, headers: dict[str, Any], week: Week) -> Versioned:
    """Keep another week from now on. What is promised stays promised: see the orders at risk."""
    return versioned(week, replace_week(context(), caller, week, headers["version"]))

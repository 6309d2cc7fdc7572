"""The workroom's days over HTTP, and orders whose promise it cannot keep any more."""

from __future__ import annotations

from datetime import date
from typing import Any

from marshmallow import ValidationError, fields, post_load, validate

from service.http.answering import UnitsSchema
from service.http.calendar.bench_minutes import bench_list, by_bench
from service.http.callers.headers import IfMatchSchema, RetrySchema
from service.http.operations import Versioned, context, operation, versioned
from service.http.orders.answers.order_answers import SummarySchema
from service.http.orders.order_changes import PromiseSchema
from service.http.parsing import StrictBlueprint
from service.http.schemas import AddingSchema, Listing, Schema
from service.http.texts import Text
from service.http.values import Day, Flag, Strict, refusals_as_errors
from service.tailoring.garments.alterations import BENCHES, Bench
from service.tailoring.workroom.calendar import KeptDay
from service.use_cases.calendar.workroom import list_at_risk, promise_at_risk, set_day, show_days
from service.use_cases.context import Caller

room = StrictBlueprint("workroom", __name__, description="The workroom's calendar")

FOLLOW_SCOPES = ("order", "workroom")
DAYS_MOST = 92
EXAMPLE_DAY = {
    "benches": [{"bench": "jackets", "minutes": 120, "skilled_minutes": 0}],
    "reason": "the coat maker is ill",
}


class DaysQuerySchema(UnitsSchema):
    """From which day to which."""

    first = Day(data_key="from", metadata={"description": "the shop's today, where none is given"})
    last = Day(
        data_key="to",
        metadata={"description": f"four weeks on, where none is given; {DAYS_MOST} days are shown at most"},
    )


class DayAskedSchema(Strict):
    """Minutes for this date, before week, closures and holidays. A bench that is not named keeps those of the week.

    `closed` takes every bench's minutes away. With neither, the date goes back to the week's.
    """

    closed = Flag(load_default=False)
    benches = bench_list(load_default=list)
    reason = Text(most=200, load_default="")

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> KeptDay:
        if data["closed"] and data["benches"]:
            raise ValidationError({"benches": ["A closed day has none; leave one of the two out."]})
        nothing: dict[Bench, int] = dict.fromkeys(BENCHES, 0)
        minutes, skilled = (nothing, nothing) if data["closed"] else by_bench(data["benches"], "benches")
        with refusals_as_errors():
            return KeptDay(minutes, skilled, data["reason"])


class BenchDaySchema(Schema):
    """A bench on a day: what is free for ordinary orders, and for rushes and redos; what is overbooked."""

    bench = fields.String(required=True, validate=validate.OneOf(BENCHES))
    minutes = fields.Integer(required=True, attribute="day.minutes")
    skilled_minutes = fields.Integer(required=True, attribute="day.skilled")
    booked = fields.Integer(required=True, attribute="day.held.minutes")
    booked_hard = fields.Integer(required=True, attribute="day.held.hard")
    free = fields.Integer(required=True, attribute="day.free_for_orders")
    free_for_rush = fields.Integer(required=True, attribute="day.free_for_rush")
    short = fields.Integer(required=True, attribute="day.short")


class DaySchema(Schema):
    """A day of the workroom; the reason says why it differs from the usual week: a holiday, a closure, a note."""

    date = fields.Date(required=True)
    closed = fields.Boolean(required=True, attribute="is_closed")
    reason = fields.String(required=True)
    benches = fields.List(fields.Nested(BenchDaySchema), required=True, attribute="bench_days")


class DaysSchema(Schema):
    """Days in their order."""

    days = fields.List(fields.Nested(DaySchema), required=True, attribute="rows")


class ShortageSchema(Schema):
    """Where an order's minutes have no room."""

    day = fields.Date(required=True)
    bench = fields.String(required=True, validate=validate.OneOf(BENCHES))
    minutes = fields.Integer(required=True)


class AtRiskSchema(AddingSchema, SummarySchema):
    """An order whose promise cannot be kept as booked."""

    of = "order"

    shortages = fields.List(fields.Nested(ShortageSchema), required=True)


class AtRiskListSchema(Schema):
    """Orders that must be promised again, by number."""

    orders = fields.List(fields.Nested(AtRiskSchema), required=True, attribute="rows")


class DayChangedSchema(Schema):
    """The day as it is now, and the orders that it puts at risk."""

    day = fields.Nested(DaySchema, required=True)
    at_risk = fields.List(fields.Nested(AtRiskSchema), required=True)


class PromisedAgainSchema(AddingSchema, SummarySchema):
    """An order promised for another day; where that is after the day it is needed by, the customer must be informed."""

    of = "order"
    promised_before = fields.Date(required=True, attribute="before")
    too_late = fields.Boolean(required=True, attribute="is_too_late")


class PromisedAgainListSchema(Schema):
    """Orders promised again, in the order in which they were booked."""

    orders = fields.List(fields.Nested(PromisedAgainSchema), required=True, attribute="rows")


@operation(
    room, "GET", "/workroom/days", scope=FOLLOW_SCOPES, query=DaysQuerySchema, answer=DaysSchema, sends=("ETag",),
)  # fmt: skip
def list_days(caller: Caller, query: dict[str, Any]) -> Versioned:
    """The workroom's days: minutes, what is booked and what is free. The ETag is the calendar's version."""
    days = show_days(context(), caller, query.get("first"), query.get("last"), DAYS_MOST)
    return versioned(Listing(days), caller.shop.week_version)


@operation(
    room, "PUT", "/workroom/days/<day:on>", scope="workroom", body=DayAskedSchema, headers=IfMatchSchema,
    answer=DayChangedSchema, refuses=(404, 412, 428), sends=("ETag",), example=EXAMPLE_DAY,
)  # fmt: skip
def put_day(caller: Caller, headers: dict[str, Any], kept: KeptDay, on: date) -> Versioned:
    """Set a date's minutes: closed, or so many at a bench, and why. What is promised does not move."""
    return versioned(*set_day(context(), caller, on, kept, headers["version"]))


@operation(room, "GET", "/workroom/orders-at-risk", scope=FOLLOW_SCOPES, answer=AtRiskListSchema)
def list_orders_at_risk(caller: Caller) -> Listing:
    """Orders whose booked minutes no longer fit; the order that was promised last gives way first."""
    return Listing(list_at_risk(context(), caller))


@operation(
    room, "POST", "/workroom/promises", scope="workroom", body=PromiseSchema, headers=RetrySchema,
    answer=PromisedAgainListSchema, refuses=(409,),
    example={"by": "tailor-1", "reason": "the coat maker is ill"},
)  # fmt: skip
def promise_orders_at_risk(caller: Caller, asked: dict[str, Any]) -> Listing:
    """Book every order at risk again and promise it for the day that this gives; all of them or none."""
    return Listing(promise_at_risk(context(), caller, asked.pop("by", None), **asked))

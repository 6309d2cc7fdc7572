"""The workroom's day over HTTP: what is to be done at which bench, and how many orders stand where."""

from __future__ import annotations

from typing import Any

from marshmallow import fields, validate

from service.http.operations import UnitsSchema, context, operation
from service.http.parsing import StrictBlueprint
from service.http.schemas import Schema, Word
from service.http.values import Choice, Count, Day
from service.tailoring.garments.alterations import BENCHES, SIDES
from service.tailoring.orders.order_states import STATES
from service.tailoring.workroom.worklists import URGENCIES
from service.use_cases.calendar.worklists import OPEN, Counts, Worklist, count_open_orders, day_list
from service.use_cases.context import Caller

room = StrictBlueprint("worklists", __name__, description="The workroom's day")

FOLLOW_SCOPES = ("order", "workroom")
JOBS_MOST = 500
JOBS_USUAL = 100


class WorklistQuerySchema(UnitsSchema):
    """Which day, at which bench."""

    day = Day(metadata={"description": "the shop's today, where none is given"})
    bench = Choice(BENCHES, metadata={"description": "all, where none is given"})
    limit = Count(1, JOBS_MOST, written=True, load_default=JOBS_USUAL, metadata={"description": "jobs a bench"})


class JobLineSchema(Schema):
    """A line of work, by its number on the ticket."""

    number = fields.Integer(required=True)
    piece = fields.Integer(required=True, attribute="line.piece")
    alteration = fields.String(required=True, attribute="line.alteration")
    words = fields.String(required=True, attribute="line.words")
    side = Word(SIDES, allow_none=True, attribute="line.side")
    minutes = fields.Integer(required=True, attribute="line.minutes")


class JobSchema(Schema):
    """An order's work at the bench. `minutes` are those booked up to the day, since `booked_for`."""

    id = fields.UUID(required=True, attribute="job.order.order_id")
    number = fields.String(required=True, attribute="job.order.number")
    state = fields.String(required=True, validate=validate.OneOf(STATES), attribute="job.order.state")
    rush = fields.Boolean(required=True, attribute="job.order.rush")
    urgency = fields.String(required=True, validate=validate.OneOf(URGENCIES), attribute="job.urgency")
    reasons = fields.List(fields.String(), required=True, attribute="job.reasons")
    promised_for = fields.Date(required=True, attribute="job.order.promised_for")
    needed_by = fields.Date(required=True, allow_none=True, attribute="job.order.needed_by")
    booked_for = fields.Date(required=True, attribute="job.booked_for")
    minutes = fields.Integer(required=True, attribute="job.minutes")
    lines = fields.List(fields.Nested(JobLineSchema), required=True)


class BenchListSchema(Schema):
    """A bench's day: `count` and `minutes` are of all its jobs, `jobs` its most urgent."""

    bench = fields.String(required=True, validate=validate.OneOf(BENCHES))
    count = fields.Integer(required=True)
    minutes = fields.Integer(required=True)
    jobs = fields.List(fields.Nested(JobSchema), required=True)


class WorklistSchema(Schema):
    """The day, bench by bench."""

    day = fields.Date(required=True)
    benches = fields.List(fields.Nested(BenchListSchema), required=True)


class StateCountSchema(Schema):
    """How many orders are in a state, and how many pieces of open orders: the pieces of one may be in several."""

    state = fields.String(required=True, validate=validate.OneOf(OPEN))
    orders = fields.Integer(required=True)
    pieces = fields.Integer(required=True, metadata={"description": "how many pieces of open orders are in it"})


class CountsSchema(Schema):
    """Open orders by state; of those that are not ready, how many are late, due, or due in the six days after."""

    day = fields.Date(required=True)
    states = fields.List(fields.Nested(StateCountSchema), required=True)
    late = fields.Integer(required=True)
    due = fields.Integer(required=True)
    due_in_a_week = fields.Integer(required=True)


@operation(room, "GET", "/workroom/worklist", scope="workroom", query=WorklistQuerySchema, answer=WorklistSchema)
def read_worklist(caller: Caller, query: dict[str, Any]) -> Worklist:
    """What is to be done on a day, bench by bench: late orders first, then those at risk, then the day's own."""
    return day_list(context(), caller, query.get("day"), query.get("bench"), query["limit"])


@operation(room, "GET", "/orders/counts", scope=FOLLOW_SCOPES, answer=CountsSchema)
def count_orders(caller: Caller) -> Counts:
    """How many orders are in each state; those collected or cancelled are not counted."""
    return count_open_orders(context(), caller)

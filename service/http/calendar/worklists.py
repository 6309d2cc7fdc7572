"""The workroom's day over HTTP: what is to be done at which bench, and how many orders stand where."""

from __future__ import annotations

from typing import Any

from marshmallow import fields, validate

from service.http.answering import UnitsSchema
from service.http.contract.contract_words import SAID_IN_OF_NOTICES
from service.http.notices import SaidWords
from service.http.operations import context, operation
from service.http.parsing import StrictBlueprint
from service.http.quantities import Out
from service.http.schemas import AddingSchema, Schema, Word
from service.http.texts import Reference
from service.http.values import Choice, Count, Day
from service.tailoring.garments.alterations import ALTERED, BASES, BENCHES, DIRECTIONS, SIDES
from service.tailoring.garments.pieces import PATTERNS
from service.tailoring.orders.order_states import STATES
from service.tailoring.workroom.worklists import URGENCIES
from service.use_cases.calendar.worklists import OPEN, Counts, Worklist, count_open_orders, day_list
from service.use_cases.context import Caller

room = StrictBlueprint("worklists", __name__, description="The workroom's day")

FOLLOW_SCOPES = ("order", "workroom")
JOBS_MOST = 500
JOBS_USUAL = 100


class WorklistQuerySchema(UnitsSchema):
    """Which day, at which bench, and whose."""

    day = Day(metadata={"description": "the shop's today, where none is given"})
    bench = Choice(BENCHES, metadata={"description": "all, where none is given"})
    tailor = Reference(metadata={"description": "a tailor of the shop: only the work given to them"})
    limit = Count(1, JOBS_MOST, written=True, load_default=JOBS_USUAL, metadata={"description": "jobs a bench"})


class JobLineSchema(Schema):
    """A line of work, by its number on the ticket."""

    number = fields.Integer(required=True)
    piece = fields.Integer(required=True, attribute="line.piece")
    alteration = fields.String(required=True, attribute="line.alteration")
    words = SaidWords(required=True)
    side = Word(
        SIDES,
        allow_none=True,
        attribute="line.amount.side",
        dump_default=None,
        metadata={"description": "the side on which it is done; null where it has none"},
    )
    amount = Out(
        required=True,
        allow_none=True,
        attribute="line.amount.length",
        dump_default=None,
        metadata={"description": "how much; null where it has no amount"},
    )
    basis = Word(
        BASES,
        allow_none=True,
        attribute="line.amount.basis",
        dump_default=None,
        metadata={"description": "what the amount counts: all round, each side, each leg, or a length"},
    )
    direction = Word(
        DIRECTIONS,
        allow_none=True,
        attribute="line.amount.direction",
        dump_default=None,
        metadata={"description": "in or out, shorter or longer; null where it goes one way only"},
    )
    target = Out(
        required=True,
        allow_none=True,
        attribute="line.target",
        metadata={"description": "the finished measure aimed at; null where none is"},
    )
    sides_differ = fields.Boolean(
        required=True, metadata={"description": "true: the other side is done differently, or not at all"}
    )
    note = fields.String(required=True, attribute="line.note", metadata={"description": "words for the bench"})
    sewn_by = fields.List(
        fields.String(), required=True, attribute="line.sewn_by", metadata={"description": "who has sewn it already"}
    )
    minutes = fields.Integer(required=True, attribute="line.minutes")
    minutes_taken = fields.Integer(
        required=True, metadata={"description": "minutes that work on this line alone took: its spells that are over"}
    )
    assigned_to = fields.String(
        required=True,
        allow_none=True,
        metadata={"description": "the tailor whose line it is, or whose the piece is at this bench"},
    )
    at_work = fields.List(
        fields.String(), required=True, metadata={"description": "the tailors who have this line in hand"}
    )


class JobPieceSchema(AddingSchema):
    """A piece with work at the bench."""

    of = "where_it_is where_it_is.tagged"
    piece = fields.Integer(required=True, metadata={"description": "the piece's number on the ticket"})
    garment = Word(ALTERED, metadata={"description": "jacket, trousers, waistcoat or shirt"})
    chart = fields.String(required=True, allow_none=True, metadata={"description": "its chart; null where it has none"})
    label = fields.String(required=True, allow_none=True, metadata={"description": "its size as sold, if it has one"})
    cloth = fields.String(required=True, metadata={"description": "its cloth, in the order's words"})
    pattern = Word(PATTERNS, metadata={"description": "plain, striped or checked"})
    must_keep = fields.String(required=True, metadata={"description": "what must be kept as it is, in words"})
    state = Word(STATES, metadata={"description": "where this piece is"})
    may_move_to = fields.List(
        Word(STATES), required=True, metadata={"description": "the states to which a move that names it may take it"}
    )
    question = fields.String(
        required=True, allow_none=True, metadata={"description": "what the workroom asked about it and waits to hear"}
    )
    pins_in = fields.Integer(required=True, metadata={"description": "pins that are in it now"})
    pins_to_count = fields.Integer(
        required=True, metadata={"description": "pins that the next count of this piece must find"}
    )
    minutes = fields.Integer(
        required=True, metadata={"description": "minutes that it is planned to take at this bench, pressing included"}
    )
    minutes_taken = fields.Integer(
        required=True, metadata={"description": "minutes that it took at this bench: its spells that are over"}
    )
    assigned_to = fields.String(
        required=True, allow_none=True, metadata={"description": "the tailor whose it is at this bench, if any"}
    )
    at_work = fields.List(
        fields.String(), required=True, metadata={"description": "the tailors who have it, or a line of it, in hand"}
    )


class JobSchema(Schema):
    """An order's work at the bench. `minutes` are those booked up to the day, since `booked_for`."""

    id = fields.UUID(required=True, attribute="job.order.order_id")
    number = fields.String(required=True, attribute="job.order.number")
    state = fields.String(required=True, validate=validate.OneOf(STATES), attribute="job.order.state")
    rush = fields.Boolean(required=True, attribute="job.order.rush")
    urgency = fields.String(required=True, validate=validate.OneOf(URGENCIES), attribute="job.urgency")
    reasons = fields.List(SaidWords(), required=True, attribute="job.reasons")
    promised_for = fields.Date(required=True, attribute="job.order.promised_for")
    needed_by = fields.Date(required=True, allow_none=True, attribute="job.order.needed_by")
    booked_for = fields.Date(required=True, attribute="job.booked_for")
    minutes = fields.Integer(required=True, attribute="job.minutes")
    version = fields.Integer(
        required=True, metadata={"description": "the order's version, for the If-Match of a move or a note"}
    )
    minutes_planned = fields.Integer(
        required=True, metadata={"description": "minutes that the pieces listed are planned to take at this bench"}
    )
    minutes_taken = fields.Integer(
        required=True, metadata={"description": "minutes that they have taken at this bench so far"}
    )
    pieces = fields.List(
        fields.Nested(JobPieceSchema), required=True, metadata={"description": "the pieces with work at this bench"}
    )
    lines = fields.List(fields.Nested(JobLineSchema), required=True)


class BenchListSchema(Schema):
    """A bench's day: `count` and `minutes` are of all its jobs, `jobs` its most urgent."""

    bench = fields.String(required=True, validate=validate.OneOf(BENCHES))
    count = fields.Integer(required=True)
    minutes = fields.Integer(required=True)
    jobs = fields.List(fields.Nested(JobSchema), required=True)


class InHandSchema(AddingSchema):
    """What a tailor has in hand."""

    of = "spell"
    order = fields.UUID(required=True, attribute="order_id", metadata={"description": "the order's id"})
    ticket = fields.String(
        required=True, attribute="number", metadata={"description": "the order's number on its ticket"}
    )
    piece = fields.Integer(required=True, metadata={"description": "the piece's number on the ticket"})
    bench = Word(BENCHES, metadata={"description": "the bench at which it is done"})
    since = fields.DateTime(required=True, metadata={"description": "when it was begun"})


class TailorsDaySchema(Schema):
    """A tailor on the day."""

    tailor = fields.String(
        required=True, attribute="tailor.ref", metadata={"description": "the tailor, by the shop's own reference"}
    )
    benches = fields.List(
        Word(BENCHES),
        required=True,
        attribute="tailor.benches",
        metadata={"description": "the benches at which they work"},
    )
    minutes = fields.Integer(
        required=True, metadata={"description": "minutes that they work on the day; 0: it is a day off"}
    )
    in_hand = fields.Nested(
        InHandSchema,
        required=True,
        allow_none=True,
        metadata={"description": "what they have in hand now; null: they have begun no work, or put it down"},
    )


class WorklistSchema(Schema):
    """The day, bench by bench, and who is there."""

    day = fields.Date(required=True)
    benches = fields.List(fields.Nested(BenchListSchema), required=True)
    tailors = fields.List(
        fields.Nested(TailorsDaySchema),
        required=True,
        metadata={"description": "the shop's tailors by reference, or the one who was asked for"},
    )


class StateCountSchema(Schema):
    """How many orders and pieces of open orders are in a state; the pieces of one order may be in several."""

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


@operation(
    room, "GET", "/workroom/worklist", scope="workroom", query=WorklistQuerySchema, answer=WorklistSchema,
    sends=SAID_IN_OF_NOTICES,
)  # fmt: skip
def read_worklist(caller: Caller, query: dict[str, Any]) -> Worklist:
    """What is to be done on a day, bench by bench: late orders first, then those at risk, then the day's own.

    Each job is a card: its pieces, lines, version, the moves that are allowed, minutes planned and taken, and who. With
    `tailor`, only the work given to that tailor, with the minutes that it is planned to take.
    """
    return day_list(context(), caller, query.get("day"), query.get("bench"), query["limit"], query.get("tailor"))


@operation(room, "GET", "/orders/counts", scope=FOLLOW_SCOPES, answer=CountsSchema)
def count_orders(caller: Caller) -> Counts:
    """How many orders are in each state; those collected or cancelled are not counted."""
    return count_open_orders(context(), caller)

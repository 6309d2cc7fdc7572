"""What a schema writes is what marshmallow itself would write."""

from dataclasses import dataclass
from datetime import UTC, date, datetime
from uuid import UUID

import marshmallow
import pytest
from marshmallow import fields, pre_dump

from service.http.schemas import AddingSchema, Schema


@dataclass(frozen=True, slots=True)
class Inner:
    words: str | None = "a"
    count: int = 1


@dataclass(frozen=True, slots=True)
class Other:
    words: str = "other"
    there: str = "only here"


@dataclass(frozen=True, slots=True)
class Thing:
    inner: Inner | Other | None = Inner()
    many: tuple[object, ...] = (Inner(), Inner(None, 2))
    few: tuple[object, ...] = (Inner("few"),)
    number: object = 3
    at: datetime = datetime(2026, 3, 2, 9, tzinfo=UTC)
    day: date | None = None
    id: str = "6c1f7a52-1c6e-4c43-9f6a-3b8de2c6b2ab"


class ItsOwn(fields.String):
    def get_value(self, obj, attr, accessor=None, default=marshmallow.missing):
        return f"{attr} of a {type(obj).__name__}"


class InnerFields(marshmallow.Schema):
    words = fields.String()
    count = fields.Integer()


class ThingFields(marshmallow.Schema):
    number = fields.Float()
    own = ItsOwn()
    at = fields.DateTime()
    day = fields.Date()
    id = fields.UUID()
    words = fields.List(fields.String())
    mapped = fields.Dict(keys=fields.String(), attribute="facts")
    deep = fields.String(attribute="inner.words", dump_default="none", data_key="Deep")
    no_default = fields.String(attribute="inner.nowhere")
    called = fields.String(attribute="nowhere", dump_default=lambda: "made")


class OwnInner(Schema, InnerFields):
    pass


class Own(Schema, ThingFields):
    inner = fields.Nested(OwnInner)
    many = fields.List(fields.Nested(OwnInner))
    again = fields.Nested(OwnInner, many=True, attribute="few")


class Theirs(ThingFields):
    inner = fields.Nested(InnerFields)
    many = fields.List(fields.Nested(InnerFields))
    again = fields.Nested(InnerFields, many=True, attribute="few")


THINGS = [
    Thing(),
    Thing(inner=None),
    Thing(number="4.5", day=date(2026, 3, 2), id=UUID(Thing().id)),
    Thing(inner=Other()),
    {"number": 1, "inner": {"words": "in a dict"}, "words": ["a", None, b"b"], "facts": {"a": 1}},
    {"inner": Inner(), "many": None, "few": []},
    {},
]


@pytest.mark.parametrize("first", range(len(THINGS)))
def test_it_writes_as_marshmallow_does_whatever_it_wrote_before(first):
    schema, things = Own(), THINGS[first:] + THINGS[:first]
    assert [Theirs().dump(thing) for thing in things] == [schema.dump(thing) for thing in things]
    assert Theirs(many=True).dump(things) == Own(many=True).dump(things)


def test_a_schema_that_adds_reads_the_value_first_and_then_what_it_names():
    class Adding(AddingSchema):
        of = "inner inner"
        number = fields.Integer()
        words = fields.String()
        there = fields.String(dump_default="nowhere")
        count = fields.Integer()

    schema = Adding()
    assert {"number": 3, "words": "a", "there": "nowhere", "count": 1} == schema.dump(Thing())
    # Of another type than what was written first.
    assert {"number": 3, "words": "other", "there": "only here"} == schema.dump(Thing(inner=Other()))
    assert {"number": 3, "words": "b", "there": "nowhere", "count": 1} == schema.dump(Thing(inner=Inner("b")))


def test_what_runs_before_a_nested_dump_is_run():
    class Counted(OwnInner):
        @pre_dump
        def _another(self, value, **_):
            return Inner("first", value.count + 1)

    class Around(Schema):
        inner = fields.Nested(Counted)

    assert {"inner": {"words": "first", "count": 2}} == Around().dump(Thing())


def test_a_schema_that_another_nests_in_part_is_written_in_part_and_stays_whole():
    whole = OwnInner()
    assert {"words": "a", "count": 1} == whole.dump(Inner())

    class Around(Schema):
        inner = fields.Nested(whole, only=("count",))

    assert {"inner": {"count": 1}} == Around().dump(Thing())
    assert {"words": "a", "count": 1} == whole.dump(Inner())

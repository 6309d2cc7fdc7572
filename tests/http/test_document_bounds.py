"""What is over-full is refused before any of it is read."""

import json

import pytest
from flask import Flask, request
from marshmallow import fields, validate

from service.http.document_bounds import UNKNOWN_MOST, bounds_of, check_bounds
from service.http.parsing import LINES, Parser
from service.http.quantities import LengthSchema, ReadingSchema
from service.http.refusals.of_fields import plain
from service.http.strict_json import VALUES_MOST, read_json
from service.http.texts import Text
from service.http.values import Strict
from service.tailoring.refusals import Refusal

MOST = 3
READ = []


class Noted(fields.Raw):
    """Notes whatever it is asked to read."""

    def _deserialize(self, value, *_, **__):
        READ.append(value)
        return value


class PartSchema(Strict):
    word = Noted()
    names = fields.List(Text(most=5), validate=validate.Length(max=MOST))


class WholeSchema(Strict):
    parts = fields.List(fields.Nested(PartSchema), validate=validate.Length(1, MOST))
    title = Text(most=8, data_key="name")
    size = fields.Nested(LengthSchema)
    readings = fields.List(fields.Nested(ReadingSchema))
    lines = "parts"


@pytest.fixture(autouse=True)
def _nothing_read():
    READ.clear()


def parsed(body, media="application/json"):
    with Flask("test").test_request_context("/", method="POST", data=body, content_type=media):
        return Parser().parse(WholeSchema(), request, location="json")


def refused(document):
    with pytest.raises(Refusal) as found:
        check_bounds(document, bounds_of(WholeSchema()))
    return [(part.at, part.facts["words"]) for part in found.value.parts]


def test_of_an_over_full_list_no_element_is_read():
    with pytest.raises(Refusal):
        parsed(json.dumps({"parts": [{"word": at} for at in range(MOST + 1)]}))
    assert [] == READ


def test_of_a_full_one_every_element_is():
    parsed(json.dumps({"parts": [{"word": at} for at in range(MOST)]}))
    assert [0, 1, 2] == READ


def test_nor_is_anything_beside_it():
    with pytest.raises(Refusal):
        parsed(json.dumps({"parts": [{"word": 1}, {"names": ["a"] * (MOST + 1)}]}))
    assert [] == READ


def test_a_line_too_many_is_not_even_parsed():
    lines = b"\n".join([b'{"name": "x"}', *[b'{"word": 1}'] * MOST, b"", b'{"word": 2}', b"{ not JSON any more"])
    with pytest.raises(Refusal) as found:
        parsed(lines, LINES)
    assert [("parts",)] == [part.at for part in found.value.parts]
    assert [] == READ


def test_as_many_lines_as_there_may_be_are_read():
    parsed(b"\n".join([b'{"name": "x"}', b"", *[b'{"word": 1}'] * MOST, b""]), LINES)
    assert [1] * MOST == READ


@pytest.mark.parametrize(
    ("document", "at"),
    [
        ({"parts": [{}] * 4}, ("parts",)),
        ({"name": "longer than that"}, ("name",)),
        ({"parts": [{}, {"names": ["short", "longer"]}]}, ("parts", 1, "names", 1)),
        ({"size": {"value": "1" * 41, "unit": "in"}}, ("size", "value")),
        ({"readings": [{"repeats": [1] * 10}]}, ("readings", 0, "repeats")),
        ({"readings": [{"repeats": ["1" * 41]}]}, ("readings", 0, "repeats", 0)),
    ],
)
def test_what_is_over_full_is_refused_where_it_is_in_the_words_of_its_schema(document, at):
    errors = WholeSchema().validate(document)
    for part in at:
        errors = errors[part]
    assert [(at, plain(errors[0]))] == refused(document)


def test_all_that_is_over_full_is_told_at_once():
    faults = refused({"name": "x" * 9, "parts": [{"names": [""] * 9}, {"names": [""] * 9}]})
    assert {("name",), ("parts", 0, "names"), ("parts", 1, "names")} == {at for at, _ in faults}


def test_fields_that_are_not_known_are_told_by_name_if_they_are_few():
    few = {f"unknown {at}": 1 for at in range(UNKNOWN_MOST)}
    check_bounds(few, bounds_of(WholeSchema()))
    known = {"name": "x", "size": {}, "parts": [], "readings": []}
    ((at, words),) = refused({**few, **known, "one more": 1})
    assert ((), "It has 25 fields, of which at most 4 are known.") == (at, words)


def test_what_no_schema_knows_is_walked_all_the_same():
    with pytest.raises(Refusal, match="json_unreadable"):
        check_bounds({"unknown": [{"deep inside": "\ud800"}]}, bounds_of(WholeSchema()))


def test_a_body_of_too_many_values_is_refused_unmade():
    with pytest.raises(Refusal, match="too_many_values"):
        read_json(b"[" + b"{}," * VALUES_MOST + b" no JSON at all")


def test_a_name_that_stands_twice_among_many_is_found_in_one_walk():
    names = [f"name {at}" for at in range(50_000)]
    body = "{" + ",".join(f'"{name}":0' for name in [*names, names[-1]]) + "}"
    with pytest.raises(Refusal) as found:
        read_json(body.encode())
    assert "'name 49999' is there twice" in found.value.facts["words"]

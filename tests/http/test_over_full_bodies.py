"""Every list and every text that a caller may send, over-filled: refused where it is, shortly, whatever else is wrong.

They come from the contract, so a new one is filled by itself.
"""

import re
from uuid import uuid4

import orjson
import pytest

from service.app import create_app
from service.http.api import BODY_MOST_BYTES, contract
from service.settings import Settings
from tests.databases import either_database

DOCUMENT = contract(create_app(Settings()))
SCHEMAS = DOCUMENT["components"]["schemas"]
ANSWER_MOST_BYTES = 64 * 1024
FAULTS_MOST = 50
ROOM = BODY_MOST_BYTES // 4
OPERATIONS = {
    (method.upper(), path): operation["requestBody"]["content"]["application/json"]["schema"]
    for path, item in DOCUMENT["paths"].items()
    for method, operation in item.items()
    if "requestBody" in operation
}
PLACEHOLDERS = {"code": "everyday", "on": "2026-03-04"}


def parts(schema, at=()):
    """Every list and text inside of a schema, with its path; 0 is the first of a list."""
    schema = SCHEMAS[schema["$ref"].rpartition("/")[2]] if "$ref" in schema else schema
    types = schema.get("type", [])
    if "string" in types:
        yield at, schema
    if "array" in types:
        yield at, schema
        yield from parts(schema["items"], (*at, 0))
    for name, inner in schema.get("properties", {}).items():
        yield from parts(inner, (*at, name))
    for inner in [*schema.get("oneOf", []), *schema.get("anyOf", []), *schema.get("allOf", [])]:
        yield from parts(inner, at)


def holding(at, value):
    """A document with nothing but this value at the path."""
    for part in reversed(at):
        value = [value] if part == 0 else {part: value}
    return value


def fillings(schema):
    """Far more than there may be."""
    if "array" in schema["type"]:
        return [b"[" + b",".join([element] * (ROOM // (len(element) + 1))) + b"]" for element in (b"{}", b"0", b'""')]
    return [
        b'"' + letter * (ROOM // len(letter)) + b'"' for letter in (b"x", b"\\u0001", "\N{SPOOL OF THREAD}".encode())
    ]


def pointer(at):
    return "".join(f"/{part}" for part in at)


def faults_of(answer, at):
    """What is not as promised of a refusal."""
    if answer.status not in (400, 413, 422):
        return [f"{answer.status}"]
    errors = answer.body["errors"]
    wrong = {
        f"{len(answer.raw)} bytes": len(answer.raw) > ANSWER_MOST_BYTES,
        f"{len(errors)} faults": len(errors) > FAULTS_MOST,
        f"{[error['pointer'] for error in errors]}": pointer(at) not in [error["pointer"] for error in errors],
    }
    return [words for words, is_so in wrong.items() if is_so]


def address(path):
    return re.sub(r"{(\w+)}", lambda name: PLACEHOLDERS.get(name[1], str(uuid4())), path)


def test_bodies_are_found():
    assert len(OPERATIONS) >= 24
    assert 50 < sum("array" in schema["type"] for body in OPERATIONS.values() for _, schema in parts(body))


@pytest.mark.parametrize(("method", "path"), OPERATIONS)
def test_every_list_and_text_has_a_bound(method, path):
    bounds = ("maxItems", "maxLength", "enum", "format")
    assert [] == [pointer(at) for at, schema in parts(OPERATIONS[method, path]) if not schema.keys() & set(bounds)]


@either_database
@pytest.mark.parametrize(("method", "path"), OPERATIONS)
def test_every_list_and_text_may_be_over_filled(staff, method, path):
    found = []
    for at, schema in parts(OPERATIONS[method, path]):
        before, after = orjson.dumps(holding(at, None)).split(b"null") if at else (b"", b"")
        for filling in fillings(schema):
            answer = staff.ask(method, address(path), data=before + filling + after, key="k")
            found += [(pointer(at), filling[:8], wrong) for wrong in faults_of(answer, at)]
    assert [] == found

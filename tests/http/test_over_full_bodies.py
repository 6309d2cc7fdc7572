"""Every list and every text that a caller may send, over-filled: refused where it is, shortly, whatever else is wrong.

They come from the contract, so a new one is filled by itself.
"""

import orjson
import pytest

from service.http.api import BODY_MOST_BYTES
from tests.databases import either_database
from tests.http.bodies import OPERATIONS, address, holding, parts

ANSWER_MOST_BYTES = 64 * 1024
FAULTS_MOST = 50
ROOM = BODY_MOST_BYTES // 4


# What changes something is asked with a version: without one it is refused before its body is looked at.
MATCHES = {"If-Match": '"1"'}


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
            answer = staff.ask(method, address(path), data=before + filling + after, key="k", headers=MATCHES)
            found += [(pointer(at), filling[:8], wrong) for wrong in faults_of(answer, at)]
    assert [] == found

"""Problem documents (RFC 9457): how every refusal leaves the house.

`type` is stable and ends in the code; `errors` says, point by point, where in the request it is (a JSON pointer),
what is wrong and what would be right. However much is wrong, a refusal is short: what does not go in is counted.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any, TypeVar

import orjson
from flask import Flask, Response, current_app, g, request
from marshmallow import fields, validate
from werkzeug.exceptions import HTTPException

from service.http.callers.languages import speech
from service.http.refusals.of_fields import plain
from service.http.refusals.words import WORDS, said, sentence
from service.http.schemas import Schema
from service.storage.database import DatabaseUnavailable
from service.tailoring.refusals import Fact, Refusal, Where

MEDIA_TYPE = "application/problem+json"
SEE_ERRORS = "See errors: each says where and what would be right."
NOT_LISTED = "{count} more are not listed."
ERRORS_MOST = 50
# Of a document of 64 kB, for the faults; and of these for one with its figures.
ERRORS_MOST_BYTES = 48 * 1024
ERROR_MOST_BYTES = 8 * 1024
# A pointer, a sentence or a figure that repeats what was sent is cut.
POINTER_LONGEST, DETAIL_LONGEST, FACT_LONGEST = 400, 2000, 400
log = logging.getLogger(__name__)

# What the framework raises by itself, as a refusal of ours.
_BY_STATUS = {
    404: "not_found",
    405: "method_wrong",
    406: "not_acceptable",
    413: "too_large",
    415: "not_json",
}


class RequestInvalid(Exception):
    """A request whose shape is wrong: marshmallow's messages, and where it was read from."""

    def __init__(self, messages: Mapping[str, Any], location: str) -> None:
        super().__init__(location)
        self.messages = messages
        self.location = location


CODES = "which rule, in a word that stays; more may come: openapi/PROBLEMS.md lists those of today"


class FaultSchema(Schema):
    """One thing that is wrong: where, which rule, and what would be right."""

    pointer = fields.String(required=True, metadata={"description": "JSON pointer into the request (RFC 6901)"})
    code = fields.String(required=True, metadata={"description": CODES})
    detail = fields.String(required=True)
    facts = fields.Dict(keys=fields.String(), metadata={"description": "the figures behind the sentence"})


class ProblemSchema(Schema):
    """A problem document (RFC 9457)."""

    type = fields.String(required=True, metadata={"format": "uri-reference"})
    title = fields.String(required=True)
    status = fields.Integer(required=True)
    detail = fields.String(required=True)
    code = fields.String(required=True, metadata={"description": CODES})
    errors = fields.List(fields.Nested(FaultSchema), required=True, validate=validate.Length(max=ERRORS_MOST))
    errors_not_listed = fields.Integer(
        strict=True,
        validate=validate.Range(min=1),
        metadata={"description": "how many more there are"},
    )


# Headers that must be there, and the code of a request without them; marshmallow says no more than its sentence.
_MISSING = {"Idempotency-Key": "retry_key_missing", "If-Match": "version_missing"}
_NOT_THERE = [fields.Field.default_error_messages["required"]]

Raised = TypeVar("Raised", bound=Exception)


def answer_with_problems(app: Flask) -> None:
    """Answer whatever is raised with a problem document."""
    app.register_error_handler(Refusal, _whatever_happens(refused))
    app.register_error_handler(RequestInvalid, _whatever_happens(_invalid))
    app.register_error_handler(HTTPException, _whatever_happens(_http))
    app.register_error_handler(DatabaseUnavailable, _whatever_happens(_database_away))
    app.register_error_handler(Exception, _fault)
    # What the framework logs by itself has the address, and with it whose things were asked for.
    app.log_exception = lambda exc_info: log.error("fault", exc_info=exc_info)  # type: ignore[method-assign]


def refused(refusal: Refusal) -> Response:
    """One refusal as a response; one of several parts tells each of them."""
    if refusal.parts:
        return _several(((part.at, part) for part in refusal.parts), refusal.code)
    return _response(refusal.code, [_fault_of(refusal, refusal.at)], refusal.facts)


def _whatever_happens(answer: Callable[[Raised], Response]) -> Callable[[Raised], Response]:
    """A fault while a refusal is written is a fault of ours, and answered as one."""

    def answered(error: Raised) -> Response:
        try:
            return answer(error)
        except Exception as fault:  # noqa: BLE001  whatever it is, the caller gets an answer
            return _fault(fault)

    return answered


def _invalid(invalid: RequestInvalid) -> Response:
    if invalid.location == "headers":
        for name, missing in _MISSING.items():
            if invalid.messages.get(name) == _NOT_THERE:
                return _response(missing, [_fault_of(Refusal(missing), (name,))], {})
    code = "header_wrong" if invalid.location == "headers" else "field_wrong"
    return _several(leaves(invalid.messages, ()), code, is_named_by_faults=code == "field_wrong")


def _several(faults: Iterable[tuple[Where, Refusal]], code: str, *, is_named_by_faults: bool = False) -> Response:
    """Faults listed as far as there is room, and counted beyond."""
    listed: list[dict[str, Any]] = []
    codes: set[str] = set()
    bytes_left, not_listed = ERRORS_MOST_BYTES, 0
    for at, refusal in faults:
        codes.add(refusal.code)
        if not not_listed and len(listed) < ERRORS_MOST:
            fault = _fault_of(refusal, at)
            bytes_left -= len(orjson.dumps(fault))
            if bytes_left >= 0:
                listed.append(fault)
                continue
        not_listed += 1
    # One rule of the trade broken is named as what it is, wherever it was noticed.
    if is_named_by_faults and len(codes) == 1:
        code = codes.pop()
    return _response(code, listed, {"words": SEE_ERRORS}, listed, not_listed)


def leaves(messages: Any, at: Where) -> Iterator[tuple[Where, Refusal]]:  # noqa: ANN401  marshmallow's nesting
    """Every message of marshmallow's nested answer with its path; refusals of ours stay what they are."""
    if isinstance(messages, Mapping):
        for key, inner in messages.items():
            yield from leaves(inner, at if key == "_schema" else (*at, key))
    elif isinstance(messages, list | tuple):
        for inner in messages:
            yield from leaves(inner, at)
    elif isinstance(messages, Refusal):
        yield at, messages
    else:
        yield at, Refusal("field_wrong", at, words=plain(str(messages)))


def _http(error: HTTPException) -> Response:
    code = _BY_STATUS.get(error.code or 500, "request_wrong" if (error.code or 500) < 500 else "fault")  # noqa: PLR2004
    facts: dict[str, Fact] = {
        "words": error.description,
        "most": current_app.config["MAX_CONTENT_LENGTH"],
        "served": "application/json",
    }
    response = _response(code, [], facts)
    if code == "method_wrong":
        response.headers["Allow"] = dict(error.get_headers())["Allow"]
    return response


def _database_away(error: DatabaseUnavailable) -> Response:
    log.error("database away", exc_info=error)
    response = _response("database_away", [], {})
    response.headers["Retry-After"] = "2"
    return response


def _fault(error: Exception) -> Response:
    log.error("fault", exc_info=error, extra={"operation": request.endpoint, "method": request.method})
    return _response("fault", [], {})


def _fault_of(refusal: Refusal, at: Where) -> dict[str, Any]:
    told = {
        "pointer": _cut(_pointer(at), POINTER_LONGEST),
        "code": refusal.code,
        "detail": _cut(said(refusal), DETAIL_LONGEST),
        "facts": {name: _shown(value) for name, value in refusal.facts.items() if name != "words"},
    }
    return told if len(orjson.dumps(told)) <= ERROR_MOST_BYTES else {**told, "facts": {}}


def _shown(value: Fact) -> Fact:
    return _cut(value, FACT_LONGEST) if isinstance(value, str) else value


def _cut(text: str, longest: int) -> str:
    return text if len(text) <= longest else f"{text[:longest]}…"


def _response(
    code: str,
    errors: list[dict[str, Any]],
    facts: Mapping[str, Fact],
    told: list[dict[str, Any]] | None = None,
    not_listed: int = 0,
) -> Response:
    g.refused_with = code
    document = _document(code, errors, facts, told)
    document["title"] = speech().say(document["title"])
    if not_listed:
        document["errors_not_listed"] = not_listed
        document["detail"] = f"{SEE_ERRORS} {NOT_LISTED.format(count=not_listed)}"
    response = Response(current_app.json.dumps(document), document["status"], content_type=MEDIA_TYPE)
    if name_and_value := _SENT_WITH.get(code) or _SENT_WITH.get(document["status"]):
        response.headers.set(*name_and_value)
    return response


# What a refusal says in a header besides, by its code or its status.
_SENT_WITH: Mapping[str | int, tuple[str, str]] = {
    401: ("WWW-Authenticate", 'Bearer realm="fitting"'),
    "body_encoded": ("Accept-Encoding", "identity"),
    # A batch that is answered takes some seconds.
    "batches_busy": ("Retry-After", "5"),
}


def refusal_document(refusal: Refusal) -> dict[str, Any]:
    """One refusal as a problem document, for whoever answers outside of the application."""
    return _document(refusal.code, [], refusal.facts)


def _document(
    code: str, errors: list[dict[str, Any]], facts: Mapping[str, Fact], told: list[dict[str, Any]] | None = None
) -> dict[str, Any]:
    words = WORDS[code]
    # One fault alone is the problem's own sentence; several are counted in `errors`.
    detail = told[0]["detail"] if told and len(told) == 1 else sentence(code if not told else "field_wrong", facts)
    return {
        "type": f"/problems/{code.replace('_', '-')}",
        "title": words.title,
        "status": words.status,
        "detail": _cut(detail, DETAIL_LONGEST),
        "code": code,
        "errors": errors,
    }


def fault_document(refusal: Refusal) -> dict[str, Any]:
    """One refusal among many answers."""
    return _fault_of(refusal, refusal.at)


def _pointer(at: Where) -> str:
    return "".join("/" + str(part).replace("~", "~0").replace("/", "~1") for part in at)

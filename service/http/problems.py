"""Problem documents (RFC 9457): how every refusal leaves the house.

`type` is stable and ends in the code; `errors` says, point by point, where in the request it is (a JSON pointer),
what is wrong and what would be right.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator, Mapping
from typing import Any

from flask import Flask, Response, current_app, g, request
from marshmallow import fields, validate
from werkzeug.exceptions import HTTPException

from service.http.refusal_words import WORDS, said, sentence
from service.http.schemas import Schema
from service.storage.database import DatabaseUnavailable
from service.tailoring.refusals import Fact, Refusal, Where

MEDIA_TYPE = "application/problem+json"
SEE_ERRORS = "See errors: each says where and what would be right."
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


class FaultSchema(Schema):
    """One thing that is wrong: where, which rule, and what would be right."""

    pointer = fields.String(required=True, metadata={"description": "JSON pointer into the request (RFC 6901)"})
    code = fields.String(required=True, validate=validate.OneOf(sorted(WORDS)))
    detail = fields.String(required=True)
    facts = fields.Dict(keys=fields.String(), metadata={"description": "the figures behind the sentence"})


class ProblemSchema(Schema):
    """A problem document (RFC 9457)."""

    type = fields.String(required=True, metadata={"format": "uri-reference"})
    title = fields.String(required=True)
    status = fields.Integer(required=True)
    detail = fields.String(required=True)
    code = fields.String(required=True, validate=validate.OneOf(sorted(WORDS)))
    errors = fields.List(fields.Nested(FaultSchema), required=True)


def answer_with_problems(app: Flask) -> None:
    """Answer whatever is raised with a problem document."""
    app.register_error_handler(Refusal, refused)
    app.register_error_handler(RequestInvalid, _invalid)
    app.register_error_handler(HTTPException, _http)
    app.register_error_handler(DatabaseUnavailable, _database_away)
    app.register_error_handler(Exception, _fault)


def refused(refusal: Refusal) -> Response:
    """One refusal as a response; one of several parts tells each of them."""
    faults = [_fault_of(part, part.at) for part in refusal.parts or (refusal,)]
    if refusal.parts:
        return _response(refusal.code, faults, {"words": SEE_ERRORS}, faults)
    return _response(refusal.code, faults, refusal.facts)


def _invalid(invalid: RequestInvalid) -> Response:
    faults = [_fault_of(refusal, at) for at, refusal in leaves(invalid.messages, ())]
    code = "header_wrong" if invalid.location == "headers" else "field_wrong"
    codes = {fault["code"] for fault in faults}
    # One rule of the trade broken is named as what it is, wherever it was noticed.
    if len(codes) == 1 and code == "field_wrong":
        code = codes.pop()
    return _response(code, faults, {"words": SEE_ERRORS}, faults)


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
        yield at, Refusal("field_wrong", at, words=str(messages))


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
    return {
        "pointer": _pointer(at),
        "code": refusal.code,
        "detail": said(refusal),
        "facts": {name: value for name, value in refusal.facts.items() if name != "words"},
    }


def _response(
    code: str, errors: list[dict[str, Any]], facts: Mapping[str, Fact], told: list[dict[str, Any]] | None = None
) -> Response:
    g.refused_with = code
    document = _document(code, errors, facts, told)
    response = Response(current_app.json.dumps(document), document["status"], content_type=MEDIA_TYPE)
    if document["status"] == 401:  # noqa: PLR2004
        response.headers["WWW-Authenticate"] = 'Bearer realm="fitting"'
    return response


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
        "detail": detail,
        "code": code,
        "errors": errors,
    }


def fault_document(refusal: Refusal) -> dict[str, Any]:
    """One refusal among many answers."""
    return _fault_of(refusal, refusal.at)


def _pointer(at: Where) -> str:
    return "".join("/" + str(part).replace("~", "~0").replace("/", "~1") for part in at)

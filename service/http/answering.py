"""What a request pays for every answer: its parts read by their schemas, and what a view gave written as JSON.

The blueprint's own wrappers do the same in a dozen calls (0.1 ms of a request); here it is one.
"""

from __future__ import annotations

import functools
from collections.abc import Sequence
from typing import Any

import orjson
from flask import Response, request
from flask_smorest.utils import unpack_tuple_response

from service.http.callers.units import choose
from service.http.contract.contract_words import View
from service.http.parsing import PARSER
from service.http.quantities import OUT_UNITS
from service.http.schemas import Schema
from service.http.values import Choice
from service.storage.database import again_if_undone
from service.tongues.tags import TAGS

JSON = "application/json"


class UnitsSchema(Schema):
    """In which unit lengths are answered, and in which language."""

    units = Choice(
        OUT_UNITS,
        metadata={"description": "the unit of all lengths in the answer; else that of the request"},
    )
    lang = Choice(
        TAGS,
        metadata={
            "description": "the language of problems, notices and papers; else by `Accept-Language`, else the shop's"
        },
    )


def answered(document: dict[str, Any], status: int = 200, **headers: str) -> Response:
    """A document as a response; headers are named with underscores."""
    response = Response(orjson.dumps(document), status, content_type=JSON)
    for name, value in headers.items():
        response.headers[name.replace("_", "-")] = value
    return response


def read_and_answered(
    view: View,
    read: Sequence[tuple[Schema, str]],
    answer: type[Schema] | Schema | dict[str, Any],
    status: int,
    *,
    query_at: int,
    keeps_query: bool,
) -> View:
    """A view that is called with what the parts of the request say, each `read` by its schema from its location.

    The query is at `query_at` of what the view is called with, and goes where the view has none of its own. What the
    view gives is dumped by `answer`, unless it is a document or a response already.
    """
    writes = answer() if isinstance(answer, type) else answer

    @functools.wraps(view)
    def run(*given: Any, **path: Any) -> Response:  # noqa: ANN401  a view's own
        said = [*given, *(_read(schema, location) for schema, location in read)]
        query = said[query_at] if keeps_query else said.pop(query_at)
        choose(query.pop("units", None))
        # `callers.languages` reads it, of requests that are refused before they are read as well.
        query.pop("lang", None)
        result = again_if_undone(lambda: view(*said, **path))
        return answered(result) if isinstance(result, dict) else _response(result, writes, status)

    return run


def _read(schema: Schema, location: str) -> Any:  # noqa: ANN401  what a schema makes
    if type(schema) is UnitsSchema and not request.query_string:
        # Most requests ask for nothing there, and reading it takes as long as their routing: 30 us.
        return {}
    return PARSER.parse(schema, request, location=location)


def _response(result: object, schema: Schema | dict[str, Any], status: int) -> Response:
    value, other, headers = unpack_tuple_response(result)
    if not isinstance(value, Response):
        dumped = schema.dump(value) if isinstance(schema, Schema) else value
        value = Response(orjson.dumps(dumped), other or status, content_type=JSON)
    elif other is not None:
        value.status_code = other
    if headers:
        value.headers.extend(headers)
    return value

"""Reading requests: strict JSON and JSON Lines, bounded; unknown fields and parameters are refused."""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import Any, NoReturn

from flask import Request
from flask_smorest import Blueprint
from gunicorn.http.errors import ParseException
from marshmallow import EXCLUDE, RAISE, Schema
from typing_extensions import override
from webargs import flaskparser

from service.http.callers.units import note_request
from service.http.document_bounds import Bounds, bounds_of, check_bounds, over_full
from service.http.problems import RequestInvalid
from service.http.strict_json import check_values, read_json
from service.tailoring.refusals import Refusal

# JSON Lines: one document a line.
LINES = "application/x-ndjson"
TWICE = "It is there more than once: which is meant? Send it once."
EMPTY = "It has no value: leave it out, or say one."


class SlowCaller(Exception):
    """The request did not arrive in time; the worker raises it wherever the request is being read."""


class Parser(flaskparser.FlaskParser):
    """Reads requests: strict JSON only, and unknown fields and parameters are refused."""

    DEFAULT_UNKNOWN_BY_LOCATION = {  # noqa: RUF012  as its base has it
        **flaskparser.FlaskParser.DEFAULT_UNKNOWN_BY_LOCATION,
        "query": RAISE,
        "headers": EXCLUDE,
    }

    @override
    def load_json(self, req: Request, schema: Schema) -> Any:
        """The body, held to the bounds of its schema. Raises Refusal for what the schema is never to read."""
        field, bounds = getattr(schema, "lines", None), bounds_of(schema)
        if field is not None and req.mimetype == LINES:
            document = _of_lines(_body(req), field, bounds)
        elif req.mimetype == "application/json":
            document = read_json(_body(req))
        else:
            raise Refusal("not_json")
        check_bounds(document, bounds)
        note_request(document)
        return document

    @override
    def load_querystring(self, req: Request, schema: Schema) -> Any:
        """The query, each parameter once and with a value. Raises RequestInvalid for others, all together."""
        faults = {
            name: [TWICE if len(values) > 1 else EMPTY]
            for name, values in req.args.lists()
            if len(values) > 1 or not values[0]
        }
        if faults:
            raise RequestInvalid(faults, "query")
        return super().load_querystring(req, schema)

    @override
    def handle_error(self, error: Any, *_: Any, **__: Any) -> NoReturn:
        location, messages = next(iter(error.messages.items()))
        raise RequestInvalid(messages, location)


PARSER = Parser()


class StrictBlueprint(Blueprint):
    """A blueprint whose arguments are read by our parser."""

    ARGUMENTS_PARSER = PARSER


def _body(req: Request) -> bytes:
    """All bytes of the body as it was meant. Raises Refusal for one that is coded, cut, too large or too slow."""
    _check_codings(req)
    try:
        body = req.get_data(cache=True)
    except SlowCaller:
        raise Refusal("too_slow") from None
    except ParseException:
        raise Refusal("request_wrong", words="The chunks of the body do not add up.") from None
    if req.content_length is not None and len(body) < req.content_length:
        # The server hands on what came. Half a batch of lines would be right JSON, line by line.
        raise Refusal("request_wrong", words="The body ends before its Content-Length.")
    # A chunked body says no length, and is cut where the limit stands.
    if req.content_length is None and req.max_content_length and len(body) >= req.max_content_length:
        raise Refusal("too_large", most=req.max_content_length)
    return body


def _check_codings(req: Request) -> None:
    """What was packed is not unpacked here: a few bytes may become any number."""
    content, transfer = (req.headers.get(name, "").strip() for name in ("Content-Encoding", "Transfer-Encoding"))
    if content.lower() not in ("", "identity"):
        raise Refusal("body_encoded", given=content)
    if transfer.lower() not in ("", "chunked"):
        raise Refusal("transfer_coded", given=transfer)


def _of_lines(body: bytes, field: str, bounds: Bounds) -> dict[str, Any]:
    """The question of the first line with all others in one field of it; a line too many is not read any more."""
    check_values(body)
    lines = _lines(body)
    first = next(lines, None)
    if not isinstance(first, dict) or field in first:
        raise Refusal("json_unreadable", words=f"the first line is the question, without '{field}'")
    held, rest = (bounds.members or {})[field], list[Any]()
    for line in lines:
        if len(rest) == held.most:
            raise Refusal.together("field_wrong", [over_full(held, (field,))])
        rest.append(line)
    return {**first, field: rest}


def _lines(body: bytes) -> Iterator[Any]:
    """Each line's document; lines of nothing are none."""
    return (read_json(line) for line in io.BytesIO(body) if line.strip())

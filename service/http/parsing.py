"""Reading requests: strict JSON and JSON Lines, bounded; unknown fields and parameters are refused."""

from __future__ import annotations

import json
import re
from typing import Any, NoReturn

import orjson
from flask import Request
from flask_smorest import Blueprint
from gunicorn.http.errors import ParseException
from marshmallow import EXCLUDE, RAISE, Schema
from typing_extensions import override
from webargs import flaskparser

from service.http.problems import RequestInvalid
from service.tailoring.refusals import Refusal

# JSON Lines: one document a line.
LINES = "application/x-ndjson"
DEPTH_MOST = 20
TOO_DEEP = f"it is nested too deeply, {DEPTH_MOST} levels are the most"
# Strings are stepped over: brackets inside of them nest nothing.
_BRACKETS = re.compile(rb'"[^"\\]*+(?:\\.[^"\\]*+)*+"|[\[\]{}]', re.DOTALL)


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
    def _raw_load_json(self, req: Request) -> Any:
        if req.mimetype != "application/json":
            raise Refusal("not_json")
        return _read(_body(req))

    @override
    def load_json(self, req: Request, schema: Schema) -> Any:
        field = getattr(schema, "lines", None)
        if field is None or req.mimetype != LINES:
            return super().load_json(req, schema)
        read = [_read(line) for line in _body(req).splitlines() if line.strip()]
        first, rest = (read or [None])[0], read[1:]
        if not isinstance(first, dict) or field in first:
            raise Refusal("json_unreadable", words=f"the first line is the question, without '{field}'")
        return {**first, field: rest}

    @override
    def handle_error(self, error: Any, *_: Any, **__: Any) -> NoReturn:
        location, messages = next(iter(error.messages.items()))
        raise RequestInvalid(messages, location)


class StrictBlueprint(Blueprint):
    """A blueprint whose arguments are read by our parser."""

    ARGUMENTS_PARSER = Parser()


def _body(req: Request) -> bytes:
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


def _read(body: bytes) -> Any:  # noqa: ANN401  whatever the body says
    """Strict JSON: no NaN, no two fields of one name."""
    try:
        # Stricter than the standard library on everything but the size of numbers: UTF-8, surrogates, NaN.
        orjson.loads(_HUGE.sub(b"0", body))
        _check_depth(body)
        # It takes the last of two fields of one name; which of two readings was meant, nobody can tell.
        read = json.loads(body, object_pairs_hook=_of_one_name_each, parse_int=_number)
    except RecursionError as error:
        raise Refusal("json_unreadable", words=TOO_DEEP) from error
    except ValueError as error:
        raise Refusal("json_unreadable", words=str(error)) from error
    return read


def _check_depth(body: bytes) -> None:
    """Nothing that is asked for is deeper than a handful of levels. The body must be JSON by now: its strings end."""
    depth = 0
    for mark in _BRACKETS.finditer(body):
        first = mark[0][:1]
        depth += (first in b"[{") - (first in b"]}")
        if depth > DEPTH_MOST:
            raise ValueError(TOO_DEEP)


# A number past a double is JSON all the same: the field that it stands in refuses it, with its pointer.
# It begins where digits begin, or a long row of them would be tried from each of its digits.
_HUGE = re.compile(
    rb"(?<=[:\[,\s])-?[0-9]{20,}+(?:\.[0-9]++)?(?:[eE][+-]?[0-9]++)?|(?<![0-9.])-?[0-9]++(?:\.[0-9]++)?[eE]\+?[0-9]{3,}+"
)
# The longest row of digits that Python makes a whole number of without being told twice.
_DIGITS_MOST = 4000


def _number(text: str) -> int | float:
    return int(text) if len(text) <= _DIGITS_MOST else float(text)


def _of_one_name_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    names = [name for name, _ in pairs]
    if len(set(names)) != len(names):
        twice = next(name for name in names if names.count(name) > 1)
        raise ValueError(f"the field '{twice[:80]}' stands twice")
    return dict(pairs)

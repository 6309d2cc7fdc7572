"""How a view becomes an operation: one decorator joins its address, scope, schemas, headers and refusals.

The order of checks is the order of the wrappers: who asks, then the shape of headers, query and body, then the
use case with its preconditions and the state of things.
"""

from __future__ import annotations

import functools
import hashlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import replace
from typing import Any, TypeAlias

from flask import Response, current_app, g, request
from flask_smorest.utils import unpack_tuple_response

from service.http.answering import UnitsSchema, answered, read_and_answered
from service.http.callers.batch_slots import in_a_slot
from service.http.callers.gate import Gate
from service.http.callers.headers import RetrySchema
from service.http.callers.languages import said_in
from service.http.callers.rate_limits import SENT
from service.http.contract.contract_words import (
    KEPT,
    SAID_IN_OF_NOTICES,
    View,
    described,
    has_notices,
    parts_of,
    said_of,
    with_refusals,
)
from service.http.contract.retiring import Retiring
from service.http.freshness import MadeOf, conditional
from service.http.parsing import LINES, StrictBlueprint
from service.http.schemas import Schema
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.idempotency import Answer, IdempotentRequest, change_once

ALWAYS_REFUSED = (400, 401, 403, 405, 414, 422, 429, 431, 503)


def operation(  # noqa: PLR0913  all that an operation is, by name
    blueprint: StrictBlueprint,
    method: str,
    rule: str,
    *,
    scope: str | tuple[str, ...] | None,
    answer: type[Schema] | Schema | dict[str, Any],
    body: type[Schema] | None = None,
    query: type[Schema] | None = None,
    headers: type[Schema] | None = None,
    status: int = 200,
    refuses: tuple[int, ...] = (),
    sends: tuple[str, ...] = (),
    media: str = "application/json",
    also: dict[str, type[Schema] | dict[str, Any]] | None = None,
    cacheable: bool = False,
    kept_by_key: bool = False,
    made_of: MadeOf | None = None,
    example: dict[str, Any] | None = None,
    body_most: int | None = None,
    lines: dict[str, Any] | None = None,
    is_batch: bool = False,
    creates: bool = False,
    for_pages: bool = False,
    counted: bool = True,
    retiring: Retiring | None = None,
) -> Callable[[View], View]:
    """Make a view an operation of the contract.

    A view gives a value, alone or with headers, that `answer` dumps; or a document that it wrote by itself, as a
    dict or a response, which `answer` only describes. A test holds every answer to the contract.
    The view is called with the caller (unless `scope` is None: the operation is open), then what headers, query and
    body say, and the parts of the path by name. `refuses` adds statuses to those that every operation may answer,
    `sends` names headers of the answer, `media` is its type where it is no JSON, `also` are others that
    it is served in, `cacheable` that who has it may ask whether it is still fresh, `kept_by_key`
    that caches may keep it too, for each key apart, `made_of` by what of the caller and the path an answer is known to
    be the same (of what is `cacheable`), `example` is a body that is
    taken as it stands by a shop that has loaded no chart, `body_most` the bytes of a body that may be larger than
    others, `lines` what one line is where the answer may also come as JSON Lines, `is_batch` that only a share of the
    workers may be answering it at once,
    `creates` that the same answer is a 201 where something new was made, `for_pages` that a web key may ask it too.
    `retiring` says that it goes, when, and what takes its place. What has the headers of `RetrySchema` or
    `IfMatchSchema` is done once for each `Idempotency-Key`, and answered again.
    Every request is counted, by its key or, where the operation is open, by its address; `counted` exempts it.
    """
    places = ((headers, "headers"), (query or UnitsSchema, "query"), (body, "json"))
    read = [(_made_once(schema), location) for schema, location in places if schema]
    # Where the query stands among what the view is called with: after the caller and the headers.
    query_at = (scope is not None) + (headers is not None)
    refused = {*ALWAYS_REFUSED, *refuses, *((408, 413, 415, 501) if body else ())} - (set() if scope else {401, 403})
    refused -= set() if counted else {429}
    cacheable = cacheable or kept_by_key
    changes = headers is not None and issubclass(headers, RetrySchema)
    told = (
        *sends,
        *(name for name in ("ETag", "Vary") if cacheable and name not in sends),
        *(SAID_IN_OF_NOTICES if has_notices(answer) else ()),
        *(("Answer-Repeated",) if changes else ()),
        *(SENT if counted else ()),
        *(retiring.headers if retiring else ()),
    )

    def made(view: View) -> View:
        noted = view
        for schema, location in reversed(read):
            noted = blueprint.arguments(schema, location=location, example=example if location == "json" else None)(
                noted
            )
        noted = blueprint.response(status, answer, content_type=media, headers=said_of(told))(noted)
        if creates:
            noted = blueprint.alt_response(201, schema=answer, description="Created")(noted)
        for kind, other in (also or {}).items():
            noted = blueprint.alt_response(status, schema=other, content_type=kind)(noted)
        if cacheable:
            fresh = "Not changed: the copy that you have is still right (`If-None-Match`)"
            noted = blueprint.alt_response(304, description=fresh, headers=said_of(KEPT))(noted)
        if lines:
            noted = blueprint.alt_response(
                status, schema=lines, description="One document on each line", content_type=LINES
            )(noted)
        noted = with_refusals(noted, refused)
        if retiring:
            noted = blueprint.doc(deprecated=True)(noted)
        noted = described(noted, blueprint, view, scope, for_pages=for_pages, retiring=retiring)

        run = _once(view, answer, status, reads_headers=headers is not RetrySchema) if changes else view
        run = read_and_answered(run, read, answer, status, query_at=query_at, keeps_query=query is not None)
        run = in_a_slot(run) if is_batch else run
        if cacheable:
            run = conditional(run, with_key=scope is not None, kept_by_key=kept_by_key, made_of=made_of)
        run = _as_caller(run, Gate(scope, for_pages=for_pages, counted=counted), body_most, for_long=is_batch)
        run = retiring.told_by(run) if retiring else run
        # Of what the blueprint wraps a view in only its notes for the contract are wanted: at a request its wrappers
        # would call each other a dozen times.
        vars(run)["_apidoc"] = vars(noted)["_apidoc"]
        blueprint.route(rule, methods=[method], parameters=parts_of(rule))(run)
        return view

    return made


@functools.cache
def _made_once(schema: type[Schema]) -> Schema:
    """Of a class each request would make one, and take its bounds out of it."""
    return schema()


def context() -> ServiceContext:
    """The counter's means, as the application was put together with; within this request's transactions if any."""
    return g.get("within") or lasting_context()


def lasting_context() -> ServiceContext:
    """The same for what goes on after this request: in transactions of its own."""
    found: ServiceContext = current_app.extensions["context"]
    return found


@contextmanager
def _within(means: ServiceContext) -> Iterator[None]:
    """What the request is answered with while the block lasts."""
    before, g.within = g.get("within"), means
    try:
        yield
    finally:
        g.within = before


def idempotent_request(key: str | None) -> IdempotentRequest:
    """This request as it can be known again: the same operation, thing, key and body are the same errand.

    The version that was read does not belong to it: once the change is made there is another.
    """
    thing = b"\n" + request.path.encode() if request.view_args else b""
    digest = hashlib.sha256(request.get_data(cache=True) + b"\n" + request.query_string + thing).hexdigest()
    return IdempotentRequest(str(request.endpoint), key, digest, said_in)


# A value to be dumped by its operation's schema, and the headers of its answer.
Versioned: TypeAlias = tuple[object, dict[str, str]]


def versioned(value: object, version: int) -> Versioned:
    """An answer with its version as the ETag for If-Match."""
    return value, {"ETag": f'"{version}"'}


def created(answer: Answer, location: str, **headers: str) -> Response:
    """A 201 with what was made, or with what was answered when it was made."""
    response = answered(answer.document, 201, Location=location, **headers)
    response.headers.update(_of_repeated(answer))
    return response


def _of_repeated(answer: Answer) -> dict[str, str]:
    """What the headers say of an answer kept from before: that it is, and in which language it was said then."""
    said = {"Content-Language": answer.said_in} if answer.said_in else {}
    return {"Answer-Repeated": "true"} | said if answer.repeated else {}


def _once(view: View, answer: type[Schema] | Schema | dict[str, Any], status: int, *, reads_headers: bool) -> View:
    """A view that changes something once for each key: its whole answer is kept in the transaction of the change.

    The view is called with what else the headers say if it `reads_headers`.
    """
    schema: Any = answer() if isinstance(answer, type) else answer

    @functools.wraps(view)
    def run(caller: Caller, headers: dict[str, Any], *given: Any, **path: Any) -> Any:  # noqa: ANN401  a view's own
        key = headers.pop("key", None)
        called = functools.partial(view, caller, *([headers] if reads_headers else []), *given, **path)
        if key is None:
            return called()

        def make(within: ServiceContext) -> dict[str, Any]:
            with _within(within):
                value, other, named = unpack_tuple_response(called())
            body = value if isinstance(value, dict) else schema.dump(value)
            # By the id of what was changed the answer is found when a customer is erased.
            return {"id": body.get("id"), "status": other or status, "headers": named or {}, "body": body}

        kept = change_once(context(), caller, idempotent_request(key), make)
        response = answered(kept.document["body"], kept.document["status"])
        response.headers.update(kept.document["headers"] | _of_repeated(kept))
        return response

    return run


def _as_caller(run: View, gate: Gate, body_most: int | None, *, for_long: bool) -> View:
    """Ask first who calls; in the transaction in which the view reads, unless it works `for_long` with what it read."""

    @functools.wraps(run)
    def asked(*given: Any, **path: Any) -> Any:  # noqa: ANN401  a view's own
        if body_most is not None:
            request.max_content_length = body_most
        means = context()
        together = nullcontext(means.database) if for_long else means.database.read_together()
        with together as database, _within(replace(means, database=database)):
            caller = gate.passed(context())
            return run(*given, **path) if caller is None else run(caller, *given, **path)

    asked.scope = gate.scope  # type: ignore[attr-defined]  # a test looks at every route's
    asked.body_most = body_most  # type: ignore[attr-defined]  # so does the worker, which reads it
    asked.asked_by_pages = gate.for_pages  # type: ignore[attr-defined]
    return asked

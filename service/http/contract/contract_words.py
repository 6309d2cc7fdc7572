"""What the contract says of operations: refusals, headers, parts of addresses, whom they are for."""

from __future__ import annotations

import inspect
import re
from collections.abc import Callable
from functools import cache
from typing import Any, TypeAlias

import marshmallow
from marshmallow import fields

from service.http.callers.rate_limits import SENT
from service.http.contract.retiring import HEADERS as RETIRING
from service.http.contract.retiring import Retiring
from service.http.notices import NoticeSchema
from service.http.parsing import StrictBlueprint
from service.http.problems import MEDIA_TYPE, ProblemSchema
from service.http.schemas import Schema

# Schemas of answers that are one of several.
ONE_OF: dict[str, type[Schema]] = {}
View: TypeAlias = Callable[..., Any]

REASONS = {
    400: "The request cannot be read",
    401: "The key is missing or not known",
    403: "The key lacks the scope",
    404: "There is no such thing, or it is another shop's",
    405: "The method is not allowed here",
    406: "The media type is not available",
    408: "The request did not arrive in time",
    409: "The state of the order or of the calendar does not allow it",
    412: "It has changed since",
    413: "The body is too large",
    414: "The address is too long",
    415: "The body is not JSON, or encoded",
    422: "What is asked is wrong; errors say where and what would be right",
    428: "The header If-Match is missing",
    429: "Too many requests in a minute; Retry-After says when to come again",
    431: "The headers are too many or too large",
    501: "The transfer coding of the body is not supported",
    503: "The database does not answer; nothing was changed",
}

# What is said again of an answer that the caller has.
KEPT = ("Cache-Control", "ETag", "Vary")

RATE_DRAFT = "draft-ietf-httpapi-ratelimit-headers-11"

# What the headers of answers say; those of REFUSED_WITH are always there.
HEADERS = {
    "Allow": "the methods that are allowed here",
    "Cache-Control": "how long, and by whom, it may be cached",
    "Content-Language": "the language of its words: all of a paper, the title of a problem, notices (RFC 5646)",
    "ETag": "the version, for If-Match or If-None-Match",
    "Answer-Repeated": "true: the answer is that of the first request with this key",
    "Link": "the next page, where there is one",
    "Location": "the path of what was created",
    "RateLimit": f"r are left, all available again in t seconds; {RATE_DRAFT}",
    "RateLimit-Policy": f"q requests are allowed in w seconds; {RATE_DRAFT}",
    "RateLimit-Limit": "how many requests a minute are allowed",
    "RateLimit-Remaining": "how many of them are left",
    "RateLimit-Reset": "in how many seconds all of them are available again",
    "Retry-After": "seconds to wait",
    "Vary": "by which headers of the request the answer differs",
    "WWW-Authenticate": "how to send a key",
}
MAY_BE_MISSING = ("Answer-Repeated", "Link")
PROBLEM = ProblemSchema()
# An answer says in which language its notices are, where it has any; so does every problem of its title.
SAID_IN_OF_NOTICES = ("Content-Language?",)
REFUSED_WITH = {401: ("WWW-Authenticate",), 405: ("Allow",), 429: ("Retry-After", *SENT), 503: ("Retry-After",)}


# What a part of an address is, by its name there.
PATH_PARTS = {
    "check_id": "the fit check's id",
    "chart": "the chart's code",
    "code": "the code that the visitor shows, with its hyphen or without",
    "customer_ref": "the customer, by the caller's own reference",
    "group_id": "the id of the group of orders",
    "on": "a day of the shop's own calendar",
    "order_id": "the order's id",
    "outcome_id": "the outcome's id",
    "set_id": "the measurement set's id",
    "slip": "the unguessable token on the customer's slip",
    "tailor": "the tailor, by the shop's own reference",
    "webhook_id": "the webhook's id",
}


def parts_of(rule: str) -> list[dict[str, Any]]:
    """The parts of an address as the contract describes them; what they may be, it knows from the rule."""
    names = re.findall(r"<\w+:(\w+)>", rule)
    return [{"in": "path", "name": name, "description": PATH_PARTS[name]} for name in names if name in PATH_PARTS]


def with_refusals(run: View, refused: set[int]) -> View:
    """The contract says of every status in `refused` that it is a problem document.

    As the blueprint's `alt_response` notes it, which for each status wraps the view once more and copies all that was
    noted before: half of the start, and ten calls a request.
    """
    noted: dict[int, list[dict[str, Any]]] = run._apidoc.setdefault("response", {}).setdefault("responses", {})  # type: ignore[attr-defined]  # noqa: SLF001  where smorest notes it
    for code in sorted(refused):
        said = {"schema": PROBLEM, "description": REASONS[code], "content_type": MEDIA_TYPE}
        headers = said_of(REFUSED_WITH.get(code, ()))
        noted.setdefault(code, []).append(said | ({"headers": headers} if headers else {}))
    return run


def described(
    run: View,
    blueprint: StrictBlueprint,
    view: View,
    scope: str | tuple[str, ...] | None,
    *,
    for_pages: bool,
    retiring: Retiring | None = None,
) -> View:
    """The contract says of the operation what the view's docstring says, and whom it is for."""
    words = inspect.cleandoc(view.__doc__ or "")
    told: View = blueprint.doc(
        summary=words.split("\n")[0],
        description=words
        + (f" Needs the scope {_either(scope)}." if scope else "")
        + (" Web keys may call this." if for_pages else "")
        + (retiring.words if retiring else ""),
        security=[{"key": []}] if scope else [],
        operationId=view.__name__,
    )(run)
    return told


def one_of(*schemas: type[Schema]) -> dict[str, Any]:
    """An answer that is as one of several schemas says; `ONE_OF` has them, for the contract to know by name."""
    ONE_OF.update({schema.__name__.removesuffix("Schema"): schema for schema in schemas})
    names = (schema.__name__.removesuffix("Schema") for schema in schemas)
    return {"anyOf": [{"$ref": f"#/components/schemas/{name}"} for name in names]}


def _either(scope: str | tuple[str, ...]) -> str:
    """A scope, or any of several."""
    return " or ".join(f"`{each}`" for each in ((scope,) if isinstance(scope, str) else scope))


def said_of(headers: tuple[str, ...]) -> dict[str, Any] | None:
    """Headers as the contract has them; one with a question mark may be missing."""
    said = {
        name.removesuffix("?"): {
            "description": (HEADERS | RETIRING)[name.removesuffix("?")],
            "schema": {"type": "string"},
            "required": name not in MAY_BE_MISSING and not name.endswith("?"),
        }
        for name in headers
    }
    return said or None


def has_notices(answer: type[Schema] | marshmallow.Schema | dict[str, Any]) -> bool:
    """Whether an answer may have notices, anywhere in it."""
    if isinstance(answer, dict):
        names = (each["$ref"].rpartition("/")[2] for each in answer.get("anyOf", ()))
        return any(has_notices(ONE_OF[name]) for name in names)
    return _kind_has_notices(answer if isinstance(answer, type) else type(answer))


@cache
def _kind_has_notices(kind: type[marshmallow.Schema]) -> bool:
    # By what a class declares: to make a schema copies all of its fields, and hundreds would be made for this alone.
    return issubclass(kind, NoticeSchema) or any(_nests_notices(each) for each in kind._declared_fields.values())  # noqa: SLF001


def _nests_notices(field: fields.Field[Any]) -> bool:
    if isinstance(field, fields.List):
        return _nests_notices(field.inner)
    if not isinstance(field, fields.Nested):
        return False
    nested = field.nested
    return has_notices(nested if isinstance(nested, type | marshmallow.Schema) else field.schema)

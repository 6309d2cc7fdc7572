"""Pages of other origins: those of a web key may ask what a web key may, and no other page may ask anything.

A browser asks first (a preflight) and shows no key then, so it is answered by origin: may any web key in use be used
from there? What is asked afterwards is answered by the key's own origins.
"""

from __future__ import annotations

from flask import Response, current_app, g, request

from service.http.callers.rate_limits import SENT, count_address
from service.tailoring.refusals import Refusal
from service.use_cases.context import Caller
from service.use_cases.shop.keys import is_page

SENT_BY_PAGES = "Authorization, Content-Type, Idempotency-Key, If-None-Match"
READ_BY_PAGES = ", ".join((*SENT, "Deprecation", "ETag", "Link", "Retry-After", "Sunset", "X-Request-Id"))
_REMEMBERED_SECONDS = 600


def check_page(caller: Caller, *, asked_by_pages: bool) -> None:
    """Hold a web key to its origins and to what pages may ask. Raises Refusal `origin_not_allowed`, `page_may_not`."""
    if not caller.is_page:
        return
    origin = request.headers.get("Origin")
    if origin not in caller.origins:
        raise Refusal("origin_not_allowed", given=origin)
    g.page_origin = origin
    if not asked_by_pages:
        raise Refusal("page_may_not")


def answer_preflight(api: str) -> Response | None:
    """The answer to a browser that asks whether a page may ask; None where this request is no such question."""
    method, origin = request.headers.get("Access-Control-Request-Method"), request.headers.get("Origin")
    if request.method != "OPTIONS" or method is None or origin is None or not request.path.startswith(api):
        return None
    count_address("preflight")
    response = Response(status=204)
    address = current_app.url_map.bind("")
    known = address.test(request.path, method)
    if (
        known
        and _asked_by_pages(address.match(request.path, method)[0])
        and is_page(current_app.extensions["context"], origin)
    ):
        response.headers["Access-Control-Allow-Origin"] = origin
        response.headers["Access-Control-Allow-Methods"] = method
        response.headers["Access-Control-Allow-Headers"] = SENT_BY_PAGES
        response.headers["Access-Control-Max-Age"] = str(_REMEMBERED_SECONDS)
    response.vary.update(("Origin", "Access-Control-Request-Method"))
    return response


def let_page_read(response: Response) -> Response:
    """Let the page of the web key that asked read the answer; caches keep answers to other origins apart."""
    origin = g.get("page_origin")
    if origin:
        response.headers["Access-Control-Allow-Origin"] = origin
        response.headers["Access-Control-Expose-Headers"] = READ_BY_PAGES
    if origin or _asked_by_pages(request.endpoint):
        response.vary.add("Origin")
    return response


def _asked_by_pages(endpoint: str | None) -> bool:
    return getattr(current_app.view_functions.get(endpoint or ""), "asked_by_pages", False)

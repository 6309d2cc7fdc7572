"""The contract as pages to read and to try, at /docs: Swagger UI out of a package, and nothing from any other host."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from functools import cache
from importlib.resources import files

import orjson
from flask import Flask, Response, request

from service.http.contract.examples import PRINTED_AT, printed, printed_examples
from service.http.contract.reading_form import reading_form
from service.tailoring.refusals import Refusal

# The page runs what is served beside it and asks this service only; its style holds its own pictures.
ALLOWS = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
# Without a validator: it would send the contract's address to a stranger.
START = """\
SwaggerUIBundle({
  url: "docs/contract.json",
  dom_id: "#contract",
  deepLinking: true,
  docExpansion: "list",
  defaultModelsExpandDepth: 0,
  displayRequestDuration: true,
  validatorUrl: null,
});
"""
# An example is looked into, and does not fill the screen.
STYLE = """\
.swagger-ui .highlight-code > .microlight { max-height: 12rem; }
"""
PAGE = """\
<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Fitting service: the contract</title>
<link rel="icon" href="data:,">
<link rel="stylesheet" href="docs/swagger-ui.css">
<link rel="stylesheet" href="docs/page.css">
<script src="docs/swagger-ui-bundle.js" defer></script>
<script src="docs/start.js" defer></script>
</head>
<body>
<p class="swagger-ui wrapper"><a href="docs/steps">Integrate in five steps</a>: till, web shop, workroom's board</p>
<main id="contract"></main>
<noscript>These pages need JavaScript; the contract itself is at <a href="openapi.json">openapi.json</a>.</noscript>
</body>
</html>
"""
PARTS = {"swagger-ui.css": "text/css", "swagger-ui-bundle.js": "text/javascript"}
_FILES = ",".join(f'"{name}"' for name in PARTS)


def serve_docs(app: Flask, contract: Callable[[], bytes]) -> None:
    """Give the application its contract, made once when it is first asked for, and the pages around it at /docs."""
    made = cache(lambda: tagged(contract()))
    shown = cache(lambda: tagged(orjson.dumps(reading_form(orjson.loads(made()[0])))))
    parts = cache(lambda name: tagged((files("flask_swagger_ui") / "dist" / name).read_bytes()))
    app.add_url_rule("/openapi.json", "openapi", lambda: cacheable(*made(), "application/json"))
    app.add_url_rule("/docs", "docs", _page)
    app.add_url_rule("/docs/contract.json", "docs_contract", lambda: cacheable(*shown(), "application/json"))
    app.add_url_rule("/docs/start.js", "docs_start", _start)
    app.add_url_rule("/docs/page.css", "docs_style", _style)
    app.add_url_rule(f"{PRINTED_AT}/<name>", "docs_example", _example)
    app.add_url_rule(
        f"/docs/<any({_FILES}):name>",
        "docs_part",
        lambda name: cacheable(*parts(name), f"{PARTS[name]}; charset=utf-8"),
    )


def _example(name: str) -> Response:
    """A paper or a drawing as the contract's example of it. Raises Refusal `not_found`."""
    media = printed_examples().get(name)
    if media is None:
        raise Refusal("not_found")
    return cacheable(*tagged(printed(name)), media)


def _page() -> Response:
    response = Response(PAGE, content_type="text/html; charset=utf-8")
    response.headers["Content-Security-Policy"] = ALLOWS
    return response


def _style() -> Response:
    return Response(STYLE, content_type="text/css; charset=utf-8")


def _start() -> Response:
    return Response(START, content_type="text/javascript; charset=utf-8")


def tagged(content: bytes) -> tuple[bytes, str]:
    """Bytes and what tells them from others."""
    return content, hashlib.sha256(content).hexdigest()[:32]


def cacheable(content: bytes, tag: str, content_type: str) -> Response:
    """What a browser keeps, and asks of whether it is still the same."""
    response = Response(content, content_type=content_type)
    response.headers["Cache-Control"] = "no-cache"
    response.set_etag(tag)
    response.make_conditional(request)
    return response

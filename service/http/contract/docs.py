"""The contract as pages to read and to try, at /docs: Swagger UI out of a package, and nothing from any other host."""

from __future__ import annotations

from importlib.resources import files

from flask import Flask, Response, request

# The page runs what is served beside it and asks this service only; its style holds its own pictures.
ALLOWS = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
# Without a validator: it would send the contract's address to a stranger.
START = """\
SwaggerUIBundle({
  url: "openapi.json",
  dom_id: "#contract",
  deepLinking: true,
  docExpansion: "list",
  defaultModelsExpandDepth: 0,
  displayRequestDuration: true,
  validatorUrl: null,
});
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
<script src="docs/swagger-ui-bundle.js" defer></script>
<script src="docs/start.js" defer></script>
</head>
<body>
<main id="contract"></main>
<noscript>These pages need JavaScript; the contract itself is at <a href="openapi.json">openapi.json</a>.</noscript>
</body>
</html>
"""
PARTS = {"swagger-ui.css": "text/css", "swagger-ui-bundle.js": "text/javascript"}
_FILES = ",".join(f'"{name}"' for name in PARTS)


def serve_docs(app: Flask) -> None:
    """Give the application its pages: /docs, and beside it what they are made of."""
    app.add_url_rule("/docs", "docs", _page)
    app.add_url_rule("/docs/start.js", "docs_start", _start)
    app.add_url_rule(f"/docs/<any({_FILES}):name>", "docs_part", _part)


def _page() -> Response:
    response = Response(PAGE, content_type="text/html; charset=utf-8")
    response.headers["Content-Security-Policy"] = ALLOWS
    return response


def _start() -> Response:
    return Response(START, content_type="text/javascript; charset=utf-8")


def _part(name: str) -> Response:
    """A file of the package. A browser keeps it, and asks whether it is still the same."""
    content = (files("flask_swagger_ui") / "dist" / name).read_bytes()
    response = Response(content, content_type=f"{PARTS[name]}; charset=utf-8")
    response.headers["Cache-Control"] = "no-cache"
    response.add_etag()
    response.make_conditional(request)
    return response

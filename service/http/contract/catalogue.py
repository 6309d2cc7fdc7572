"""Where the contract is found without being told: the catalogue of APIs at its well-known address (RFC 9727)."""

from __future__ import annotations

import orjson
from flask import Flask, Response

ADDRESS = "/.well-known/api-catalog"
# RFC 9264: addresses are as seen from the catalogue's own, whatever name and port the shop's proxy gives them.
LINKS = {
    "linkset": [
        {
            "anchor": "/v1/",
            "service-desc": [{"href": "/openapi.json", "type": "application/json"}],
            "service-doc": [{"href": "/docs", "type": "text/html"}, {"href": "/docs/steps", "type": "text/html"}],
            "status": [{"href": "/health/ready", "type": "application/json"}],
        }
    ]
}
MEDIA_TYPE = 'application/linkset+json; profile="https://www.rfc-editor.org/info/rfc9727"'


def serve_catalogue(app: Flask) -> None:
    """Give the application its catalogue."""
    app.add_url_rule(ADDRESS, "api_catalogue", _catalogue)


def _catalogue() -> Response:
    response = Response(orjson.dumps(LINKS), content_type=MEDIA_TYPE)
    response.headers["Cache-Control"] = "public, max-age=3600"
    response.headers["Link"] = f'<{ADDRESS}>; rel="api-catalog"'
    return response

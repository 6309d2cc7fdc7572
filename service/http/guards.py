"""What stands on every answer: it is for the caller alone, and is data, not a page that runs or frames anything."""

from __future__ import annotations

from flask import Response

# Where an answer does not say otherwise. What only TLS can promise is the proxy's to send.
GUARDS = {
    "Cache-Control": "no-store",
    "Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
}


def guarded(response: Response) -> Response:
    """Put the guards on an answer."""
    said = {name.lower() for name, _ in response.headers}
    response.headers.extend({name: value for name, value in GUARDS.items() if name.lower() not in said})
    return response

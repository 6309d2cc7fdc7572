"""Whether what a caller keeps is still fresh: answers with an ETag, and 304 where nothing has changed."""

from __future__ import annotations

import functools
from typing import Any

from flask import Response, request

# What a shop's tables are to whoever asks with a key: kept by that key's own cache, and asked for again each time.
BY_KEY = "private, no-cache"


def conditional(run: Any, *, with_key: bool, kept_by_key: bool) -> Any:  # noqa: ANN401  a view
    """A view whose answer has an ETag, its own or of its content, and is a 304 where the caller has it already.

    With `kept_by_key` caches may keep it, apart for each key; else only a caller who means to.
    """

    @functools.wraps(run)
    def answer(*given: Any, **path: Any) -> Response:  # noqa: ANN401
        response: Response = run(*given, **path)
        if kept_by_key:
            response.headers.setdefault("Cache-Control", BY_KEY)
        if with_key:
            response.vary.add("Authorization")
        response.add_etag()
        # If-Match is for changes: what is only read is answered whatever it says.
        response.make_conditional({name: value for name, value in request.environ.items() if name != "HTTP_IF_MATCH"})
        return response

    return answer

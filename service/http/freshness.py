"""Whether what a caller keeps is still fresh: answers with an ETag, and 304 where nothing has changed."""

from __future__ import annotations

import functools
import hashlib
from collections.abc import Callable, Hashable
from http import HTTPStatus
from typing import Any, NamedTuple, TypeAlias

from flask import Response, request
from werkzeug.datastructures import Headers

# What a shop's tables are to whoever asks with a key: kept by that key's own cache, and asked for again each time.
BY_KEY = "private, no-cache"


# What an answer is made of besides its address and what its caller takes, of what the view is called with: equal where
# the answer is the same.
MadeOf: TypeAlias = Callable[..., Hashable]
# So many answers are known by what they are made of: a chain of a thousand shops has a few thousand.
ANSWERS_KEPT = 4096


class _Kept(NamedTuple):
    """What is kept of an answer: its ETag without marks, and its headers."""

    tag: str
    headers: Headers


def conditional(run: Any, *, with_key: bool, kept_by_key: bool, made_of: MadeOf | None) -> Any:  # noqa: ANN401  a view
    """A view whose answer has an ETag, its own or of its content, and is a 304 where the caller has it already.

    With `kept_by_key` caches may keep it, apart for each key; else only a caller who means to. With `made_of` an
    answer that the caller has is not made again to see that it is the same.
    """

    @functools.wraps(run)
    def answer(*given: Any, **path: Any) -> Response:  # noqa: ANN401
        kept = _known(_asked(), made_of(*given, **path)) if made_of else []
        if kept and request.if_none_match.contains_weak(kept[0].tag):
            return Response(status=HTTPStatus.NOT_MODIFIED, headers=Headers(kept[0].headers))
        response: Response = run(*given, **path)
        if kept_by_key:
            response.headers.setdefault("Cache-Control", BY_KEY)
        if with_key:
            response.vary.add("Authorization")
        response.add_etag()
        if made_of and response.status_code == HTTPStatus.OK:
            # A copy, as above: what is only of this request is still to come.
            kept[:] = [_Kept(response.get_etag()[0] or "", Headers(response.headers))]
        return _told(response)

    return answer


def _told(response: Response) -> Response:
    """The answer, or that the caller has it."""
    # If-Match is for changes: what is only read is answered whatever it says.
    if "HTTP_IF_NONE_MATCH" in request.environ:
        response.make_conditional({name: value for name, value in request.environ.items() if name != "HTTP_IF_MATCH"})
    return response


def _asked() -> bytes:
    """What is asked for, and in which form. Short: strangers write these texts, and thousands of them are held."""
    takes = (request.headers.get(name, "") for name in ("Accept", "Accept-Language"))
    return hashlib.sha256("\n".join((request.full_path, *takes)).encode(errors="surrogatepass")).digest()


@functools.lru_cache(ANSWERS_KEPT)
def _known(_asked: bytes, _made_of: Hashable) -> list[_Kept]:
    """Where the headers of an answer are put down once it was made."""
    return []

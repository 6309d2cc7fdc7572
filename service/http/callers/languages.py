"""In which language an answer is written, as far as it has words: problems, notices, papers.

`?lang` says it; else what the caller reads best (`Accept-Language`); else the shop's own. Codes are never translated.
"""

from __future__ import annotations

from flask import Response, g, has_request_context, request

from service.tongues.tags import BRITISH, TAGS
from service.tongues.tongues import Tongue, tongue
from service.use_cases.context import Caller

VARIES_BY = "Accept-Language"


def note_shop(caller: Caller) -> None:
    """Keep in which language the shop of whoever asks speaks."""
    g.spoken = caller.shop.language


def language(spoken: str | None = None) -> str:
    """That of this answer, by its tag, at a shop that speaks so; else at that of whoever asks."""
    at_shop = (g.get("spoken") or "") if spoken is None else spoken
    return language_asked() or _read_best(at_shop) or at_shop or BRITISH


def language_asked() -> str | None:
    """The one that the query asks for by name."""
    asked = request.args.get("lang")
    return asked if asked in TAGS else None


def speech() -> Tongue:
    """The language of this answer, that of the sources outside of one.

    From here on the answer has words in it, and says in which language they are.
    """
    if not has_request_context():
        return tongue(BRITISH)
    g.said_in = language()
    return tongue(g.said_in)


def said_in() -> str | None:
    """The language of this answer's words; none where it has none."""
    tag: str | None = g.get("said_in")
    return tag


def tell_language(response: Response) -> Response:
    """Say in which language the answer is written, and that it is another for another reader.

    An answer kept from before says it by itself, and is the same for every reader.
    """
    if (tag := said_in()) and "Answer-Repeated" not in response.headers:
        response.headers["Content-Language"] = tag
        response.vary.add(VARIES_BY)
    return response


def _read_best(spoken: str) -> str | None:
    """The language that the caller reads best, of another country's as the shop speaks it (RFC 4647, 3.4).

    None where there is none of theirs; whoever takes any language (`*`) has not chosen one.
    """
    for tag, quality in request.accept_languages:
        exact = [each for each in TAGS if each.lower() == tag.lower()]
        alike = [each for each in (spoken, *TAGS) if each.partition("-")[0] == tag.partition("-")[0].lower()]
        if quality > 0 and (exact or alike):
            return [*exact, *alike][0]
    return None

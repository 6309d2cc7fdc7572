"""What a problem's `type` leads to: a small page, or plain text, with the words of the problem; and all in a table."""

from __future__ import annotations

import re
from html import escape

from flask import Flask, Response, request

from service.http.refusals.words import WORDS
from service.tailoring.refusals import Refusal

# Rendered as it stands: no script, no picture, nothing from elsewhere.
PAGE = """\
<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
</head>
<body>
<h1>{title}</h1>
<p>Status {status}, code <code>{code}</code>.</p>
<p>{detail}</p>
</body>
</html>
"""
TEXT = "{title}\nStatus {status}, code {code}.\n{detail}\n"
KEPT_FOR = "public, max-age=86400"
HEAD = """\
# Codes of problems

Every refusal is a problem document (RFC 9457). `code` names the rule and stays; `type` is `/problems/` and the
code with hyphens, an address that answers with these words. The set is open: more codes may come, so a caller that
meets one it does not know goes by the status. Words in brackets are figures, in `facts` of the entry in `errors`.
Written by `write-contract`.

| code | status | title | what it says |
|---|---|---|---|
"""


def serve_problems(app: Flask) -> None:
    """Give the application the pages of its problems."""
    app.add_url_rule("/problems/<name>", "problem", problem_page)


def problem_page(name: str) -> Response:
    """The words of one problem, by Accept as a page or as plain text. Raises Refusal `not_found`."""
    code = name.replace("-", "_")
    if code not in WORDS or name != name_of(code):
        raise Refusal("not_found")
    words = {"title": WORDS[code].title, "status": str(WORDS[code].status), "code": code, "detail": _general(code)}
    if request.accept_mimetypes.best_match(["text/plain", "text/html"]) == "text/html":
        shown = PAGE.format(**{part: escape(text) for part, text in words.items()})
        response = Response(shown, content_type="text/html; charset=utf-8")
    else:
        response = Response(TEXT.format(**words), content_type="text/plain; charset=utf-8")
    response.headers["Cache-Control"] = KEPT_FOR
    response.vary.add("Accept")
    response.add_etag()
    response.make_conditional(request)
    return response


def name_of(code: str) -> str:
    """A code as it is written in an address."""
    return code.replace("_", "-")


def problems_table() -> str:
    """Every code with its status and its words."""
    rows = (
        f"| `{code}` | {words.status} | {words.title} | {_general(code)} |\n" for code, words in sorted(WORDS.items())
    )
    return HEAD + "".join(rows)


def _general(code: str) -> str:
    """What a problem says, whatever its figures."""
    detail = WORDS[code].detail
    if detail == "{words}":
        return "Each case says what is wrong."
    return re.sub(r"{(\w+)[^}]*}", r"[\1]", detail)

"""The page "Integrate in five steps": whole programs to copy for a till, a web shop and a workroom's board.

The programs are files that the tests run, and the page shows these very files: what they do is what their comments
count, from one to five.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from html import escape
from pathlib import Path

from flask import Flask, Response

from service.http.contract.docs import cacheable, tagged

FOLDER = Path(__file__).resolve().parents[3] / "openapi" / "steps"
LANGUAGES = {"py": "Python", "mjs": "JavaScript"}
ALLOWS = "default-src 'none'; style-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
_STEP = re.compile(r"^ *(?:#|//) [1-5]\. (.*)$", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Integration:
    """Who is to be joined to the service: a title, the command that gives its key, and what else to know."""

    name: str
    title: str
    key: str
    words: str


INTEGRATIONS = (
    Integration(
        "till",
        "A till",
        "fitting-service add-key SHOP till --scope order",
        "It sells a hem: quoted, ordered, charged, printed and followed. The lines of its basket are the order's "
        "charges: it works out no price of its own. A sale that is sent again is placed once.",
    ),
    Integration(
        "web_shop",
        "A web shop",
        "fitting-service add-key SHOP page --scope advise --origin https://shop.example",
        "From its page with such a web key, which may be read by everybody, or from its server with a key of the same "
        "scope without an origin. Sizes are named by the chart's own article numbers. What is not on the rack is left "
        'out with stock: {"jackets": [{"label": "40R"}]}.',
    ),
    Integration(
        "workroom_board",
        "A workroom's board",
        "fitting-service add-key SHOP board --scope workroom",
        "It hangs at the benches: how many orders are where, what is to be sewn first, and a move along. It is drawn "
        "again only where something has happened.",
    ),
)
STYLE = """\
body { max-width: 62rem; margin: 2rem auto; padding: 0 1rem; font: 1rem/1.5 system-ui, sans-serif; color: #222; }
pre { overflow-x: auto; padding: 1rem; background: #f4f4f2; font-size: .85rem; line-height: 1.4; }
code { font-family: ui-monospace, monospace; }
summary { cursor: pointer; font-weight: 600; }
"""
PAGE = """\
<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Integrate in five steps</title>
<link rel="icon" href="data:,">
<link rel="stylesheet" href="steps.css">
</head>
<body>
<h1>Integrate in five steps</h1>
<p>Each program is whole and runs as it is, with nothing to install: Python's standard library, or fetch of Node.js 18
and of browsers. <code>BASE_URL</code> is the address of this service, <code>KEY</code> the key that the operator's
command gives. All that can be asked is in <a href="../docs">the contract</a>.</p>
{parts}</body>
</html>
"""
PART = """\
<h2 id="{name}">{title}</h2>
<p>{words}</p>
<p>Its key: <code>{key}</code></p>
<ol>
{steps}</ol>
{programs}"""
PROGRAM = """\
<details{opened}>
<summary>{language}: <a href="steps/{file}">{file}</a></summary>
<pre><code>{text}</code></pre>
</details>
"""


def serve_steps(app: Flask) -> None:
    """Give the application the page, its style and the programs."""
    page = cache(lambda: tagged(steps_page().encode()))
    files = ",".join(f'"{each.name}.{ending}"' for each in INTEGRATIONS for ending in LANGUAGES)
    app.add_url_rule("/docs/steps", "steps", lambda: _page(page()))
    app.add_url_rule("/docs/steps.css", "steps_style", lambda: cacheable(*tagged(STYLE.encode()), "text/css"))
    app.add_url_rule(
        f"/docs/steps/<any({files}):name>",
        "steps_program",
        lambda name: cacheable(*tagged((FOLDER / name).read_bytes()), "text/plain; charset=utf-8"),
    )


def steps_page() -> str:
    """The page, with the text of every program."""
    return PAGE.format(parts="".join(map(_part, INTEGRATIONS)))


def steps_of(program: str) -> list[str]:
    """What a program does, step by step, as its comments say."""
    return _STEP.findall(program)


def _page(made: tuple[bytes, str]) -> Response:
    response = cacheable(*made, "text/html; charset=utf-8")
    response.headers["Content-Security-Policy"] = ALLOWS
    return response


def _part(each: Integration) -> str:
    texts = {f"{each.name}.{ending}": (FOLDER / f"{each.name}.{ending}").read_text("utf-8") for ending in LANGUAGES}
    first = next(iter(texts.values()))
    programs = (
        PROGRAM.format(
            opened=" open" if text == first else "",
            language=LANGUAGES[file.rpartition(".")[2]],
            file=file,
            text=escape(text),
        )
        for file, text in texts.items()
    )
    steps = "".join(f"<li>{escape(step)}</li>\n" for step in steps_of(first))
    said = {part: escape(getattr(each, part)) for part in ("name", "title", "key", "words")}
    return PART.format(**said, steps=steps, programs="".join(programs))

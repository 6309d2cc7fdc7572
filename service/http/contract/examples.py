"""Examples of the contract: what was asked and answered in a made-up day, written down in `examples.json`.

The tests play the day and hold the file to it. A picture, a PDF, or bytes for a printer, is a file in `papers`, which a
running service gives at /docs/examples.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import Any

import orjson

# What is drawn or printed, and how the names of its examples end.
DRAWN = {"application/pdf": "pdf", "application/octet-stream": "receipt", "image/svg+xml": "svg"}
PRINTED_AT = "/docs/examples"
_PRINTED = files(__package__) / "papers"
METHODS = ("get", "put", "post", "delete", "patch")


def give_examples(document: dict[str, Any]) -> None:
    """Give every request, answer and refusal of the document the example that was kept of it.

    A body that an operation has an example of keeps it.
    """
    kept = _kept()
    for item in document["paths"].values():
        for operation in (item[method] for method in METHODS if method in item):
            mine = kept.get(operation["operationId"], {})
            _give_request(operation, mine)
            for status, response in operation["responses"].items():
                refused = mine.get("refusals", {}).get(status)
                views = mine.get("answers", {}).get(status, {})
                for media, content in response.get("content", {}).items():
                    found = {"": refused} if refused else views.get(media, {})
                    (_give_printed if media in DRAWN else _give)(content, found)
    for kind, item in document.get("webhooks", {}).items():
        for content in item["post"]["requestBody"]["content"].values():
            event = kept.get("webhooks", {}).get(kind)
            _give(content, {"": event} if event else {})


def _give_request(operation: dict[str, Any], mine: dict[str, Any]) -> None:
    content = operation.get("requestBody", {}).get("content", {}).get("application/json", {})
    if "request" in mine and "example" not in content:
        content["example"] = mine["request"]


def _give(content: dict[str, Any], views: dict[str, Any]) -> None:
    """One example of the whole as such; several, and one of a part, by their names."""
    if len(views) == 1 and not views.keys() - {"", "whole"}:
        (content["example"],) = views.values()
    elif views:
        content["examples"] = {view: {"value": value} for view, value in views.items()}


def _give_printed(content: dict[str, Any], views: dict[str, Any]) -> None:
    """A drawing whole; of bytes the beginning, each as one letter; and where the file is."""
    if views:
        content["examples"] = {view: _printed_example(name) for view, name in views.items()}


def _printed_example(name: str) -> dict[str, str]:
    whole = printed(name)
    where = f"The file itself: [{name}]({PRINTED_AT}/{name})."
    if name.endswith(".svg"):
        return {"summary": "As it is drawn", "description": where, "value": whole.decode()}
    begins = whole.partition(b"\n")[0].decode("latin-1")
    return {"summary": f"How its {len(whole)} bytes begin", "description": where, "value": begins}


def printed_examples() -> dict[str, str]:
    """The examples that are files, by name, with their media types."""
    media = {ending: kind for kind, ending in DRAWN.items()}
    return {each.name: media[each.name.rpartition(".")[2]] for each in _PRINTED.iterdir()}


def printed(name: str) -> bytes:
    """One of them as it is served."""
    return _PRINTED.joinpath(name).read_bytes()


@cache
def _kept() -> dict[str, Any]:
    """The examples by operation."""
    found: dict[str, Any] = orjson.loads(files(__package__).joinpath("examples.json").read_bytes())
    return found

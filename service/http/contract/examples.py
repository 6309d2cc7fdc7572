"""Examples of the contract: what was asked and answered in a made-up day, written down in `examples.json`.

The tests play the day and hold the file to it. A picture, or bytes for a printer, has no example.
"""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import Any

import orjson

DRAWN = ("application/pdf", "application/octet-stream", "image/svg+xml")
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
                    _give(content, {"": refused} if refused else views.get(media, {}))
    for kind, item in document.get("webhooks", {}).items():
        for content in item["post"]["requestBody"]["content"].values():
            event = kept.get("webhooks", {}).get(kind)
            _give(content, {"": event} if event else {})


def _give_request(operation: dict[str, Any], mine: dict[str, Any]) -> None:
    content = operation.get("requestBody", {}).get("content", {}).get("application/json", {})
    if "request" in mine and "example" not in content:
        content["example"] = mine["request"]


def _give(content: dict[str, Any], views: dict[str, Any]) -> None:
    """One example as such, several by their names."""
    if len(views) == 1:
        (content["example"],) = views.values()
    elif views:
        content["examples"] = {view: {"value": value} for view, value in views.items()}


@cache
def _kept() -> dict[str, Any]:
    """The examples by operation."""
    found: dict[str, Any] = orjson.loads(files(__package__).joinpath("examples.json").read_bytes())
    return found

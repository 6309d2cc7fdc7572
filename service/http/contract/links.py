"""Links of the contract: which operation an answer leads to, and with what of it (`links.toml`)."""

from __future__ import annotations

import tomllib
from importlib.resources import files
from typing import Any

from service.http.contract.examples import METHODS


def give_links(document: dict[str, Any]) -> None:
    """Give every good answer of an operation the links that it has."""
    links = tomllib.loads(files(__package__).joinpath("links.toml").read_text("utf-8"))
    for item in document["paths"].values():
        for operation in (item[method] for method in METHODS if method in item):
            following = links.get(operation["operationId"], {})
            for status, response in operation["responses"].items():
                if following and status.startswith("2"):
                    response["links"] = {name: _link(name, **parts) for name, parts in following.items()}


def _link(operation: str, words: str, **parameters: str) -> dict[str, Any]:
    """A link to an operation, its parameters out of the answer's body."""
    found = {name: f"$response.body#/{at}" for name, at in parameters.items()}
    return {"operationId": operation, "description": words} | ({"parameters": found} if found else {})

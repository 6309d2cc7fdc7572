"""The contract as its pages show it: one block for all refusals, no header that every answer has, no links.

Programs read the contract itself; whoever reads a page would scroll past fifteen blocks that say the same.
"""

from __future__ import annotations

from typing import Any

from service.http.callers.rate_limits import SENT
from service.http.contract.examples import METHODS
from service.http.problems import MEDIA_TYPE

REFUSED = 400


def reading_form(document: dict[str, Any]) -> dict[str, Any]:
    """The same document for a page to show."""
    paths = {
        path: {name: _operation(part) if name in METHODS else part for name, part in item.items()}
        for path, item in document.get("paths", {}).items()
    }
    return {**document, "paths": paths}


def _operation(operation: dict[str, Any]) -> dict[str, Any]:
    answers: dict[str, Any] = {}
    refusals: dict[str, Any] = {}
    for status, response in operation["responses"].items():
        (refusals if int(status) >= REFUSED else answers)[status] = response
    shown = {status: _without_what_all_have(response) for status, response in answers.items()}
    return {**operation, "responses": {**shown, **({"default": _all_of(refusals)} if refusals else {})}}


def _without_what_all_have(response: dict[str, Any]) -> dict[str, Any]:
    headers = {name: said for name, said in response.get("headers", {}).items() if name not in SENT}
    return {name: part for name, part in response.items() if name not in ("headers", "links")} | (
        {"headers": headers} if headers else {}
    )


def _all_of(refusals: dict[str, Any]) -> dict[str, Any]:
    """One response that says every status, with the examples by their codes."""
    words = "; ".join(f"**{status}** {response['description']}" for status, response in sorted(refusals.items()))
    # The highest statuses are of this operation alone, the lowest of every one.
    content = [response["content"][MEDIA_TYPE] for _, response in sorted(refusals.items(), reverse=True)]
    found = [said["example"] for said in content if "example" in said]
    examples = {each["code"]: {"summary": f"{each['status']} {each['code']}", "value": each} for each in found}
    shown = {"schema": content[0]["schema"]} | ({"examples": examples} if examples else {})
    return {"description": f"Refused, with a problem document. {words}.", "content": {MEDIA_TYPE: shown}}

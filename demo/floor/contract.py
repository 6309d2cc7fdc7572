"""The operations of the contract, as the service itself tells them: what a tablet may ask, and what takes a `by`."""

# ruff: noqa: INP001  a module of the demo, beside its script

from __future__ import annotations

import contextlib
import re
import threading
from dataclasses import dataclass
from typing import Any

import urllib3


@dataclass(frozen=True)
class Operation:
    """An operation of the contract: its address, where it takes a `by`, and whether the tailor is named in it."""

    path: re.Pattern[str]
    by_in_body: bool
    by_in_query: bool
    of_tailor: bool


class Contract:
    """The operations of the service's own contract, read once: when somebody comes to the door, or else asks."""

    def __init__(self, base_url: str, pool: urllib3.PoolManager) -> None:
        self._base_url, self._pool = base_url, pool
        self._known: dict[str, list[Operation]] = {}
        self._reading = threading.Lock()

    def prepare(self) -> None:
        """Begin to read it, so that whoever signs in waits less; with the service away whoever asks reads it."""
        if not self._known and not self._reading.locked():
            threading.Thread(target=self._read_quietly, daemon=True).start()

    def _read_quietly(self) -> None:
        with contextlib.suppress(urllib3.exceptions.HTTPError, ValueError, KeyError):
            self.find("GET", "")

    def find(self, method: str, path: str) -> Operation | None:
        """What is asked for, if the contract has it."""
        with self._reading:
            if not self._known:
                answer = self._pool.request("GET", f"{self._base_url}/openapi.json", timeout=30.0)
                self._known = _operations(answer.json())
        return next((each for each in self._known.get(method, []) if each.path.fullmatch(path)), None)


def _operations(contract: dict[str, Any]) -> dict[str, list[Operation]]:
    known: dict[str, list[Operation]] = {}
    # A plain address comes before one with a part that varies: /orders/waiting is no order.
    for path, methods in sorted(contract["paths"].items(), key=lambda each: ("{" in each[0], each[0])):
        pattern = re.compile("[^/]+".join(re.escape(part) for part in re.split(r"\{[^}]*\}", path)))
        for method, operation in methods.items():
            if isinstance(operation, dict) and "responses" in operation and path.startswith("/v1/"):
                schema = (
                    operation.get("requestBody", {}).get("content", {}).get("application/json", {}).get("schema", {})
                )
                found = Operation(
                    pattern,
                    "by" in _properties(contract, schema),
                    any(each.get("in") == "query" and each["name"] == "by" for each in operation.get("parameters", [])),
                    path == "/v1/tailors/{tailor}/work",
                )
                known.setdefault(method.upper(), []).append(found)
    return known


def _properties(contract: dict[str, Any], schema: dict[str, Any]) -> set[str]:
    if "$ref" in schema:
        return _properties(contract, contract["components"]["schemas"][schema["$ref"].rpartition("/")[2]])
    inner = [each for kind in ("allOf", "oneOf", "anyOf") for each in schema.get(kind, [])]
    return set(schema.get("properties", {})).union(*(_properties(contract, each) for each in inner))

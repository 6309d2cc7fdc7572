"""A request of a bench: what is sent, and what is dear about it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import orjson

Body = dict[str, Any]


@dataclass(frozen=True)
class Asked:
    """A request: its operation, what is dear about it, and what is sent."""

    operation: str
    what: str
    method: str
    path: str
    body: bytes | None = None
    headers: dict[str, str] = field(default_factory=dict)


Ask = Callable[[Asked], Any]


def posted(path: str, what: str, body: Body, method: str = "POST", accept: str = "*/*") -> Asked:
    return Asked(f"{method} {path}", what, method, path, in_bytes(body), headers={"Accept": accept})


def in_bytes(body: Body) -> bytes:
    return orjson.dumps(body)


def must(ask: Ask, asked: Asked, status: int) -> Any:
    answer = ask(asked)
    if answer.status_code != status:
        raise SystemExit(f"{asked.operation}: {answer.status_code} {answer.data[:2000]}")
    return answer

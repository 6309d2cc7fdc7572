"""How a refusal is put into words."""

from __future__ import annotations

from typing import NamedTuple


class Words(NamedTuple):
    """How a refusal is said: `detail` is filled from its facts."""

    status: int
    title: str
    detail: str

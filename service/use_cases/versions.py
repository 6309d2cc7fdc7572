"""Changing only what is still as the caller read it."""

from __future__ import annotations

from service.tailoring.refusals import Refusal


def check_version(current: int, given: int) -> None:
    """Raises Refusal `version_stale` where it changed meanwhile."""
    if given != current:
        raise Refusal("version_stale", current=current)

"""A word with the worker that an answer is made in: that it is not stuck, and whether the server is about to end.

The worker (`worker.py`) puts itself into the environment of each request; other servers put nothing there.
"""

from __future__ import annotations

from typing import Protocol, cast

from flask import request

WORKER = "fitting.worker"


class Worker(Protocol):
    """What a worker of ours has."""

    is_ending: bool

    def notify(self) -> None:
        """Tell the server that the worker is not stuck."""


def beat() -> None:
    """Say that this answer takes its time, and is being made: a silent worker is replaced."""
    worker = _worker()
    if worker is not None:
        worker.notify()


def is_stopping() -> bool:
    """Whether the server wants to end, and waits for this answer for some seconds more."""
    worker = _worker()
    return worker is not None and worker.is_ending


def _worker() -> Worker | None:
    return cast("Worker | None", request.environ.get(WORKER))

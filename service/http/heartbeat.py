"""A word with the worker that an answer is made in: it is not stuck, the server is about to end, it may wait a while.

The worker (`worker.py`) puts itself into the environment of each request; other servers put nothing there.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol, cast

from flask import request

WORKER = "fitting.worker"


class Worker(Protocol):
    """What a worker of ours has."""

    is_ending: bool

    def keep_back(self, connection: object, seconds: float, has_another: Callable[[], bool]) -> None:
        """Send the answer later, or make it anew once there is another."""

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


def may_wait(seconds: float, has_another: Callable[[], bool]) -> None:
    """Let this answer wait for so long, and have the request answered anew once there is another answer to it.

    The worker answers others meanwhile. It goes out at once where too many wait, the server ends, or it is not ours.
    """
    worker = _worker()
    if worker is not None:
        worker.keep_back(request.environ.get("gunicorn.socket"), seconds, has_another)


def _worker() -> Worker | None:
    return cast("Worker | None", request.environ.get(WORKER))

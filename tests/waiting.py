"""Waiting for what happens, in tests of what runs beside them.

    until(lambda: len(placed) >= 5)                        # however slow the machine is
    until(lambda: listens(port), process)                  # and not longer than the process lives

No test is about how long something takes here: the bound only ends a test that would otherwise wait for ever.
"""

import subprocess
import time
from collections.abc import Callable
from typing import Any

# Far beyond what the slowest machine needs for any one thing that a test waits for.
PATIENCE_SECONDS = 300


class WaitedInVain(AssertionError):
    """What a test waits for did not happen."""


def until(
    happened: Callable[[], object],
    *processes: subprocess.Popen[Any],
    every_seconds: float = 0.02,
    patience_seconds: float = PATIENCE_SECONDS,
) -> None:
    """Wait until something has happened. Raises WaitedInVain where one of the processes ends before it does."""
    ends_at = time.monotonic() + patience_seconds
    while not happened():
        for process in processes:
            if process.poll() is not None:
                raise WaitedInVain(f"{process.args!r} ended before it, with {process.returncode}")
        if time.monotonic() > ends_at:
            raise WaitedInVain(f"it did not happen in {patience_seconds} seconds")
        time.sleep(every_seconds)

"""How many batches are answered at once: a share of the server's workers, so that the others stay free for tills.

A slot is a lock on a file in the folder that the workers of one server share. The system gives it back with the
process that held it, however that ended.
"""

from __future__ import annotations

import fcntl
import logging
import os
import threading
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any

from service.tailoring.refusals import Refusal

log = logging.getLogger(__name__)


@dataclass
class BatchSlot:
    """A slot that is held until it is released; once is enough."""

    give_back: Callable[[], None] | None

    def held_through(self, parts: Iterable[Any]) -> Iterator[Any]:
        """The parts of an answer; after the last, or where it broke off, the slot is free."""
        try:
            yield from parts
        finally:
            self.release()

    def release(self) -> None:
        """Let the next batch in."""
        give_back, self.give_back = self.give_back, None
        if give_back is not None:
            give_back()


@dataclass
class BatchSlots:
    """So many slots: files of a folder that processes share, or where there is none, of this process alone."""

    folder: Path | None
    most: int
    _own: threading.BoundedSemaphore = field(init=False)

    def __post_init__(self) -> None:
        self._own = threading.BoundedSemaphore(self.most)

    def take(self) -> BatchSlot:
        """A slot. Raises Refusal `batches_busy` where all are held."""
        try:
            free = self._own_free() if self.folder is None else self._shared_free(self.folder)
        except OSError as error:
            # Where no file can be made a shop still asks: the slots guard its workers and nothing else.
            log.warning("batches are not counted", exc_info=error)
            return BatchSlot(None)
        if free is None:
            raise Refusal("batches_busy", most=self.most)
        return BatchSlot(free)

    def _own_free(self) -> Callable[[], None] | None:
        return self._own.release if self._own.acquire(blocking=False) else None

    def _shared_free(self, folder: Path) -> Callable[[], None] | None:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        for number in range(self.most):
            file = os.open(folder / f"batch-{number}", os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
            try:
                fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                os.close(file)
            else:
                return partial(os.close, file)
        return None


def slots_of(workers: int) -> int:
    """Half of the workers, and one at least."""
    return max(1, workers // 2)

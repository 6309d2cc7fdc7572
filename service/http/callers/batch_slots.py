"""How many batches are answered at once: a share of the server's workers, so that the others stay free for tills.

A slot is a lock on a file in the folder that the workers of one server share, and the file says whose it is: where
there are several, no key has all of them. The system gives a slot back with the process that held it, however that
ended.
"""

from __future__ import annotations

import fcntl
import functools
import logging
import os
import threading
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path
from typing import Any

from flask import Response, current_app

from service.tailoring.refusals import Refusal
from service.use_cases.context import Caller

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
    _turn: threading.Lock = field(default_factory=threading.Lock, init=False)
    _own: list[str] = field(default_factory=list, init=False)

    @property
    def most_a_key(self) -> int:
        """One stays for others, where there are others."""
        return max(1, self.most - 1)

    def take(self, whose: str) -> BatchSlot:
        """A slot for a key. Raises Refusal `batches_busy` where all are held, or the key has its share."""
        try:
            with self._turn:
                free = self._own_free(whose) if self.folder is None else self._shared_free(self.folder, whose)
        except OSError as error:
            # Where no file can be made a shop still asks: the slots guard its workers and nothing else.
            log.warning("batches are not counted", exc_info=error)
            return BatchSlot(None)
        if free is None:
            raise Refusal("batches_busy", most=self.most_a_key)
        return BatchSlot(free)

    def _own_free(self, whose: str) -> Callable[[], None] | None:
        if len(self._own) == self.most or self._own.count(whose) == self.most_a_key:
            return None
        self._own.append(whose)
        return functools.partial(self._own.remove, whose)

    def _shared_free(self, folder: Path, whose: str) -> Callable[[], None] | None:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        name = sha256(whose.encode()).digest()
        # One at a time: two that looked at the same moment would both see the last slot of the key's share.
        door = _opened(folder / "batches")
        try:
            fcntl.flock(door, fcntl.LOCK_EX)
            return self._taken([folder / f"batch-{number}" for number in range(self.most)], name)
        finally:
            os.close(door)

    def _taken(self, slots: list[Path], name: bytes) -> Callable[[], None] | None:
        held, free = 0, None
        for path in slots:
            file = _opened(path)
            if not _is_free(file):
                held += os.pread(file, len(name), 0) == name
            elif free is None:
                free = file
                continue
            os.close(file)
        if free is not None and held < self.most_a_key:
            os.pwrite(free, name, 0)
            return functools.partial(os.close, free)
        if free is not None:
            os.close(free)
        return None


def _opened(path: Path) -> int:
    return os.open(path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)


def _is_free(file: int) -> bool:
    """Whether nobody else holds the file; it is held from then on."""
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


def slots_of(workers: int) -> int:
    """Half of the workers, and one at least."""
    return max(1, workers // 2)


def in_a_slot(run: Callable[..., Response]) -> Callable[..., Response]:
    """Hold one of the few slots for batches from before the body is read until the answer has left."""

    @functools.wraps(run)
    def asked(caller: Caller, *given: Any, **path: Any) -> Response:  # noqa: ANN401  a view's own
        slots: BatchSlots = current_app.extensions["batch_slots"]
        slot = slots.take(caller.key_id)
        try:
            response: Response = run(caller, *given, **path)
        except BaseException:
            slot.release()
            raise
        if not response.is_streamed:
            slot.release()
        else:
            response.response = slot.held_through(response.response)
            # Where nobody fetches the first of it, the answer is closed and its end never comes.
            response.call_on_close(slot.release)
        return response

    return asked

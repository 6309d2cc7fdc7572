"""Counts of requests that the workers of one server share, in a table that never grows.

The library's own memory counts for one process and keeps every address until its minute is over. Here a count is a row
of a file in memory that every worker maps. Rows lie in buckets of eight by a keyed hash of whose count it is; where a
bucket is full, a count of a minute that is over makes room, or else the least: whoever asked often is remembered,
however many addresses a stranger has.
"""

from __future__ import annotations

import fcntl
import hashlib
import logging
import mmap
import os
import secrets
import struct
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import ClassVar, NoReturn

from limits.storage import SlidingWindowCounterSupport, Storage
from typing_extensions import override

log = logging.getLogger(__name__)

# 1.5 MB: 65,536 counts, of which a chain of a thousand shops has a few thousand at a time.
BUCKETS = 8_192
IN_A_BUCKET = 8
_SALT_BYTES = 16
# Whose count it is, the number of its window, and the counts of the window before and of this one.
_ROW = struct.Struct("<8sQII")
_BUCKET_BYTES = IN_A_BUCKET * _ROW.size


class CountTable(Storage, SlidingWindowCounterSupport):
    """Sliding windows of counts, as the limits library asks for them; no other kind of limit."""

    STORAGE_SCHEME: ClassVar[list[str] | None] = ["table"]  # type: ignore[misc]  # its base has no ClassVar

    def __init__(
        self, folder: Path | None = None, now: Callable[[], float] = time.time, buckets: int = BUCKETS
    ) -> None:
        super().__init__()
        self._now = now
        self._buckets = buckets
        self.size_bytes = _SALT_BYTES + buckets * _BUCKET_BYTES
        self._turn = threading.Lock()
        self._file = None if folder is None else _opened(folder, self.size_bytes)
        self._rows = mmap.mmap(-1 if self._file is None else self._file, self.size_bytes)
        with self._alone():
            if not any(self._rows[:_SALT_BYTES]):
                self._rows[:_SALT_BYTES] = secrets.token_bytes(_SALT_BYTES)
            self._salt = self._rows[:_SALT_BYTES]

    @property
    @override
    def base_exceptions(self) -> type[Exception]:
        return OSError

    @override
    def acquire_sliding_window_entry(self, key: str, limit: int, expiry: int, amount: int = 1) -> bool:
        tag, bucket = self._place(key)
        now = self._now()
        with self._alone():
            at, before, this = self._found(tag, bucket, int(now // expiry))
            weighted = before * (1 - now / expiry % 1) + this
            if int(weighted) + amount > limit:
                return False
            _ROW.pack_into(self._rows, at, tag, int(now // expiry), before, this + amount)
            return True

    @override
    def get_sliding_window(self, key: str, expiry: int) -> tuple[int, float, int, float]:
        tag, bucket = self._place(key)
        now = self._now()
        with self._alone():
            _, before, this = self._found(tag, bucket, int(now // expiry))
        left = (1 - now / expiry % 1) * expiry
        return before, left if before else 0.0, this, left + expiry

    @override
    def clear_sliding_window(self, key: str, expiry: int) -> None:
        tag, bucket = self._place(key)
        with self._alone():
            at, before, this = self._found(tag, bucket, int(self._now() // expiry))
            if before or this:
                self._rows[at : at + _ROW.size] = bytes(_ROW.size)

    def _place(self, key: str) -> tuple[bytes, int]:
        """Whose row it is, and where its bucket begins: without a secret a bucket could be filled on purpose."""
        digest = hashlib.blake2b(key.encode(), digest_size=16, key=self._salt).digest()
        return digest[:8], _SALT_BYTES + int.from_bytes(digest[8:], "big") % self._buckets * _BUCKET_BYTES

    def _found(self, tag: bytes, bucket: int, window: int) -> tuple[int, int, int]:
        """The row's place, or that of the one to give way; its counts of the window before and of this one."""
        least = (window + 1, 0, 0)
        for at in range(bucket, bucket + _BUCKET_BYTES, _ROW.size):
            its_tag, its_window, before, this = _ROW.unpack_from(self._rows, at)
            if its_tag == tag:
                if its_window == window:
                    return at, before, this
                return at, this if its_window == window - 1 else 0, 0
            least = min(least, (max(its_window, window - 2), before + this, at))
        return least[2], 0, 0

    @contextmanager
    def _alone(self) -> Iterator[None]:
        """Neither another thread nor another worker counts meanwhile."""
        with self._turn:
            if self._file is None:
                yield
                return
            fcntl.flock(self._file, fcntl.LOCK_EX)
            try:
                yield
            finally:
                fcntl.flock(self._file, fcntl.LOCK_UN)

    @override
    def check(self) -> bool:
        return True

    @override
    def reset(self) -> None:
        with self._alone():
            self._rows[_SALT_BYTES:] = bytes(self.size_bytes - _SALT_BYTES)

    @override
    def incr(self, key: str, expiry: int, amount: int = 1) -> NoReturn:
        raise NotImplementedError(_SLIDING)

    @override
    def get(self, key: str) -> NoReturn:
        raise NotImplementedError(_SLIDING)

    @override
    def get_expiry(self, key: str) -> NoReturn:
        raise NotImplementedError(_SLIDING)

    @override
    def clear(self, key: str) -> NoReturn:
        raise NotImplementedError(_SLIDING)


_SLIDING = "only sliding windows are counted here"


def _opened(folder: Path, size_bytes: int) -> int | None:
    """The table's file; None where it cannot be had: then each worker counts for itself."""
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        file = os.open(folder / "requests", os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
        # Room that was promised and is not there would end the process when it writes.
        os.posix_fallocate(file, 0, size_bytes)
    except OSError as error:
        log.warning("requests are counted by each worker for itself", exc_info=error)
        return None
    return file

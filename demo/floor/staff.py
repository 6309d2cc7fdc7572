"""Who may sign in on a shared tablet, by a short code; and who is signed in. References only, codes as hashes.

A code of a few digits is guessed in an afternoon, so wrong ones cost time: after three in a row a reference waits,
twice as long with each more, and so does the address that tries many. Nobody is told which of the two was wrong.
"""

# ruff: noqa: INP001  a module of the demo, beside its script

from __future__ import annotations

import json
import re
import secrets
import threading
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from pathlib import Path

from werkzeug.security import check_password_hash, generate_password_hash

REFERENCE = re.compile(r"[a-z][a-z0-9-]{0,39}")
CODE = re.compile(r"[0-9]{4,8}")
BENCHES = ("trousers", "jackets", "finishing")
FREE_TRIES = 3
FIRST_WAIT_SECONDS = 30.0
LONGEST_WAIT_SECONDS = 3600.0
SESSIONS_MOST = 200


class WaitFirst(Exception):
    """Too many wrong codes: it may be tried again after `seconds`."""

    def __init__(self, seconds: float) -> None:
        super().__init__(seconds)
        self.seconds = seconds


@dataclass(frozen=True)
class Member:
    """One of the staff: a reference, the hash of their code, whether they may change prices, their benches."""

    who: str
    code_hash: str
    admin: bool = False
    benches: tuple[str, ...] = ()


@dataclass(frozen=True)
class Staff:
    """All who may sign in. `decoy` is checked for a reference that nobody has, which takes as long."""

    members: dict[str, Member]
    decoy: str = field(default_factory=lambda: generate_password_hash(secrets.token_hex()))

    @classmethod
    def of(cls, file: Path) -> Staff:
        """As a file has them."""
        rows = json.loads(file.read_text("utf-8"))
        return cls({who: Member(who, **row | {"benches": tuple(row["benches"])}) for who, row in rows.items()})


def add_to(file: Path, who: str, code: str, words: Iterable[str]) -> None:
    """Put somebody into the file, or give them another code. ValueError: what is wrong with it."""
    given = set(words)
    if not REFERENCE.fullmatch(who):
        raise ValueError(f"'{who}' is no reference: small letters, digits and hyphens, such as fitter-1")
    if not CODE.fullmatch(code):
        raise ValueError("a code has four to eight digits")
    if given - {"admin", *BENCHES}:
        raise ValueError(f"unknown: {', '.join(sorted(given - {'admin', *BENCHES}))}")
    rows = json.loads(file.read_text("utf-8")) if file.exists() else {}
    benches = [each for each in BENCHES if each in given]
    rows[who] = {"code_hash": generate_password_hash(code), "admin": "admin" in given, "benches": benches}
    file.touch(mode=0o600)
    file.write_text(json.dumps(rows, indent=1), "utf-8")


@dataclass
class _Tries:
    wrong: int = 0
    not_before: float = 0.0


class Door:
    """Signs in and locks. Everything is in memory: a restart locks every tablet."""

    def __init__(self, staff: Staff, lock_seconds: float, now: Callable[[], float] = time.monotonic) -> None:
        self._staff = staff
        self._lock_seconds = lock_seconds
        self._now = now
        self._tries: dict[str, _Tries] = {}
        self._open: dict[str, tuple[Member, float]] = {}
        self._held = threading.Lock()

    @property
    def names(self) -> list[str]:
        """Whom the sign-in screen shows."""
        return sorted(self._staff.members)

    def sign_in(self, who: str, code: str, address: str) -> tuple[str, Member] | None:
        """A new session's token and its member; None: reference or code is wrong. Raises WaitFirst."""
        member = self._staff.members.get(who)
        counted = [f"who {who}" if member else "who nobody", f"from {address}"]
        with self._held:
            until = max(self._tries.get(each, _Tries()).not_before for each in counted)
            if until > self._now():
                raise WaitFirst(until - self._now())
            # Counted before it is checked: tries that arrive together count each.
            for each, free in zip(counted, (FREE_TRIES, FREE_TRIES * 4), strict=True):
                self._count(each, free)
        # Of what is no code not every text has bytes to be hashed.
        right = check_password_hash(
            member.code_hash if member else self._staff.decoy, code if CODE.fullmatch(code) else ""
        )
        if not (right and member):
            return None
        with self._held:
            for each in counted:
                self._tries.pop(each, None)
            while len(self._open) >= SESSIONS_MOST:
                del self._open[min(self._open, key=lambda each: self._open[each][1])]
            token = secrets.token_urlsafe(32)
            self._open[token] = (member, self._now())
        return token, member

    def _count(self, what: str, free: int) -> None:
        tries = self._tries.setdefault(what, _Tries())
        tries.wrong += 1
        if tries.wrong >= free:
            wait = min(FIRST_WAIT_SECONDS * 2 ** min(tries.wrong - free, 16), LONGEST_WAIT_SECONDS)
            tries.not_before = self._now() + wait

    def who(self, token: str | None, *, touched: bool = False) -> Member | None:
        """Who is signed in; None where nobody is, or the tablet was not touched for too long."""
        with self._held:
            found = self._open.get(token or "")
            if found is None:
                return None
            member, at = found
            if self._now() - at > self._lock_seconds:
                del self._open[token or ""]
                return None
            if touched:
                self._open[token or ""] = (member, self._now())
            return member

    def lock(self, token: str | None) -> None:
        """End a session."""
        with self._held:
            self._open.pop(token or "", None)

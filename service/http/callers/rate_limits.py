"""How often who may ask. A library counts; this says whose count it is, how much it may be, and how that is told.

Counts stand in each process, or in a store that all processes of all machines share. Where that store does not
answer, each process counts for itself: a shop does not stop selling because a counter is away.
"""

from __future__ import annotations

import logging
import time
from dataclasses import dataclass, field

from flask import Response, current_app, g, request
from limits import RateLimitItem, RateLimitItemPerMinute
from limits.errors import StorageError
from limits.storage import storage_from_string
from limits.strategies import SlidingWindowCounterRateLimiter

from service.tailoring.refusals import Refusal
from service.use_cases.context import Caller

log = logging.getLogger(__name__)

MEMORY = "memory://"
# A shared store that is slower than this is no help to a request of a few milliseconds.
_STORE_WAIT_SECONDS = 0.2
_STORE_PAUSE_SECONDS = 5.0
SENT = ("RateLimit-Limit", "RateLimit-Remaining", "RateLimit-Reset")


@dataclass(frozen=True, slots=True)
class Rates:
    """How often in a minute: a key, a web key with all its visitors, and one address without a key or on a page."""

    key: int = 6_000
    web: int = 600
    address: int = 60


@dataclass(frozen=True, slots=True)
class Allowance:
    """What is left of a count: of so many a minute so many remain, until it is whole again in so many seconds."""

    most: int
    remaining: int
    reset_seconds: int


@dataclass
class RateLimits:
    """The counts of an application."""

    rates: Rates = Rates()
    store_url: str = MEMORY
    _away_until: float = field(default=0.0, init=False)

    def __post_init__(self) -> None:
        self._own = SlidingWindowCounterRateLimiter(storage_from_string(MEMORY))
        self._shared = self._own if self.store_url == MEMORY else _shared(self.store_url)

    def take(self, whose: str, per_minute: int) -> Allowance:
        """Count one of `per_minute`. Raises Refusal `too_often`, with the allowance noted for the answer."""
        limit = RateLimitItemPerMinute(per_minute)
        if self._shared is self._own or time.monotonic() < self._away_until:
            return self._taken(self._own, limit, whose)
        try:
            return self._taken(self._shared, limit, whose)
        except StorageError as error:
            self._away_until = time.monotonic() + _STORE_PAUSE_SECONDS
            log.warning("the store of rate limits does not answer, each process counts for itself", exc_info=error)
            return self._taken(self._own, limit, whose)

    def _taken(self, counter: SlidingWindowCounterRateLimiter, limit: RateLimitItem, whose: str) -> Allowance:
        within = counter.hit(limit, whose)
        stats = counter.get_window_stats(limit, whose)
        left = Allowance(limit.amount, stats.remaining, max(1, round(stats.reset_time - time.time())))
        g.allowance = left
        if not within:
            raise Refusal("too_often", most=left.most, seconds=left.reset_seconds)
        return left


def count_caller(caller: Caller) -> None:
    """Count a request of a key; on a page its visitors are counted apart as well. Raises Refusal `too_often`."""
    limits = _limits()
    if caller.is_page:
        limits.take(f"page:{caller.key_id}:{_address()}", limits.rates.address)
        limits.take(f"key:{caller.key_id}", caller.per_minute or limits.rates.web)
    else:
        limits.take(f"key:{caller.key_id}", caller.per_minute or limits.rates.key)


def count_address(purpose: str) -> None:
    """Count a request of somebody without a key. Raises Refusal `too_often`."""
    limits = _limits()
    limits.take(f"{purpose}:{_address()}", limits.rates.address)


def tell_allowance(response: Response) -> Response:
    """Say in the headers what is left, where anything was counted."""
    left: Allowance | None = g.get("allowance")
    if left is not None:
        told = (left.most, left.remaining, left.reset_seconds)
        response.headers.update({name: str(value) for name, value in zip(SENT, told, strict=True)})
        if response.status_code == 429:  # noqa: PLR2004
            response.headers["Retry-After"] = str(left.reset_seconds)
    return response


def _limits() -> RateLimits:
    found: RateLimits = current_app.extensions["rate_limits"]
    return found


def _address() -> str:
    return request.remote_addr or "unix"


def _shared(url: str) -> SlidingWindowCounterRateLimiter:
    storage = storage_from_string(
        url,
        wrap_exceptions=True,
        socket_timeout=_STORE_WAIT_SECONDS,
        socket_connect_timeout=_STORE_WAIT_SECONDS,
    )
    return SlidingWindowCounterRateLimiter(storage)

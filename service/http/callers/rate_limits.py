"""How often who may ask. A library counts; this says whose count it is, how much it may be, and how that is told.

Counts stand in a table that the workers of one server share, or in a store that all servers share. Where that store
does not answer, each server counts for itself: a shop does not stop selling because a counter is away.
"""

from __future__ import annotations

import logging
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache
from ipaddress import IPv4Address, ip_address, ip_network
from pathlib import Path

from flask import Response, current_app, g, request
from limits import RateLimitItem, RateLimitItemPerMinute
from limits.errors import StorageError
from limits.storage import storage_from_string
from limits.strategies import SlidingWindowCounterRateLimiter

from service.http.callers.count_table import CountTable
from service.tailoring.refusals import Refusal
from service.use_cases.context import Caller

log = logging.getLogger(__name__)

MEMORY = "memory://"
# A shared store that is slower than this is no help to a request of a few milliseconds.
_STORE_WAIT_SECONDS = 0.2
_STORE_PAUSE_SECONDS = 5.0
# Who is not known, or asks for what is not there; what of it is tried counts together.
STRANGER = "stranger"
# How many networks of /64 within a /48 may ask as often as an address may.
NETWORKS_AT_ONCE = 8
# A visitor has at most a tenth of a page's rate, though never less than a few requests.
VISITORS_LEAST, VISITOR_LEAST = 10, 4
# First requests are so small a part of the page's rate: of half of it, a hundred visitors a minute have theirs.
FIRST_SHARE = 200
# The older three, and the two of draft-ietf-httpapi-ratelimit-headers-11 (May 2026): one count, said both ways.
SENT = ("RateLimit-Limit", "RateLimit-Remaining", "RateLimit-Reset", "RateLimit", "RateLimit-Policy")


@dataclass(frozen=True, slots=True)
class Rates:
    """How often in a minute: a key, a web key with all its visitors, and one address without a key or on a page.

    An address is a network of /64 where it is of IPv6; all those of a /48 together may ask as often as eight.
    """

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
    folder: Path | None = None
    now: Callable[[], float] = time.time
    _away_until: float = field(default=0.0, init=False)

    def __post_init__(self) -> None:
        self._own = SlidingWindowCounterRateLimiter(CountTable(self.folder, self.now))
        self._shared = self._own if self.store_url == MEMORY else _shared(self.store_url)

    def take(self, whose: str, per_minute: int) -> Allowance:
        """Count one of `per_minute`. Raises Refusal `too_often`, with the allowance noted for the answer."""
        is_within, left = self.count(whose, per_minute)
        if not is_within:
            g.allowance = left
            raise Refusal("too_often", most=left.most, seconds=left.reset_seconds)
        return left

    def count(self, whose: str, per_minute: int) -> tuple[bool, Allowance]:
        """Count one of `per_minute` unless that is reached; whether it was counted, and what is left."""
        limit = RateLimitItemPerMinute(per_minute)
        if self._shared is self._own or time.monotonic() < self._away_until:
            return self._counted(self._own, limit, whose)
        try:
            return self._counted(self._shared, limit, whose)
        except StorageError as error:
            self._away_until = time.monotonic() + _STORE_PAUSE_SECONDS
            log.warning("the store of rate limits does not answer, each server counts for itself", exc_info=error)
            return self._counted(self._own, limit, whose)

    def _counted(
        self, counter: SlidingWindowCounterRateLimiter, limit: RateLimitItem, whose: str
    ) -> tuple[bool, Allowance]:
        is_within = counter.hit(limit, whose)
        stats = counter.get_window_stats(limit, whose)
        return is_within, Allowance(limit.amount, stats.remaining, max(1, round(stats.reset_time - time.time())))


def count_caller(caller: Caller) -> None:
    """Count a request of a key, on a page of each visitor too. Raises Refusal `too_often`."""
    limits = _limits()
    if caller.is_page:
        _count_visitor(limits, caller.key_id, caller.per_minute or limits.rates.web)
    else:
        g.allowance = limits.take(f"key:{caller.key_id}", caller.per_minute or limits.rates.key)


def _count_visitor(limits: RateLimits, key_id: str, most: int) -> None:
    """Count a visitor of a page, of whose rate nobody has more than a tenth.

    Half of the rate is kept for the first requests of each visitor in a minute: however often a few ask, somebody who
    comes to the page is served.
    """
    first = max(1, most // FIRST_SHARE)
    share = min(limits.rates.address, max(most // VISITORS_LEAST, first, VISITOR_LEAST))
    left = _count_network(limits, f"page:{key_id}", share)
    kept = most // 2
    if kept and left.most - left.remaining <= first and limits.count(f"first:{key_id}", kept)[0]:
        g.allowance = left
        return
    limits.take(f"key:{key_id}", most - kept)
    g.allowance = left


def count_address(purpose: str) -> None:
    """Count a request of somebody whom no key vouches for. Raises Refusal `too_often`."""
    limits = _limits()
    g.allowance = _count_network(limits, purpose, limits.rates.address)


def count_strays() -> None:
    """Count by address what no operation counts: no such address or method, questions of options, pages to read."""
    view = current_app.view_functions.get(request.endpoint or "")
    if request.routing_exception is not None or request.method == "OPTIONS":
        count_address(STRANGER)
    elif not hasattr(view, "scope"):
        count_address("reading")


def _count_network(limits: RateLimits, purpose: str, most: int) -> Allowance:
    """Count one of an address; of IPv6 that is whoever has a /64, and a /48 may have few of them at once."""
    network, around = _networks(request.remote_addr)
    left = limits.take(f"{purpose}:{network}", most)
    if around:
        limits.take(f"{purpose}:{around}", most * NETWORKS_AT_ONCE)
    return left


@lru_cache(maxsize=1024)
def _networks(given: str | None) -> tuple[str, str | None]:
    """Whose address it is, and of IPv6 the network around; what is no address is counted as it is written."""
    try:
        address = ip_address((given or "unix").partition("%")[0])
    except ValueError:
        return (given or "unix")[:64], None
    if isinstance(address, IPv4Address):
        return str(address), None
    if address.ipv4_mapped:
        return str(address.ipv4_mapped), None
    return str(ip_network((address, 64), strict=False)), str(ip_network((address, 48), strict=False))


def tell_allowance(response: Response) -> Response:
    """Say in the headers what is left, where anything was counted."""
    left: Allowance | None = g.get("allowance")
    if left is not None:
        told = (
            str(left.most),
            str(left.remaining),
            str(left.reset_seconds),
            f'"minute";r={left.remaining};t={left.reset_seconds}',
            f'"minute";q={left.most};w=60',
        )
        response.headers.extend(dict(zip(SENT, told, strict=True)))
        if response.status_code == 429:  # noqa: PLR2004
            response.headers["Retry-After"] = str(left.reset_seconds)
    return response


def _limits() -> RateLimits:
    found: RateLimits = current_app.extensions["rate_limits"]
    return found


def _shared(url: str) -> SlidingWindowCounterRateLimiter:
    storage = storage_from_string(
        url,
        wrap_exceptions=True,
        socket_timeout=_STORE_WAIT_SECONDS,
        socket_connect_timeout=_STORE_WAIT_SECONDS,
    )
    return SlidingWindowCounterRateLimiter(storage)

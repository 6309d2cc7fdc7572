"""Posting to an address that a caller named, without being led astray.

The name is looked up once a post, within the same deadline as all else, every address that it has is checked, and the
connection goes to one of those that were checked: a name that means something else a moment later gains nothing.
Redirects are not followed. The whole exchange has one deadline, and of the answer only the status is read.
"""

from __future__ import annotations

import socket
import ssl
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from http.client import HTTPException
from queue import Empty, SimpleQueue
from threading import BoundedSemaphore, Thread, Timer
from time import monotonic
from typing import TypeAlias
from urllib.parse import urlsplit

from typing_extensions import override
from urllib3.connection import HTTPConnection, HTTPSConnection
from urllib3.exceptions import HTTPError

from service.use_cases.events.addresses import is_public

# Numeric addresses of a host's name.
Lookup: TypeAlias = Callable[[str, int], list[str]]
# A connection to a numeric address, within so many seconds.
Connect: TypeAlias = Callable[[tuple[str, int], float], socket.socket]

ADDRESSES_MOST = 4
# Look-ups that go on at once, those among them for which nobody waits any more.
LOOKUPS_MOST = 64
_LOOKUPS = BoundedSemaphore(LOOKUPS_MOST)
LATE = "no answer in time"
PORTS = {"http": 80, "https": 443}


class NotSent(Exception):
    """Nothing was sent, or no answer came; says why in a few words."""


def look_up(host: str, port: int) -> list[str]:
    """Every numeric address of a host, in the order in which the machine would try them. Raises OSError."""
    found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)
    return list(dict.fromkeys(str(address[0]) for *_, address in found))


@dataclass(frozen=True)
class Poster:
    """Posts to public addresses by https only, unless `anywhere`; nobody keeps it longer than `seconds`."""

    seconds: float
    anywhere: bool = False
    lookup: Lookup = look_up
    connect: Connect = socket.create_connection
    tls: ssl.SSLContext | None = None

    def post(self, url: str, headers: Mapping[str, str], body: bytes) -> int:
        """The status that was answered. Raises NotSent."""
        parts = urlsplit(url)
        if parts.scheme not in (PORTS if self.anywhere else ("https",)):
            raise NotSent("its address is not https")
        host, port = parts.hostname or "", parts.port or PORTS[parts.scheme]
        ends_at = monotonic() + self.seconds
        wire = _Wire([(address, port) for address in self._checked(host, port, ends_at)], self.connect, ends_at)
        path = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
        connection = self._connection(parts.scheme, host, port, wire)
        try:
            with _cut_at(wire, ends_at):
                sent = {"Connection": "close", **headers}
                connection.request("POST", path, body=body, headers=sent, preload_content=False)
                status = connection.getresponse().status
        except (HTTPError, HTTPException, OSError) as error:
            raise NotSent(LATE if monotonic() >= ends_at else _short(error)) from error
        finally:
            connection.close()
            wire.close()
        if monotonic() >= ends_at:  # an answer that was cut looks like one that ended
            raise NotSent(LATE)
        return status

    def _checked(self, host: str, port: int, ends_at: float) -> list[str]:
        """The addresses of a host, if it may be sent to: one that is not public bars them all."""
        try:
            addresses = _in_time(lambda: self.lookup(host, port), ends_at)
        except TimeoutError as error:
            raise NotSent("its name was not found in time") from error
        except (OSError, UnicodeError) as error:
            raise NotSent("its name is not known") from error
        if not addresses:
            raise NotSent("its name is not known")
        if not self.anywhere and not all(is_public(address) for address in addresses):
            raise NotSent("its address is not public")
        return addresses[:ADDRESSES_MOST]

    def _connection(self, scheme: str, host: str, port: int, wire: _Wire) -> HTTPConnection:
        if scheme == "http":
            return _Plain(host, port, wire=wire, timeout=self.seconds)
        tls = self.tls or _machines_tls()
        return _Secure(host, port, wire=wire, timeout=self.seconds, ssl_context=tls)


@cache
def _machines_tls() -> ssl.SSLContext:
    """By the authorities that this machine trusts; reading them all takes longer than most exchanges."""
    return ssl.create_default_context()


def _in_time(look_up: Callable[[], list[str]], ends_at: float) -> list[str]:
    """What a look-up finds; TimeoutError where a slow name server has not answered by then.

    The machine's own look-up cannot be ended: it is left to itself in a thread, and of those there are so many.
    """
    answers: SimpleQueue[list[str] | Exception] = SimpleQueue()

    def ask() -> None:
        try:
            answers.put(look_up())
        except Exception as error:  # noqa: BLE001  raised where it is waited for
            answers.put(error)
        finally:
            _LOOKUPS.release()

    if not _LOOKUPS.acquire(timeout=max(0.0, ends_at - monotonic())):
        raise TimeoutError
    Thread(target=ask, name="look-up", daemon=True).start()
    try:
        found = answers.get(timeout=max(0.0, ends_at - monotonic()))
    except Empty:
        raise TimeoutError from None
    if isinstance(found, Exception):
        raise found
    return found


class _Wire:
    """The connection to one of the addresses that were looked at; it can be cut from another thread."""

    def __init__(self, addresses: list[tuple[str, int]], connect: Connect, ends_at: float) -> None:
        self._addresses = addresses
        self._connect = connect
        self._ends_at = ends_at
        self._same: socket.socket | None = None

    def open(self) -> socket.socket:
        """Connect to the first address that answers. Raises OSError."""
        fault: OSError = TimeoutError("no address answered")
        for address in self._addresses:
            left = self._ends_at - monotonic()
            if left <= 0:
                break
            try:
                found = self._connect(address, left)
            except OSError as error:
                fault = error
                continue
            # A second hold on the same connection: TLS takes the first one over.
            self._same = found.dup()
            return found
        raise fault

    def cut(self) -> None:
        """End it at once, whatever it is doing."""
        if self._same is not None:
            try:
                self._same.shutdown(socket.SHUT_RDWR)
            except OSError:  # it has ended already
                return

    def close(self) -> None:
        if self._same is not None:
            self._same.close()


class _Plain(HTTPConnection):
    """A connection by its name, over a wire to an address that was looked at."""

    def __init__(self, host: str, port: int, *, wire: _Wire, timeout: float) -> None:
        super().__init__(host, port, timeout=timeout)
        self._wire = wire

    @override
    def _new_conn(self) -> socket.socket:
        return self._wire.open()


class _Secure(HTTPSConnection):
    """The same by TLS; the certificate must be the name's."""

    def __init__(self, host: str, port: int, *, wire: _Wire, timeout: float, ssl_context: ssl.SSLContext) -> None:
        super().__init__(host, port, timeout=timeout, ssl_context=ssl_context)
        self._wire = wire

    @override
    def _new_conn(self) -> socket.socket:
        return self._wire.open()


@contextmanager
def _cut_at(wire: _Wire, ends_at: float) -> Iterator[None]:
    """Each read has its time-out, and many short reads would have as many: the deadline is for all together."""
    timer = Timer(max(0.0, ends_at - monotonic()), wire.cut)
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()


def _short(error: Exception) -> str:
    """What went wrong, in words that name no address of ours."""
    if isinstance(error, ssl.SSLError) or "certificate" in str(error).lower():
        return "its certificate is not right"
    if isinstance(error, ConnectionRefusedError):
        return "it refused the connection"
    return f"the connection failed ({type(error).__name__})"

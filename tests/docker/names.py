"""A server of names for tests: whoever asks for any name is told the addresses that it has at that moment."""

import socketserver
import struct
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from ipaddress import IPv4Address

ANSWERS, NO_FAULT = 0x8000, 0
ADDRESS, INTERNET = 1, 1
_HEAD = struct.Struct("!HHHHHH")


class Names(socketserver.UDPServer):
    """Names by DNS (RFC 1035), as far as a proxy asks: addresses of IPv4, each for a second."""

    def __init__(self, *addresses: str) -> None:
        super().__init__(("127.0.0.1", 0), _Asked)
        self.addresses = addresses


class _Asked(socketserver.BaseRequestHandler):
    def handle(self) -> None:
        data, wire = self.request
        number, *_ = _HEAD.unpack_from(data)
        # One question: a name, which ends with an empty part, its kind and its class.
        end = data.index(b"\0", _HEAD.size) + 5
        found = self.server.addresses  # type: ignore[attr-defined]  # our own
        head = _HEAD.pack(number, ANSWERS | NO_FAULT, 1, len(found), 0, 0)
        # Each answer names what the question names: where that begins.
        told = [
            struct.pack("!HHHIH", 0xC000 | _HEAD.size, ADDRESS, INTERNET, 1, 4) + IPv4Address(each).packed
            for each in found
        ]
        wire.sendto(b"".join([head, data[_HEAD.size : end], *told]), self.client_address)


@contextmanager
def naming(*addresses: str) -> Iterator[Names]:
    """A server of names on a port of this machine, until the block ends; its addresses may be changed."""
    with Names(*addresses) as names:
        thread = threading.Thread(target=names.serve_forever, kwargs={"poll_interval": 0.05})
        thread.start()
        try:
            yield names
        finally:
            names.shutdown()
            thread.join()

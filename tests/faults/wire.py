"""Requests as raw bytes on the wire, and what comes back of them."""

import socket
import time
from contextlib import closing

import orjson

from tests.waiting import PATIENCE_SECONDS

BODY = b'{"readings": [{"dimension": "stature", "value": 175, "unit": "cm"}]}'


def head(key, *lines, first=b"POST /v1/size-advice HTTP/1.1", host=b"Host: localhost"):
    """The lines before a body, with those that make it right."""
    right = [first, host, b"Authorization: Bearer " + key, b"Content-Type: application/json", *lines]
    return b"\r\n".join([*(line for line in right if line), b"", b""])


def sized(body, *lines):
    """A request with a body of known length, as a caller without fault would send it."""
    return lambda key: head(key, b"Content-Length: %d" % len(body), *lines) + body


def asked(service, request, *, slowly=()):
    """Everything that comes back until the connection ends, which no piece is sent after."""
    running, key = service
    with closing(socket.create_connection(("127.0.0.1", running.port), timeout=PATIENCE_SECONDS)) as wire:
        try:
            wire.sendall(request(key) if callable(request) else request)
            for piece in slowly:
                time.sleep(0.3)
                wire.sendall(piece)
        except OSError:
            pass  # refused before all was sent
        found = b""
        try:
            while piece := wire.recv(65536):
                found += piece
        except ConnectionResetError:
            pass  # what it did not want to read any more
    return found


def answered(raw):
    """Status, headers and document of the one answer that came."""
    top, _, body = raw.partition(b"\r\n\r\n")
    first, *lines = top.split(b"\r\n")
    headers = {
        name.lower().decode(): value.strip().decode() for name, _, value in (line.partition(b":") for line in lines)
    }
    return int(first.split()[1]), headers, orjson.loads(body)

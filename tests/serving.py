"""The application at an address of its own, for what asks over a socket: browsers, generated clients, made-up requests.

with serving(house.contract.app) as address:
    urlopen(f"{address}/health/live")
"""

import socket
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager
from http import HTTPStatus
from http.client import HTTPConnection, HTTPException
from pathlib import Path

from flask import Flask
from werkzeug.serving import WSGIRequestHandler, make_server

from tests.waiting import PATIENCE_SECONDS

# As the kernel writes it.
LISTENING = "0A"


@contextmanager
def held_port() -> Iterator[int]:
    """A port of this machine that is ours until the block ends: a server can have it, as often as it is started again.

    Bound and not listened at: who calls is refused until a server listens, a server that is given the number can have
    it, and the machine gives it to none that asks for any port.
    """
    with socket.socket() as door:
        door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        door.bind(("127.0.0.1", 0))
        yield int(door.getsockname()[1])


def listens(port: int) -> bool:
    """Whether a server listens at a port of this machine."""
    with socket.socket() as door:
        return door.connect_ex(("127.0.0.1", port)) == 0


def is_ready(port: int) -> bool:
    """Whether the service at a port of this machine, and its database, answer; a cold one is waited for."""
    with closing(HTTPConnection("127.0.0.1", port, timeout=PATIENCE_SECONDS)) as line:
        try:
            line.request("GET", "/health/ready")
            return line.getresponse().status == HTTPStatus.OK
        except (OSError, HTTPException):
            return False


def all_are_taken(port: int) -> bool:
    """Whether a server of this machine has taken every connection that was made to its port: none waits to be."""
    for line in Path("/proc/net/tcp").read_text("ascii").splitlines()[1:]:
        _, local, _, state, queues, *_ = line.split()
        if state == LISTENING and int(local.partition(":")[2], 16) == port and int(queues.partition(":")[2], 16):
            return False
    return True


class _Quiet(WSGIRequestHandler):
    def log(self, *_):
        pass


@contextmanager
def serving(app: Flask) -> Iterator[str]:
    """Serve on a free port of this machine; gives the address, and has stopped when the block ends."""
    server = make_server("127.0.0.1", 0, app, threaded=True, request_handler=_Quiet)
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02})
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.port}"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()

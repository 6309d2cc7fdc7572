"""The application at an address of its own, for what asks over a socket: browsers, generated clients, made-up requests.

with serving(house.contract.app) as address:
    urlopen(f"{address}/health/live")
"""

import socket
import subprocess
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from flask import Flask
from werkzeug.serving import WSGIRequestHandler, make_server


def free_port() -> int:
    """A port of this machine that nobody listens on just now."""
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        return int(door.getsockname()[1])


def listens(port: int) -> bool:
    """Whether somebody listens at a port of this machine."""
    with socket.socket() as door:
        return door.connect_ex(("127.0.0.1", port)) == 0


def until_it_listens(port: int, process: subprocess.Popen[Any]) -> None:
    """Wait until a process listens at its port. Raises RuntimeError where it ends first, or takes too long."""
    until = time.monotonic() + 20
    while not listens(port):
        if process.poll() is not None or time.monotonic() > until:
            raise RuntimeError(f"nobody listens at {port}")
        time.sleep(0.05)


class _Quiet(WSGIRequestHandler):
    def log(self, *_):
        pass


@contextmanager
def serving(app: Flask) -> Iterator[str]:
    """Serve on a free port of this machine; gives the address, and has stopped when the block ends."""
    server = make_server("127.0.0.1", 0, app, threaded=True, request_handler=_Quiet)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.port}"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()

"""The application at an address of its own, for what asks over a socket: browsers, generated clients, made-up requests.

with serving(house.contract.app) as address:
    urlopen(f"{address}/health/live")
"""

import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager

from flask import Flask
from werkzeug.serving import WSGIRequestHandler, make_server


def free_port() -> int:
    """A port of this machine that nobody listens on just now."""
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        return int(door.getsockname()[1])


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

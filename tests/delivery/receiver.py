"""A receiver of webhooks for tests: a real server that keeps what it is sent."""

import threading
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import orjson


def number_of(event):
    """The number of an event in its shop's feed, which its cursor ends with."""
    return int(event["cursor"].rpartition("-")[2])


class Receiver:
    """What was received, in order; `answer` decides each status (or does worse)."""

    def __init__(self):
        self.got = []
        self.lock = threading.Lock()
        self.answer = lambda _handler, _n: 204
        self.url = ""

    @property
    def told(self):
        """The documents in the order in which they came."""
        return [orjson.loads(body) for _, body in self.got]

    @property
    def cursors(self):
        """The numbers of the events in the feed."""
        return [number_of(each) for each in self.told]


@contextmanager
def receiving(tls=None):
    """A receiver at an address of this machine, by plain HTTP or by a TLS context."""
    receiver = Receiver()

    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def do_POST(self):
            body = self.rfile.read(int(self.headers["Content-Length"]))
            with receiver.lock:
                receiver.got.append((dict(self.headers), body))
                n = len(receiver.got)
            status = receiver.answer(self, n)
            if status is not None:
                self.send_response(status)
                self.send_header("Content-Length", "0")
                self.send_header("Location", "http://127.0.0.1:1/elsewhere")
                self.end_headers()

        def log_message(self, *_):
            pass

    class Server(ThreadingHTTPServer):
        daemon_threads = True
        request_queue_size = 64

        def handle_error(self, *_):
            """A caller that hangs up is no fault here."""

    server = Server(("127.0.0.1", 0), Handler)
    if tls:
        server.socket = tls.wrap_socket(server.socket, server_side=True, do_handshake_on_connect=False)
    receiver.url = f"{'https' if tls else 'http'}://127.0.0.1:{server.server_port}/events"
    receiver.port = server.server_port
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02})
    thread.start()
    try:
        yield receiver
    finally:
        server.shutdown()
        server.server_close()
        thread.join()

"""Serves the invented shop's page at an origin of its own, as a shop's web server would. Standard library only.

`BASE_URL=… PAGE_KEY=… python3 demo/shop_page.py DOOR`: the page asks the service at BASE_URL with the web key PAGE_KEY.
DOOR is the number of an open socket that listens already (`hold_ports.py`).
"""

# ruff: noqa: INP001  a script of the demo

from __future__ import annotations

import os
import socket
import sys
from html import escape
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

FOLDER = Path(__file__).parent / "shop"
KINDS = {".html": "text/html", ".js": "text/javascript", ".css": "text/css", ".json": "application/json"}


def policy(api: str) -> str:
    """What the page may load and whom it may ask: its own files, and the service."""
    return (
        f"default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self' {api}; "
        "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )


def shop_page(door: socket.socket, api: str, key: str) -> ThreadingHTTPServer:
    """A server of the page at a socket that listens already. The caller lets it serve and closes it."""
    files = {f"/{path.relative_to(FOLDER)}": path for path in FOLDER.rglob("*") if path.suffix in KINDS}
    files["/"] = files["/index.html"]

    class Page(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            found = files.get(self.path.partition("?")[0])
            if found is None:
                self.send_error(404)
                return
            content = found.read_text("utf-8")
            if found.suffix == ".html":
                content = content.replace("{{api}}", escape(api)).replace("{{key}}", escape(key))
            body = content.encode()
            self.send_response(200)
            self.send_header("Content-Type", f"{KINDS[found.suffix]}; charset=utf-8")
            self.send_header("Content-Length", str(len(body)))
            self.send_header("Content-Security-Policy", policy(api))
            self.send_header("X-Content-Type-Options", "nosniff")
            self.send_header("Cache-Control", "no-cache")
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, *_: object) -> None:
            """Who looked at what is nobody's business."""

    server = ThreadingHTTPServer(door.getsockname(), Page, bind_and_activate=False)
    server.socket.close()
    server.socket = door
    return server


def main() -> None:
    """Serve until told to stop."""
    with shop_page(socket.socket(fileno=int(sys.argv[1])), os.environ["BASE_URL"], os.environ["PAGE_KEY"]) as server:
        server.serve_forever()


if __name__ == "__main__":
    main()

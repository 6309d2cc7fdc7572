"""Takes the demo's three ports and hands them on: `python3 demo/hold_ports.py COMMAND WORD…`. Standard library only.

The command finds them in SERVICE_PORT and SERVICE_DOOR, PAGE_… and FLOOR_…: a number, and the open socket that listens
there. A port that was only looked for could be another's by the time that it is wanted.
"""

# ruff: noqa: INP001  a script of the demo

from __future__ import annotations

import os
import socket
import sys

USUAL = {"PORT": 8080, "PAGE_PORT": 8081, "FLOOR_PORT": 8082}
FREE = 0
LAST = 65535


def asked_for(name: str) -> int:
    """The port that a variable names, or the usual one; leaves with a line where it names none."""
    word = os.environ.get(name) or str(USUAL[name])
    if not (word.isascii() and word.isdigit() and word[0] != "0" and int(word) <= LAST):
        sys.exit(f"demo/run: {name} is '{word}'; right would be 1 to {LAST}")
    return int(word)


def door(port: int) -> socket.socket:
    """A socket that listens at a port and is handed on. OSError: the port is taken, or not ours to have."""
    held = socket.socket()
    try:
        held.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        held.bind(("127.0.0.1", port))
        held.listen()
    except OSError:
        held.close()
        raise
    held.set_inheritable(True)
    return held


def of_service(port: int, *, else_free: bool) -> socket.socket:
    """The service's: another where the usual one is taken and the shop is open only for its day."""
    try:
        return door(port)
    except OSError as error:
        if not else_free:
            other = port - 1 if port == LAST else port + 1
            why = (error.strerror or str(error)).lower()
            sys.exit(f"demo/run: port {port} cannot be had ({why}); choose another: PORT={other} ./demo/run")
        held = door(FREE)
        sys.stdout.write(f"Port {port} is taken; this once it is {held.getsockname()[1]}.\n")
        sys.stdout.flush()
        return held


def of_pages(name: str, whose: str) -> socket.socket:
    """One for pages, the shop's or the floor's: a free one where the usual one is taken."""
    port = asked_for(name)
    try:
        return door(port)
    except OSError:
        if os.environ.get(name):
            sys.exit(f"demo/run: port {port} cannot be had for {whose}; choose another {name}")
        return door(FREE)


def main() -> None:
    """Take all, then become the command."""
    command = sys.argv[1:]
    service = of_service(asked_for("PORT"), else_free="--once" in command and not os.environ.get("PORT"))
    page, floor = of_pages("PAGE_PORT", "the page"), of_pages("FLOOR_PORT", "the floor")
    for name, held in (("SERVICE", service), ("PAGE", page), ("FLOOR", floor)):
        os.environ |= {f"{name}_PORT": str(held.getsockname()[1]), f"{name}_DOOR": str(held.fileno())}
    os.execvp(command[0], command)  # noqa: S606  the demo's own script, as it was called


if __name__ == "__main__":
    main()

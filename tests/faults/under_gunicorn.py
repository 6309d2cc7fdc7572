"""The service as gunicorn serves it, with the house's own configuration, on a loopback port of its own."""

import os
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.house import HOUSE
from tests.serving import is_ready
from tests.waiting import PATIENCE_SECONDS, WaitedInVain, until

LISTENING = re.compile(r"Listening at: http://127\.0\.0\.1:([0-9]+)")


@dataclass(frozen=True)
class Served:
    """Where it listens, and everything that it says to its operator."""

    port: int
    log: Path
    process: subprocess.Popen[bytes]

    @property
    def said(self) -> str:
        return self.log.read_text("utf-8", "replace")


def launched(url: str, log: Path, *words: str, **settings: str) -> subprocess.Popen[bytes]:
    """Start serving a migrated database, in a session of its own; `words` go to gunicorn, `settings` are FITTING_ ones.

    What it says is added to `log`.
    """
    environment = {name: value for name, value in os.environ.items() if not name.startswith("FITTING_")}
    environment |= {"FITTING_DATABASE_URL": url, **settings}
    command = [sys.executable, "-m", "gunicorn", "--config", "docker/gunicorn.conf.py", *words]
    with log.open("ab") as told:
        return subprocess.Popen(
            [*command, "service.app:create_app()"],
            cwd=HOUSE,
            env=environment,
            stdout=told,
            stderr=told,
            start_new_session=True,
        )


def killed(server: subprocess.Popen[bytes]) -> None:
    """Kill it whole, master and workers, as a power cut would."""
    os.killpg(server.pid, signal.SIGKILL)
    server.wait(PATIENCE_SECONDS)


@contextmanager
def served(folder: Path, url: str, *words: str, **settings: str) -> Iterator[Served]:
    """Serve a migrated database until the block ends, and then let it end what it has in hand."""
    log = folder / "server.log"
    server = launched(url, log, *words, **{"FITTING_BIND": "127.0.0.1:0", "FITTING_WORKERS": "1", **settings})
    try:
        yield Served(_port(server, log), log, server)
    finally:
        server.terminate()
        server.wait(PATIENCE_SECONDS)


def _port(server: subprocess.Popen[bytes], log: Path) -> int:
    """The port that it says it listens at, once it answers there: whoever asks first meets no cold server."""
    found = []

    def said() -> bool:
        found.extend(LISTENING.findall(log.read_text("utf-8", "replace"))[-1:])
        return bool(found)

    try:
        until(said, server)
        until(lambda: is_ready(int(found[-1])), server)
    except WaitedInVain as wrong:
        raise RuntimeError(f"it did not start: {log.read_text('utf-8', 'replace')[-2000:]}") from wrong
    return int(found[-1])

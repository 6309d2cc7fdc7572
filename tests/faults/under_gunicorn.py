"""The service as gunicorn serves it, with the house's own configuration, on a loopback port of its own."""

import os
import re
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

HOUSE = Path(__file__).resolve().parents[2]
LISTENING = re.compile(r"Listening at: http://127\.0\.0\.1:([0-9]+)")


@dataclass(frozen=True)
class Served:
    """Where it listens, and everything that it says to its operator."""

    port: int
    log: Path

    @property
    def said(self) -> str:
        return self.log.read_text("utf-8", "replace")


@contextmanager
def served(folder: Path, url: str, *words: str, **settings: str) -> Iterator[Served]:
    """Serve a migrated database until the block ends; `words` go to gunicorn, `settings` are FITTING_ variables."""
    log = folder / "server.log"
    environment = {name: value for name, value in os.environ.items() if not name.startswith("FITTING_")}
    environment |= {"FITTING_DATABASE_URL": url, "FITTING_BIND": "127.0.0.1:0", "FITTING_WORKERS": "1", **settings}
    command = [sys.executable, "-m", "gunicorn", "--config", "docker/gunicorn.conf.py", *words]
    with log.open("wb") as told:
        server = subprocess.Popen(
            [*command, "service.app:create_app()"], cwd=HOUSE, env=environment, stdout=told, stderr=told
        )
        try:
            yield Served(_port(server, log), log)
        finally:
            server.terminate()
            server.wait(30)


def _port(server: subprocess.Popen[bytes], log: Path) -> int:
    for _ in range(600):
        found = LISTENING.search(log.read_text("utf-8", "replace"))
        if found:
            return int(found[1])
        if server.poll() is not None:
            break
        time.sleep(0.05)
    raise RuntimeError(f"it did not start: {log.read_text('utf-8', 'replace')[-2000:]}")

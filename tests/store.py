"""A real store of counts for tests of machines that count together: Debian's redis-server, on a socket of its own.

    with running_store() as url:
        create_app(Settings(limits_url=url))

`tests/run` installs it where it is missing. FITTING_TEST_REDIS names another one.
"""

import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.given import GIVEN
from tests.waiting import until

MISSING = "no store for the tests: as root, apt-get install redis-server; or name one in FITTING_TEST_REDIS"


@contextmanager
def running_store(*settings: str) -> Iterator[str]:
    """Give the URL of an empty store, which ends with the block; `settings` are its own. Fails where there is none."""
    program = GIVEN.get("REDIS") or shutil.which("redis-server")
    if program is None:
        raise RuntimeError(MISSING)
    with tempfile.TemporaryDirectory(prefix="store-") as folder:
        socket = Path(folder, "socket")
        words = [program, "--port", "0", "--unixsocket", str(socket), "--save", "", "--dir", folder, *settings]
        with subprocess.Popen(words, stdout=subprocess.DEVNULL) as server:
            try:
                until(socket.exists, server)
                yield f"redis+unix://{socket}"
            finally:
                server.terminate()

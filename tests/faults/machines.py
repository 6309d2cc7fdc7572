"""Machines that serve, to be killed and started again; and tills that go on placing orders whatever becomes of them."""

import random
import threading
import time
from contextlib import contextmanager
from http.client import HTTPConnection, HTTPException
from pathlib import Path

import orjson

from tests.faults.under_gunicorn import killed, launched
from tests.http.sheets import order
from tests.serving import is_ready
from tests.shops import UNHURRIED_SETTINGS
from tests.waiting import PATIENCE_SECONDS, WaitedInVain, until

# An answer that takes longer is given up, and asked for again under the same key.
ANSWER_SECONDS = 60


class Machine:
    """The service as gunicorn serves it with the house's own configuration, on a port that is held for it."""

    def __init__(self, folder, url, port, workers=2):
        self.port, self._log, self._url = port, folder / "server.log", url
        self._settings = {"FITTING_BIND": f"127.0.0.1:{self.port}", "FITTING_WORKERS": str(workers)}
        self._server = None

    def start(self):
        self._server = launched(self._url, self._log, **self._settings, **UNHURRIED_SETTINGS)
        self.wait()

    def wait(self):
        try:
            until(lambda: is_ready(self.port), self._server)
        except WaitedInVain as wrong:
            raise RuntimeError(self._log.read_text()[-2000:]) from wrong

    def kill(self):
        killed(self._server)

    def kill_master(self):
        """Kill the master alone, and wait until its workers have seen that they are alone, and ended."""
        children = Path(f"/proc/{self._server.pid}/task/{self._server.pid}/children").read_text("ascii").split()
        assert children
        self._server.kill()
        self._server.wait(PATIENCE_SECONDS)
        until(lambda: not any(map(lives, children)))

    def ask(self, method, path, document=None, headers=(), seconds=ANSWER_SECONDS):
        """Status and document, or 0 and None where nothing came back."""
        connection = HTTPConnection("127.0.0.1", self.port, timeout=seconds)
        try:
            body = None if document is None else orjson.dumps(document)
            connection.request(method, path, body, {"Content-Type": "application/json", **dict(headers)})
            answer = connection.getresponse()
            data = answer.read()
            return answer.status, orjson.loads(data) if data else None
        except (OSError, HTTPException):
            return 0, None
        finally:
            connection.close()


def lives(process):
    """Whether a process computes; one that has ended, and that nobody has asked for its end, does not."""
    try:
        return Path(f"/proc/{process}/stat").read_text("ascii").rpartition(")")[2].split()[0] not in "ZX"
    except (FileNotFoundError, ProcessLookupError):
        return False


@contextmanager
def running(*machines):
    try:
        for machine in machines:
            machine.start()
        yield
    finally:
        for machine in machines:
            machine.kill()


class Till(threading.Thread):
    """Places one order after the other, each under a key of its own, at whichever machine answers."""

    def __init__(self, name, key, machines):
        super().__init__(name=name, daemon=True)
        self._key, self._machines = key, machines
        self.placed = []  # (number, when it was acknowledged)
        self.refused = []  # statuses that no retry should meet
        self.retries = 0
        self._enough = threading.Event()

    def run(self):
        while not self._enough.is_set():
            self._place(f"{self.name}-{len(self.placed)}-{random.getrandbits(40)}")

    def finish(self):
        self._enough.set()
        self.join(2 * PATIENCE_SECONDS)
        assert not self.is_alive()

    def _place(self, idempotent):
        headers = {"Authorization": f"Bearer {self._key}", "Idempotency-Key": idempotent}
        ends_at, turn = time.monotonic() + PATIENCE_SECONDS, random.randrange(len(self._machines))
        while time.monotonic() < ends_at:
            machine = self._machines[turn % len(self._machines)]
            status, document = machine.ask("POST", "/v1/orders", order(customer_ref=idempotent), headers)
            if status == 201:
                self.placed.append((document["number"], time.monotonic()))
                return
            if status not in (0, 503):
                self.refused.append((status, document))
                return
            self.retries += 1
            turn += 1
            time.sleep(0.02)
        self.refused.append((0, "gave up"))


@contextmanager
def tills_at_work(key, machines, how_many):
    tills = [Till(f"till-{i}", key, machines) for i in range(how_many)]
    for till in tills:
        till.start()
    try:
        yield tills
    finally:
        for till in tills:
            till.finish()


def acknowledged(tills):
    return sum(len(till.placed) for till in tills)


def until_more(tills, more=1):
    """Wait until so many more orders have been acknowledged; how long it took."""
    before, began = acknowledged(tills), time.monotonic()
    until(lambda: acknowledged(tills) >= before + more, every_seconds=0.002)
    return time.monotonic() - began

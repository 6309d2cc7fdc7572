"""What every user of a machine can list, the words of its processes, holds no secret of the service."""

import subprocess
import sys
from pathlib import Path

from cryptography.fernet import Fernet
from sqlalchemy import make_url

from tests.faults.under_gunicorn import served
from tests.house import HOUSE
from tests.waiting import PATIENCE_SECONDS, until

PASSWORD = "open-sesame-7f3a"


def tree(process):
    """A process and all below it."""
    found = [process]
    for child in Path(f"/proc/{process}/task/{process}/children").read_text().split():
        found += tree(int(child))
    return found


def words_of(processes):
    return b" ".join(Path(f"/proc/{each}/cmdline").read_bytes() for each in processes).decode()


def test_a_server_and_a_relay_show_no_secret_in_the_list_of_processes(postgres_url, tmp_path):
    url = make_url(postgres_url).set(password=PASSWORD).render_as_string(hide_password=False)
    key = Fernet.generate_key().decode()
    with served(tmp_path, url, FITTING_WORKERS="2", FITTING_READINGS_KEYS=key) as server:
        shown = words_of(tree(server.process.pid))
        environment = {"FITTING_DATABASE_URL": url, "FITTING_READINGS_KEYS": key, "PATH": "/usr/bin"}
        relay = subprocess.Popen([sys.executable, "-m", "service", "deliver"], cwd=HOUSE, env=environment)
        try:
            until(lambda: "service" in words_of([relay.pid]), relay)
            shown += words_of(tree(relay.pid))
            # What is in the environment is its own user's to read.
            for each in (server.process.pid, relay.pid):
                assert 0 == Path(f"/proc/{each}/environ").stat().st_mode & 0o077
        finally:
            relay.terminate()
            relay.wait(PATIENCE_SECONDS)
    assert "gunicorn" in shown
    assert "deliver" in shown
    assert PASSWORD not in shown
    assert key not in shown

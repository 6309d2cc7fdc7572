"""A database that is locked for long, and a disk that takes no more: 503, nothing half done, and all is well after."""

import sqlite3
from contextlib import closing

from service.counter.keys import identify
from tests.faults.books import all_orders
from tests.faults.machines import Machine, running
from tests.http.sheets import order

# More than any disk of this test has room for.
ORDERS_MOST = 2000


def place(machine, key, errand):
    headers = {"Authorization": f"Bearer {key}", "Idempotency-Key": errand}
    return machine.ask("POST", "/v1/orders", order(), headers, seconds=20)


def test_whoever_meets_a_locked_database_is_told_so_and_his_retry_places_one_order(opened, tmp_path):
    desk, key, url = opened
    machine = Machine(tmp_path, url)
    with running(machine):
        with closing(sqlite3.connect(tmp_path / "fitting.sqlite3", isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
            status, problem = place(machine, key, "one")
            assert (503, "database_away") == (status, problem["code"])
            assert [] == all_orders(desk, identify(desk, key))
        first, again = (place(machine, key, "one") for _ in range(2))
    assert (201, first) == (first[0], again)
    assert [first[1]["number"]] == [each.number for each in all_orders(desk, identify(desk, key))]


def test_a_disk_that_takes_no_more_loses_and_doubles_nothing(opened, tmp_path):
    # The limit is the process's own, a little above what its largest file has: beyond it writing fails.
    desk, key, url = opened
    full = max(each.stat().st_size for each in tmp_path.iterdir()) + 100_000
    machine = Machine(tmp_path, url, workers=1, largest_file=full)
    placed = []
    with running(machine):
        for turn in range(ORDERS_MOST):
            status, document = place(machine, key, f"order-{turn}")
            if status != 201:
                break
            placed.append(document["number"])
        assert (503, "database_away") == (status, document["code"])
        assert placed
        machine.kill()
        machine.largest_file = None
        machine.start()
        status, document = place(machine, key, f"order-{turn}")
        assert 201 == status
        placed.append(document["number"])
    assert placed == sorted((each.number for each in all_orders(desk, identify(desk, key))), key=int)
    with closing(sqlite3.connect(tmp_path / "fitting.sqlite3")) as file:
        assert ("ok",) == file.execute("PRAGMA integrity_check").fetchone()

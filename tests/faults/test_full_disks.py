"""PostgreSQL on a disk that fills up while orders are placed: a small one in memory, mounted for the test."""

import os
import subprocess
from contextlib import contextmanager
from uuid import uuid4

import psycopg
import pytest
from sqlalchemy import make_url

from tests.databases import migrated
from tests.faults.books import AWAY, on_file
from tests.http.sheets import order
from tests.postgres import QUICK, own_server
from tests.shops import new_house, new_shop

DISK = "24m"


@contextmanager
def small_disk(server):
    """A folder of the server's that is a disk of its own."""
    folder = server.folder / "small"
    folder.mkdir()
    words = ["mount", "-t", "tmpfs", "-o", f"size={DISK}", "tmpfs", folder]
    if os.geteuid() != 0 or subprocess.run(words, check=False, capture_output=True).returncode:
        pytest.skip("no disk can be mounted here; the server's own error for a full one is raised in test_databases")
    try:
        if server.owner:
            os.chown(folder, server.owner["user"], server.owner["group"])
        yield folder
    finally:
        server.kill()
        subprocess.run(["umount", "--lazy", folder], check=True)


def database_on(server, folder):
    """The address of a new database whose tables are on that disk; its log of what is to be written is elsewhere."""
    address = make_url(server.url).set(drivername="postgresql").render_as_string(hide_password=False)
    with psycopg.connect(address, autocommit=True) as connection:
        connection.execute(f"CREATE TABLESPACE small LOCATION '{folder}'")
        connection.execute("CREATE DATABASE small TEMPLATE template0 TABLESPACE small")
    return str(make_url(server.url).set(database="small"))


def filled(folder):
    """Take all that is left of the disk; the file that does."""
    ballast = folder / "ballast"
    with ballast.open("wb", buffering=0) as file:
        try:
            while file.write(bytes(4096)):
                pass
        except OSError:
            return ballast
    raise AssertionError("it is never full")


def test_a_disk_that_is_full_refuses_orders_and_loses_none_and_with_room_again_they_go_through():
    with own_server(QUICK) as server, small_disk(server) as folder:
        house = new_house(migrated(database_on(server, folder)))
        shop = new_shop(house)
        made = {}
        for n in range(5):
            made[f"before-{n}"] = shop.staff.post("/v1/orders", order(), key=f"before-{n}").body["number"]
        ballast = filled(folder)
        refused = []
        while len(refused) < 5:
            key = uuid4().hex
            # What fits into pages that the tables have already still goes in.
            answer = shop.staff.post("/v1/orders", order(note="n" * 500), key=key)
            if answer.status == 201:
                made[key] = answer.body["number"]
                continue
            assert AWAY == answer.problem
            refused.append(key)
        # Who only reads is not held up.
        kept = on_file(shop)
        assert sorted(made.values(), key=int) == sorted(numbers(shop), key=int)
        ballast.unlink()
        assert kept == on_file(shop)
        for key in refused:
            answer = shop.staff.post("/v1/orders", order(note="n" * 500), key=key)
            assert 201 == answer.status
            made[key] = answer.body["number"]
        assert len(made) == len(set(made.values()))
        assert sorted(made.values(), key=int) == sorted(numbers(shop), key=int)
        on_file(shop)
        house.context.database.close()


def numbers(shop):
    """The numbers of all of its orders."""
    found, path = [], "/v1/orders?limit=100"
    while path:
        answer = shop.staff.get(path)
        found += [each["number"] for each in answer.body["orders"]]
        path = answer.headers.get("Link", "").partition(">")[0].lstrip("<")
    return found

"""Two machines of a chain on one PostgreSQL: one is killed, the database is killed, its connections are cut."""

from contextlib import ExitStack

import psycopg
import pytest
from sqlalchemy import make_url

from service.tailoring.work.prices import PriceList
from service.use_cases.shop.keys import SCOPES, give_key, identify
from service.use_cases.shop.shops import open_shop
from tests.databases import migrated
from tests.days import Clock
from tests.faults.books import WEEK, check
from tests.faults.machines import Machine, running, tills_at_work, until_more
from tests.postgres import own_server
from tests.serving import held_port
from tests.shops import new_desk

TILLS = 6


@pytest.fixture
def server():
    # With all the care that a shop's data is kept with: nothing is switched off.
    with own_server() as server:
        yield server


def cut_connections(url):
    """Cut every other connection to a database; how many there were."""
    address = make_url(url).set(drivername="postgresql").render_as_string()
    with psycopg.connect(address, autocommit=True) as connection:
        others = "FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()"
        return len(connection.execute(f"SELECT pg_terminate_backend(pid) {others}").fetchall())


def test_a_chain_goes_on_when_a_machine_or_its_database_dies_and_loses_doubles_and_overbooks_nothing(
    server, tmp_path_factory, capsys
):
    url = migrated(server.url)
    context = new_desk(url, Clock())
    key = give_key(context, open_shop(context, "Corner Tailors", "UTC", PriceList(), WEEK), "till", frozenset(SCOPES))
    context.database.close()
    took = {}
    with ExitStack() as stack:
        ports = [stack.enter_context(held_port()) for _ in range(2)]
        machines = [Machine(tmp_path_factory.mktemp("machine"), url, port) for port in ports]
        stack.enter_context(running(*machines))
        tills = stack.enter_context(tills_at_work(key, machines, TILLS))
        until_more(tills, 50)
        machines[0].kill()
        took["a machine killed"] = until_more(tills, TILLS)
        machines[0].start()
        server.kill()
        assert 503 == machines[1].ask("GET", "/health/ready")[0]
        status, problem = machines[1].ask("GET", "/v1/orders", headers={"Authorization": f"Bearer {key}"})
        assert (503, "database_away") == (status, problem["code"])
        server.start()
        took["the database killed and started"] = until_more(tills, TILLS)
        for _ in range(5):
            assert cut_connections(url) > 0
            took["its connections cut"] = until_more(tills, TILLS)
        until_more(tills, 50)
    check(context, identify(context, key), tills)
    context.database.close()
    with capsys.disabled():
        for what, seconds in took.items():
            print(f"\n{what}: served again after {seconds:.2f} s", end="")  # noqa: T201  how long a chain is away

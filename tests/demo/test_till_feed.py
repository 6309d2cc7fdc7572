"""The till that follows its orders: it hears what becomes of them, and what a restore of the service took."""

import os
import subprocess
import sys
from contextlib import closing, contextmanager

import pytest

from service.use_cases.events.restores import note_restored
from service.use_cases.shop.keys import give_key
from tests.databases import either_database
from tests.demo.scripts import demo_script
from tests.demo.tills import SHEET, assert_nothing_lost_or_doubled, orders_of, till
from tests.house import HOUSE
from tests.http.sheets import moved_along
from tests.serving import serving

feed = demo_script("till_feed")


@pytest.fixture
def address(house):
    with serving(house.contract.app) as found:
        yield found


@pytest.fixture
def counter(service, tmp_path):
    """The till and its ear at one queue."""
    file = tmp_path / "queue"
    with closing(till.Till(file, service)) as queue, closing(feed.Follower(file, service)) as follower:
        yield queue, follower


@pytest.fixture
def service(house, shop, address):
    return till.Service(address, give_key(house.context, shop.id, "till", frozenset({"order"})), timeout_seconds=60)


@contextmanager
def backup(house, shop):
    """What the shop did in the block is gone when it ends, as after a restore of a backup taken before it."""
    with house.context.database.reading() as tx:
        before = tx.exec_driver_sql(f"SELECT last_event, last_order_number FROM shops WHERE id = '{shop.id}'").one()
    yield
    gone = f"(SELECT id FROM orders WHERE shop_id = '{shop.id}' AND number > {before.last_order_number})"
    with house.context.database.writing() as tx:
        for table in ("order_events", "order_lines", "order_garments", "bookings"):
            tx.exec_driver_sql(f"DELETE FROM {table} WHERE order_id IN {gone}")
        tx.exec_driver_sql(f"DELETE FROM repeats WHERE made IN {gone}")
        tx.exec_driver_sql(f"DELETE FROM events WHERE shop_id = '{shop.id}' AND cursor > {before.last_event}")
        tx.exec_driver_sql(f"DELETE FROM orders WHERE shop_id = '{shop.id}' AND number > {before.last_order_number}")
        tx.exec_driver_sql(f"DELETE FROM workroom_days WHERE shop_id = '{shop.id}'")
        tx.exec_driver_sql(
            f"UPDATE shops SET last_event = {before.last_event}, last_order_number = {before.last_order_number}"
            f" WHERE id = '{shop.id}'"
        )


def rung_up(queue, *sales):
    for sale in sales:
        queue.ring_up(sale, SHEET)
    assert queue.send(60)


def test_it_hears_what_becomes_of_its_orders_and_reads_on_from_where_it_was(shop, counter):
    queue, follower = counter
    rung_up(queue, "sale-1")
    follower.hear()
    assert ("marked", "first-1") == (follower.state_of("sale-1"), follower.cursor)
    moved_along(shop.staff, queue.sale("sale-1")["order_id"], ("accepted", {}), ("in_workroom", {}))
    follower.hear()
    assert ("in_workroom", "first-3") == (follower.state_of("sale-1"), follower.cursor)
    assert None is follower.state_of("sale-2")


@pytest.mark.parametrize("told", [True, False], ids=["the service says so", "nobody says so"])
def test_what_a_restore_took_is_placed_again_and_the_till_says_so(house, shop, counter, capsys, told):
    queue, follower = counter
    rung_up(queue, "sale-1")
    with backup(house, shop):
        rung_up(queue, "sale-2", "sale-3")
        follower.hear()
        lost = queue.sale("sale-3")["number"]
    if told:
        note_restored(house.context)
    kept = queue.sale("sale-1")["number"]
    capsys.readouterr()
    follower.hear()
    said = capsys.readouterr().out
    assert "The service was restored from a backup" in said
    assert f"sale-3: order {lost} is gone since the service was restored: it is placed again" in said
    assert "sale-1:" not in said
    assert ["sale-2", "sale-3"] == [each["sale"] for each in queue.unfinished()]

    assert queue.send(60)
    assert_nothing_lost_or_doubled(queue, shop, ["sale-1", "sale-2", "sale-3"])
    assert kept == queue.sale("sale-1")["number"]
    if told:
        assert int(queue.sale("sale-3")["number"]) > int(lost)
    follower.hear()
    assert {"marked"} == {follower.state_of(f"sale-{number}") for number in (1, 2, 3)}
    assert "" == capsys.readouterr().out.partition("The service was restored")[1]


def test_a_line_that_goes_down_while_it_looks_for_its_orders_is_gone_on_with(house, shop, counter, service, tmp_path):
    queue, follower = counter
    with backup(house, shop):
        rung_up(queue, "sale-1", "sale-2")
        follower.hear()
    note_restored(house.context)
    held = follower.cursor

    class Cut(till.Service):
        def ask(self, method, path, *given, **headers):
            if path.startswith("/v1/orders/") and len(asked) == 1:
                raise till.LineDown("cut")
            asked.append(path) if path.startswith("/v1/orders/") else None
            return super().ask(method, path, *given, **headers)

    asked = []
    cut = Cut(service.base_url, service.key, service.timeout_seconds)
    with closing(feed.Follower(tmp_path / "queue", cut)) as other, pytest.raises(till.LineDown):
        other.hear()
    # It does not go on before it has looked for all of them.
    assert held == follower.cursor
    follower.hear()
    assert queue.send(60)
    assert_nothing_lost_or_doubled(queue, shop, ["sale-1", "sale-2"])


@either_database
def test_it_is_used_by_words_on_the_command_line(house, shop, address, tmp_path):
    key = give_key(house.context, shop.id, "till", frozenset({"order"}))
    service = till.Service(address, key, timeout_seconds=60)
    with closing(till.Till(tmp_path / "queue", service)) as queue:
        queue.ring_up("sale-1", SHEET)
    environment = {**os.environ, "BASE_URL": address, "TILL_KEY": key}
    command = [sys.executable, HOUSE / "demo" / "till_feed.py", tmp_path / "queue", "--for", "60"]
    done = subprocess.run(command, env=environment, check=False, capture_output=True, text=True)
    assert 0 == done.returncode, done.stderr
    assert f"sale-1: order {orders_of(shop)[0]['number']}, marked" in done.stdout

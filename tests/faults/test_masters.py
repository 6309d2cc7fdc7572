"""The master killed in the middle of orders, on both databases: its workers end, and a new one goes on at its port."""

from contextlib import ExitStack

import pytest

from service.tailoring.work.prices import PriceList
from service.use_cases.shop.keys import SCOPES, give_key, identify
from service.use_cases.shop.shops import open_shop
from tests.days import Clock
from tests.faults.books import WEEK, check
from tests.faults.machines import Machine, running, tills_at_work, until_more
from tests.shops import new_desk

TILLS = 4
KILLS = 2


@pytest.mark.lengthy
def test_a_master_that_is_killed_takes_its_workers_along_and_no_order(own_url, tmp_path, port):
    context = new_desk(own_url, Clock())
    key = give_key(context, open_shop(context, "Corner Tailors", "UTC", PriceList(), WEEK), "till", frozenset(SCOPES))
    with ExitStack() as stack:
        machine = Machine(tmp_path, own_url, port)
        stack.enter_context(running(machine))
        tills = stack.enter_context(tills_at_work(key, [machine], TILLS))
        for _ in range(KILLS):
            until_more(tills, TILLS)
            machine.kill_master()
            machine.start()
        until_more(tills, TILLS)
    check(context, identify(context, key), tills)
    # It would prove nothing if no till had been in the middle of something.
    assert sum(till.retries for till in tills) >= KILLS
    context.database.close()

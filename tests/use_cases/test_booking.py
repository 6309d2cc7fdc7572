"""Tills that race: each has connections of its own, as processes have."""

import threading
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from dataclasses import replace

import pytest

from service.storage import workroom
from service.storage.orders.order_lists import OrderFilter
from service.tailoring.garments.alterations import alteration
from service.tailoring.garments.amounts import Amount
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.orders.lines.order_lines import LineAsked
from service.tailoring.orders.sheets.order_sheets import SheetAsked
from service.tailoring.quantities import Length
from service.tailoring.refusals import Refusal
from service.tailoring.workroom.calendar import BookedAtBench, KeptDay
from service.tailoring.workroom.placing import OrderAsked
from service.tailoring.workroom.weeks import Week
from service.use_cases.calendar.workroom import list_at_risk, promise_at_risk, set_day
from service.use_cases.idempotency import IdempotentRequest
from service.use_cases.orders.order_changes import move_order
from service.use_cases.orders.orders import list_orders, place_order, show_order
from tests.days import MONDAY, TUESDAY
from tests.shops import new_desk, new_shop
from tests.use_cases.asked import ASKED

TILLS = 8
CLIENTS = 16
# A pair of hems takes 20 minutes at the trousers bench; a day has 51 to promise, and the press as many as it wants.
NARROW = Week(minutes=({"trousers": 60, "jackets": 0, "finishing": 500},) * 7, horizon_days=5)
MOST_A_DAY = 51


@pytest.fixture
def narrow(house):
    return new_shop(house, week=NARROW)


def placed(context, caller, key, asked=ASKED):
    """An order's document, or the code that it is refused with."""
    try:
        return place_order(context, caller, asked, IdempotentRequest("place", key, "digest"), _document).document
    except Refusal as refusal:
        return refusal.code


def _document(made):
    return {"id": made.filed.id, "number": made.filed.order.number, "day": made.filed.order.promised_for.isoformat()}


def at_once(house, tasks):
    """Run every task with a desk of its own, all of them starting together; what they gave, in their order."""
    start = threading.Barrier(len(tasks))

    def run(task):
        context = new_desk(house.url, house.clock)
        with closing(context.database):
            start.wait()
            return task(context)

    with ThreadPoolExecutor(len(tasks)) as pool:
        return list(pool.map(run, tasks))


def minutes(shop):
    with shop.house.context.database.reading() as tx:
        held, _ = workroom.days_from(tx, shop.id, MONDAY)
        return held, workroom.booked_by_order(tx, shop.id, MONDAY)


def on_trousers(days):
    return [benches.get("trousers", BookedAtBench()).minutes for benches in days.values()]


def filed(shop):
    return list_orders(shop.house.context, shop.caller, OrderFilter(), 100).orders


def test_no_minute_is_promised_twice_when_tills_race_for_the_last_ones(house, narrow):
    def four(till):
        return lambda context: [placed(context, narrow.caller, f"{till}-{n}") for n in range(4)]

    answers = [answer for given in at_once(house, [four(till) for till in range(TILLS)]) for answer in given]
    orders = [answer for answer in answers if isinstance(answer, dict)]
    days, by_order = minutes(narrow)
    # Five days of 51 minutes hold twelve orders of 20, the last of them split over two days; all others are refused.
    assert (12, {"no_free_day"}) == (len(orders), {answer for answer in answers if isinstance(answer, str)})
    assert days == by_order
    assert MOST_A_DAY >= max(on_trousers(days))
    assert 12 * 20 == sum(on_trousers(days))


def test_sixteen_clients_book_the_last_minutes_of_a_day_and_no_more_than_fit(house):
    # 100 minutes, of which 60 are for ordinary orders: three pairs of hems fit, and two rushes into the reserve.
    day = {"trousers": 100, "jackets": 0, "finishing": 500}
    shop = new_shop(house, week=Week(minutes=(day,) * 7, fill_percent=60, horizon_days=1, rush_start_after_days=1))
    hurried = replace(ASKED, sheet=replace(ASKED.sheet, rush=True))
    tasks = [
        lambda context, n=n: placed(context, shop.caller, f"client-{n}", hurried if n % 2 else ASKED)
        for n in range(CLIENTS)
    ]
    answers = at_once(house, tasks)
    orders = [answer for answer in answers if isinstance(answer, dict)]
    assert {"no_free_day"} == {answer for answer in answers if isinstance(answer, str)}
    held, by_order = minutes(shop)
    assert held == by_order
    (booked,) = [benches["trousers"] for benches in held.values()]
    # Whoever came first: ordinary orders have no more than their share, and all together no more than there is.
    assert 20 * len(orders) == booked.minutes
    assert 100 >= booked.minutes >= 80
    assert 60 >= booked.minutes - booked.reserve
    assert len(orders) == len(filed(shop)) == len({order["number"] for order in orders})


def test_sixteen_clients_race_for_the_coat_makers_minutes(house):
    day = {"trousers": 0, "jackets": 2000, "finishing": 2000}
    skilled = {"jackets": 200}
    week = Week(minutes=(day,) * 7, skilled=(skilled,) * 7, fill_percent=100, horizon_days=1, fitting_after_days=0)
    shop = new_shop(house, week=week)
    collar = LineAsked(1, "jacket_collar_lower", Amount(Length(9.525), "length", "decrease"))
    hard = OrderAsked(SheetAsked((GarmentPiece(1, "jacket"),), (collar,), add_follow_ons=False), marked_by="fitter-1")
    answers = at_once(
        house, [lambda context, n=n: placed(context, shop.caller, f"client-{n}", hard) for n in range(CLIENTS)]
    )
    held, by_order = minutes(shop)
    assert held == by_order
    (benches,) = held.values()
    each = alteration("jacket_collar_lower").minutes
    assert 200 // each == sum(isinstance(answer, dict) for answer in answers)
    assert each * (200 // each) == benches["jackets"].hard <= 200


def test_a_day_that_is_cut_while_clients_book_it_is_overbooked_by_nobody_after_that(house, narrow):
    # Whoever books before the cut is listed at risk; who books after it finds the day as it is then.
    def cut(context):
        return set_day(context, narrow.caller, TUESDAY, KeptDay({"trousers": 24}, {}, "ill"), 1)

    def book_two(till):
        return lambda context: [placed(context, narrow.caller, f"{till}-{n}") for n in range(2)]

    at_once(house, [cut, *[book_two(till) for till in range(TILLS)]])
    held, by_order = minutes(narrow)
    assert held == by_order
    at_risk = list_at_risk(house.context, narrow.caller)
    over = held[TUESDAY]["trousers"].minutes - 24
    assert (over > 0) == bool(at_risk)
    assert over <= sum(short.minutes for each in at_risk for short in each.shortages)
    promise_at_risk(house.context, narrow.caller, "tailor-1", "ill", from_reserve=True)
    held, by_order = minutes(narrow)
    assert held == by_order
    assert 24 >= held[TUESDAY]["trousers"].minutes
    assert () == list_at_risk(house.context, narrow.caller)


def test_numbers_are_unique_and_without_gaps_though_some_are_refused_between(house, narrow):
    at_once(
        house,
        [
            lambda context, till=till: [placed(context, narrow.caller, f"{till}-{n}") for n in range(3)]
            for till in range(TILLS)
        ],
    )
    numbers = sorted(int(order.number) for order in filed(narrow))
    assert list(range(1001, 1013)) == numbers


def test_two_tills_with_one_key_make_one_order(house, shop):
    first, second = at_once(house, [lambda context: placed(context, shop.caller, "one")] * 2)
    assert first == second
    assert [first["id"]] == [order.id for order in filed(shop)]


def test_many_tills_with_one_key_make_one_order_and_all_get_its_answer(house, shop):
    answers = at_once(house, [lambda context: placed(context, shop.caller, "one")] * TILLS)
    assert [answers[0]] * TILLS == answers
    assert 1 == len(filed(shop))


def test_placing_and_cancelling_at_once_never_stand_in_each_others_way(house, shop):
    def cancel(context, order):
        return move_order(context, shop.caller, order["id"], "cancelled", "tailor-1", reason="off").order.state

    def place_and_cancel(till):
        def run(context):
            mine = [placed(context, shop.caller, f"{till}-{n}") for n in range(5)]
            return [cancel(context, order) for order in mine[1:]]

        return run

    answers = at_once(house, [place_and_cancel(till) for till in range(TILLS)])
    assert [["cancelled"] * 4] * TILLS == answers
    days, by_order = minutes(shop)
    assert days == by_order
    assert TILLS * 20 == sum(on_trousers(by_order))


def test_one_order_is_moved_once_when_two_move_it_from_one_version(house, shop):
    order = placed(house.context, shop.caller, "k")

    def accept(context):
        try:
            return move_order(context, shop.caller, order["id"], "accepted", "tailor-1", version=1).version
        except Refusal as refusal:
            return refusal.code

    answers = at_once(house, [accept] * TILLS)
    assert sorted([2, *["version_stale"] * (TILLS - 1)], key=str) == sorted(answers, key=str)


class TillBroke(Exception):
    pass


def test_an_order_whose_answer_cannot_be_written_leaves_nothing(house, shop):
    def broken(_):
        raise TillBroke

    with pytest.raises(TillBroke):
        place_order(house.context, shop.caller, ASKED, IdempotentRequest("place", "k", "digest"), broken)
    assert ((), ({}, {})) == (filed(shop), minutes(shop))
    assert "1001" == placed(house.context, shop.caller, "k")["number"]


def test_a_move_that_is_refused_changes_nothing(house, shop):
    order = placed(house.context, shop.caller, "k")
    before = show_order(house.context, shop.caller, order["id"])
    with pytest.raises(Refusal, match="reason_missing"):
        move_order(house.context, shop.caller, order["id"], "cancelled", "tailor-1")
    assert before == show_order(house.context, shop.caller, order["id"])

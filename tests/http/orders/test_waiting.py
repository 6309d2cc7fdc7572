"""What is ready and not collected: listed after so many days, told once by an event, given up after the shop's rule."""

from service.use_cases.orders.waiting import remind_of_waiting
from tests.http.calendar.days import set_week
from tests.http.sheets import HEMMED, JACKET, JACKET_WAIST_IN, TO_READY, WAIST_IN, moved, moved_along, placed

RULE = {"remind_after_days": 14, "give_up_after_days": 90}
SIGNED = {"reason": "never collected", "decided_by": "fitter-1"}


def ready(staff):
    order = placed(staff)
    moved_along(staff, order["id"], *TO_READY)
    return order


def waiting(staff, **query):
    return [
        (each["number"], each["days"], each["reminded_at"] is not None)
        for each in staff.get("/v1/orders/waiting", query=query).body["orders"]
    ]


def told(staff):
    events = staff.get("/v1/events?limit=100").body["events"]
    return [each["data"]["number"] for each in events if each["type"].endswith("order.waiting")]


def test_what_waits_is_listed_after_the_shops_days_and_told_once(house, staff):
    assert 200 == set_week(staff, **RULE).status
    order = ready(staff)
    placed(staff)
    house.clock.advance(days=13)
    remind_of_waiting(house.context)
    assert ([], [(order["number"], 13, False)], []) == (waiting(staff), waiting(staff, days=13), told(staff))
    house.clock.advance(days=1)
    for _ in range(2):
        remind_of_waiting(house.context)
    assert ([(order["number"], 14, True)], [order["number"]]) == (waiting(staff), told(staff))


def test_without_a_rule_nothing_is_told_and_all_that_is_ready_is_listed(house, staff):
    order = ready(staff)
    house.clock.advance(days=40)
    remind_of_waiting(house.context)
    assert ([(order["number"], 40, False)], []) == (waiting(staff), told(staff))
    assert 200 == moved(staff, order["id"], "given_up", 6, **SIGNED).status


def test_an_order_is_given_up_only_so_long_after_its_customer_was_reminded(house, staff):
    assert 200 == set_week(staff, **RULE).status
    order = ready(staff)
    assert (409, "give_up_unreminded", ["/to"]) == moved(staff, order["id"], "given_up", 6, **SIGNED).problem
    house.clock.advance(days=14)
    remind_of_waiting(house.context)
    house.clock.advance(days=89)
    assert "give_up_too_soon" == moved(staff, order["id"], "given_up", 7, **SIGNED).problem[1]
    house.clock.advance(days=1)
    assert 200 == moved(staff, order["id"], "given_up", 7, **SIGNED).status


def test_what_is_done_again_waits_from_when_it_is_ready_again(house, staff):
    assert 200 == set_week(staff, **RULE).status
    order = ready(staff)
    house.clock.advance(days=14)
    remind_of_waiting(house.context)
    moved(staff, order["id"], "in_workroom", 7, reason="the hem is crooked")
    for version, (to, said) in enumerate(TO_READY[2:], start=8):
        assert 200 == moved(staff, order["id"], to, version, **said).status
    assert [] == waiting(staff)
    house.clock.advance(days=14)
    remind_of_waiting(house.context)
    assert [order["number"]] * 2 == told(staff)


def reminded(staff, order, version, **said):
    return staff.post(f"/v1/orders/{order['id']}/reminders", said, headers={"If-Match": f'"{version}"'})


def test_who_telephones_reminds_and_without_a_relay_it_is_given_up_so_long_after(house, staff):
    assert 200 == set_week(staff, **RULE).status
    order = ready(staff)
    house.clock.advance(days=30)
    told_it = reminded(staff, order, 6, by="fitter-2", note="by telephone: comes on Friday")
    assert 200 == told_it.status, told_it.body
    last = told_it.body["events"][-1]
    assert ("waiting", "fitter-2", "by telephone: comes on Friday", "2026-03-02") == (
        last["kind"], last["by"], last["note"], last["facts"]["ready_since"]
    )  # fmt: skip
    assert ([(order["number"], 30, True)], [order["number"]]) == (waiting(staff), told(staff))
    # The relay says nothing of what a person has said.
    remind_of_waiting(house.context)
    assert [order["number"]] == told(staff)
    house.clock.advance(days=89)
    assert (409, "give_up_too_soon", ["/to"]) == moved(staff, order["id"], "given_up", 7, **SIGNED).problem
    house.clock.advance(days=1)
    assert 200 == moved(staff, order["id"], "given_up", 7, **SIGNED).status


def test_nobody_is_reminded_of_what_the_house_still_works_on(house, staff):
    assert 200 == set_week(staff, **RULE).status
    order = placed(staff, garments=[HEMMED, JACKET], hems=[], lines=[WAIST_IN, JACKET_WAIST_IN])
    moved_along(staff, order["id"], *TO_READY[:2])
    for version, (to, said) in enumerate(TO_READY[2:], start=3):
        answer = moved(staff, order["id"], to, version, pieces=[1], **said)
        assert 200 == answer.status, answer.body
    house.clock.advance(days=30)
    remind_of_waiting(house.context)
    assert ([], []) == (waiting(staff), told(staff))
    assert (409, "not_waiting", [""]) == reminded(staff, order, 6, by="fitter-2").problem

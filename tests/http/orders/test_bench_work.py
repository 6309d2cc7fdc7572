"""Work that is given to tailors, begun, paused and ended at the bench."""

import threading
from concurrent.futures import ThreadPoolExecutor

import pytest

from service.storage.orders import tailors
from service.tailoring.workroom.tailors import tailor
from service.use_cases.calendar.tailors import TAILORS_MOST
from tests.http.sheets import HEMMED, IN_WORKROOM, JACKET, JACKET_WAIST_IN, WAIST_IN, inches, moved, moved_along, placed
from tests.waiting import PATIENCE_SECONDS

SUIT = {"garments": [HEMMED, JACKET], "hems": [], "lines": [WAIST_IN, JACKET_WAIST_IN]}
EVERYWHERE = ["trousers", "jackets", "finishing"]


def kept(client, ref="tailor-1", benches=("trousers", "jackets"), **more):
    answer = client.ask("PUT", f"/v1/tailors/{ref}", {"benches": list(benches), "minutes_a_day": 420, **more})
    assert 200 == answer.status, answer.body
    return ref


def at_bench(client, ref, do, ticket=None, **said):
    asked = {"do": do, **({"ticket": ticket} if ticket else {}), **said}
    return client.post(f"/v1/tailors/{ref}/work", asked)


def in_workroom(client, **sheet):
    order = placed(client, **(SUIT | sheet))
    moved_along(client, order["id"], *IN_WORKROOM)
    return order


def order_of(client, order):
    return client.get(f"/v1/orders/{order['id']}").body


def version_of(client, order):
    return client.get(f"/v1/orders/{order['id']}").headers["ETag"]


def line(order, number):
    return next(each for each in order["lines"] if each["number"] == number)


def test_minutes_taken_stand_beside_minutes_planned_on_line_piece_and_order(staff, clock):
    order, ref = in_workroom(staff), kept(staff)
    begun = at_bench(staff, ref, "begin", order["number"], number=1)
    assert (200, None, None, ref) == (
        begun.status,
        begun.body["put_down"],
        begun.body["spell"]["until"],
        begun.body["tailor"],
    )
    assert [ref] == line(order_of(staff, order), 1)["at_work"]
    clock.advance(minutes=20)
    at_bench(staff, ref, "pause")
    clock.advance(minutes=5)
    at_bench(staff, ref, "begin", order["number"], number=1)
    clock.advance(minutes=10)
    ended = at_bench(staff, ref, "end").body["spell"]
    assert ("ended", 10, 30) == (ended["ended"], ended["minutes"], ended["order_minutes_taken"])
    now = order_of(staff, order)
    assert now["minutes"] == sum(each["minutes"] for each in now["garments"])
    assert (30, 30, [30, 0]) == (
        now["minutes_taken"],
        line(now, 1)["minutes_taken"],
        [each["minutes_taken"] for each in now["garments"]],
    )
    assert [("paused", 20, 1), ("ended", 10, 1)] == [(e["ended"], e["minutes"], e["number"]) for e in now["spells"]]


def test_whoever_ended_work_has_sewn_it_and_does_not_check_it(staff, clock):
    order, ref = in_workroom(staff), kept(staff)
    at_bench(staff, ref, "begin", order["number"], piece=1)
    clock.advance(minutes=30)
    at_bench(staff, ref, "end")
    now = order_of(staff, order)
    assert ([ref], []) == (line(now, 1)["sewn_by"], line(now, 2)["sewn_by"])
    assert "noted" == now["events"][-1]["kind"]
    moved(
        staff, order["id"], "sewn", int(staff.get(f"/v1/orders/{order['id']}").headers["ETag"].strip('"')), pieces=[1]
    )
    version = staff.get(f"/v1/orders/{order['id']}").headers["ETag"]
    check = {"by": ref, "lines": [{"number": 1, "measured": inches("29 3/4")}]}
    own = staff.post(f"/v1/orders/{order['id']}/checks", check, headers={"If-Match": version})
    assert (409, "sewn_by_checker", ["/lines/0/number"]) == own.problem
    another = staff.post(f"/v1/orders/{order['id']}/checks", check | {"by": "fitter-2"}, headers={"If-Match": version})
    assert 200 == another.status


def test_a_tailor_has_one_thing_in_hand_and_beginning_another_pauses_it(staff, clock):
    first, second, ref = in_workroom(staff), in_workroom(staff), kept(staff)
    at_bench(staff, ref, "begin", first["number"], number=1)
    clock.advance(minutes=12)
    other = at_bench(staff, ref, "begin", second["number"], number=2).body
    assert ("paused", 12, first["number"]) == tuple(other["put_down"][each] for each in ("ended", "minutes", "ticket"))
    # To begin what is in hand already changes nothing.
    assert other["spell"] == at_bench(staff, ref, "begin", second["number"], number=2).body["spell"]
    # What was put down can be ended without taking it up again; the other stays in hand.
    done = at_bench(staff, ref, "end", first["number"], number=1).body["spell"]
    assert ("ended", 12) == (done["ended"], done["minutes"])
    assert [ref] == line(order_of(staff, second), 2)["at_work"]
    assert (409, "tailor_at_work", [""]) == staff.ask("DELETE", f"/v1/tailors/{ref}").problem


def test_two_may_work_at_one_line(staff, clock):
    order, first, second = in_workroom(staff), kept(staff), kept(staff, "tailor-2")
    at_bench(staff, first, "begin", order["number"], number=1)
    at_bench(staff, second, "begin", order["number"], number=1)
    clock.advance(minutes=10)
    at_bench(staff, first, "end")
    at_bench(staff, second, "pause")
    now = order_of(staff, order)
    assert (20, [first]) == (line(now, 1)["minutes_taken"], line(now, 1)["sewn_by"])


def test_a_tailor_who_is_scanned_at_six_benches_at_once_is_at_one(staff):
    orders, ref = [in_workroom(staff) for _ in range(6)], kept(staff)
    ready = threading.Barrier(len(orders))

    def scan(order):
        ready.wait(PATIENCE_SECONDS)
        return at_bench(staff, ref, "begin", order["number"], number=1).status

    with ThreadPoolExecutor(len(orders)) as pool:
        assert {200} == set(pool.map(scan, orders))
    spells = [each for order in orders for each in order_of(staff, order)["spells"]]
    assert (6, 1) == (len(spells), sum(each["until"] is None for each in spells))


@pytest.mark.parametrize(
    ("asked", "problem"),
    [
        ({"do": "begin"}, (422, "field_wrong", ["/ticket"])),
        ({"do": "begin", "ticket": "99"}, (422, "ticket_unknown", ["/ticket"])),
        ({"do": "begin", "ticket": "1001"}, (422, "piece_unsaid", ["/piece"])),
        ({"do": "begin", "ticket": "1001", "piece": 3}, (422, "piece_unknown", ["/piece"])),
        ({"do": "begin", "ticket": "1001", "number": 3}, (422, "line_unknown", ["/number"])),
        ({"do": "begin", "ticket": "1001", "number": 2}, (422, "tailor_at_other_bench", ["/number"])),
        ({"do": "begin", "ticket": "1001", "number": 1, "piece": 1}, (422, "field_wrong", ["/piece"])),
        ({"do": "pause"}, (409, "nothing_begun", [""])),
        ({"do": "end", "ticket": "1001", "number": 1}, (409, "nothing_begun", [""])),
        (
            {"do": "begin", "ticket": "1001", "number": 1, "at": "2031-01-01T09:00:00Z"},
            (422, "work_in_future", ["/at"]),
        ),
    ],
)
def test_what_cannot_be_is_refused_where_it_stands(staff, asked, problem):
    in_workroom(staff)
    kept(staff, benches=["trousers"])
    assert problem == staff.post("/v1/tailors/tailor-1/work", asked).problem


def test_work_begins_when_it_is_at_the_bench_and_a_sewn_piece_is_pressed(staff, clock):
    order, ref = placed(staff, **SUIT), kept(staff, benches=EVERYWHERE)
    early = at_bench(staff, ref, "begin", order["number"], number=1)
    assert (409, "no_work_there", [""]) == early.problem
    moved_along(staff, order["id"], *IN_WORKROOM, ("sewn", {}))
    pressing = at_bench(staff, ref, "begin", order["number"], piece=2).body["spell"]
    assert ("finishing", None) == (pressing["bench"], pressing["number"])
    clock.advance(minutes=8)
    at_bench(staff, ref, "end")
    now = order_of(staff, order)
    # Who presses has not sewn.
    assert ([0, 8], [[], []]) == (
        [each["minutes_taken"] for each in now["garments"]],
        [each["sewn_by"] for each in now["lines"]],
    )


def test_a_spell_left_open_over_midnight_is_closed_by_who_knows_when(staff, clock):
    order, ref = in_workroom(staff), kept(staff)
    since = at_bench(staff, ref, "begin", order["number"], number=1).body["spell"]["since"]
    clock.advance(days=1)
    for answer in (at_bench(staff, ref, "end"), at_bench(staff, ref, "begin", order["number"], number=2)):
        assert (409, "left_open_overnight", [""]) == answer.problem
        assert order["number"] in answer.body["detail"]
    early = at_bench(staff, ref, "pause", at="2026-03-01T09:00:00Z")
    assert (422, "ends_before_begun", ["/at"]) == early.problem
    paused = at_bench(staff, ref, "pause", at="2026-03-02T10:15:00Z").body["spell"]
    assert ("paused", 75) == (paused["ended"], paused["minutes"])
    overlapping = at_bench(staff, ref, "begin", order["number"], number=2, at=since)
    assert (422, "work_overlaps", ["/at"]) == overlapping.problem


def test_a_clock_that_was_set_back_takes_no_minutes(staff, clock):
    order, ref = in_workroom(staff), kept(staff)
    at_bench(staff, ref, "begin", order["number"], number=1)
    clock.advance(minutes=-30)
    assert 0 == at_bench(staff, ref, "end").body["spell"]["minutes"]


def assigned(client, order, **asked):
    version = client.get(f"/v1/orders/{order['id']}").headers["ETag"]
    return client.post(
        f"/v1/orders/{order['id']}/assignments", {"by": "fitter-1", **asked}, headers={"If-Match": version}
    )


def test_lines_and_pieces_are_given_to_tailors_and_a_lines_own_comes_first(staff):
    order = in_workroom(staff)
    kept(staff)
    kept(staff, "tailor-2", benches=["jackets"])
    kept(staff, "presser-1", benches=["finishing"])
    assigned(staff, order, tailor="tailor-1", pieces=[1, 2])
    assigned(staff, order, tailor="presser-1", pieces=[2])
    now = assigned(staff, order, tailor="tailor-2", lines=[2]).body
    assert ["tailor-1", "tailor-2"] == [line(now, number)["assigned_to"] for number in (1, 2)]
    assert [
        [{"bench": "trousers", "tailor": "tailor-1"}],
        [{"bench": "finishing", "tailor": "presser-1"}, {"bench": "jackets", "tailor": "tailor-1"}],
    ] == [sorted(each["assigned"], key=lambda it: it["bench"]) for each in now["garments"]]
    last = now["events"][-1]
    assert ("assigned", "fitter-1", "tailor-2") == (last["kind"], last["by"], last["facts"]["tailor"])
    # Taken back, the line is whose the piece is.
    assert "tailor-1" == line(assigned(staff, order, tailor=None, lines=[2]).body, 2)["assigned_to"]


@pytest.mark.parametrize(
    ("asked", "problem"),
    [
        ({"tailor": "tailor-9", "lines": [1]}, (422, "tailor_unknown", ["/tailor"])),
        ({"tailor": "tailor-1", "lines": [2]}, (422, "tailor_at_other_bench", ["/lines/0"])),
        ({"tailor": "tailor-1", "pieces": [2]}, (422, "tailor_at_other_bench", ["/pieces/0"])),
        ({"tailor": "tailor-1", "lines": [1, 9]}, (422, "line_unknown", ["/lines/1"])),
        ({"tailor": "tailor-1", "pieces": [9]}, (422, "piece_unknown", ["/pieces/0"])),
        ({"tailor": "tailor-1"}, (422, "field_wrong", ["/lines"])),
    ],
)
def test_work_is_given_to_who_does_such_work(staff, asked, problem):
    order = in_workroom(staff)
    kept(staff, benches=["trousers"])
    assert problem == assigned(staff, order, **asked).problem


def test_what_is_pressed_is_given_to_nobody(staff):
    order = in_workroom(staff)
    kept(staff)
    for to, said in (("sewn", {}), ("pressed", {"pins_out": 0})):
        moved(staff, order["id"], to, int(version_of(staff, order).strip('"')), **said)
    assert (409, "work_is_done", ["/lines/0"]) == assigned(staff, order, tailor="tailor-1", lines=[1]).problem


def test_a_shop_keeps_so_many_tailors(shop, staff):
    with shop.house.context.database.writing() as tx:
        for number in range(TAILORS_MOST):
            tailors.keep_tailor(tx, shop.id, tailor(f"tailor-{number}", ("trousers",), 420))
    one_more = {"benches": ["trousers"], "minutes_a_day": 400}
    assert (409, "tailors_too_many", [""]) == staff.ask("PUT", "/v1/tailors/tailor-one-more", one_more).problem
    tag = {"If-Match": staff.get("/v1/tailors/tailor-7").headers["ETag"]}
    assert 400 == staff.ask("PUT", "/v1/tailors/tailor-7", one_more, headers=tag).body["minutes_a_day"]


def test_two_who_change_a_tailor_at_once_undo_nothing(staff):
    made = staff.ask("PUT", "/v1/tailors/tailor-1", {"benches": ["trousers"], "minutes_a_day": 420})
    read = staff.get("/v1/tailors/tailor-1")
    assert made.headers["ETag"] == read.headers["ETag"]
    holiday = {"benches": ["trousers"], "minutes_a_day": 420, "days_off": ["2026-03-05"]}
    other = {"benches": ["trousers", "jackets"], "minutes_a_day": 420}
    assert (428, "version_missing") == staff.ask("PUT", "/v1/tailors/tailor-1", holiday).problem[:2]
    tag = {"If-Match": read.headers["ETag"]}
    assert 200 == staff.ask("PUT", "/v1/tailors/tailor-1", holiday, headers=tag).status
    assert (412, "version_stale") == staff.ask("PUT", "/v1/tailors/tailor-1", other, headers=tag).problem[:2]
    assert ["2026-03-05"] == staff.get("/v1/tailors/tailor-1").body["days_off"]
    # Of one who is not known, nobody has read a version.
    assert (412, "version_stale") == staff.ask("PUT", "/v1/tailors/tailor-9", other, headers=tag).problem[:2]


def test_a_tailors_day_off_moves_no_promise(staff):
    """Promises go by the benches' minutes; who is away is for the worklist, and the shop cuts the bench's day."""
    before = placed(staff)["promised_for"]
    staff.ask("PUT", "/v1/tailors/tailor-1", {"benches": ["trousers"], "minutes_a_day": 0, "days_off": [before]})
    assert before == placed(staff)["promised_for"]


def test_tailors_are_kept_and_listed_and_kept_no_more(staff, other_shop):
    kept(staff, "tailor-2", days_off=["2026-03-05", "2026-03-04"])
    kept(staff, "tailor-1")
    found = staff.get("/v1/tailors").body["tailors"]
    assert ["tailor-1", "tailor-2"] == [each["tailor"] for each in found]
    assert ["2026-03-04", "2026-03-05"] == staff.get("/v1/tailors/tailor-2").body["days_off"]
    assert [] == other_shop.staff.get("/v1/tailors").body["tailors"]
    left = staff.ask("DELETE", "/v1/tailors/tailor-2").body["tailors"]
    assert ["tailor-1"] == [each["tailor"] for each in left]
    assert (404, "not_found", [""]) == staff.get("/v1/tailors/tailor-2").problem

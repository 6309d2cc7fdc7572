"""Any sequence of what a workroom may do to an order, over HTTP: sums hold, no piece is lost."""

import random
from itertools import count

from service.storage import workroom
from service.tailoring.orders.order_states import STATES, standings
from tests.databases import one_quickly
from tests.days import MONDAY
from tests.http.sheets import HEMMED, JACKET, JACKET_WAIST_IN, WAIST_IN, inches
from tests.shops import new_shop

SHOULDER = {"alteration": "jacket_collar_lower", "amount": inches("3/8"), "basis": "length"}
SEAT = {"alteration": "trouser_seat_in", "amount": inches("1/2"), "basis": "girth"}
TROUSERS = HEMMED | {"hemmed": False, "pins_left_in": 2}
SUIT = {
    "garments": [TROUSERS, JACKET],
    "lines": [WAIST_IN, JACKET_WAIST_IN, SHOULDER],
    "hems": [{"pins": {"left": inches(30), "right": inches("30 1/4")}}],
    "customer_ref": "C-1",
    "by": "fitter-1",
}
LIVES, STEPS = 24, 20
OPERATIONS = {
    "moves", "line-changes", "bench-notes", "check", "assignments", "begin", "lay down", "amend", "promises",
    "reminders",
}  # fmt: skip
USUAL = ("accepted", "in_workroom", "sewn", "pressed", "ready")
TAILORS = ("tailor-1", "tailor-2")
SIZES = ("1/4", "1/2", "3/4", "1", "1 1/2")
# All that any move may need, so that only the state decides; the pins are counted as they are when it is sent.
SAID = {
    "tried_on": True, "reason": "as it is", "question": "go on?", "answer": "go on", "searched_by": "tailor-1",
    "where": "all rails", "decided_by": "fitter-1", "cloth_cut": False, "fitting_on": "2026-03-05",
}  # fmt: skip
PRICES = (
    {"kind": "waived"}, {"kind": "goodwill", "percent": 20}, {"kind": "discount", "minor": 300},
    {"kind": "override", "minor": 1000}, {"kind": "as_listed"},
)  # fmt: skip
NOTES = (
    {"is_sewn": True}, {"is_cut": True}, {"inlay_found": inches(1), "inlay_basis": "girth"}, {"cloth_left": inches(1)},
)  # fmt: skip


def a_change(chance, n):
    return chance.choice(
        [
            {"change": [{"number": n, "amount": inches(chance.choice(SIZES))}]},
            {"change": [{"number": n, "price": chance.choice(PRICES)}]},
            {"price": chance.choice(PRICES)},
            {"strike": [n]},
            {"add": [chance.choice([SEAT, SHOULDER, WAIST_IN])]},
            {"hems": [{"pins": {"left": inches(chance.choice([28, 29, "29 7/8", 31]))}}]},
        ]
    )


def a_step(chance):
    """One thing that somebody may do, mostly at its time."""
    n, tailor, laid = chance.randint(1, 6), chance.choice(TAILORS), chance.choice(["pause", "end"])
    pieces = chance.choice([[], [], [1], [2], [1, 2]])
    return chance.choice(
        [
            ("onward", chance.randint(0, 9), pieces),
            ("onward", chance.randint(0, 9), []),
            ("moves", {"to": chance.choice(STATES), "pieces": pieces}),
            ("line-changes", {"reason": "as asked", **a_change(chance, n)}),
            ("asked and answered", a_change(chance, n)),
            ("bench-notes", {"lines": [{"number": n, **chance.choice(NOTES)}], "by": "tailor-1"}),
            ("check", n, chance.choice([0, 0, 25])),
            ("assignments", {"tailor": tailor, "pieces": pieces or [1]}),
            ("begin", tailor, n),
            ("lay down", tailor, laid),
            ("work", tailor, n, laid),
            ("promises", {"reason": "a tailor is ill"}),
            ("reminders", {"note": "by telephone"}),
            ("amend", {"rush": chance.random() < 0.5, "note": chance.choice(["", "call"])}),
            ("later", chance.choice([1, 30])),
        ]
    )


class Lived:
    """A suit in a shop of its own, and what is done to it."""

    def __init__(self, house):
        house.clock.start_again()
        self.house, self.shop, self.keys, self.done = house, new_shop(house), count(), set()
        self.staff = self.shop.staff
        for tailor in TAILORS:
            known = {"benches": ["trousers", "jackets"], "minutes_a_day": 400}
            assert 200 == self.staff.ask("PUT", f"/v1/tailors/{tailor}", known).status
        made = self.staff.post("/v1/orders", SUIT, key="placed")
        assert 201 == made.status, made.body
        self.path = f"/v1/orders/{made.body['id']}"
        self.order, self.tag = made.body, made.headers["ETag"]
        self.read()

    def read(self):
        answer = self.staff.get(self.path)
        self.order, self.tag = answer.body, answer.headers["ETag"]

    def step(self, kind, *more):
        if kind == "later":
            self.house.clock.advance(hours=more[0])
            return
        if kind == "asked and answered":
            self.step("moves", {"to": "query", "pieces": []})
            self.step("line-changes", {"reason": "as asked", **more[0]})
            self.step("moves", {"to": "in_workroom", "pieces": []})
            return
        if kind == "work":
            self.step("begin", *more[:2])
            self.house.clock.advance(minutes=20)
            self.step("lay down", more[0], more[2])
            return
        before, tag = self.order, self.tag
        method, path, body = getattr(self, f"_{kind.replace(' ', '_')}", self._sent)(kind, *more)
        asked = {"headers": {"If-Match": tag} if "/tailors/" not in path else {}, "key": f"key-{next(self.keys)}"}
        answer = self.staff.ask(method, path, body, **asked)
        self.read()
        if answer.status >= 400:
            assert answer.status in {409, 422}, answer.body
            assert (before, tag) == (self.order, self.tag), (kind, more, answer.body)
            return
        self.done.add(kind if kind != "onward" else "moves")
        # Sent again it changes nothing, and is answered as before.
        again = self.staff.ask(method, path, body, **asked)
        assert (answer.status, answer.body) == (again.status, again.body)
        assert self.tag == self.staff.get(self.path).headers["ETag"]
        # What has happened has happened.
        assert before["events"] == self.order["events"][: len(before["events"])]

    def _sent(self, kind, body):
        if kind == "moves":
            return self._move(body["to"], body["pieces"])
        if kind == "bench-notes":
            body = {**body, "lines": [{**body["lines"][0], "number": self._known(body["lines"][0]["number"])}]}
        return "POST", f"{self.path}/{kind}", {"by": "fitter-1", **body}

    def _onward(self, _, n, pieces):
        """Where the order may go, the way through the workroom more often than not."""
        allowed = [to for each in self.order["garments"] for to in each["may_move_to"]]
        usual = [to for to in allowed if to not in {"cancelled", "lost", "query", "given_up", "written_off", "stored"}]
        chosen = usual if usual and n < 7 else allowed
        return self._move(chosen[n % len(chosen)] if chosen else "accepted", pieces)

    def _move(self, to, pieces):
        here = [each for each in self.order["garments"] if not pieces or each["piece"] in pieces]
        moving = [each for each in here if to in each["may_move_to"]] or here
        counted = {"pins_out": sum(each["pins_to_count"] for each in moving)} if to in {"pressed", "ready"} else {}
        return "POST", f"{self.path}/moves", {"to": to, "by": "tailor-1", "pieces": pieces, **SAID, **counted}

    def _check(self, _, n, off_mm):
        sewn = {each["piece"] for each in self.order["garments"] if each["state"] == "sewn"}
        lines = [each for each in self.order["lines"] if each["piece"] in sewn] or self.order["lines"]
        line = lines[n % len(lines)]
        n, target = line["number"], line["target"]
        found = {"measured": {"value": target["mm"] + off_mm, "unit": "mm"}} if target else {"is_right": not off_mm}
        return "POST", f"{self.path}/checks", {"by": "fitter-9", "lines": [{"number": n, **found}]}

    def _begin(self, _, who, n):
        return (
            "POST",
            f"/v1/tailors/{who}/work",
            {"do": "begin", "ticket": self.order["number"], "number": self._known(n)},
        )

    def _known(self, n):
        """The number of a line that there is, of a piece at the bench where one is."""
        there = {each["piece"] for each in self.order["garments"] if each["state"] == "in_workroom"}
        numbers = sorted(each["number"] for each in self.order["lines"] if not there or each["piece"] in there)
        return numbers[n % len(numbers)] if numbers else n

    def _lay_down(self, _, who, do):
        return "POST", f"/v1/tailors/{who}/work", {"do": do}

    def _amend(self, _, body):
        return "PATCH", self.path, {"by": "fitter-1", **body}

    # ---------------------------------------------------------------- what holds all the while

    def holds(self):
        order, lines = self.order, self.order["lines"]
        charges = self.staff.get(f"{self.path}/charges").body
        rush = sum(each["amount"]["minor"] for each in charges["charges"] if each["number"] is None)
        assert order["minutes"] == sum(line["minutes"] for line in lines)
        assert order["minutes_taken"] == sum(spell["minutes"] or 0 for spell in order["spells"])
        assert [1, 2] == [each["piece"] for each in order["garments"]]
        assert {line["piece"] for line in lines} <= {1, 2}
        assert len({line["id"] for line in lines}) == len(lines)
        assert list(range(1, len(lines) + 1)) == sorted(line["number"] for line in lines)
        charged = {each["piece"] for each in order["garments"] if standings()[each["state"]].charged}
        of_charged = sum(line["price"]["minor"] for line in lines if line["piece"] in charged)
        assert charges["total"]["minor"] == of_charged + rush
        if charged == {1, 2}:
            assert charges["total"] == order["total"]
        assert charges["to_pay"]["minor"] == charges["deposit"]["minor"] + charges["balance"]["minor"]
        self._each_piece_is_where_its_last_move_took_it()
        self._no_line_went_without_a_word()
        with self.house.context.database.reading() as tx:
            held, _ = workroom.days_from(tx, self.shop.id, MONDAY)
            assert held == workroom.booked_by_order(tx, self.shop.id, MONDAY)

    def _each_piece_is_where_its_last_move_took_it(self):
        where = {1: "marked", 2: "marked"}
        for event in self.order["events"]:
            if event["kind"] == "moved":
                where |= dict.fromkeys(event["facts"].get("pieces") or (1, 2), event["to"])
        assert where == {each["piece"]: each["state"] for each in self.order["garments"]}

    def _no_line_went_without_a_word(self):
        """The ids of the first day, with those that were added and without those struck, are the ids of today."""
        ids = set(range(1, 6))
        for change in self.order["line_changes"]:
            assert (change["kind"] == "added") == (change["id"] not in ids)
            ids = ids - {change["id"]} if change["kind"] == "struck" else ids | {change["id"]}
        assert ids == {line["id"] for line in self.order["lines"]}


@one_quickly()
def test_whatever_is_done_to_an_order_sums_hold_and_no_piece_is_lost(house):
    reached, done = set(), set()
    for seed in range(LIVES):
        chance, lived = random.Random(seed), Lived(house)
        lived.holds()
        # Some are drawn early in their life, some late.
        begun = [("moves", {"to": to, "pieces": []}) for to in USUAL[: seed % (len(USUAL) + 1)]]
        for step in [*begun, *(a_step(chance) for _ in range(STEPS))]:
            lived.step(*step)
            lived.holds()
            reached.update(each["state"] for each in lived.order["garments"])
        done.update(lived.done)
        paper = lived.staff.get(f"{lived.path}/ticket", headers={"Accept": "text/plain"})
        assert 200 == paper.status
        assert max(map(len, paper.body.splitlines())) <= 42
    # It would prove little if orders had not gone far, and everything had not been done at least once.
    assert reached >= {*USUAL, "query", "collected"}
    assert done >= OPERATIONS

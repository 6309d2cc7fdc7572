"""The whole life of orders against a small model: whatever is done in whatever order, both say the same."""

from dataclasses import dataclass
from datetime import timedelta
from itertools import count

from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    consumes,
    invariant,
    multiple,
    rule,
    run_state_machine_as_test,
)

from service.storage import shops, workroom
from service.tailoring.garments.alterations import BENCHES
from service.tailoring.garments.amounts import Amount
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.orders.lines.order_lines import LineAsked
from service.tailoring.orders.order_states import STATES, moves, standings
from service.tailoring.orders.sheets.order_sheets import SheetAsked
from service.tailoring.quantities import Length
from service.tailoring.refusals import Refusal
from service.tailoring.workroom.calendar import Calendar, KeptDay
from service.tailoring.workroom.placing import GroupAsked, OrderAsked
from service.tailoring.workroom.weeks import Week
from service.use_cases.calendar.workroom import list_at_risk, promise_at_risk, set_day
from service.use_cases.idempotency import IdempotentRequest
from service.use_cases.orders.order_changes import amend_order, move_order, promise_order
from service.use_cases.orders.order_groups import place_group
from service.use_cases.orders.orders import place_order, show_order
from tests.databases import one_quickly
from tests.days import MONDAY
from tests.shops import new_shop

HEM = LineAsked(1, "trouser_hem", Amount(Length(50.8), "length", "decrease", "both"), marked_with="pins")
WAIST = LineAsked(1, "jacket_waist_in", Amount(Length(25.4), "girth", "decrease"))
COLLAR = LineAsked(1, "jacket_collar_lower", Amount(Length(9.525), "length", "decrease"))
SHEETS = {
    "hem": ((GarmentPiece(1, "trousers"),), (HEM,)),
    "waist": ((GarmentPiece(1, "jacket"),), (WAIST,)),
    "collar": ((GarmentPiece(1, "jacket"),), (COLLAR,)),
}
# Narrow enough that days fill up, are cut below what is booked, and run out.
WEEK = Week(
    minutes=({"trousers": 60, "jackets": 120, "finishing": 90},) * 7,
    skilled=({"jackets": 60},) * 7,
    fill_percent=70,
    horizon_days=12,
)
ONWARD = ("accepted", "in_workroom", "sewn", "pressed", "ready", "collected")
# What the calendar alone decides; the model does not book.
FULL = {"no_free_day", "needed_by_too_early"}
# Everything that any move may need, so that only the table decides.
SAID = {
    "pins_out": 0,
    "tried_on": True,
    "reason": "as it is",
    "cloth_cut": False,
    "question": "go on?",
    "answer": "go on",
    "searched_by": "tailor-1",
    "where": "all rails",
    "decided_by": "fitter-1",
}


def outcome(run):
    """What a use case gives, and the code that it is refused with."""
    try:
        return run(), None
    except Refusal as refusal:
        return None, refusal.code


@dataclass
class Modelled:
    """An order as the model has it."""

    state: str = "marked"
    was_sewn: bool = False
    is_sewn: bool = False
    events: int = 1


class Life(RuleBasedStateMachine):
    """Orders of a shop, and the model of them."""

    orders = Bundle("orders")

    def __init__(self, house):
        super().__init__()
        house.clock.start_again()
        self.context, self.clock = house.context, house.clock
        self.shop = new_shop(house, week=WEEK)
        self.caller = self.shop.caller
        self.model, self.cut, self.keys = {}, set(), count()

    # ---------------------------------------------------------------- what is done

    def _asked(self, kind, *, rush=False):
        return OrderAsked(SheetAsked(*SHEETS[kind], rush=rush, add_follow_ons=False), marked_by="fitter-1")

    def _filed(self, order_id):
        return show_order(self.context, self.caller, order_id)

    @rule(target=orders, kind=st.sampled_from(sorted(SHEETS)), rush=st.booleans())
    def place(self, kind, rush):
        idempotent = IdempotentRequest("place", f"key-{next(self.keys)}", "digest")

        def placed():
            asked = self._asked(kind, rush=rush)
            answer = place_order(self.context, self.caller, asked, idempotent, lambda made: {"id": made.filed.id})
            return answer.document["id"]

        order_id, refused = outcome(placed)
        if refused:
            assert refused in FULL
            return multiple()
        # A retry is answered with the same order, and makes none.
        assert order_id == placed()
        self.model[order_id] = Modelled()
        return order_id

    @rule(target=orders, kinds=st.lists(st.sampled_from(sorted(SHEETS)), min_size=2, max_size=3))
    def place_together(self, kinds):
        asked = GroupAsked(tuple(self._asked(kind) for kind in kinds), "fitter-1")
        idempotent = IdempotentRequest("group", f"key-{next(self.keys)}", "digest")

        def document(placed):
            found = placed.filed.orders
            assert 1 == len({each.order.promised_for for each in found})
            return {"ids": [each.id for each in found]}

        made, refused = outcome(
            lambda: place_group(self.context, self.caller, asked, idempotent, document).document["ids"]
        )
        if refused:
            assert refused in FULL
            return multiple()
        self.model |= {order_id: Modelled() for order_id in made}
        return multiple(*made)

    @rule(order_id=orders, way=st.integers(0, 3), days=st.integers(0, 5))
    def move(self, order_id, way, days):
        mine = self.model[order_id]
        legal = self._legal(mine)
        if not legal:
            return
        # Onward more often than not, so that orders grow old.
        since = ONWARD.index(mine.state) if mine.state in ONWARD else -1
        onward = [to for to in ONWARD[since + 1 :] if to in legal]
        to = onward[-1] if onward and way < 2 else legal[way % len(legal)]
        fitting = (self.clock.now().date() + timedelta(days=days)).isoformat()
        said = SAID | ({"fitting_on": fitting} if to == "basted_for_fitting" else {})
        filed, refused = outcome(lambda: move_order(self.context, self.caller, order_id, to, "tailor-1", **said))
        if refused:
            assert refused in FULL
            return
        assert to == filed.order.state
        redone = to == "in_workroom" and moves()[mine.state, to].kind == "redo"
        mine.is_sewn = (mine.is_sewn and not redone) or to == "sewn"
        mine.state, mine.was_sewn = to, mine.was_sewn or to == "sewn"

    @rule(order_id=orders, steps=st.integers(2, 6), days=st.integers(0, 2))
    def move_along(self, order_id, steps, days):
        for _ in range(steps):
            self.move(order_id, 0, days)

    @rule(order_id=orders, to=st.sampled_from(STATES))
    def move_where_no_way_leads(self, order_id, to):
        if to not in self._legal(self.model[order_id]):
            _, refused = outcome(lambda: move_order(self.context, self.caller, order_id, to, "tailor-1", **SAID))
            assert "move_not_allowed" == refused

    def _legal(self, mine):
        ways = [to for start, to in moves() if start == mine.state]
        # What is found is as far as it was when it was lost.
        elsewhere = ("in_workroom" if mine.is_sewn else "sewn") if mine.state == "lost" else None
        return [to for to in ways if to != elsewhere and not (to == "cancelled" and mine.was_sewn)]

    @rule(order_id=orders)
    def move_by_a_stale_version(self, order_id):
        before = self._filed(order_id)
        stale = before.version + 1
        _, refused = outcome(
            lambda: move_order(self.context, self.caller, order_id, "cancelled", "tailor-1", version=stale, **SAID)
        )
        assert "version_stale" == refused
        assert before == self._filed(order_id)

    @rule(order_id=orders, kind=st.sampled_from(sorted(SHEETS)), rush=st.booleans(), note=st.sampled_from(["", "call"]))
    def amend(self, order_id, kind, rush, note):
        before, (garments, lines) = self._filed(order_id), SHEETS[kind]
        asked = {"garments": garments, "lines": lines, "rush": rush, "note": note}
        begun = not standings()[self.model[order_id].state].amend
        after, refused = outcome(
            lambda: amend_order(self.context, self.caller, order_id, asked, "fitter-1", version=before.version).filed
        )
        if refused:
            assert refused == "amendment_too_late" if begun else refused in FULL
            assert before == self._filed(order_id)
            return
        assert not begun
        assert [line.alteration for line in lines] == [line.alteration for line in after.order.lines]
        assert (rush, note) == (after.order.rush, after.order.note)

    @rule(order_id=orders, from_reserve=st.booleans())
    def promise_anew(self, order_id, from_reserve):
        before = self._filed(order_id)
        done = standings()[self.model[order_id].state].ahead == "nothing"
        said = {"from_reserve": from_reserve, "version": before.version}
        _, refused = outcome(lambda: promise_order(self.context, self.caller, order_id, "tailor-1", "late", **said))
        if refused:
            assert refused == "nothing_to_promise" if done else refused in FULL
            assert before == self._filed(order_id)
            return
        assert not done

    @rule(ahead=st.integers(0, 6), minutes=st.sampled_from([0, 30, 200]))
    def set_a_day(self, ahead, minutes):
        on = self.clock.now().date() + timedelta(days=ahead)
        with self.context.database.reading() as tx:
            version = shops.find_shop(tx, self.shop.id).week_version
        set_day(self.context, self.caller, on, KeptDay(dict.fromkeys(BENCHES, minutes), {}, "so"), version)
        self.cut.add(on)

    @rule(from_reserve=st.booleans())
    def promise_those_at_risk(self, from_reserve):
        _, refused = outcome(
            lambda: promise_at_risk(self.context, self.caller, "tailor-1", "ill", from_reserve=from_reserve)
        )
        if refused:
            assert refused in FULL
            return
        assert () == list_at_risk(self.context, self.caller)

    @rule()
    def go_home_for_the_day(self):
        self.clock.advance(days=1)

    @rule(order_id=consumes(orders))
    def forget_about_one(self, order_id):
        """It goes on existing; nobody touches it any more."""

    # ---------------------------------------------------------------- what holds all the while

    @invariant()
    def the_house_agrees(self):
        # Read once for all three: most of what this test takes is reading orders.
        house = {order_id: self._filed(order_id) for order_id in self.model}
        self._orders_stand_where_the_model_has_them(house)
        self._numbers_are_given_once(house)
        self._no_minute_is_booked_twice_and_none_is_held_for_nothing(house)

    def _orders_stand_where_the_model_has_them(self, house):
        for order_id, mine in self.model.items():
            filed = house[order_id]
            assert mine.state == filed.order.state
            # Every change is an event, and no event is lost.
            assert filed.version == len(filed.order.events) >= mine.events
            mine.events = filed.version
            assert filed.order.state == filed.order.events[-1].to_state

    def _numbers_are_given_once(self, house):
        numbers = [filed.order.number for filed in house.values()]
        assert len(set(numbers)) == len(numbers)

    def _no_minute_is_booked_twice_and_none_is_held_for_nothing(self, house):
        today = self.clock.now().date()
        with self.context.database.reading() as tx:
            held, kept = workroom.days_from(tx, self.shop.id, MONDAY)
            assert held == workroom.booked_by_order(tx, self.shop.id, MONDAY)
            taken = {order_id: workroom.bookings_of(tx, order_id) for order_id in self.model}
        calendar = Calendar(WEEK, kept, {}, held)
        over = {on for on in held if any(bench.short for bench in calendar.day(on).benches.values())}
        assert over <= self.cut
        for order_id, mine in taken.items():
            order = house[order_id].order
            ahead = [each.date for each in mine if each.date > today]
            if order.ahead == "nothing":
                assert [] == ahead
            elif ahead:
                assert max(ahead) <= order.promised_for


@one_quickly()
def test_whatever_happens_to_orders_the_model_and_the_house_agree(house):
    chosen = settings(
        max_examples=20,
        stateful_step_count=25,
        suppress_health_check=list(HealthCheck),
        print_blob=False,
        # A failure is shown as it was found: shrinking it would take minutes.
        phases=(Phase.generate,),
    )
    run_state_machine_as_test(lambda: Life(house), settings=chosen)

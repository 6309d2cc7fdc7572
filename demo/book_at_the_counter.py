"""The other six of the book's twelve orders: prices, what was bought elsewhere, a party, what waits, what is lost."""

# ruff: noqa: INP001  a script of the demo, and printing is its purpose

from __future__ import annotations

from typing import Any

from asking import FITTER, Counter, heading, inches, money, new_key
from book_of_a_day import TROUSERS, amount, pins
from one_order import JACKETS_HAND, OneOrder, brief, refused, standing


def a_price_with_its_reason(counter: Counter) -> None:
    """Goodwill, a discount, nothing at all: the list's price stays beside it."""
    sheet = {"garments": [TROUSERS], "lines": [amount("trouser_waist_in", "1")], "hems": pins("31", "31"),
             "customer_ref": "customer-3007"}  # fmt: skip
    order = OneOrder.placed(counter, "Order 7: the price", "A regular customer; one line is on the house.", sheet)
    listed = order.document["total"]["minor"]
    waist, *legs = (each["number"] for each in sorted(order.document["lines"], key=lambda each: each["number"]))
    waived = [{"number": leg, "price": {"kind": "waived"}} for leg in legs]
    goodwill = {"number": waist, "price": {"kind": "goodwill", "percent": 20}}
    order.say("/line-changes", {"by": FITTER, "reason": "promised at the sale", "change": [*waived, goodwill]})
    charged = order.charged()
    reasons = {each["number"]: each["price_reason"] and each["price_reason"]["kind"] for each in charged["charges"]}
    right = {**dict.fromkeys(legs, "waived"), waist: "goodwill"}
    counter.check(reasons == right, "charges say which", charged, "charges say why")
    kept = sum((each["list_amount"] or each["amount"])["minor"] for each in charged["charges"])
    counter.check(kept == listed, "the list price beside it", charged, "and the list's prices stay beside them")
    order.say("/line-changes", {"by": FITTER, "reason": "the family's third suit", "price": {
        "kind": "discount", "percent": 10}})  # fmt: skip
    tax = order.charged()["taxes"][0]
    counter.check(tax["percent"] == 23, "the tax by its rate", tax, f"of which tax {money(tax['tax'])}")  # noqa: PLR2004
    order.begun()
    order.sewn()
    order.finished()
    order.collected()


def bought_elsewhere(counter: Counter) -> None:
    """No chart, no label: what the piece measures, what is wrong with it already, what must stay."""
    coat = {
        "garment": "jacket", "cloth": "brown tweed", "style": "their grandfather's", "pattern": "check",
        "repeat": inches("2"), "faults_seen": "moth at the left cuff", "must_keep": "the lining",
        "measures_on_piece": [{"place": "waist", "size": inches("42")}], "photos": ["their-coat/front.jpg"],
    }  # fmt: skip
    sheet = {"garments": [coat], "lines": [amount("jacket_waist_in", "1")], "customer_ref": "customer-3008"}
    order = OneOrder.placed(counter, "Order 8: bought elsewhere", "Half is paid down: nobody else would buy it.", sheet)
    order.ticket("moth at the left cuff", "the lining", "TO 41 in", "1 with the order")
    charged = order.charged()
    half = charged["deposit"]["minor"] * 2
    counter.check(abs(half - charged["to_pay"]["minor"]) <= 100, "half of it", charged, "half is paid down")  # noqa: PLR2004
    amended = {"by": FITTER, "reason": "telephone first", "note": "ring before it is cut"}
    order.say("", amended, method="PATCH")
    weak = f"W/{order.etag}"
    move = {"to": "accepted", "by": FITTER}
    once = {**new_key(), "If-Match": weak}
    first = brief(counter, f"POST {order.path}/moves", move, headers=once, say=standing)
    again = brief(counter, f"POST {order.path}/moves", move, headers=once, say=standing)
    counter.check(again.document == first.document, "the same answer", again.document, "sent twice, moved once")
    order.read()
    order.move("in_workroom", JACKETS_HAND)
    order.sewn()
    order.finished()
    order.collected()


def a_party(counter: Counter) -> None:
    """Two, then three; one changes size, one leaves; one promise for all, and one sheet."""
    heading("Orders 9, 10 and 11: a party", "Two are measured today, the third tomorrow; one has another size by then.")

    def person(ref: str, label: str) -> dict[str, Any]:
        return {"customer_ref": ref, "garments": [{**TROUSERS, "label": label}], "hems": pins("31", "31")}

    body = {"group_ref": "party-12", "by": FITTER, "orders": [person("guest-1", "32"), person("guest-2", "34")]}
    group = brief(counter, "POST /v1/order-groups", body, gives=201, headers=new_key(), say=_of_the_group).document
    path = f"/v1/order-groups/{group['id']}"
    third = {**person("guest-3", "36"), "by": FITTER}
    brief(counter, f"POST {path}/members", third, gives=201, headers=new_key())
    group = brief(counter, f"GET {path}", say=_of_the_group).document
    days = {each["promised_for"] for each in group["orders"]}
    counter.check(len(days) == 1, "one promise", days, "one day for all three")
    first, second, last = (_known(counter, each) for each in group["orders"])
    second.say("", {"by": FITTER, "reason": "another size", "garments": [{**TROUSERS, "label": "36"}],
                    "hems": pins("31", "31")}, method="PATCH")  # fmt: skip
    sheet = brief(counter, f"GET {path}/sheet", headers={"Accept": "text/plain"}).text
    counter.check(all(each in sheet for each in ("guest-1", "guest-2", "guest-3")), "everybody", sheet, "one sheet")
    left = {"by": FITTER, "reason": "is ill"}
    brief(counter, f"DELETE {path}/members/{last.document['id']}", left, headers={"If-Match": last.etag, **new_key()})
    last.read()
    last.move("cancelled", FITTER, reason="is ill")
    for order in (first, second):
        order.read()
        order.ticket("party-12", order.document["customer_ref"])
        order.begun()
        order.sewn()
        order.finished()
    done = brief(counter, f"GET {path}", say=_of_the_group).document
    counter.check(done["ready"], "all of it ready", done, "all of it may be collected")
    for order in (first, second):
        order.collected()


def what_waits_and_what_is_lost(counter: Counter) -> None:
    """A rush that is not collected, put away, lost, found; nothing is given up before the shop's rule lets it."""
    sheet = {"garments": [TROUSERS], "hems": pins("30", "30"), "rush": True, "customer_ref": "customer-3012"}
    order = OneOrder.placed(counter, "Order 12: a rush that nobody fetches", "Sewn before all others.", sheet)
    codes = [each["alteration"] for each in order.charged()["charges"]]
    counter.check(None in codes, "the rush is charged", codes, "the haste has a line of its own")
    order.begun()
    order.sewn()
    order.finished()
    waiting = brief(counter, "GET /v1/orders/waiting?days=0", say=lambda it: f"{len(it['orders'])} wait")
    numbers = [each["number"] for each in waiting.document["orders"]]
    counter.check(order.document["number"] in numbers, "it waits", numbers, "it waits for its customer")
    order.move("stored", FITTER, where="rail 3")
    early = order.move("given_up", FITTER, reason="no answer", decided_by="owner-1", gives=409)
    refused(counter, early, "give_up_unreminded", "not before anybody reminded the customer")
    order.say("/reminders", {"by": FITTER, "note": "by telephone"})
    early = order.move("given_up", FITTER, reason="no answer", decided_by="owner-1", gives=409)
    refused(counter, early, "give_up_too_soon", "not before the shop's rule")
    order.move("lost", FITTER, searched_by="fitter-1", where="rail 3, the press, the window")
    order.move("sewn", FITTER, where="in the window after all")
    order.checked({1})
    order.finished()
    order.collected()
    history = brief(counter, "GET /v1/customers/customer-3012/history", say=lambda it: f"{len(it['entries'])} entries")
    counter.check(order.document["number"] in history.text, "the history", history.text, "all of it in their history")


def the_book_is_closed(counter: Counter, orders: int) -> None:
    """Every order of the book is over, and none is left on a bench."""
    heading("The book is closed", "Every one was collected, but for the guest who left.")
    found = brief(counter, f"GET /v1/orders?limit={orders}").document["orders"]
    states = [each["state"] for each in found]
    right = states.count("collected") == orders - 1 and states.count("cancelled") == 1
    counter.check(right, f"{orders - 1} collected, 1 cancelled", states, ", ".join(each["number"] for each in found))


def _known(counter: Counter, row: dict[str, Any]) -> OneOrder:
    answer = brief(counter, f"GET /v1/orders/{row['id']}", say=standing)
    return OneOrder(counter, answer.document, answer.etag)


def _of_the_group(group: dict[str, Any]) -> str:
    return f"{len(group['orders'])} orders, all promised for {group['promised_for']}"

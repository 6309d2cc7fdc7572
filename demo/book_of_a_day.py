"""The book of a day: twelve orders of the workroom, from marking to collection. Here what the benches do with six."""

# ruff: noqa: INP001  a script of the demo, and printing is its purpose

from __future__ import annotations

from typing import Any

from asking import FITTER, Counter, heading, inches, new_key
from one_order import CHECKER, JACKETS_HAND, PRESSER, TROUSERS_HAND, OneOrder, brief, refused

DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday")
JACKET = {"garment": "jacket", "chart": "everyday", "label": "40R", "cloth": "navy worsted", "pins_left_in": 2}
TROUSERS = {"garment": "trousers", "chart": "everyday", "label": "34", "cloth": "navy worsted", "pins_left_in": 4}


def pins(left: str, right: str, **more: Any) -> list[dict[str, Any]]:  # noqa: ANN401  JSON
    """A hem with a pin for each leg."""
    return [{"pins": {"left": inches(left), "right": inches(right)}, **more}]


def amount(alteration: str, value: str, basis: str = "girth", **more: Any) -> dict[str, Any]:  # noqa: ANN401  JSON
    """A line with its amount."""
    return {"alteration": alteration, "amount": inches(value), "basis": basis, **more}


def open_the_workroom(counter: Counter) -> None:
    """The week with its hours, who works at which bench, prices with their tax and deposit."""
    heading(
        "The workroom's week",
        "Open six days, cut-off at 16:00, collection from 15:00; what waits a week is reminded of, and given up after "
        "ninety days more. Three tailors and a presser. Half is paid down on what was bought elsewhere.",
    )
    week = brief(counter, "GET /v1/workroom/week")
    hours = [{"weekday": day, "opens": "09:00", "closes": "18:00", "collect_from": "15:00"} for day in DAYS]
    wanted = {"opening": hours, "cut_off": "16:00", "remind_after_days": 7, "give_up_after_days": 90}
    told = "{… the week as it was, with opening, cut_off, remind_after_days and give_up_after_days …}"
    changed = {**week.document, **wanted}
    brief(counter, "PUT /v1/workroom/week", changed, who="owner", headers={"If-Match": week.etag}, told=told)
    for tailor, benches in (
        (TROUSERS_HAND, ["trousers"]),
        (JACKETS_HAND, ["jackets"]),
        (CHECKER, ["jackets", "trousers"]),
        (PRESSER, ["finishing"]),
    ):
        known = {"benches": benches, "minutes_a_day": 360}
        brief(counter, f"PUT /v1/tailors/{tailor}", known, headers=new_key())
    kept = brief(counter, "GET /v1/price-list", who="till")
    told = "{… the list as it was, with tax included at 23 %, a rush half as dear again, half down where brought in …}"
    prices = {name: each for name, each in kept.document.items() if name != "prices"}
    prices |= {"prices_include_tax": True, "rush_percent": 50, "deposit_percent_brought_in": 50}
    prices["tax_rates"] = [{"category": prices["tax_category"], "percent": 23}]
    brief(counter, "PUT /v1/price-list", prices, who="owner", headers={"If-Match": kept.etag}, told=told)


def a_suit_all_the_way(counter: Counter) -> None:
    """From the mirror, in the customer's own shoes, to the tailors, a second tape, the press and the door."""
    check = {
        "worn": {"jacket": {"chart": "everyday", "label": "40R"}, "trousers": {"chart": "everyday", "label": "34"}},
        "observations": [
            {"point": "front_closure", "spare": inches("1")},
            {"point": "jacket_cuff", "side": "left", "spare": inches("1/2")},
            {"point": "jacket_cuff", "side": "right", "spare": inches("3/8")},
            {"point": "button_rays", "seen": "rays_level"},
            {"point": "trouser_waist", "spare": inches("1")},
        ],
        "dressed": {
            "shoes": "own", "heel": inches("1 1/4"), "shirt_cuff": "double", "held_up_by": "braces", "pockets": "full",
        },
        "charts": ["everyday"],
        "limit": 1,
    }  # fmt: skip
    heading("Order 1: a suit, on braces, over full pockets", "Creases from the button may be what is in the pockets.")
    found = brief(counter, "POST /v1/fit-checks", check, gives=201, say=lambda it: it["decision"]).document
    left = [each["point"] for each in found["left_to_fitter"] if each["look_again"]]
    counter.check(left == ["button_rays"], "the creases are looked at again", left, "full pockets: looked at again")
    again = {**check, "dressed": {**check["dressed"], "pockets": "empty"}}  # type: ignore[dict-item]
    again["observations"] = [each for each in check["observations"] if each["point"] != "button_rays"]  # type: ignore[index]
    found = brief(counter, "POST /v1/fit-checks", again, gives=201, say=lambda it: it["decision"]).document
    order = OneOrder.placed(
        counter,
        "It is ordered",
        "The band hangs right on braces; the waist and both cuffs are marked, each to its own.",
        {"from_fit_check": found["id"], "garments": [JACKET, TROUSERS], "hems": pins("31 1/2", "31 1/4"),
         "customer_ref": "customer-3001", "sale_ref": "sale-9001"},
    )  # fmt: skip
    order.begun()
    order.ticket("LEFT", "RIGHT", "sides differ", "own shoes, heel 1 1/4 in; on braces", "double cuff")
    order.say("/assignments", {"by": FITTER, "tailor": JACKETS_HAND, "pieces": [1]})
    order.say("/assignments", {"by": FITTER, "tailor": TROUSERS_HAND, "pieces": [2]})
    waist = order.line("jacket_waist_in")
    scanned = {"ticket": order.document["number"], "number": waist["number"]}
    work = f"POST /v1/tailors/{JACKETS_HAND}/work"
    for doing in ({"do": "begin", **scanned}, {"do": "pause"}, {"do": "begin", **scanned}, {"do": "end"}):
        brief(counter, work, doing, headers=new_key(), say=lambda it: f"{it['tailor']}: {it['spell']['ended'] or 'on'}")
    day = order.document["promised_for"]
    cards = brief(counter, f"GET /v1/workroom/worklist?tailor={TROUSERS_HAND}&day={day}").document
    mine = [job["number"] for bench in cards["benches"] for job in bench["jobs"]]
    counter.check(order.document["number"] in mine, "a card of it", cards, "the trousers hand sees what is theirs")
    order.read()
    order.say("/bench-notes", {"by": TROUSERS_HAND, "lines": [
        {"number": each["number"], "is_cut": True} for each in order.document["lines"] if each["cut"]]})  # fmt: skip
    order.move("sewn", JACKETS_HAND)
    right = {"number": waist["number"], "measured": {"value": waist["target"]["mm"], "unit": "mm"}}
    own = order.say("/checks", {"by": JACKETS_HAND, "lines": [right]}, gives=409)
    refused(counter, own, "sewn_by_checker", "whoever sewed it does not measure it")
    off = {**right, "measured": {"value": waist["target"]["mm"] + 20, "unit": "mm"}}
    order.say("/checks", {"by": CHECKER, "lines": [off]})
    counter.check(order.state == "in_workroom", "back at the bench", order.state, "20 mm off: it goes back, free")
    order.sewn([1])
    order.checked({2})
    order.finished()
    order.collected()


def a_query_answered(counter: Counter) -> None:
    """The bench asks, the answer changes the amount, and the paper says which one holds."""
    sheet = {"garments": [JACKET], "lines": [amount("jacket_waist_in", "3/4", marked_with="pins")]}
    order = OneOrder.placed(counter, "Order 2: a question", "The bench finds the vent drawn by so much.", sheet)
    order.begun()
    price = order.document["total"]["minor"]
    order.move("query", JACKETS_HAND, question="3/4 in draws the vent. Less?")
    edit = {"number": 1, "amount": inches("1/2"), "marked_with": "chalk"}
    order.move("in_workroom", FITTER, answer="1/2 in", line_changes={"change": [edit]})
    order.ticket("before: −3/4 in", "−1/2 in", "asked: 3/4 in draws the vent. Less? Answered: 1/2 in")
    change = order.document["line_changes"][-1]
    same = (change["before"]["amount"]["text"], change["after"]["amount"]["text"])
    counter.check(same == ("3/4 in", "1/2 in"), "the change is kept", change, "who, why, before and after are kept")
    counter.check(order.document["total"]["minor"] == price, "the same price", order.document["total"])
    order.sewn()
    order.finished()
    order.collected()


def a_second_fitting(counter: Counter) -> None:
    """Basted, tried on, pinned again; a line is added and one struck."""
    sheet = {
        "garments": [JACKET, TROUSERS],
        "lines": [{"alteration": "jacket_collar_shorten", "amount": inches("1/2"), "basis": "length"},
                  amount("trouser_waist_in", "1")],
        "hems": pins("31", "31"),
    }  # fmt: skip
    words = "A collar is fitted before it is closed: the promise has a day for it."
    order = OneOrder.placed(counter, "Order 3: baste and fit", words, sheet)
    planned = order.document["planned_fittings"]
    counter.check([each["piece"] for each in planned] == [1], "a fitting of the jacket", planned, str(planned[0]["on"]))
    order.begun()
    order.move("basted_for_fitting", JACKETS_HAND, fitting_on=planned[0]["on"])
    changes = {
        "by": FITTER, "reason": "at the second fitting",
        "add": [amount("jacket_button_move", "1/2", direction="decrease")],
        "strike": [order.line("trouser_waist_in")["number"]],
        "hems": pins("31", "30 3/4"),
    }  # fmt: skip
    order.say("/line-changes", changes)
    order.move("in_workroom", FITTER)
    order.ticket("STRUCK, do not sew", "line 2 added", "30 3/4 in")
    order.sewn()
    order.finished()
    order.collected()


def a_redo(counter: Counter) -> None:
    """The left leg is long at the try-on; the cloth that was cut off is not there any more."""
    sheet = {"garments": [TROUSERS], "hems": pins("31", "31 1/4")}
    order = OneOrder.placed(counter, "Order 4: it comes back", "At collection the left leg breaks twice.", sheet)
    order.begun()
    for line in sorted(order.document["lines"], key=lambda each: each["number"]):
        order.say("/bench-notes", {"by": TROUSERS_HAND, "lines": [{"number": line["number"], "is_cut": True}]})
    order.sewn()
    order.finished()
    left = order.line("trouser_hem", "left")["number"]
    longer = {"change": [{"number": left, "target": inches("33 1/2")}]}
    too_long = order.move(
        "in_workroom", FITTER, reason="left leg wrong", redo_lines=[left], line_changes=longer, gives=422
    )
    refused(counter, too_long, "hem_cloth_short", "longer than the cut cloth: refused, and where it could end is said")
    shorter = {"change": [{"number": left, "target": inches("30 3/4")}]}
    order.move("in_workroom", FITTER, reason="left leg long by 1/4 in", redo_lines=[left], line_changes=shorter)
    order.ticket("REDO, free", "ALREADY CUT at", "ONLY line", "TO 30 3/4 in")
    order.sewn()
    order.finished()
    order.collected()


def trousers_before_the_jacket(counter: Counter) -> None:
    """Each piece at its own pace: the trousers are worn while the jacket is still on the bench."""
    sheet = {"garments": [JACKET, TROUSERS], "lines": [amount("jacket_waist_in", "1")], "hems": pins("31", "31")}
    order = OneOrder.placed(counter, "Order 5: the trousers first", "They are needed before the jacket.", sheet)
    order.begun()
    order.sewn([2])
    order.finished([2])
    order.collected(pieces=[2])
    counter.check(order.state == "in_workroom", "still in the workroom", order.state, "the order waits for its jacket")
    slip = brief(counter, f"GET {order.path}/customer-slip", headers={"Accept": "text/plain"}).text
    counter.check("collected" in slip.lower(), "the slip says what was collected", slip, "the slip says so")
    handed = {each["garment"]: each["state"] for each in order.charged()["pieces"]}
    counter.check(handed == {"jacket": "in_workroom", "trousers": "collected"}, "charges say so", handed)
    order.sewn([1])
    order.finished([1])
    order.collected()


def what_is_found_inside(counter: Counter) -> None:
    """A let-out is promised only as far as the cloth goes; what the bench finds is known to the next order."""
    inside = amount("trouser_waist_out", "1/2")
    sheet = {"garments": [{**TROUSERS, "hemmed": True}], "lines": [inside]}
    order = OneOrder.placed(counter, "Order 6: cloth inside the seam", "Nobody has looked into this seam yet.", sheet)
    counter.check(order.document["lines"][0]["subject_to_inlay"], "subject to inlay", order.document)
    order.begun()
    found = {"number": 1, "inlay_found": inches("5/8"), "inlay_basis": "per_seam", "inlay_seams": 1}
    noted = order.say("/bench-notes", {"by": TROUSERS_HAND, "lines": [found]})
    held = order.document["lines"][0]["inlay_seen"]
    counter.check(bool(held), "the inlay is on the line", noted.document, "and it is remembered for the chart")
    more = {"garments": [{**TROUSERS, "hemmed": True}], "lines": [amount("trouser_waist_out", "3/4")], "by": FITTER}
    answer = brief(counter, "POST /v1/orders", more, gives=422, headers=new_key())
    refused(counter, answer, "inlay_known_too_small", "the next order of this chart goes no further than was found")
    order.say("/promises", {"by": FITTER, "reason": "the trousers hand is away"})
    order.sewn()
    order.finished()
    order.collected()

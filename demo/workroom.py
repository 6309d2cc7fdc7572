"""The other half of the day: orders, the till, the workroom, the customer's slip, and who may do what."""

# ruff: noqa: INP001, T201  a script of the demo, and printing is its purpose

from __future__ import annotations

from contextlib import closing
from datetime import date, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from asking import (
    CUSTOMER,
    FITTER,
    SALE,
    TAILOR,
    Answer,
    Counter,
    heading,
    inches,
    money,
    new_key,
    order_lines,
    plain,
    state_line,
)
from till import Service, Till, told


def the_order(counter: Counter, check: dict[str, Any]) -> Answer:
    """From the fit check, with a pin for each leg."""
    heading(
        "The order for the workroom",
        "The alterations come from the fit check. The hems come from the pins, put in on the man in his shoes, a leg "
        "each: they take the place of the reckoned hem. Seven pins are left in, and are counted.",
    )
    body = {
        "from_fit_check": check["id"],
        "garments": [
            {"garment": "jacket", "cloth": "navy worsted", "pins_left_in": 3},
            {"garment": "trousers", "cloth": "navy worsted", "pins_left_in": 4},
        ],
        "hems": [{"pins": {"left": inches("31 1/2"), "right": inches("31 1/4")}}],
        "customer_ref": CUSTOMER,
        "sale_ref": SALE,
        "by": FITTER,
    }
    key = new_key()
    placed = counter.ask("staff", "POST /v1/orders", body, gives=201, read=order_lines, headers=key)
    found = {(each["alteration"], each["side"]): each for each in placed.document["lines"]}
    for side, length in (("left", "31 1/2 in"), ("right", "31 1/4 in")):
        finished = found["trouser_hem", side]["target"]["text"]
        counter.check(finished == length, f"the {side} leg finished at {length}", finished)
    counter.check(bool(placed.document["promised_for"]), "a promised day", placed.document, "each leg at its own pin")
    print("\nThe line to the shop drops; the till sends the very same request again.")
    again = counter.ask(
        "staff",
        "POST /v1/orders",
        body,
        gives=201,
        read=lambda answer: [f"order {answer['number']}"],
        headers=key,
        told="(the same JSON, to the letter)",
    )
    counter.check(again.document == placed.document, "the same order", again.document, "the same order, booked once")
    return placed


def too_soon(counter: Counter, today: date) -> None:
    """A wedding party's work is more than a bench can do in a day."""
    heading(
        "A wedding party: three jackets by tomorrow",
        "Each waist in by 1 in, each pair of sleeves up 1/2 in. The bench has not that many minutes in a day. First "
        "what it would be; then the order with a day that cannot be kept.",
    )
    labels = ("38R", "40R", "42R")
    sheet = {
        "garments": [{"garment": "jacket", "chart": "everyday", "label": label} for label in labels],
        "lines": [
            line
            for piece in range(1, len(labels) + 1)
            for line in (
                {"piece": piece, "alteration": "jacket_waist_in", "amount": inches("1"), "basis": "girth"},
                {
                    "piece": piece,
                    "alteration": "jacket_sleeve_shorten_at_cuff",
                    "amount": inches("1/2"),
                    "basis": "length",
                    "side": "both",
                },
            )
        ],
    }
    counter.ask(
        "till",
        "POST /v1/alteration-quotes",
        sheet,
        read=lambda quote: [f"{money(quote['total'])}, {quote['minutes']} min, earliest {quote['earliest']}"],
    )
    order = {**sheet, "by": FITTER, "sale_ref": "sale-7740"}
    tomorrow = (today + timedelta(days=1)).isoformat()
    soon = {**order, "needed_by": tomorrow}
    print("\nNow as an order, with the day on which they want it:")
    told = '{{… the same sheet …, "sale_ref": "sale-7740", "by": "fitter-2", "needed_by": "{}"}}'
    refused = counter.ask(
        "staff", "POST /v1/orders", soon, gives=409, headers=new_key(), told=told.format(tomorrow)
    ).document
    counter.check(refused["code"] == "needed_by_too_early", "needed_by_too_early", refused)
    earliest = refused["errors"][0]["facts"]["earliest"]
    counter.check(earliest > tomorrow, "a later day", earliest, f"refused, nothing booked; {earliest} would do")
    print("\nThey agree on that day.")
    booked = counter.ask(
        "staff",
        "POST /v1/orders",
        {**order, "needed_by": earliest},
        gives=201,
        headers=new_key(),
        told=told.format(earliest),
        read=lambda answer: [f"order {answer['number']}, promised for {answer['promised_for']}"],
    ).document
    counter.check(booked["promised_for"] <= earliest, earliest, booked["promised_for"], "booked for that day")


def bad_orders(counter: Counter) -> None:
    """What no tailor can do, and what no tailor can read."""
    heading("Two orders that must not reach the workroom", "First: take the trouser waist in by five inches.")
    garments = [{"garment": "trousers", "chart": "everyday", "label": "38"}]
    line = {"alteration": "trouser_waist_in", "amount": inches("5"), "basis": "girth"}
    body = {"garments": garments, "lines": [line], "by": FITTER}
    refused = counter.ask("staff", "POST /v1/orders", body, gives=422, headers=new_key()).document
    counter.check(refused["code"] == "alteration_beyond_limit", "alteration_beyond_limit", refused)
    facts = refused["errors"][0]["facts"]
    counter.check(
        {"most_in", "instead"} <= facts.keys(), "limit and remedy", facts, "refused: the limit and the remedy"
    )
    print('\nSecond: "take it in one inch". In girth, or a side? It can be wrong twice over.')
    unsaid = {**body, "lines": [{"alteration": "trouser_waist_in", "amount": inches("1")}]}
    refused = counter.ask("staff", "POST /v1/orders", unsaid, gives=422, headers=new_key()).document
    at = [each["pointer"] for each in refused["errors"]]
    counter.check(at == ["/lines/0/basis"], "/lines/0/basis", at, "refused until the basis is said")


def at_the_till(counter: Counter, order: dict[str, Any]) -> None:
    """What goes into the basket."""
    heading("The till charges", "The lines for the basket, each with its tax category.")
    charges = counter.ask(
        "till",
        f"GET /v1/orders/{order['id']}/charges",
        read=lambda answer: [
            *(f"{each['words']} – {money(each['amount'])}, {each['tax_category']}" for each in answer["charges"]),
            f"in all {money(answer['total'])}",
        ],
    ).document
    minor = sum(each["amount"]["minor"] for each in charges["charges"])
    counter.check(minor == charges["total"]["minor"], "lines that add up", charges)
    counter.check(
        charges["total"] == order["total"], order["total"], charges["total"], "the order's total, to the cent"
    )


def a_till_without_a_line(counter: Counter) -> None:
    """The till of demo/till.py: rung up with the line down, sent when it is back, once."""
    heading(
        "Another till, and its line is down",
        "demo/till.py writes the sale into its queue, a file, with its key; then it tries, and tries again.",
    )
    pins = {"left": inches("31"), "right": inches("31")}
    sheet = {
        "garments": [{"garment": "trousers", "chart": "everyday", "label": "34"}],
        "hems": [{"pins": pins}],
        "by": FITTER,
    }
    with TemporaryDirectory() as folder:
        queue, key = Path(folder) / "queue", counter.keys["till"]
        with closing(Till(queue, Service("http://127.0.0.1:9", key))) as till:
            till.ring_up("sale-7802", sheet)
            till.send()
            print(f"  {told(till.sale('sale-7802'))}")
            counter.check(till.sale("sale-7802")["state"] == "waiting", "waiting", told(till.sale("sale-7802")))
        print("\nThe till is switched off and on; the line is back. What it prints is for the customer:\n")
        with closing(Till(queue, Service(counter.base_url, key), longest_wait_seconds=0.5)) as till:
            counter.check(till.send(20), "sent", [told(each) for each in till.sales()])
            basket = sum(each["minor"] for each in till.basket("sale-7802"))
            sold = till.sale("sale-7802")
            print(f"  {told(sold)}")
        order = counter.ask("till", f"GET /v1/orders/{sold['order_id']}", read=order_lines).document
        counter.check(
            (order["sale_ref"], order["total"]["minor"]) == ("sale-7802", basket),
            f"sale-7802 over {basket}",
            order,
            "placed once, in the basket to the cent, its slip printed",
        )


def the_ticket(counter: Counter, order: dict[str, Any]) -> None:
    """The paper that travels with the pieces."""
    heading("The ticket", "On receipt paper, 42 columns wide; it travels with the pieces.")
    ticket = counter.ask("staff", f"GET /v1/orders/{order['id']}/ticket", headers={"Accept": "text/plain"}).text
    for words in (order["number"], "LEFT", "RIGHT", "31 1/2 in", "31 1/4 in", "PINS IN 7", "TAKE CARE"):
        counter.check(words in ticket, f"{words!r} on the ticket", ticket)
    print("  ✓ left and right apart, finished measures, pins to count, cautions")


def through_the_workroom(counter: Counter, placed: Answer) -> None:
    """From the counter to the customer, with what goes wrong on the way."""
    heading("Through the workroom", "Every move says who moves it and which version he looked at (ETag).")
    path, stale = f"POST /v1/orders/{placed.document['id']}/moves", placed.etag
    version = stale

    def move(to: str, by: str, *, gives: int = 200, **facts: Any) -> dict[str, Any]:  # noqa: ANN401  JSON
        nonlocal version
        body = {"to": to, "by": by, **facts}
        answer = counter.ask("staff", path, body, gives=gives, read=state_line, headers={"If-Match": version})
        if gives == 200:  # noqa: PLR2004
            counter.check(answer.document["state"] == to, to, answer.document["state"])
            version = answer.etag
        document: dict[str, Any] = answer.document
        return document

    move("accepted", FITTER)
    move("in_workroom", TAILOR)
    print("\nSomebody tries to call it ready at once.")
    refused = move("ready", TAILOR, gives=409)
    legal = refused["errors"][0]["facts"]["legal"]
    counter.check("sewn" in legal, "the legal moves", refused, f"refused; it may go to {', '.join(map(plain, legal))}")
    print("\nThe counter still has the paper of this morning on its screen, and moves by that.")
    late = counter.ask(
        "staff", path, {"to": "query", "by": FITTER, "question": "?"}, gives=412, headers={"If-Match": stale}
    )
    counter.check(late.document["code"] == "version_stale", "version_stale", late.document, "refused: read it again")
    move("query", TAILOR, question="Left cuff: 3/4 in up is close to the sham holes. Go on?")
    move("in_workroom", FITTER, answer="Asked at the counter: go on.")
    move("sewn", TAILOR)
    print("\nSeven pins went in; the presser counts six.")
    refused = move("pressed", TAILOR, gives=409, pins_out=6)
    counter.check(refused["code"] == "pins_not_counted", "pins_not_counted", refused, "refused: one is still in there")
    print("\nThe seventh was under the left hem. They are counted again at hand-over.")
    move("pressed", TAILOR, pins_out=7)
    move("ready", TAILOR, pins_out=7)
    done = move("collected", FITTER, tried_on=True, note="Single break, both legs. Pleased.")
    counter.check(
        done["events"][-1]["facts"].get("tried_on") is True, "tried on", done, "collected, tried on, no pin left"
    )


def the_orders(counter: Counter) -> None:
    """A list in pages."""
    heading("The till looks through the orders", "Newest first, one a page here to show the turning.")

    def read(answer: dict[str, Any]) -> list[str]:
        return [
            f"order {each['number']}, {plain(each['state'])}, promised for {each['promised_for']}"
            for each in answer["orders"]
        ]

    seen: list[int] = []
    path: str | None = "/v1/orders?limit=1"
    while path:
        page = counter.ask("till", f"GET {path}", read=read)
        seen += [int(each["number"]) for each in page.document["orders"]]
        link = page.headers.get("Link")
        path = link[1 : link.index(">")] if link else None
    right = seen == sorted(set(seen), reverse=True) and len(seen) > 1
    counter.check(right, "every order once, newest first", seen, f"{len(seen)} orders, each once")


def the_customers_slip(counter: Counter, order: dict[str, Any]) -> None:
    """What the customer sees on their telephone."""
    heading(
        "The customer's slip",
        "Whoever holds the slip sees where the order stands and its day, and nothing of a person.",
    )
    slip = counter.ask(
        "nobody",
        f"GET {order['collection_slip']['path']}",
        read=lambda answer: [f"{plain(answer['state'])}, promised for {answer['promised_for']}"],
    ).document
    shown = {"shop", "number", "state", "state_words", "promised_for", "day", "garments", "advice", "says"}
    shown |= {"hour", "ask_at", "balance", "work", "total", "deposit", "fittings", "language"}
    # What was done and what it cost is on the paper in the customer's hand, not behind its address.
    hidden = not any(slip[name] for name in ("work", "total", "deposit"))
    counter.check(slip.keys() == shown and hidden, "where it stands and its day", slip, "nothing personal on it")


def who_may(counter: Counter) -> None:
    """Keys open only their own doors."""
    heading("Who may do what", "The web shop's key asks for advice; it places no orders.")
    garments = [{"garment": "trousers", "chart": "everyday", "label": "32"}]
    line = {"alteration": "trouser_hem", "amount": inches("4"), "basis": "length", "side": "both"}
    body = {"garments": garments, "lines": [line], "by": "web"}
    for who, status, code in (("web", 403, "scope_missing"), ("nobody", 401, "key_missing")):
        refused = counter.ask(who, "POST /v1/orders", body, gives=status, headers=new_key()).document
        counter.check(refused["code"] == code, code, refused)
    print("  ✓ refused both times")

"""The book of orders as the tests read it: what is sent, and what a fitter and the bench expect of order and paper."""

from __future__ import annotations

import json
import re
from pathlib import Path
from uuid import uuid4

from service.tailoring.garments.charts import ChartHead
from service.tailoring.quantities import inches
from service.use_cases.shop.charts import load_chart
from tests.http.sheets import moved
from tests.shops import new_shop
from tests.tailoring.fitting.book_of_fittings import Case, Line, chart_rows, either, is_line, pages_of, sighting, taped

FOLDER = Path(__file__).parent / "book"
NOT_YET = "not_yet"
MEASURE = re.compile(r"([0-9][0-9 /.]*) (in|cm|mm)")
KNOWN = {
    "name", "source", "check", "asked", "refused", "lines", "words", "never_said", "ticket", "never_on_ticket", "moves",
    "finished", "falls",
}  # fmt: skip


def pages():
    return pages_of(FOLDER)


def cases(kind):
    """Every `hem` or `order` of the book, in the order in which it is written."""
    return [
        Case(subject, written)
        for subject, page in pages().items()
        if subject != NOT_YET
        for written in page.get(kind, [])
    ]


def wired(written):
    """What is written in the book as it is sent: a measure is its value and its unit."""
    if isinstance(written, dict):
        return {name: wired(each) for name, each in written.items()}
    if isinstance(written, list):
        return [wired(each) for each in written]
    found = MEASURE.fullmatch(written) if isinstance(written, str) else None
    return {"value": found[1], "unit": found[2]} if found else written


def everyday_shop(house):
    """A shop that sells the chart of the book."""
    shop = new_shop(house)
    load_chart(house.context, shop.id, ChartHead("everyday", "Everyday separates"), chart_rows())
    return shop


# ---------------------------------------------------------------- hems


def wrong_in_hem(case, staff):
    """What the fitter finds wrong with a hem plan; nothing where it is right."""
    answer = staff.post("/v1/hem-plans", wired(case.asked))
    if answer.status != 200:
        yield f"it is refused: {answer.body}"
        return
    for leg in answer.body["legs"]:
        found = Line("leg", "", leg["finished"]["value"])
        if case.finished and not is_line(f"leg {case.finished}", found):
            yield f"{leg['side']}: the fitter would finish it at {case.finished} in; the service at {found.amount_in}"
        falls = leg["falls"] and leg["falls"]["name"]
        if case.falls and falls != case.falls:
            yield f"{leg['side']}: asked for {case.falls}, and by its own answer it falls as {falls}"
    yield from wrong_words(case, answer.body)


# ---------------------------------------------------------------- orders


def wrong_in_order(case, staff):
    """What the fitter or the bench finds wrong with an order; nothing where it is right."""
    answer = staff.post("/v1/orders", {"by": "fitter-1"} | asked_of(case, staff), key=str(uuid4()))
    if case.refused:
        codes = [answer.body.get("code"), *(each.get("code") for each in answer.body.get("errors", []))]
        if answer.status < 400:
            yield f"the fitter would refuse it ({case.refused}); the service books {lines_of(answer.body)}"
        elif case.refused not in ("*", *codes):
            yield f"the fitter would refuse it as {case.refused}; the service says {codes}"
        return
    if answer.status != 201:
        yield f"it is refused: {answer.body}"
        return
    order, have = answer.body, lines_of(answer.body)
    for text in case.lines or ():
        if not any(is_line(one, line) for one in either(text) for line in have):
            yield f"the fitter would write {text}; the order has {', '.join(map(str, have)) or 'nothing'}"
    yield from wrong_words(case, order)
    yield from wrong_moves(case, staff, order)
    yield from wrong_ticket(case, staff, order)


def asked_of(case, staff):
    """The order's own parts, and the fit check that it is drawn up from."""
    asked = wired(case.asked or {})
    if not case.check:
        return asked
    fitting = Case(case.subject, case.check)
    worn = {
        "trousers" if label.isdigit() else "jacket": {"chart": "everyday", "label": label}
        for label in fitting.worn.split()
    }
    check = staff.post(
        "/v1/fit-checks",
        {
            "worn": worn,
            "observations": [observed(sighting(text)) for text in fitting.seen],
            "readings": [
                {"dimension": dimension, "value": value, "unit": unit} for dimension, value, unit in taped(fitting)
            ],
            "charts": ["everyday"],
            "dressed": wired(fitting.dressed or {}),
        },
    )
    return asked | {"from_fit_check": check.body["id"]}


def observed(seen):
    """A sighting as it is sent."""
    found = {"point": seen.point} | ({"side": seen.side} if seen.side else {})
    if seen.amount_mm is None:
        return found | {"seen": seen.seen}
    way = "short" if seen.amount_mm < 0 else "spare"
    return found | {way: {"value": round(abs(seen.amount_mm) / inches(1), 4), "unit": "in"}}


def lines_of(order):
    return [
        Line(
            f"{each['alteration']} {each['side'] or ''}".strip(),
            {"increase": "more", "decrease": "less", None: ""}[each.get("direction")],
            each["amount"] and each["amount"]["value"],
        )
        for each in order["lines"]
    ]


def wrong_words(case, body):
    said = json.dumps(body, ensure_ascii=False)
    for words in case.words or ():
        if not re.search(words, said, re.IGNORECASE):
            yield f"nothing says {words!r}; the warnings are {[each['text'] for each in body.get('warnings', [])]}"
    for words in case.never_said or ():
        if found := re.search(f".{{0,40}}{words}.{{0,40}}", said, re.IGNORECASE):
            yield f"it says {found[0]!r}, and there is no cause"


def wrong_moves(case, staff, order):
    version = 1
    for step in case.moves or ():
        asked = dict(step)
        refused, to = asked.pop("refused", False), asked.pop("to")
        answer = moved(staff, order["id"], to, version, **asked)
        took = answer.status < 400
        version += took
        if took == refused:
            yield f"to {to} with {asked}: " + ("it is let pass" if took else f"it is refused: {answer.body['detail']}")
            return


def wrong_ticket(case, staff, order):
    if not case.ticket and not case.never_on_ticket:
        return
    ticket = staff.get(f"/v1/orders/{order['id']}/ticket", headers={"Accept": "text/plain"}).body
    # Words are wrapped to the width of the paper.
    read = " ".join(ticket.split())
    for words in case.ticket or ():
        if not re.search(words, read, re.IGNORECASE):
            yield f"the ticket does not say {words!r}"
    for words in case.never_on_ticket or ():
        if found := re.search(f".{{0,40}}{words}.{{0,40}}", read, re.IGNORECASE):
            yield f"the ticket says {found[0]!r}"

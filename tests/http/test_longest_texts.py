"""Texts of the greatest length, in characters of four bytes, go in and come back alike; one more is refused by both.

PostgreSQL counts what it keeps, SQLite does not: only what callers may send keeps the two alike.
"""

import pytest

from tests.http.calendar.days import set_day
from tests.http.sheets import TROUSERS, WAIST_IN, inches, moved, order, placed
from tests.http.shop.charts import CHART, put

SPOOL = "\N{SPOOL OF THREAD}"
GARMENT = {"cloth": 80, "style": 80, "must_keep": 200, "faults_seen": 200}
CODE, LABEL = "c" * 40, SPOOL * 20


def full(most):
    return {name: SPOOL * length for name, length in most.items()}


def sheet(**more):
    own = {"garment": "trousers", "chart": CODE, "label": LABEL, "hemmed": True, **full(GARMENT)}
    return order(garments=[own], lines=[WAIST_IN | {"note": SPOOL * 200}], hems=[], note=SPOOL * 500, **more)


@pytest.fixture
def staff(shop):
    sizes = [size | {"label": LABEL} if size["garment"] == "trousers" else size for size in CHART["sizes"]]
    assert 201 == put(shop.staff, CHART | {"sizes": sizes, "title": SPOOL * 80}, code=CODE).status
    return shop.staff


def test_an_order_holds_every_text_at_its_longest(staff):
    references = {"customer_ref": "c" * 64, "sale_ref": "s" * 64, "by": "m" * 64}
    filed = placed(staff, **sheet(**references))
    cancelled = moved(staff, filed["id"], "cancelled", 1, by="b" * 64, reason=SPOOL * 200, note=SPOOL * 200)
    assert 200 == cancelled.status, cancelled.body
    found = staff.get(f"/v1/orders/{filed['id']}").body
    (garment,) = found["garments"]
    assert (full(GARMENT), LABEL, SPOOL * 500) == (
        {name: garment[name] for name in GARMENT},
        garment["label"],
        found["note"],
    )
    assert references == {name: found[name] for name in references}
    assert SPOOL * 200 in [line["note"] for line in found["lines"]]
    assert SPOOL * 200 == found["events"][-1]["note"]


@pytest.mark.parametrize("name", GARMENT)
def test_a_character_more_is_refused(staff, name):
    longer = {**TROUSERS, name: SPOOL * (GARMENT[name] + 1)}
    answer = staff.post("/v1/orders", order(garments=[longer]), key="k")
    assert (422, "field_wrong") == answer.problem[:2]


def test_a_reason_for_a_day_is_kept_at_its_longest(staff):
    day = set_day(staff, "2026-03-04", closed=True, reason=SPOOL * 200)
    assert 200 == day.status, day.body
    assert SPOOL * 200 in str(staff.get("/v1/workroom/days").body)


@pytest.mark.parametrize("text", ["\x00", "a\x00b", "\x7f", "\n"])
def test_what_one_of_them_could_not_keep_is_refused(staff, text):
    bodies = [
        order(note=text),
        order(by=text),
        order(customer_ref=text),
        order(garments=[{**TROUSERS, "cloth": text}]),
        order(garments=[{**TROUSERS, "chart": text}]),
        order(lines=[WAIST_IN | {"note": text, "amount": inches(1)}]),
    ]
    answers = [staff.post("/v1/orders", body, key="k") for body in bodies]
    assert [(422, "field_wrong")] * len(bodies) == [answer.problem[:2] for answer in answers]


@pytest.mark.parametrize("path", ["/v1/orders?customer_ref=%00", "/v1/orders?number=99999999999999999999"])
def test_nor_does_a_question_hold_it(staff, path):
    path, _, query = path.partition("?")
    assert 422 == staff.get(path, query=query).status

"""Inlay that a bench finds is remembered for the chart's revision: orders, advice and fit checks go no further."""

import pytest

from service.tailoring import tables
from service.tailoring.garments.charts import ChartHead
from service.use_cases.shop.charts import load_chart
from tests.http.sheets import inches, moved_along, placed, reading

BOUGHT = {"garment": "trousers", "chart": "everyday", "label": "30", "hemmed": True}
OUT = {"alteration": "trouser_waist_out", "amount": inches(1), "basis": "girth"}
STOUT = [
    reading("waist_girth", 31.25),
    reading("hip_girth", 38),
    reading("chest_girth", 38),
    reading("stature", 178, "cm"),
]


@pytest.fixture
def chart(shop):
    return loaded(shop, "everyday")


def loaded(shop, code, title="Everyday"):
    return load_chart(
        shop.house.context, shop.id, ChartHead(code=code, title=title), tables.rows("garments/reference_chart")
    )[0]


def found(client, size):
    """An order whose bench has found so much inlay at the back of the trousers, as it was answered."""
    order = placed(client, garments=[BOUGHT], hems=[], lines=[OUT])
    moved_along(client, order["id"], ("accepted", {}), ("in_workroom", {}))
    asked = {"by": "tailor-1", "lines": [{"number": 1, "inlay_found": inches(size)}]}
    return client.post(f"/v1/orders/{order['id']}/bench-notes", asked, headers={"If-Match": '"3"'}).body


def let_out(client):
    """By how much advice lets the waist out for one who is too stout for the only trousers there are, in mm."""
    asked = {"readings": STOUT, "charts": ["everyday"], "stock": {"trousers": [{"label": "30"}]}}
    answer = client.post("/v1/size-advice", asked)
    assert 200 == answer.status, answer.body
    lines = (line for line in answer.body["plans"][0]["alterations"] if line["alteration"] == "trouser_waist_out")
    return next((line["amount"]["mm"] for line in lines), 0.0)


def test_what_the_bench_finds_is_on_the_line_and_says_that_it_is_too_little(staff, chart):
    assert placed(staff, garments=[BOUGHT], hems=[], lines=[OUT])["lines"][0]["subject_to_inlay"]
    answer = found(staff, 1)
    (line,) = answer["lines"]
    assert (False, "1 in") == (line["subject_to_inlay"], line["inlay_seen"]["text"])
    (warning,) = [each for each in answer["warnings"] if each["code"] == "inlay_too_small"]
    assert ("/lines/0/inlay_found", "5/8 in") == (warning["pointer"], warning["facts"]["most"])


def test_the_next_order_of_the_chart_goes_no_further_than_what_was_found(staff, chart):
    found(staff, 1)
    sheet = {"garments": [BOUGHT], "lines": [OUT]}
    refused = staff.post("/v1/alteration-quotes", sheet)
    assert (422, "inlay_known_too_small", ["/lines/0/amount"]) == refused.problem
    less = staff.post("/v1/alteration-quotes", sheet | {"lines": [OUT | {"amount": inches("1/2")}]})
    assert (200, True) == (less.status, "inlay_known" in {each["code"] for each in less.body["warnings"]})
    # Nobody has looked into this very piece.
    assert less.body["lines"][0]["subject_to_inlay"]
    # Who has looked, and saw more, may let out more.
    assert 200 == staff.post("/v1/alteration-quotes", sheet | {"lines": [OUT | {"inlay_seen": inches(2)}]}).status


def test_the_next_advice_of_the_chart_lets_out_no_more_than_what_was_found(staff, chart):
    assert let_out(staff) > inches_mm("5/8")
    found(staff, 1)
    assert 0 < let_out(staff) <= inches_mm("5/8")


def test_the_next_fit_check_of_the_chart_lets_out_no_more_than_what_was_found(staff, chart):
    asked = {
        "worn": {"trousers": {"chart": "everyday", "label": "30"}},
        "observations": [{"point": "trouser_waist", "short": inches(1)}],
    }
    before = staff.post("/v1/fit-checks", asked)
    assert 201 == before.status, before.body
    found(staff, 1)
    after = staff.post("/v1/fit-checks", asked).body
    assert max(amounts(before.body)) > inches_mm("5/8")
    assert max(amounts(after), default=0.0) <= inches_mm("5/8")


def amounts(check):
    plans = [line for plan in check["plans"] for line in plan["alterations"]]
    return [line["amount"]["mm"] for line in plans if line["alteration"] == "trouser_waist_out"]


def test_another_revision_begins_anew(shop, staff, chart):
    found(staff, 1)
    assert 2 == loaded(shop, "everyday", title="Everyday, second make").revision
    assert 200 == staff.post("/v1/alteration-quotes", {"garments": [BOUGHT], "lines": [OUT]}).status


def test_loading_the_same_chart_again_makes_no_revision_of_it(shop, staff, chart):
    found(staff, 1)
    assert 1 == loaded(shop, "everyday").revision


def test_a_reference_block_is_nobodys_garment(staff):
    order = placed(staff, garments=[BOUGHT | {"chart": "reference", "label": "30"}], hems=[], lines=[OUT])
    moved_along(staff, order["id"], ("accepted", {}), ("in_workroom", {}))
    asked = {"by": "tailor-1", "lines": [{"number": 1, "inlay_found": inches(1)}]}
    assert 200 == staff.post(f"/v1/orders/{order['id']}/bench-notes", asked, headers={"If-Match": '"3"'}).status
    again = {"garments": [BOUGHT | {"chart": "reference", "label": "30"}], "lines": [OUT]}
    assert 200 == staff.post("/v1/alteration-quotes", again).status


def inches_mm(text):
    whole, _, over = text.partition("/")
    return float(whole) / float(over) * 25.4 + 0.05

"""One unit an answer: that of the query, else that of the request, else that of the thing itself."""

from uuid import uuid4

import pytest

from tests.http.sheets import JACKET, SLIM, TROUSERS, inches, reading


def cm(value):
    return {"value": value, "unit": "cm"}


TAPED = [reading("chest_girth", 92, "cm"), reading("waist_girth", 77, "cm"), reading("stature", 175, "cm")]
HEMS = [{"pins": {"left": cm(76), "right": cm(76.5)}}]
WAIST = {"alteration": "trouser_waist_in", "amount": cm(2.5), "basis": "girth"}
SHEET = {"garments": [TROUSERS, JACKET], "hems": HEMS, "lines": [WAIST]}
SEEN = {"point": "front_closure", "seen": "boxy"}
WORN = {"jacket": {"chart": "reference", "label": "38R"}, "trousers": {"chart": "reference", "label": "32"}}
# What is asked in centimetres, and what is read of it afterwards.
ASKED = {
    "/v1/measurement-sets": ({"readings": TAPED}, True),
    "/v1/size-advice": ({"readings": TAPED}, False),
    "/v1/fit-checks": ({"readings": TAPED, "worn": WORN, "observations": [SEEN]}, True),
    "/v1/hem-plans": ({"readings": TAPED, "pins": HEMS[0]["pins"]}, False),
    "/v1/alteration-quotes": (SHEET, False),
    "/v1/orders": ({**SHEET, "by": "fitter-1"}, True),
}


def quantities(document, at=""):
    """Every length of a document, with where it is."""
    if isinstance(document, dict):
        if {"value", "unit", "mm"} <= document.keys():
            yield at, document["unit"]
        for name, part in document.items():
            yield from quantities(part, f"{at}/{name}")
    elif isinstance(document, list):
        for position, part in enumerate(document):
            yield from quantities(part, f"{at}/{position}")


def in_other_units(document, unit):
    found = list(quantities(document))
    assert found
    return [each for each in found if each[1] != unit]


@pytest.mark.parametrize("path", ASKED)
def test_what_is_asked_in_centimetres_is_answered_in_them_and_read_in_them_later(staff, path):
    asked, is_kept = ASKED[path]
    answer = staff.post(path, asked, key=str(uuid4()) if is_kept else None)
    assert answer.status in (200, 201), answer.body
    assert [] == in_other_units(answer.body, "cm")
    if is_kept:
        assert [] == in_other_units(staff.get(f"{path}/{answer.body['id']}").body, "cm")


@pytest.mark.parametrize("path", ASKED)
def test_a_query_chooses_another_unit_for_all_of_it(staff, path):
    asked, is_kept = ASKED[path]
    answer = staff.post(path, asked, key=str(uuid4()) if is_kept else None, query={"units": "in"})
    assert [] == in_other_units(answer.body, "in")


def test_what_was_read_is_shown_as_it_was_said_and_the_rest_in_the_unit_that_is_said_most(staff):
    made = staff.post("/v1/measurement-sets", {"readings": SLIM})
    for shown in (made.body, staff.get(f"/v1/measurement-sets/{made.body['id']}").body):
        assert [(36.0, "in"), (30.0, "in"), (175.0, "cm")] == [
            (each["size"]["value"], each["size"]["unit"]) for each in shown["readings"]
        ]
        assert [] == in_other_units(shown["body"], "in")


def test_an_order_in_inches_stays_in_inches_for_who_amends_it_with_words_alone(staff):
    sheet = {"garments": [TROUSERS], "hems": [{"pins": {"left": inches(30), "right": inches(30)}}], "by": "fitter-1"}
    order = staff.post("/v1/orders", sheet, key=str(uuid4())).body
    amended = staff.ask(
        "PATCH", f"/v1/orders/{order['id']}", {"by": "fitter-1", "note": "call first"}, headers={"If-Match": '"1"'}
    )
    assert [] == in_other_units(amended.body, "in")

"""A customer's history: all that they had here, newest first, page by page; and what they bought last, for advice."""

from uuid import uuid4

import pytest

from tests.http.sheets import HEMMED, JACKET, JACKET_WAIST_IN, KEPT, SLIM, WAIST_IN, WORN, moved_along, placed

HIM, OTHER = "C-1042", "C-2001"
PATH = f"/v1/customers/{HIM}/history"
COLLECTED = [(to, {}) for to in ("accepted", "in_workroom", "sewn")] + [
    ("pressed", {"pins_out": 0}),
    ("ready", {"pins_out": 0}),
    ("collected", {"tried_on": True}),
]


def made_for(staff, ref):
    """What is kept of a customer: a set, a fit check of it, a fit check of their own and an order."""
    taken = staff.post("/v1/measurement-sets", {"readings": SLIM, "customer_ref": ref}).body["id"]
    staff.post("/v1/fit-checks", {**WORN, "readings": [], "measurement_set": taken})
    staff.post("/v1/fit-checks", {**WORN, "customer_ref": ref})
    placed(staff, customer_ref=ref)


def history(client, **query):
    return client.get(PATH, query=query)


def bought(house, staff, ref=HIM, **more):
    """An order of a suit that was collected, a day later."""
    order = placed(
        staff, garments=[HEMMED, JACKET], lines=[WAIST_IN, JACKET_WAIST_IN], hems=[], customer_ref=ref, **more
    )
    moved_along(staff, order["id"], *COLLECTED)
    house.clock.advance(days=1)
    return order


def told(staff, ref=HIM, **more):
    answer = staff.post("/v1/outcomes", KEPT | {"customer_ref": ref} | more, key=str(uuid4()))
    assert 201 == answer.status, answer.body
    return answer.body


def advice(client, **more):
    return client.post(
        "/v1/size-advice", {"readings": SLIM[2:], "customer_ref": HIM, "wears_last_bought": True, **more}
    )


def taken_as_worn(answer):
    return {
        (each["facts"]["garment"], each["facts"]["label"], each["facts"]["source"])
        for each in answer.body["warnings"]
        if each["code"] == "worn_as_last_bought"
    }


def test_a_history_has_every_kind_newest_first_and_of_nobody_else(house, staff):
    made_for(staff, OTHER)
    house.clock.advance(minutes=1)
    made_for(staff, HIM)
    house.clock.advance(minutes=1)
    order = bought(house, staff)
    outcome = told(staff, on="2026-03-03")
    entries = history(staff).body["entries"]
    assert ["reported", "ordered", "ordered", "checked", "checked", "measured"] == sorted(
        (each["kind"] for each in entries), key=["reported", "ordered", "checked", "measured"].index
    )
    assert [outcome["id"], order["id"]] == [each["id"] for each in entries[:2]]
    assert sorted((each["at"] for each in entries), reverse=True) == [each["at"] for each in entries]
    had = entries[1]["ordered"]
    assert {("trousers", "30"), ("jacket", "36R")} == {(each["garment"], each["label"]) for each in had["garments"]}
    waist = next(each for each in had["lines"] if each["alteration"] == "jacket_waist_in")
    assert ("1 1/4 in", "decrease") == (waist["amount"]["text"], waist["direction"])
    measured = next(each["measured"] for each in entries if each["kind"] == "measured")
    assert "36 in" == measured["readings"][0]["size"]["text"]
    checked = next(each["checked"] for each in entries if each["kind"] == "checked")
    assert {"garment": "jacket", "chart": "reference", "label": "36R"} in checked["tried_on"]


def test_pages_of_a_history_are_the_history(house, staff):
    made_for(staff, HIM)
    bought(house, staff)
    told(staff, on="2026-03-03")
    whole, pages, path = history(staff, limit=50).body["entries"], [], f"{PATH}?limit=2"
    while path:
        answer = staff.get(path)
        pages += answer.body["entries"]
        path = answer.headers["Link"].partition(">")[0][1:] if "Link" in answer.headers else None
    assert whole == pages
    assert 6 == len(whole)


def test_that_a_history_was_shown_is_kept_and_of_nobody_nothing(staff):
    assert [] == history(staff).body["entries"]
    assert [] == staff.get(f"/v1/disclosures?customer_ref={HIM}").body["disclosures"]
    made_for(staff, HIM)
    history(staff)
    assert "history" == staff.get(f"/v1/disclosures?customer_ref={HIM}").body["disclosures"][0]["what"]


def test_an_erased_customer_has_no_history(house, staff):
    made_for(staff, HIM)
    bought(house, staff)
    told(staff, on="2026-03-03")
    history(staff)
    staff.ask("DELETE", f"/v1/customers/{HIM}")
    assert [] == history(staff).body["entries"]


@pytest.mark.parametrize(
    "after", ["", "1", "x.y", "1.0123", "99999999999999999999.00000000-0000-0000-0000-000000000000"]
)
def test_a_cursor_that_is_none_is_pointed_at(staff, after):
    assert (422, ["/after"]) == ((answer := history(staff, after=after)).status, answer.problem[2])


# ---------------------------------------------------------------- what was bought last


def test_advice_takes_what_was_bought_last_and_kept_and_says_where_it_is_from(house, staff):
    order = bought(house, staff)
    answer = advice(staff)
    assert {("trousers", "30", "order"), ("jacket", "36R", "order")} == taken_as_worn(answer)
    assert {order["id"]} == {
        each["facts"]["id"] for each in answer.body["warnings"] if each["code"] == "worn_as_last_bought"
    }
    bare = staff.post("/v1/size-advice", {"readings": SLIM[2:]}).body
    assert bare["plans"][0]["jacket"]["label"] != answer.body["plans"][0]["jacket"]["label"] == "36R"
    assert "advice" == staff.get(f"/v1/disclosures?customer_ref={HIM}").body["disclosures"][0]["what"]


def test_a_later_size_counts_and_what_went_back_does_not(house, staff):
    bought(house, staff)
    size = {"chart": "reference", "label": "38R"}
    told(staff, sold=size, on="2026-03-03")
    assert ("jacket", "38R", "outcome") in taken_as_worn(advice(staff))
    house.clock.advance(days=2)
    told(staff, sold=size, result="returned", reason="too_loose", on="2026-03-05")
    assert ("jacket", "36R", "order") in taken_as_worn(advice(staff))


def test_what_the_customer_wears_now_stands_before_what_they_bought(house, staff):
    bought(house, staff)
    wears = [{"garment": "jacket", "chart": "reference", "label": "40R", "how": "fits"}]
    assert {("trousers", "30", "order")} == taken_as_worn(advice(staff, wears=wears))


def test_of_whom_must_be_said_and_a_page_may_not_ask(shop, staff):
    answer = staff.post("/v1/size-advice", {"readings": SLIM, "wears_last_bought": True})
    assert (422, "/customer_ref") == (answer.status, answer.body["errors"][0]["pointer"])
    assert set() == taken_as_worn(advice(staff))
    page, origin = shop.page("https://shop.example"), {"Origin": "https://shop.example"}
    asked = {"readings": SLIM, "customer_ref": HIM, "wears_last_bought": True}
    assert (403, "page_may_not", ["/wears_last_bought"]) == page.post("/v1/size-advice", asked, headers=origin).problem
    assert (403, "page_may_not", [""]) == page.get(PATH, headers=origin).problem

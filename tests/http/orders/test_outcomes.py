"""What became of what was sold: told once, linked to what it came of, counted by size."""

from uuid import uuid4

import pytest

from service.tailoring.orders.outcomes import RESULTS
from tests.http.sheets import KEPT, SOLD, WORN, inches, placed

LARGER = {"chart": "reference", "label": "42R"}
SWAPPED = {**KEPT, "result": "swapped", "swapped_to": LARGER, "reason": "too_tight", "place": "chest"}
RETURNED = {**KEPT, "result": "returned", "reason": "cloth"}
ALTERED = {**KEPT, "result": "altered", "alterations": [{"alteration": "jacket_waist_in", "amount": inches("1 1/4")}]}
BY_RESULT = dict(zip(RESULTS, (KEPT, SWAPPED, RETURNED, ALTERED), strict=True))


def tell(client, outcome, key=None):
    return client.post("/v1/outcomes", outcome, key=key or str(uuid4()))


def shares(staff, **query):
    answer = staff.get("/v1/kept-shares", query=query)
    assert 200 == answer.status
    return answer.body


@pytest.mark.parametrize("result", RESULTS)
def test_an_outcome_is_told_and_read_back(staff, result):
    answer = tell(staff, BY_RESULT[result])
    assert (201, result, SOLD) == (answer.status, answer.body["result"], answer.body["sold"])
    assert answer.body == staff.get(answer.headers["Location"]).body


def test_all_that_it_says_is_kept(staff):
    told = tell(staff, {**SWAPPED, "customer_ref": "C-1", "sale_ref": "S-1"}).body
    assert (LARGER, "too_tight", "chest", "C-1", "S-1") == (
        told["swapped_to"], told["reason"], told["place"], told["customer_ref"], told["sale_ref"],
    )  # fmt: skip
    altered = tell(staff, ALTERED).body["alterations"]
    assert [("jacket_waist_in", "1 1/4 in")] == [(each["alteration"], each["amount"]["text"]) for each in altered]


def test_a_retry_tells_nothing_twice(staff):
    first, again = (tell(staff, KEPT, key="till-1-sale-9") for _ in range(2))
    assert (first.body, "true") == (again.body, again.headers["Answer-Repeated"])
    assert 1 == shares(staff)["reports"]


def test_it_needs_a_key_for_retries(staff):
    assert 400 == staff.post("/v1/outcomes", KEPT).status


@pytest.mark.parametrize(
    ("asked", "problem"),
    [
        ({**KEPT, "on": "2026-03-03"}, (422, "taken_in_future", ["/on"])),
        ({**KEPT, "sold": {"chart": "none", "label": "40R"}}, (422, "chart_unknown", ["/sold/chart"])),
        ({**KEPT, "sold": {"chart": "reference", "label": "99X"}}, (422, "label_unknown", ["/sold/label"])),
        (
            {**SWAPPED, "swapped_to": {"chart": "reference", "label": "9"}},
            (422, "label_unknown", ["/swapped_to/label"]),
        ),
        ({**KEPT, "advised": {"chart": "reference", "label": "9"}}, (422, "label_unknown", ["/advised/label"])),
        ({**KEPT, "result": "swapped"}, (422, "outcome_part_missing", ["/swapped_to"])),
        ({**KEPT, "result": "returned"}, (422, "outcome_part_missing", ["/reason"])),
        ({**KEPT, "result": "altered"}, (422, "outcome_part_missing", ["/alterations"])),
        ({**KEPT, "swapped_to": LARGER}, (422, "outcome_part_not_taken", ["/swapped_to"])),
        ({**SWAPPED, "swapped_to": SOLD}, (422, "outcome_same_size", ["/swapped_to"])),
        ({**RETURNED, "place": "hat"}, (422, "place_unknown", ["/place"])),
        (
            {**ALTERED, "alterations": [{"alteration": "trouser_hem"}]},
            (422, "altered_elsewhere", ["/alterations/0/alteration"]),
        ),
        ({**KEPT, "fit_check": str(uuid4())}, (422, "fit_check_unknown", ["/fit_check"])),
        ({**KEPT, "order": str(uuid4())}, (422, "order_unknown", ["/order"])),
        ({**KEPT, "result": "lost"}, (422, "field_wrong", ["/result"])),
        ({**KEPT, "advised": {**SOLD, "p_best": 1.1}}, (422, "field_wrong", ["/advised/p_best"])),
    ],
    ids=lambda it: it[1] + it[2][0] if isinstance(it, tuple) else "",
)
def test_what_cannot_be_is_refused_where_it_stands(staff, asked, problem):
    assert problem == tell(staff, asked).problem


def test_what_a_fit_check_advised_is_kept_with_it(staff):
    check = staff.post("/v1/fit-checks", WORN).body
    told = tell(staff, {**KEPT, "fit_check": check["id"]}).body
    advised = check["plans"][0]["jacket"]
    assert ({"chart": advised["chart"], "label": advised["label"]}, check["id"]) == (told["advised"], told["fit_check"])


def test_what_the_caller_says_was_advised_goes_before_that(staff):
    check = staff.post("/v1/fit-checks", WORN).body["id"]
    told = tell(staff, {**KEPT, "fit_check": check, "advised": {**LARGER, "p_best": 0.6}}).body
    assert (LARGER, 0.6) == (told["advised"], told["p_best"])


def test_it_may_come_of_an_order(staff):
    filed = placed(staff)["id"]
    assert filed == tell(staff, {**ALTERED, "order": filed}).body["order"]


@pytest.mark.parametrize(("scope", "status"), [("order", 201), ("advise", 201), ("workroom", 403), ("measure", 403)])
def test_tills_and_web_shops_tell(shop, scope, status):
    assert status == tell(shop.client(scope), KEPT).status


# ---------------------------------------------------------------- what counts tell


def test_of_a_shop_that_was_told_nothing_nothing_is_known(staff):
    assert {"reports": 0, "sizes": []} == shares(staff)


def test_each_size_says_how_much_of_it_was_kept(staff):
    for outcome in (KEPT, KEPT, KEPT, SWAPPED, RETURNED, ALTERED, {**KEPT, "sold": LARGER}):
        tell(staff, outcome)
    found = shares(staff)
    assert (7, ["40R", "42R"]) == (found["reports"], [each["sold"]["label"] for each in found["sizes"]])
    first = found["sizes"][0]
    assert {"kept": 3, "swapped": 1, "returned": 1, "altered": 1} == first["counts"]
    assert (3, 6, 0.5) == (first["kept"]["count"], first["kept"]["of"], first["kept"]["share"])
    # Of six one knows little, and the answer says so.
    assert 0.18 < first["kept"]["low"] < 0.2
    assert 0.8 < first["kept"]["high"] < 0.82


def test_those_sold_as_advised_are_counted_apart(staff):
    advised = {"advised": {**SOLD, "p_best": 0.7}}
    for outcome in (
        {**KEPT, **advised},
        {**KEPT, **advised},
        {**RETURNED, **advised},
        KEPT,
        {**KEPT, "advised": LARGER},
    ):
        tell(staff, outcome)
    (size,) = shares(staff)["sizes"]
    assert (4, 5) == (size["kept"]["count"], size["kept"]["of"])
    assert (2, 3) == (size["kept_as_advised"]["count"], size["kept_as_advised"]["of"])


def test_without_advice_no_share_of_it_is_told(staff):
    tell(staff, KEPT)
    (size,) = shares(staff)["sizes"]
    assert {"count": 0, "of": 0, "share": None, "low": None, "high": None} == size["kept_as_advised"]


def test_they_are_told_by_garment_chart_and_day(staff, clock):
    tell(staff, KEPT)
    tell(staff, {**KEPT, "garment": "trousers", "sold": {"chart": "reference", "label": "34"}})
    clock.advance(days=10)
    tell(staff, {**KEPT, "on": "2026-03-12"})
    assert [3, 2, 1, 0, 3] == [
        shares(staff, **query)["reports"]
        for query in (
            {},
            {"garment": "jacket"},
            {"since": "2026-03-03"},
            {"chart": "everyday"},
            {"chart": "reference"},
        )
    ]


def test_each_shop_learns_from_its_own(staff, other_shop):
    tell(other_shop.staff, KEPT)
    assert 0 == shares(staff)["reports"]


# ---------------------------------------------------------------- whose it was


def test_it_is_given_to_the_customer_and_stays_without_him(staff):
    check = staff.post("/v1/fit-checks", {**WORN, "customer_ref": "C-1"}).body["id"]
    told = tell(staff, {**RETURNED, "customer_ref": "C-1", "fit_check": check}, key="k").body
    assert [told] == staff.get("/v1/customers/C-1/export").body["outcomes"]
    assert 1 == staff.ask("DELETE", "/v1/customers/C-1").body["outcomes"]
    expected = {**told, "customer_ref": None, "fit_check": None}
    assert expected == staff.get(f"/v1/outcomes/{told['id']}").body
    assert expected == tell(staff, {**RETURNED, "customer_ref": "C-1", "fit_check": check}, key="k").body
    assert 1 == shares(staff)["reports"]

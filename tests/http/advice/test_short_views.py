"""The short view: what the whole answer says, in a kilobyte."""

import pytest

from tests.http.sheets import SLIM, WORN

SHORT = {"view": "short"}
MOST_BYTES = 1500
STOCKY = [
    {"dimension": "chest_girth", "value": 46, "unit": "in"},
    {"dimension": "waist_girth", "value": 44, "unit": "in"},
    {"dimension": "stature", "value": 170, "unit": "cm"},
]


def advise(client, readings, **query):
    return client.post("/v1/size-advice", {"readings": readings}, query=query)


@pytest.mark.parametrize("readings", [SLIM, STOCKY, SLIM[:1]])
def test_short_advice_says_what_the_whole_says(staff, readings):
    whole, short = advise(staff, readings).body, advise(staff, readings, **SHORT).body
    assert len(whole["plans"]) == len(short["plans"])
    for said, plan in zip(short["plans"], whole["plans"], strict=True):
        assert said["jacket"] == {part: plan["jacket"][part] for part in ("chart", "label")}
        assert "waistcoat" not in said
        assert [each["alteration"] for each in plan["alterations"]] == [
            each["alteration"] for each in said["alterations"]
        ]
        assert (plan["price"], plan["serves"]) == (said["price"], said["serves"])
        assert said["confidence"].items() < plan["confidence"]["together"].items()
        assert {"best", "within_one_size", "fits_altered"} == said["confidence"].keys()
    assert short["measure_next"] == (whole["next_measures"] or [{"dimension": None}])[0]["dimension"]
    assert {each["code"] for each in whole["warnings"]} == set(short["warnings"])


@pytest.mark.parametrize("readings", [SLIM, STOCKY, SLIM[:1], []])
def test_short_advice_is_short(staff, readings):
    assert len(advise(staff, readings, **SHORT).raw) < MOST_BYTES


def test_short_advice_is_in_the_unit_that_is_asked_for(staff):
    (first, *_) = advise(staff, SLIM, units="cm", **SHORT).body["plans"]
    assert {"cm"} == {each["text"].rpartition(" ")[2] for each in first["alterations"] if each["text"]}


def test_a_page_may_ask_for_it(shop):
    assert 200 == advise(shop.page("https://shop.example"), SLIM, **SHORT).status


@pytest.mark.parametrize("asked", [WORN, WORN | {"observations": [{"point": "front_closure", "seen": "pulls"}]}])
def test_a_short_fit_check_says_what_to_do_and_the_whole_is_kept(staff, asked):
    made = staff.post("/v1/fit-checks", asked, query=SHORT, key="check-1")
    assert 201 == made.status
    assert len(made.raw) < MOST_BYTES
    address = made.headers["Location"]
    whole = staff.get(address).body
    assert (whole["id"], whole["decision"], whole["decided_by"]) == tuple(
        made.body[part] for part in ("id", "decision", "decided_by")
    )
    wrong = [each for each in whole["verdicts"] if each["verdict"] in ("too_much", "too_little")]
    assert [(each["point"], each["side"], each["verdict"]) for each in wrong] == [
        (each["point"], each["side"], each["verdict"]) for each in made.body["wrong"]
    ]
    assert made.raw == staff.get(address, query=SHORT).raw


def test_a_retry_of_a_short_fit_check_is_short_and_one_with_another_view_is_another_request(staff):
    first, again = (staff.post("/v1/fit-checks", WORN, query=SHORT, key="check-1") for _ in range(2))
    assert (first.raw, "true") == (again.raw, again.headers["Answer-Repeated"])
    assert (422, "key_used_otherwise") == staff.post("/v1/fit-checks", WORN, key="check-1").problem[:2]


def test_no_other_view_is_served(staff):
    assert (422, "field_wrong", ["/view"]) == advise(staff, SLIM, view="long").problem

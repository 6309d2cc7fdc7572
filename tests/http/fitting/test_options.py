import pytest

from tests.http.sheets import JACKET_WAIST_IN, SLIM, WORN, inches, order, reading

KINDS = ["keep_as_is", "alter", "swap_up", "swap_down", "other_length", "other_drop"]


def check(client, **more):
    answer = client.post("/v1/fit-checks", WORN | more)
    assert 201 == answer.status, answer.body
    return answer.body


LOOSE = {
    "observations": [{"point": "front_closure", "spare": inches("1 1/4")}],
    "readings": [reading("chest_girth", 36), reading("trouser_waist_girth", "29 1/2"), reading("stature", 175, "cm")],
}


def by_kind(body):
    return {(each["choice"], each["garment"]): each for each in body["comparison"]}


def test_every_way_to_go_on_has_its_price_minutes_day_and_risk(staff):
    body = check(staff)
    assert set(KINDS) <= {each["choice"] for each in body["comparison"]}
    for each in body["comparison"]:
        if each["possible"]:
            assert sum(line["minutes"] for line in each["alterations"]) == each["minutes"]
            assert sum(line["price"]["minor"] for line in each["alterations"]) == each["price"]["minor"]
            assert 0 <= each["risk"] <= 1
            assert "2026-03-02" <= each["day"]
            assert "" == each["why_not"]
        else:
            assert each["why_not"]
            assert (None, None, None) == (each["price"], each["day"], each["risk"])


def test_one_way_is_advised_and_it_is_the_first_plan(staff):
    body = check(staff)
    (advised,) = [each for each in body["comparison"] if each["advised"]]
    first = body["plans"][0]
    assert (first["jacket"], first["trousers"]) == (advised["jacket"], advised["trousers"])


def test_the_day_is_that_of_a_quote_for_the_same_work_and_nothing_is_booked(staff):
    body = check(staff, **LOOSE)
    alter = by_kind(body)["alter", None]
    assert alter["possible"]
    quoted = staff.post("/v1/alteration-quotes", {"from_fit_check": body["id"]}).body
    advised = next(each for each in body["comparison"] if each["advised"])
    assert quoted["earliest"] == advised["day"]
    assert [advised["day"]] * 3 == [
        next(each for each in check(staff, **LOOSE)["comparison"] if each["advised"])["day"] for _ in range(3)
    ]


def test_the_day_moves_on_when_the_benches_are_taken(staff):
    before = by_kind(check(staff, **LOOSE))["alter", None]
    assert 0 < before["minutes"]
    for number in range(14):
        lines = [JACKET_WAIST_IN | {"piece": 2}]
        garments = [{"garment": "trousers", "chart": "reference", "label": "30"}, {"garment": "jacket"}]
        answer = staff.post("/v1/orders", order(garments=garments, lines=lines), key=f"busy-{number}")
        assert 201 == answer.status, answer.body
    assert before["day"] < by_kind(check(staff, **LOOSE))["alter", None]["day"]


def test_what_is_not_in_stock_is_no_choice(staff):
    body = check(staff, stock={"jackets": [{"label": "36R"}], "trousers": [{"label": "30"}]})
    up = by_kind(body)["swap_up", "jacket"]
    assert (False, "no such size is on offer") == (up["possible"], up["why_not"])


def test_another_drop_is_one_of_the_ways(staff):
    other = by_kind(check(staff))["other_drop", None]
    assert other["possible"]
    assert other["jacket"]["chart"] in {"reference_full", "reference_athletic", "reference_portly"}


def test_the_cost_decides_where_no_rule_overrides_it(staff):
    body = check(staff)
    overriding = [each["rule"] for each in body["swap_rules"] if each["outcome"] == "overrides"]
    assert (overriding or ["cost"])[0] == body["decided_by"]


def test_a_rule_that_overrides_says_on_which_figures_and_why(staff):
    # Waist right, seat wrong: size by the seat, alter the waist (US Army TM 10-227 p. 3-11; common practice, no
    # source).
    worn = {"trousers": {"chart": "reference", "label": "34"}}
    readings = [reading("trouser_waist_girth", 34), reading("stature", 178, "cm")]
    seen = [{"point": "trouser_seat", "seen": "hangs_in_folds"}, {"point": "trouser_waist", "seen": "right"}]
    body = check(staff, worn=worn, readings=readings, observations=seen)
    (rule,) = [each for each in body["swap_rules"] if each["rule"] == "size_by_the_seat"]
    assert "seat: too much by" in rule["because"]
    assert "US Army TM 10-227 p. 3-11; common practice, no source" == rule["source"]
    assert ("overrides", "size_by_the_seat", "swap") == (rule["outcome"], body["decided_by"], body["decision"])
    assert float(body["plans"][0]["trousers"]["label"]) < 34


@pytest.mark.parametrize(("sold_at", "weighed"), [({"jacket": 5000}, True), ({"jacket": 90000}, False), ({}, False)])
def test_the_work_is_weighed_against_what_the_suit_is_sold_at(staff, sold_at, weighed):
    body = check(staff, sold_at=sold_at, readings=[*SLIM, reading("arm_length", 20)])
    assert weighed == ("share_of_the_price" in {each["rule"] for each in body["swap_rules"]})


@pytest.mark.parametrize("sold_at", [{"jacket": 0}, {"jacket": "many"}, {"hat": 3}, {"jacket": 10**12}], ids=str)
def test_a_price_that_is_none_is_refused(staff, sold_at):
    answer = staff.post("/v1/fit-checks", WORN | {"sold_at": sold_at})
    (garment,) = sold_at
    assert (422, "field_wrong", [f"/sold_at/{garment}"]) == answer.problem

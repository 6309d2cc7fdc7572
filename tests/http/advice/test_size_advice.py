import pytest

from tests.http.sheets import SLIM, named, reading
from tests.http.shop.charts import CHART, put


def advise(staff, **asked):
    return staff.post("/v1/size-advice", asked)


def test_a_slim_man_is_given_the_jacket_and_trousers_of_his_tape_and_a_hem(staff):
    best = advise(staff, readings=SLIM).body["plans"][0]
    assert ("36R", "30", ["trouser_hem"]) == (
        best["jacket"]["label"],
        best["trousers"]["label"],
        [each["alteration"] for each in best["alterations"]],
    )


def test_plans_are_ranked_by_what_they_are_expected_to_cost(staff):
    costs = [plan["ranking"]["expected_cost"]["minor"] for plan in advise(staff, readings=SLIM, limit=10).body["plans"]]
    assert 10 == len(costs)
    assert sorted(costs) == costs


def test_a_plan_gives_its_reasons_place_by_place(staff):
    places = {each["place"]: each for each in advise(staff, readings=SLIM).body["plans"][0]["places"]}
    chest = places["chest"]
    assert ("chest_girth", "right", None) == (chest["dimension"], chest["verdict"], chest["alteration"])
    assert chest["residual_mm"] == pytest.approx(chest["ease_mm"] - chest["ideal_ease_mm"], abs=0.15)
    assert chest["ease_mm"] == pytest.approx(chest["garment_mm"] - chest["body_mm"], abs=0.15)


def test_the_next_measure_is_the_one_that_saves_most(staff):
    body = advise(staff, readings=SLIM).body
    unsure = {each["dimension"] for each in body["plans"][0]["places"] if each["p_misfit"] > 0}
    first, *rest = [(each["dimension"], each["ranking"]["gain"]["minor"]) for each in body["next_measures"]]
    # Before them may stand the one that decides whether any size serves.
    gains = [gain for _, gain in ([first, *rest] if body["serves"]["serves"] == "yes" else rest)]
    assert body["serves"]["serves"] == "yes" or first[0] in unsure
    assert len(gains) > 3
    assert sorted(gains, reverse=True) == gains


def test_the_same_question_has_the_same_answer(staff):
    assert advise(staff, readings=SLIM).raw == advise(staff, readings=SLIM).raw


def test_of_a_man_of_whom_nothing_is_known_it_says_only_what_to_measure(staff):
    body = advise(staff).body
    assert ([], ["nothing_known"]) == (body["plans"], [warning["code"] for warning in body["warnings"]])
    assert "chest_girth" == body["next_measures"][0]["dimension"]


def test_only_what_is_asked_for_is_advised(staff):
    plans = advise(staff, readings=SLIM, garments=["jacket"]).body["plans"]
    assert ["36R"] == [plan["jacket"]["label"] for plan in plans[:1]]
    assert {None} == {plan["trousers"] and plan["trousers"]["label"] for plan in plans}


def test_only_what_is_on_the_rack_is_advised(staff):
    stock = {"jackets": [{"label": "38R"}, {"label": "40R"}], "trousers": [{"label": "32"}]}
    plans = advise(staff, readings=SLIM, stock=stock, limit=20).body["plans"]
    assert {"38R", "40R"} == {plan["jacket"]["label"] for plan in plans}
    assert {"32"} == {plan["trousers"]["label"] for plan in plans}


def test_what_is_on_the_rack_of_one_chart_is_not_on_that_of_another(staff):
    put(staff, CHART, "everyday")
    put(staff, CHART, "evening")
    stock = {
        "jackets": [{"chart": "everyday", "label": "36R"}, {"chart": "evening", "label": "38R"}],
        "trousers": [{"label": "30"}],
    }
    plans = advise(staff, readings=SLIM, stock=stock, limit=20).body["plans"]
    assert {("everyday", "36R"), ("evening", "38R")} == {
        (plan["jacket"]["chart"], plan["jacket"]["label"]) for plan in plans
    }


def test_a_recorded_set_is_as_good_as_its_readings(staff):
    recorded = staff.post("/v1/measurement-sets", {"readings": SLIM}).body["id"]
    inline, kept = advise(staff, readings=SLIM), advise(staff, measurement_set=recorded)
    assert inline.body["plans"] == kept.body["plans"]


def test_a_man_outside_the_survey_is_said_to_be(staff):
    heavy = [reading("stature", 175, "cm"), reading("body_mass", 190, "kg")]
    codes = {warning["code"] for warning in advise(staff, readings=heavy).body["warnings"]}
    assert "outside_model" in codes


@pytest.mark.parametrize(
    ("asked", "problem"),
    [
        ({"charts": ["everyday"]}, ("chart_unknown", ["/charts/0"])),
        ({"charts": ["reference", "none"]}, ("chart_unknown", ["/charts/1"])),
        ({"charts": []}, ("field_wrong", ["/charts"])),
        ({"charts": ["x" * 41]}, ("field_wrong", ["/charts/0"])),
        ({"charts": ["\x00"]}, ("field_wrong", ["/charts/0"])),
        ({"charts": ["reference"] * 11}, ("field_wrong", ["/charts"])),
        ({"measurement_set": "00000000-0000-4000-8000-000000000000"}, ("set_unknown", ["/measurement_set"])),
        ({"measurement_set": "000000000000400080000000000000000"}, ("field_wrong", ["/measurement_set"])),
        ({"measurement_set": "{00000000-0000-4000-8000-000000000000}"}, ("field_wrong", ["/measurement_set"])),
        ({"measurement_set": 17}, ("field_wrong", ["/measurement_set"])),
        ({"wish": "baggy"}, ("field_wrong", ["/wish"])),
        ({"limit": 0}, ("field_wrong", ["/limit"])),
        ({"limit": 21}, ("field_wrong", ["/limit"])),
        ({"limit": "3"}, ("field_wrong", ["/limit"])),
        ({"limit": 2.5}, ("field_wrong", ["/limit"])),
        ({"limit": True}, ("field_wrong", ["/limit"])),
        ({"garments": []}, ("field_wrong", ["/garments"])),
        ({"garments": ["hat"]}, ("field_wrong", ["/garments/0"])),
        ({"stock": {"jackets": [{"label": "99X"}]}}, ("label_unknown", ["/stock/jackets/0/label"])),
        ({"stock": {"jackets": ["36R"]}}, ("field_wrong", ["/stock/jackets/0"])),
        (
            {"charts": ["reference"], "stock": {"jackets": [{"chart": "reference_full", "label": "36R"}]}},
            ("chart_not_asked", ["/stock/jackets/0/chart"]),
        ),
        ({"stock": {"hats": []}}, ("field_wrong", ["/stock/hats"])),
        ({"stock": []}, ("field_wrong", ["/stock"])),
        ({"readings": {}}, ("field_wrong", ["/readings"])),
        ({"readings": [None]}, ("field_wrong", ["/readings/0"])),
    ],
    ids=named,
)
def test_what_cannot_be_answered_is_refused_where_it_stands(staff, asked, problem):
    assert (422, *problem) == advise(staff, **asked).problem


def test_a_whole_number_may_be_written_with_a_point(staff):
    # JSON knows one kind of number: 2.0 is 2.
    body = b'{"limit": 2.0, "readings": [{"dimension": "stature", "value": 175, "unit": "cm"}]}'
    assert 2 == len(staff.post("/v1/size-advice", data=body).body["plans"])


def test_from_an_empty_rack_nothing_is_advised(staff):
    assert [] == advise(staff, readings=SLIM, stock={"jackets": [], "trousers": []}).body["plans"]

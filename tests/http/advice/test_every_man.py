"""Every customer who asks is answered, as a caller sees it: the least and the largest, old and young, by any label."""

import pytest

from tests.http.sheets import named, reading


def advise(staff, **asked):
    answer = staff.post("/v1/size-advice", asked)
    assert 200 == answer.status
    return answer.body


def estimate(body, dimension):
    return next((each for each in body["body"] if each["dimension"] == dimension), None)


def warned(body, code):
    return [each for each in body["warnings"] if each["code"] == code]


def said(height_cm, mass, unit="kg"):
    return [
        reading("stature", height_cm, "cm", source="self_reported"),
        reading("body_mass", mass, unit, source="self_reported"),
    ]


@pytest.mark.parametrize("age", [17, 58, 85])
@pytest.mark.parametrize(("height_cm", "kg"), [(150, 40), (150, 123), (175, 49.5), (175, 168), (208, 70), (208, 200)])
def test_within_the_domain_there_is_always_an_estimate_and_a_size(staff, age, height_cm, kg):
    # 17 to 85 years, a body mass index of 16 to 55, 1,500 to 2,080 mm, 40 to 200 kg: its corners.
    body = advise(staff, readings=[reading("stature", height_cm, "cm"), reading("body_mass", kg, "kg")], age_years=age)
    assert not warned(body, "outside_model")
    for girth in ("chest_girth", "trouser_waist_girth", "hip_girth", "neck_girth"):
        assert estimate(body, girth)["sd_mm"] > 5
    assert body["plans"]


@pytest.mark.parametrize(
    ("height_cm", "kg", "age"), [(175, 170, 40), (175, 48, 40), (149, 60, 40), (209, 100, 40), (175, 80, 86)]
)
def test_beyond_the_domain_and_only_there_the_tape_is_asked_for(staff, height_cm, kg, age):
    body = advise(staff, readings=[reading("stature", height_cm, "cm"), reading("body_mass", kg, "kg")], age_years=age)
    assert warned(body, "outside_model")
    assert estimate(body, "chest_girth") is None
    assert not body["plans"]


@pytest.mark.parametrize(("height_cm", "kg"), [(180, 175), (188, 191), (175, 157)])
def test_whoever_says_a_great_weight_within_the_domain_is_taken_at_their_word(staff, height_cm, kg):
    # What the heavy understate puts the first of them at an index of 56: it is what was said that is held to 55.
    body = advise(staff, readings=said(height_cm, kg), age_years=45)
    assert not warned(body, "outside_model") + warned(body, "did_you_mean")
    assert estimate(body, "body_mass")["read"]
    assert 1400 < estimate(body, "waist_girth")["mm"] < 1700
    assert body["plans"]
    person = {"ref": "large", "readings": said(height_cm, kg), "age_years": 45}
    (batched,) = staff.post("/v1/size-advice/batch", {"people": [person]}).body["answers"]
    assert body["plans"][0]["jacket"] == batched["plans"][0]["jacket"]


def test_a_number_that_no_one_weighs_is_asked_about_with_both_and_advice_goes_by_neither(staff):
    body = advise(staff, readings=said(178, 82, "lb"), age_years=45)
    (asked,) = warned(body, "did_you_mean")
    assert ("/readings/1", {"given": "82 lb", "meant": "82 kg"}) == (asked["pointer"], asked["facts"])
    assert not estimate(body, "body_mass")["read"]
    without = advise(staff, readings=said(178, 82, "lb")[:1], age_years=45)
    assert without["body"] == body["body"]
    assert without["plans"] == body["plans"]


def test_a_number_that_someone_may_weigh_is_asked_about_and_advice_goes_by_what_was_said(staff):
    taped = [reading("chest_girth", 40), reading("waist_girth", 34), *said(178, 170)]
    body = advise(staff, readings=taped)
    (asked,) = warned(body, "did_you_mean")
    assert {"given": "170 kg", "meant": "170 lb"} == asked["facts"]
    assert estimate(body, "body_mass")["read"]
    assert estimate(body, "body_mass")["kg"] > 85


def test_the_old_overstate_their_height_by_more_than_the_young(staff):
    heights = [estimate(advise(staff, readings=said(178, 80), age_years=age), "stature")["mm"] for age in (30, 75)]
    assert 5 < 1780 - heights[0] < 1780 - heights[1]
    assert heights[0] - heights[1] > 8


@pytest.mark.parametrize(
    ("garment", "system", "label"),
    [
        ("jacket", "en_chest_waist", "100/88"),
        ("jacket", "en_letter", "L"),
        ("jacket", "jis_l_4004", "94A5"),
        ("jacket", "gb_t_1335_1", "175/96A"),
        ("jacket", "german", "50"),
        ("jacket", "german", "102"),
        ("jacket", "inch_jacket", "40R"),
        ("jacket", "eu_jacket", "50"),
        ("trousers", "inch_trouser", "34"),
        ("trousers", "eu_trouser", "50"),
    ],
    ids=named,
)
def test_a_label_of_an_unknown_maker_in_any_system_narrows_the_girth_and_reads_nothing(staff, garment, system, label):
    measured = [reading("stature", 178, "cm"), reading("body_mass", 80, "kg")]
    girth = {"jacket": "chest_girth", "trousers": "trouser_waist_girth"}[garment]
    worn = {"garment": garment, "label": label, "how": "says", "system": system}
    without, known = (
        estimate(advise(staff, readings=measured, age_years=40, **more), girth) for more in ({}, {"wears": [worn]})
    )
    assert not known["read"]
    # A maker's label is no tape: the spread between makers stays.
    assert 20 < known["sd_mm"] < without["sd_mm"]


def test_a_plain_customer_is_told_how_sure_each_garment_is_in_shares_that_a_person_can_use(staff):
    taped = [reading("chest_girth", 40), reading("trouser_waist_girth", "33 1/2"), reading("stature", 70)]
    body = advise(staff, readings=taped, age_years=40)
    plan = body["plans"][0]
    assert ("40R", "yes") == (plan["jacket"]["label"], body["serves"]["serves"])
    for each in (plan["confidence"][garment] for garment in ("jacket", "trousers")):
        assert "yes" == each["serves"]
        assert 0.5 < each["best"] <= each["within_one_size"]
        assert each["no_alteration"] <= each["fits_altered"]
        assert each["fits_altered"] > 0.5

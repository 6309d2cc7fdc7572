"""No size here serves: said by size advice and by fit checks, with what would of the shop's own charts."""

from tests.http.sheets import reading

# Ten inches from chest to waist: no coat of the reference block is taken in so far.
SLIM = [
    reading("chest_girth", 41.5), reading("natural_waist_girth", 31.5), reading("hip_girth", 38.75),
    reading("shoulder_width", 18.25), reading("arm_length", 23.5), reading("cervical_height", 60),
    reading("stature", 177, "cm"),
]  # fmt: skip
OWN = {
    "title": "Slim",
    "unit": "in",
    "sold": "separates",
    "sizes": [
        {"garment": "jacket", "label": "42R", "body": 42, "chest": 46, "waist": 37, "seat": 43, "shoulder": 18.625,
         "sleeve": 25, "back_length": 30},
    ],
}  # fmt: skip


def instead(body):
    return [(each["garment"], each["by"], (each["size"] or {}).get("chart")) for each in body["serves"]["instead"]]


def test_a_block_is_named_where_the_shop_has_no_other_chart_and_the_shops_own_where_it_has(staff):
    asked = {"readings": SLIM, "charts": ["reference"], "garments": ["jacket"]}
    before = staff.post("/v1/size-advice", asked).body
    assert "no" == before["serves"]["serves"] == before["plans"][0]["serves"]
    assert [("jacket", "reference_block", "reference_athletic")] == instead(before)
    assert "no_size_serves" in [each["code"] for each in before["warnings"]]
    staff.ask("PUT", "/v1/charts/slim", OWN)
    after = staff.post("/v1/size-advice", asked).body
    assert [("jacket", "chart", "slim")] == instead(after)
    check = {"worn": {"jacket": {"chart": "reference", "label": "42R"}}, "readings": SLIM}
    seen = [{"point": "front_closure", "spare": {"value": 3, "unit": "in"}}]
    assert [("jacket", "chart", "slim")] == instead(staff.post("/v1/fit-checks", check | {"observations": seen}).body)

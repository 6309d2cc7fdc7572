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
    found = body["serves"]["instead"]
    return [(each["garment"], each["found_in"], (each["size"] or {}).get("chart")) for each in found]


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


# Taped at 42 and 38: a drop of four.
FULL = [reading("chest_girth", 42), reading("natural_waist_girth", 37.5), reading("trouser_waist_girth", 38),
        reading("hip_girth", 41), reading("stature", 177, "cm")]  # fmt: skip


def in_pairs(drop, title="Suits"):
    """Suits of that drop as the reference block is cut, sold in pairs."""
    sizes = [
        {
            "garment": "jacket",
            "label": f"{c}R",
            "body": c,
            "chest": c + 4,
            "waist": c + 4 - drop,
            "sleeve": 25,
            "back_length": 30,
        }
        for c in range(36, 48, 2)
    ] + [
        {"garment": "trousers", "label": str(c - drop), "body": c - drop, "waist": c - drop + 0.75, "inside_leg": 36}
        for c in range(36, 48, 2)
    ]
    return {"title": title, "unit": "in", "sold": "pairs", "drop": drop, "sizes": sizes}


def test_a_drop_that_the_shop_lacks_is_named_with_what_it_saves_and_the_chart_that_has_it(staff):
    staff.ask("PUT", "/v1/charts/six", in_pairs(6))
    alone = staff.post("/v1/size-advice", {"readings": FULL}).body
    other = alone["serves"]["other_drop"]
    assert ("4 in", "42R", "38", []) == (other["drop"]["text"], other["jacket"], other["trousers"], other["charts"])
    assert 0 < other["saves"]["minor"] <= alone["plans"][0]["ranking"]["expected_cost"]["minor"]
    assert "no chart here has it" in other["words"]
    staff.ask("PUT", "/v1/charts/four", in_pairs(4))
    six = staff.post("/v1/size-advice", {"readings": FULL, "charts": ["six"]}).body["serves"]["other_drop"]
    assert ["four"] == six["charts"]
    both = staff.post("/v1/size-advice", {"readings": FULL}).body
    assert "four" == both["plans"][0]["jacket"]["chart"]
    assert both["serves"]["other_drop"] is None


def test_a_customer_of_sixty_four_inches_in_the_chest_is_served_where_the_shop_has_no_charts(staff):
    taped = [reading("chest_girth", 64), reading("natural_waist_girth", 61), reading("trouser_waist_girth", 62),
             reading("stature", 183, "cm")]  # fmt: skip
    answer = staff.post("/v1/size-advice", {"readings": taped}).body
    (first, *_) = answer["plans"]
    assert "64" == first["jacket"]["label"].rstrip("XSRL")
    assert first["trousers"]["label"] in ("61", "62")
    assert "no" != answer["serves"]["serves"]

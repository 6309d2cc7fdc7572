from service.tailoring.fit_points import appearances, fit_points


def test_every_fit_point_is_listed_in_the_order_of_looking(staff):
    found = staff.get("/v1/fit-points").body["fit_points"]
    assert list(fit_points()) == [each["point"] for each in found]


def test_each_has_its_appearances_and_its_source(staff):
    for each in staff.get("/v1/fit-points").body["fit_points"]:
        looks = [look["seen"] for look in each["appearances"]]
        # A look that is judged at two places is one look.
        assert list(dict.fromkeys(look.name for look in appearances(each["point"]))) == looks
        assert each["source"]


def test_what_is_listed_as_seen_can_be_sent_in(staff):
    worn = {
        "jacket": {"chart": "reference", "label": "38R"},
        "trousers": {"chart": "reference", "label": "32"},
        "waistcoat": {"chart": "reference", "label": "38R"},
    }
    points = staff.get("/v1/fit-points").body["fit_points"]
    sightings = [
        {"point": each["point"], "seen": each["appearances"][0]["seen"], **({"side": "both"} if each["sided"] else {})}
        for each in points
        if each["appearances"]
    ]
    answer = staff.post("/v1/fit-checks", {"worn": worn, "observations": sightings})
    assert 201 == answer.status
    judged = {each["point"] for each in answer.body["verdicts"] if each["verdict"] != "not_judged"}
    assert {each["point"] for each in sightings} == judged


def test_a_band_is_in_the_unit_that_is_asked_for(staff):
    def text(units):
        points = staff.get("/v1/fit-points", query={"units": units}).body["fit_points"]
        return next(each["band"]["right"]["unit"] for each in points if each["band"])

    assert ["in", "cm"] == [text("in"), text("cm")]

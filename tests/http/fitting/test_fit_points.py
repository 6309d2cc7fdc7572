import pytest

from service.tailoring.fitting.fit_points import appearances, fit_points
from tests.http.sheets import SLIM, WORN, inches


def band(right="3/4", ok=("1/2", 1), watch=("1/4", 2)):
    edges = {"right": right, "ok_low": ok[0], "ok_high": ok[1], "watch_low": watch[0], "watch_high": watch[1]}
    return {name: inches(edge) for name, edge in edges.items()}


def row(point="front_closure", **more):
    return {"point": point, "band": band(), "source": "the shop's own cutter"} | more


def looks(*said):
    return {"appearances": list(said), "band": band()}


def put(client, *rows, version=1):
    return client.ask("PUT", "/v1/fit-points", {"rows": rows}, headers={"If-Match": version and f'"{version}"'})


def shown(answer, point="front_closure"):
    return next(each for each in answer.body["fit_points"] if each["point"] == point)


def test_every_fit_point_is_listed_in_the_order_of_looking(staff):
    answer = staff.get("/v1/fit-points")
    assert ('"1"', list(fit_points())) == (
        answer.headers["ETag"],
        [each["point"] for each in answer.body["fit_points"]],
    )


def test_each_has_its_appearances_and_its_source(staff):
    for each in staff.get("/v1/fit-points").body["fit_points"]:
        seen = [look["seen"] for look in each["appearances"]]
        # A look that is judged at two places is one look.
        assert list(dict.fromkeys(look.name for look in appearances(each["point"]))) == seen
        assert each["source"]


def test_the_try_on_is_told_step_by_step_with_the_points_of_each(staff):
    body = staff.get("/v1/fit-points").body
    steps = body["try_on"]
    assert [1, 2, 3, 4, 5, 6, 7] == [step["step"] for step in steps]
    assert [each["point"] for each in body["fit_points"]] == [code for step in steps for code in step["points"]]
    assert all(step["words"] and step["reason"] and step["source"] for step in steps)
    # Trousers first, then the waistcoat, then the jacket; hems are marked last.
    garments = {
        step["step"]: {shown(staff.get("/v1/fit-points"), code)["garment"] for code in step["points"]} for step in steps
    }
    assert [{"trousers"}, {"waistcoat"}, {"jacket"}, {"trousers"}] == [garments[step] for step in (3, 4, 5, 7)]


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


def test_a_shop_sets_its_own_and_may_leave_it_again(staff):
    pulls = {"seen": "pulls", "causes": ["stomach"], "remedies": ["jacket_waist_out", "one size larger"]}
    answer = put(staff, row(**looks(pulls)))
    assert (200, '"2"') == (answer.status, answer.headers["ETag"])
    assert answer.raw == staff.get("/v1/fit-points").raw
    mine = shown(answer)
    assert (True, "the shop's own cutter", "3/4 in", "2 in") == (
        mine["own"],
        mine["source"],
        mine["band"]["right"]["text"],
        mine["band"]["watch_high"]["text"],
    )
    look = next(each for each in mine["appearances"] if each["seen"] == "pulls")
    assert pulls | {"verdict": "too_little", "own": True, "source": "the shop's own cutter"} == look
    assert not shown(answer, "lapel")["own"]
    left = shown(put(staff, version=2))
    assert (False, "1/2 in") == (left["own"], left["band"]["right"]["text"])


def test_the_version_that_was_read_is_wanted(staff):
    assert (428, "version_missing", ["/If-Match"]) == put(staff, row(), version=None).problem
    assert (412, "version_stale", [""]) == put(staff, row(), version=7).problem
    assert ['"2"', '"2"'] == [put(staff, row(), version=version).headers["ETag"] for version in (1, 2)]


def test_the_table_is_put_by_the_shop_and_not_by_any_key(shop):
    assert (403, "scope_missing", [""]) == put(shop.client("advise"), row()).problem


@pytest.mark.parametrize(
    ("wrong", "code", "pointer"),
    [
        (row("hat"), "field_wrong", "/rows/0/point"),
        (row(source=""), "field_wrong", "/rows/0/source"),
        (row("length_class"), "point_has_no_band", "/rows/0/band"),
        (row(band=band(right=2)), "band_wrong", "/rows/0/band/ok_high"),
        (row(band=band(watch=(1, 2))), "band_wrong", "/rows/0/band/ok_low"),
        (row(band=band(watch=("1/4", 7))), "band_wrong", "/rows/0/band/watch_high"),
        ({"point": "lapel", "source": "mine"}, "own_point_empty", "/rows/0"),
        (row(**looks({"seen": "pulls", "remedies": []})), "look_needs_remedy", "/rows/0/appearances/0/remedies"),
        (
            row(**looks({"seen": "right", "remedies": ["jacket_press"]})),
            "look_needs_remedy",
            "/rows/0/appearances/0/remedies",
        ),
        (
            row(**looks({"seen": "pulls", "remedies": ["one size larger", "jacket_waist_away"]})),
            "alteration_unknown",
            "/rows/0/appearances/0/remedies/1",
        ),
        (
            row(**looks({"seen": "pulls", "verdict": "too_much", "remedies": ["jacket_waist_out"]})),
            "look_verdict_fixed",
            "/rows/0/appearances/0/verdict",
        ),
        (
            row(**looks({"seen": "strains_seated", "remedies": ["jacket_waist_out"]})),
            "look_verdict_missing",
            "/rows/0/appearances/0/verdict",
        ),
        (
            row(**looks(*[{"seen": "pulls", "remedies": ["jacket_waist_out"]}] * 2)),
            "look_repeated",
            "/rows/0/appearances/1",
        ),
        (row(band=band() | {"right": {"value": 1, "unit": "ell"}}), "field_wrong", "/rows/0/band/right/unit"),
    ],
)
def test_what_no_fitter_judges_by_is_refused(staff, wrong, code, pointer):
    assert (422, code, [pointer]) == put(staff, wrong).problem
    assert '"1"' == staff.get("/v1/fit-points").headers["ETag"]


def test_a_point_is_said_once(staff):
    assert (422, "fit_point_repeated", ["/rows/1"]) == put(staff, row(), row()).problem


def check(client, *observations, **more):
    return client.post("/v1/fit-checks", WORN | {"observations": list(observations)} | more).body


def verdict(body, point="front_closure"):
    found = next(each for each in body["verdicts"] if each["point"] == point)
    return found["verdict"], found["watch"], [each["alteration"] for each in found["remedies"]]


def test_a_fit_check_is_judged_by_the_shops_own_bands_and_remedies(staff):
    seen = {"point": "front_closure", "spare": inches("1 1/8")}
    assert ("too_much", True) == verdict(check(staff, seen))[:2]
    boxy = {"seen": "boxy", "causes": ["cut easy"], "remedies": ["jacket_waist_in"]}
    put(staff, row(band=band(right=1, ok=("3/4", "1 1/4"))))
    assert ("right", False, []) == verdict(check(staff, seen))
    put(staff, row(**looks(boxy)), version=2)
    assert ("too_much", True, ["jacket_waist_in"]) == verdict(check(staff, seen))


def test_a_look_of_the_shops_own_is_seen_from_then_on(staff):
    seen = {"point": "front_closure", "seen": "strains_seated"}
    refused = staff.post("/v1/fit-checks", WORN | {"observations": [seen]})
    assert (422, "seen_unknown", ["/observations/0/seen"]) == refused.problem
    mine = {"seen": "strains_seated", "verdict": "too_little", "remedies": ["jacket_button_move"]}
    put(staff, row(**looks(mine)))
    assert ("too_little", False, ["jacket_button_move"]) == verdict(check(staff, seen))


def test_what_a_shop_calls_right_is_no_other_man(staff):
    # An inch of spare cloth tells of the same waist, whatever the shop likes to see.
    def waist():
        body = check(staff, {"point": "front_closure", "spare": inches(1)}, readings=SLIM[:1] + SLIM[2:])["body"]
        return next(each["mm"] for each in body if each["dimension"] == "waist_girth")

    before = waist()
    put(staff, row(band=band(right=1, ok=("3/4", "1 1/4"))))
    assert before == waist()


def test_a_shop_that_calls_more_cloth_right_has_seen_a_slimmer_man_where_it_says_right(staff):
    def waist():
        body = check(staff, {"point": "front_closure", "seen": "right"}, readings=SLIM[:1] + SLIM[2:])["body"]
        return next(each["mm"] for each in body if each["dimension"] == "waist_girth")

    before = waist()
    put(staff, row(band=band(right=1, ok=("3/4", "1 1/4"))))
    assert waist() < before - 5


def test_another_shop_keeps_its_own(staff, other_shop):
    put(staff, row())
    assert not shown(other_shop.staff.get("/v1/fit-points"))["own"]

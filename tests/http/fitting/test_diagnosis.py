from tests.http.sheets import SLIM, WORN, inches

PULLS = {"point": "front_closure", "seen": "pulls"}


def checked(client, *observations, **more):
    answer = client.post("/v1/fit-checks", WORN | {"observations": list(observations)} | more)
    assert 201 == answer.status, answer.body
    return answer.body


def test_the_causes_of_everything_that_was_seen_are_ranked_with_their_evidence(staff):
    seen = ({"point": "jacket_chest", "seen": "right"}, PULLS, {"point": "jacket_waist", "spare": inches(1)})
    found = checked(staff, *seen)["causes"]
    likelihood = [each["probability"] for each in found]
    assert ("full_waist", None) == (found[0]["cause"], found[0]["side"])
    assert sorted(likelihood, reverse=True) == likelihood
    assert {"/observations/1", "/observations/2"} == {each["pointer"] for each in found[0]["speaks_for"]}
    assert found[0]["probability"] > found[0]["prior"]
    too_small = next((each for each in found if each["cause"] == "jacket_too_small"), None)
    if too_small:
        assert "/observations/0" in {each["pointer"] for each in too_small["speaks_against"]}


def test_a_cause_has_its_remedies_in_order_and_says_which_are_planned(staff):
    boxy = {"point": "front_closure", "spare": inches(2)}
    body = checked(staff, boxy, readings=SLIM[:1] + SLIM[2:])
    slim = next(each for each in body["causes"] if each["cause"] == "slim_waist")
    planned = {line["alteration"] for line in body["plans"][0]["alterations"]}
    assert "jacket_waist_in" == slim["remedies"][0]["alteration"]
    assert [each["alteration"] in planned for each in slim["remedies"]] == [
        each["planned"] for each in slim["remedies"]
    ]
    assert None in {each["alteration"] for each in slim["remedies"]}


def test_what_is_right_has_no_cause(staff):
    body = checked(staff, {"point": "front_closure", "seen": "right"})
    assert ([], []) == (body["causes"], body["look_next"])


def test_a_cause_on_one_side_says_which(staff):
    lower = {"point": "shoulder_slope", "spare": inches("1/2"), "side": "left"}
    found = checked(staff, lower)["causes"][0]
    assert ("low_shoulder", "left") == (found["cause"], found["side"])
    assert "jacket_pad_one_shoulder" == found["remedies"][0]["alteration"]


def test_a_posture_note_and_the_taped_drop_are_evidence_too(staff):
    gapes = {"point": "collar_gap", "seen": "gapes"}
    note = {"note": "stoop", "amount": inches("1/2")}
    stoop = checked(staff, gapes, posture=[note])["causes"][0]
    assert "stoop" == stoop["cause"]
    assert ("/posture/0", None) in {(each["pointer"], each["point"]) for each in stoop["speaks_for"]}
    waist = [SLIM[0], {"dimension": "trouser_waist_girth", "value": 34, "unit": "in"}]
    full = checked(staff, PULLS, readings=waist)["causes"][0]
    assert ("full_waist", {"/observations/0", ""}) == (full["cause"], {each["pointer"] for each in full["speaks_for"]})


def test_where_to_look_next_is_a_point_that_nobody_judged(staff):
    body = checked(staff, PULLS)
    unjudged = {(each["point"], each["side"]) for each in body["verdicts"] if each["verdict"] == "not_judged"}
    assert body["look_next"]
    assert {(each["point"], each["side"]) for each in body["look_next"]} <= unjudged


def test_what_contradicts_is_a_warning_where_it_stands(staff):
    body = checked(staff, PULLS, {"point": "front_closure", "spare": inches(2)})
    found = [(each["code"], each["pointer"]) for each in body["warnings"]]
    assert ("sightings_disagree", "/observations/0") in found
    # The amount is counted, and the point is judged once.
    assert ["too_much"] == [each["verdict"] for each in body["verdicts"] if each["point"] == "front_closure"]


def test_the_same_observations_have_the_same_bytes(staff):
    one, other = (checked(staff, PULLS, {"point": "jacket_vents", "seen": "gape"}) for _ in range(2))
    assert [one[part] for part in ("causes", "look_next")] == [other[part] for part in ("causes", "look_next")]


def test_a_diagnosis_is_read_back_as_it_was_answered(staff):
    body = checked(staff, PULLS)
    assert body == staff.get(f"/v1/fit-checks/{body['id']}").body

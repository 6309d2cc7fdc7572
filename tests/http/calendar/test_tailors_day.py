"""The workroom's day as a board shows it: cards with what is done, by whom, and what of it is one tailor's."""

from tests.http.sheets import (
    HEMMED,
    IN_WORKROOM,
    JACKET,
    JACKET_WAIST_IN,
    PINNED,
    TROUSERS,
    WAIST_IN,
    inches,
    moved_along,
    placed,
)

TUESDAY = "2026-03-03"
SUIT = {"garments": [HEMMED | {"cloth": "navy worsted"}, JACKET], "hems": [], "lines": [WAIST_IN, JACKET_WAIST_IN]}


def kept(client, ref, *benches, **more):
    asked = {"benches": list(benches), "minutes_a_day": 420, **more}
    assert 200 == client.ask("PUT", f"/v1/tailors/{ref}", asked).status
    return ref


def given(client, order, tailor, **what):
    path = f"/v1/orders/{order['id']}"
    headers = {"If-Match": client.get(path).headers["ETag"]}
    assert 200 == client.post(f"{path}/assignments", {"tailor": tailor, **what}, headers=headers).status


def cards(client, **query):
    answer = client.get("/v1/workroom/worklist", query={"day": TUESDAY, **query})
    assert 200 == answer.status, answer.body
    return {each["bench"]: each["jobs"] for each in answer.body["benches"]}, answer.body


def test_a_card_says_cloth_pins_moves_version_minutes_and_who(staff, clock):
    order = placed(staff, **SUIT)
    moved_along(staff, order["id"], *IN_WORKROOM)
    kept(staff, "tailor-1", "trousers")
    given(staff, order, "tailor-1", pieces=[1])
    staff.post("/v1/tailors/tailor-1/work", {"do": "begin", "ticket": order["number"], "number": 1})
    clock.advance(minutes=12)
    staff.post("/v1/tailors/tailor-1/work", {"do": "pause"})
    staff.post("/v1/tailors/tailor-1/work", {"do": "begin", "ticket": order["number"], "number": 1})
    by_bench, body = cards(staff)
    (card,) = by_bench["trousers"]
    (piece,), (line,) = card["pieces"], card["lines"]
    assert f'"{card["version"]}"' == staff.get(f"/v1/orders/{order['id']}").headers["ETag"]
    assert ("navy worsted", "in_workroom", 12, "tailor-1", ["tailor-1"]) == tuple(
        piece[name] for name in ("cloth", "state", "minutes_taken", "assigned_to", "at_work")
    )
    assert {"query", "sewn"} <= set(piece["may_move_to"])
    assert ("tailor-1", 12, ["tailor-1"], []) == tuple(
        line[name] for name in ("assigned_to", "minutes_taken", "at_work", "sewn_by")
    )
    assert (35, 12) == (card["minutes_planned"], card["minutes_taken"])
    (there,) = body["tailors"]
    assert (420, order["number"], 1) == (there["minutes"], there["in_hand"]["ticket"], there["in_hand"]["piece"])
    # Pressing is planned of each piece, and nobody's yet.
    assert [(1, None), (2, None)] == [
        (each["piece"], each["assigned_to"]) for each in by_bench["finishing"][0]["pieces"]
    ]


def test_a_tailor_sees_what_is_given_to_them(staff):
    first, second, third = (placed(staff, **SUIT) for _ in range(3))
    kept(staff, "tailor-1", "trousers", "jackets")
    kept(staff, "tailor-2", "jackets", days_off=[TUESDAY])
    given(staff, first, "tailor-1", pieces=[1, 2])
    given(staff, first, "tailor-2", lines=[2])
    given(staff, second, "tailor-1", lines=[1])
    mine, body = cards(staff, tailor="tailor-1")
    assert [first["number"], second["number"]] == [each["number"] for each in mine["trousers"]]
    assert [([], [2])] == [
        ([line["number"] for line in each["lines"]], [piece["piece"] for piece in each["pieces"]])
        for each in mine["jackets"]
    ]
    assert [2, 70] == [body["benches"][0][name] for name in ("count", "minutes")]
    theirs, body = cards(staff, tailor="tailor-2", bench="jackets")
    assert [[2]] == [[line["number"] for line in each["lines"]] for each in theirs["jackets"]]
    assert [("tailor-2", 0)] == [(each["tailor"], each["minutes"]) for each in body["tailors"]]
    assert third["number"] in {each["number"] for each in cards(staff)[0]["trousers"]}
    unknown = staff.get("/v1/workroom/worklist", query={"tailor": "tailor-9"})
    assert (422, "tailor_unknown", ["/tailor"]) == unknown.problem


def test_legs_that_are_not_alike_say_so(staff):
    alike = {"pins": {"left": inches(30), "right": inches(30)}}
    for hems, differ in ((PINNED, True), (alike, False)):
        placed(staff, garments=[TROUSERS], hems=[hems])
        by_bench, _ = cards(staff)
        assert {differ} == {line["sides_differ"] for line in by_bench["trousers"][-1]["lines"]}

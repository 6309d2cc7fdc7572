"""What benches cut, find and sew, and what is measured by another when it is done."""

import pytest

from service.use_cases.shop.shops import let_check
from tests.http.sheets import (
    HEMMED,
    IN_WORKROOM,
    JACKET,
    JACKET_WAIST_IN,
    PINNED,
    TO_READY,
    WAIST_IN,
    inches,
    moved,
    moved_along,
    placed,
)
from tests.shops import new_shop

SUIT = {"garments": [HEMMED, JACKET], "hems": [], "lines": [WAIST_IN, JACKET_WAIST_IN]}


def posted(client, order, what, version, by, *lines):
    path, headers = f"/v1/orders/{order['id']}/{what}", {"If-Match": f'"{version}"'}
    return client.post(path, {"by": by, "lines": list(lines)}, headers=headers)


def noted(client, order, version, *lines, by="tailor-1"):
    return posted(client, order, "bench-notes", version, by, *lines)


def checked(client, order, version, *lines, by="tailor-3"):
    return posted(client, order, "checks", version, by, *lines)


def line_of(order, alteration, side=None):
    return next(line for line in order["lines"] if line["alteration"] == alteration and side in {None, line["side"]})


def as_aimed(line, off_in=0.0):
    """What the line measures when it is off by so much."""
    return {"number": line["number"], "measured": {"value": line["target"]["mm"] / 25.4 + off_in, "unit": "in"}}


def test_the_bench_notes_where_it_cut_and_a_pin_is_reckoned_from_there(staff):
    order = placed(staff, garments=[{"garment": "trousers", "chart": "reference", "label": "30"}], hems=[PINNED])
    moved_along(staff, order["id"], *IN_WORKROOM)
    left = line_of(order, "trouser_hem", "left")
    note = noted(staff, order, 3, {"number": left["number"], "cut_at": inches("32 1/4")}).body
    cut = line_of(note, "trouser_hem", "left")["cloth_cut"]
    assert ("tailor-1", "32 1/4 in") == (cut["by"], cut["length"]["text"])
    assert ("noted", {"lines": [left["number"]]}) == (note["events"][-1]["kind"], note["events"][-1]["facts"])
    moved(staff, order["id"], "query", 4, question="the left looks short")
    longer = {"change": [{"number": left["number"], "target": inches("30 1/2")}]}
    answer = moved(staff, order["id"], "in_workroom", 5, answer="1/2 in more", line_changes=longer)
    assert (422, "hem_cloth_short", ["/line_changes/change/0/target"]) == answer.problem
    longer["change"][0]["target"] = inches("30 1/4")
    answer = moved(staff, order["id"], "in_workroom", 5, answer="1/4 in more", line_changes=longer)
    assert (200, "30 1/4 in") == (answer.status, line_of(answer.body, "trouser_hem", "left")["target"]["text"])


@pytest.mark.parametrize(("sewn", "is_cut"), [("jacket", False), ("trousers", True)])
def test_a_leg_is_cut_once_its_own_piece_is_sewn_and_not_once_another_is(staff, sewn, is_cut):
    # A finished hem was cut; a finished jacket says nothing of its trousers (common practice, no source).
    trousers = {"garment": "trousers", "chart": "reference", "label": "30"}
    order = placed(staff, garments=[JACKET, trousers], lines=[JACKET_WAIST_IN], hems=[PINNED])
    moved_along(staff, order["id"], *IN_WORKROOM)
    (piece,) = [each["piece"] for each in order["garments"] if each["garment"] == sewn]
    moved(staff, order["id"], "sewn", 3, pieces=[piece])
    paper = staff.get(f"/v1/orders/{order['id']}/ticket", headers={"Accept": "text/plain"}).body
    # What a bench noted is known, what is sewn was cut where it was marked.
    assert (is_cut, not is_cut) == ("SEWN, SO CUT at 32 in" in paper, "   CUT AT 32 in" in paper)
    assert "ALREADY CUT" not in paper


def test_what_was_cut_away_is_not_let_out_again(staff):
    order = placed(staff, **SUIT)
    moved_along(staff, order["id"], *IN_WORKROOM)
    waist = line_of(order, "trouser_waist_in")
    noted(staff, order, 3, {"number": waist["number"], "is_cut": True, "cloth_left": inches("1/4")})
    moved(staff, order["id"], "query", 4, question="too tight?")
    change = {"by": "fitter-1", "reason": "less", "change": [{"number": waist["number"], "amount": inches("1/2")}]}
    path, headers = f"/v1/orders/{order['id']}/line-changes", {"If-Match": '"5"'}
    answer = staff.post(path, change, headers=headers)
    assert (409, "cut_already", ["/change/0/amount"]) == answer.problem
    assert "3/4 in" == answer.body["errors"][0]["facts"]["least"]
    struck = staff.post(path, {"by": "fitter-1", "reason": "leave it", "strike": [waist["number"]]}, headers=headers)
    assert (409, "cut_already", ["/strike/0"]) == struck.problem


def test_finished_work_is_measured_by_another_line_by_line(staff):
    order = placed(staff, **SUIT)
    moved_along(staff, order["id"], *IN_WORKROOM)
    waist, coat = line_of(order, "trouser_waist_in"), line_of(order, "jacket_waist_in")
    noted(staff, order, 3, {"number": waist["number"], "is_sewn": True}, by="tailor-1")
    noted(staff, order, 4, {"number": coat["number"], "is_sewn": True}, by="tailor-2")
    moved(staff, order["id"], "sewn", 5)
    own = checked(staff, order, 6, as_aimed(waist), by="tailor-1")
    assert (409, "sewn_by_checker", ["/lines/0/number"]) == own.problem
    # Each of two who sew may check what the other did.
    done = checked(staff, order, 6, as_aimed(waist, 0.2), by="tailor-2")
    assert (200, "sewn") == (done.status, done.body["state"])
    (check,) = line_of(done.body, "trouser_waist_in")["checks"]
    assert ("tailor-2", True) == (check["by"], check["is_right"])
    assert 5.1 == pytest.approx(check["off_mm"], abs=0.1)
    assert done.body == staff.get(f"/v1/orders/{order['id']}").body
    assert 200 == moved(staff, order["id"], "pressed", 7, pins_out=0).status


def test_what_is_more_than_the_tolerance_off_goes_back(staff):
    order = placed(staff, **SUIT)
    moved_along(staff, order["id"], *IN_WORKROOM, ("sewn", {}))
    waist, coat = line_of(order, "trouser_waist_in"), line_of(order, "jacket_waist_in")
    # Nobody noted who sewed: who said that it was sewn.
    assert (409, "sewn_by_checker", ["/lines/0/number"]) == checked(
        staff, order, 4, as_aimed(waist), by="tailor-1"
    ).problem
    back = checked(staff, order, 4, as_aimed(waist, 0.5), as_aimed(coat))
    assert (200, "in_workroom") == (back.status, back.body["state"])
    event = back.body["events"][-1]
    assert [waist["number"]] == event["facts"]["redo_lines"]
    assert f"line {waist['number']} measures" in event["facts"]["reason"]
    assert [False, True] == [line_of(back.body, each["alteration"])["checks"][0]["is_right"] for each in (waist, coat)]
    assert order["total"] == back.body["total"]


@pytest.mark.parametrize(("off_in", "way"), [(0.5, "less"), (-0.5, "more")])
def test_what_goes_back_says_what_is_left_of_the_line_and_not_its_amount_alone(staff, off_in, way):
    # An inch was taken in. Whoever reads "-1 in" again takes in another.
    order = placed(staff, **SUIT)
    moved_along(staff, order["id"], *IN_WORKROOM, ("sewn", {}))
    back = checked(staff, order, 4, as_aimed(line_of(order, "trouser_waist_in"), off_in))
    kinds = {"en-GB": f"now 1/2 in / 13 mm {way}, not the whole amount again", "de": "nicht noch einmal das Ganze"}
    for language, words in kinds.items():
        paper = staff.get(f"/v1/orders/{order['id']}/ticket?lang={language}", headers={"Accept": "text/plain"}).body
        assert words in " ".join(paper.split())
    # Put right, it is said no more.
    moved(staff, order["id"], "sewn", 5)
    done = checked(staff, back.body, 6, as_aimed(line_of(order, "trouser_waist_in")))
    assert 200 == done.status, done.body
    assert "whole amount" not in staff.get(f"/v1/orders/{order['id']}/ticket", headers={"Accept": "text/plain"}).body


def test_a_redo_says_that_the_line_was_sewn_once_and_from_where_it_goes_on(staff):
    order = placed(staff, **SUIT)
    waist = line_of(order, "trouser_waist_in")
    moved_along(staff, order["id"], *TO_READY)
    moved(staff, order["id"], "in_workroom", 6, reason="the band gapes", redo_lines=[waist["number"]])

    def paper():
        text = staff.get(f"/v1/orders/{order['id']}/ticket", headers={"Accept": "text/plain"}).body
        return " ".join(text.split())

    assert 1 == paper().count("SEWN ALREADY: bring it to its measure, not the whole amount again")
    more = {"change": [{"number": waist["number"], "amount": inches("1 1/4")}], "by": "fitter-1", "reason": "1/4 more"}
    changed = staff.post(f"/v1/orders/{order['id']}/line-changes", more, headers={"If-Match": '"7"'})
    assert 200 == changed.status, changed.body
    assert "now 1/4 in / 6 mm less, not the whole amount again" in paper()
    assert "SEWN TO 29 3/4 in" in paper()


def test_a_shop_of_one_tailor_lets_him_check(house):
    shop = new_shop(house)
    order = placed(shop.staff, **SUIT)
    moved_along(shop.staff, order["id"], *IN_WORKROOM, ("sewn", {}))
    waist = line_of(order, "trouser_waist_in")
    assert 409 == checked(shop.staff, order, 4, as_aimed(waist), by="tailor-1").status
    let_check(house.context, shop.id, anyone=True)
    assert 200 == checked(shop.staff, order, 4, as_aimed(waist), by="tailor-1").status


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ({}, (422, "note_empty", ["/lines/0"])),
        ({"number": 9, "is_sewn": True}, (422, "line_unknown", ["/lines/0/number"])),
        ({"cut_at": inches(30)}, (422, "leg_cut_unsaid", ["/lines/0/cut_at"])),
        ({"inlay_found": inches(1)}, (422, "inlay_not_taken", ["/lines/0/inlay_found"])),
    ],
    ids=["nothing", "unknown", "no leg", "no inlay"],
)
def test_what_is_no_note_is_refused(staff, line, said):
    order = placed(staff, **SUIT)
    assert (409, "nothing_to_note", ["/lines/0/number"]) == noted(
        staff, order, 1, {"number": 1, "is_sewn": True}
    ).problem
    moved_along(staff, order["id"], *IN_WORKROOM)
    waist = line_of(order, "trouser_waist_in")["number"]
    assert said == noted(staff, order, 3, {"number": waist} | line).problem


def test_a_leg_is_not_cut_shorter_than_it_ends(staff):
    order = placed(staff)
    moved_along(staff, order["id"], *IN_WORKROOM)
    number = line_of(order, "trouser_hem", "left")["number"]
    answer = noted(staff, order, 3, {"number": number, "cut_at": inches(29)})
    assert (422, "cloth_cut_short", ["/lines/0/cut_at"]) == answer.problem


def test_what_is_no_check_is_refused(staff):
    order = placed(staff, garments=[HEMMED, JACKET], hems=[], lines=[WAIST_IN, {"alteration": "jacket_press"}])
    waist, press = line_of(order, "trouser_waist_in"), line_of(order, "jacket_press")
    assert (409, "nothing_to_check", ["/lines/0/number"]) == checked(staff, order, 1, as_aimed(waist)).problem
    moved_along(staff, order["id"], *IN_WORKROOM, ("sewn", {}))
    bare = {"number": waist["number"], "is_right": True}
    assert (422, "measure_missing", ["/lines/0/measured"]) == checked(staff, order, 4, bare).problem
    measured = {"number": press["number"], "measured": inches(30)}
    assert (422, "measure_not_taken", ["/lines/0/measured"]) == checked(staff, order, 4, measured).problem
    assert 422 == checked(staff, order, 4, {"number": press["number"]}).status
    assert 200 == checked(staff, order, 4, {"number": press["number"], "is_right": True}).status

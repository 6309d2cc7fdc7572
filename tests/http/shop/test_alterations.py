import pytest

from service.tailoring.garments.alterations import catalogue
from tests.http.sheets import HEMMED, JACKET, PINNED, TROUSERS, WAIST_IN, inches, order, placed, sheet

SHOULDER = {
    "alteration": "jacket_shoulder_narrow", "amount": inches("1/2"), "basis": "per_side", "side": "left",
}  # fmt: skip


def listed(client, **query):
    answer = client.get("/v1/alterations", query=query)
    assert 200 == answer.status
    return answer.body["alterations"]


def test_the_catalogue_is_served_whole_each_row_with_its_source(staff):
    found = listed(staff)
    assert list(catalogue()) == [each["alteration"] for each in found]
    assert 55 == len(found)
    assert all(each["source"] and each["words"] and each["instead"] for each in found)


def test_a_row_says_limits_inlay_knock_ons_order_of_work_and_price(staff):
    waist = next(each for each in listed(staff) if each["alteration"] == "trouser_waist_out")
    assert ("girth", False, True, 2) == (waist["basis"], waist["sided"], waist["from_inlay"], waist["difficulty"])
    assert [("increase", "1 1/2 in", "2 in")] == [
        (each["direction"], each["usual"]["text"], each["most"]["text"]) for each in waist["limits"]
    ]
    assert ("1 in", "2 in") == (waist["usual_inlay"]["least"]["text"], waist["usual_inlay"]["most"]["text"])
    (hem,) = [each for each in waist["knock_ons"] if "trouser_hem" in each["alterations"]]
    assert ("mark_again", "1 in", {"least": 0, "most": 0.25}) == (hem["kind"], hem["from"]["text"], hem["ratio"])
    assert {"least": 25, "most": 45} == waist["minutes_between"]
    assert ["trouser_waist"] == waist["mends"]


def test_a_row_says_what_is_sewn_before_it_and_why(staff):
    hem = next(each for each in listed(staff) if each["alteration"] == "trouser_hem")
    before = {each["alteration"]: each["reason"] for each in hem["sewn_after"]}
    assert {"trouser_waist_in", "trouser_back_rise_shorten", "trouser_leg_taper", "trouser_leg_swing"} == set(before)
    assert all(before.values())


def test_a_sleeve_with_worked_holes_is_sent_to_the_shoulder(staff):
    routes = {each["alteration"]: each["with_worked_cuff_holes"] for each in listed(staff)}
    assert "jacket_sleeve_shorten_at_shoulder" == routes["jacket_sleeve_shorten_at_cuff"]
    assert routes["trouser_hem"] is None


def test_one_garments_rows_can_be_asked_for_in_centimetres(staff):
    found = listed(staff, garment="waistcoat", units="cm")
    assert {"waistcoat"} == {each["garment"] for each in found}
    assert {"cm"} == {limit["most"]["unit"] for each in found for limit in each["limits"]}


def test_the_short_view_has_of_every_row_what_a_screen_lists_and_the_same(staff):
    whole, short = listed(staff), listed(staff, view="short")
    kept = {"alteration", "garment", "words", "basis", "sided", "limits", "minutes", "price", "caution"}
    assert [{name: each[name] for name in kept} for each in whole] == short
    tags = [staff.get("/v1/alterations", query={"view": view}).headers["ETag"] for view in ("whole", "short")]
    fresh = [
        staff.get("/v1/alterations", query={"view": "short"}, headers={"If-None-Match": tag}).status for tag in tags
    ]
    assert [200, 304] == fresh


def test_a_garment_that_no_shop_alters_is_refused(staff):
    assert (422, "field_wrong", ["/garment"]) == staff.get("/v1/alterations", query={"garment": "hat"}).problem


def quoted(client, **asked):
    answer = client.post("/v1/alteration-quotes", sheet(**{"hems": []} | asked))
    assert 200 == answer.status, answer.body
    return answer.body


def test_a_quote_adds_the_sleeve_that_follows_from_the_shoulder_and_books_its_minutes(staff):
    both = quoted(staff, garments=[JACKET], lines=[SHOULDER])
    alone = quoted(staff, garments=[JACKET], lines=[SHOULDER], add_follow_ons=False)
    sleeve = both["lines"][1]
    assert ("jacket_sleeve_lengthen_at_cuff", "1/2 in", "increase", "left", True) == (
        sleeve["alteration"], sleeve["amount"]["text"], sleeve["direction"], sleeve["side"], sleeve["subject_to_inlay"],
    )  # fmt: skip
    assert ["/lines/0"] == [each["pointer"] for each in both["warnings"] if each["code"] == "subject_to_inlay"]
    assert sleeve["minutes"] == both["minutes"] - alone["minutes"]
    assert ("line_follows", "/lines/0") in [(each["code"], each["pointer"]) for each in both["warnings"]]
    (met, unmet) = (
        next(each for each in body["follow_ons"] if each["kind"] == "line") for body in (both, alone)
    )  # fmt: skip
    assert (True, [2], False, []) == (met["met"], met["numbers"], unmet["met"], unmet["numbers"])
    assert ("follow_on", "asked") == (sleeve["origin"], both["lines"][0]["origin"])
    assert "1/2 in" == unmet["least"]["text"] == unmet["most"]["text"]


def test_a_shoulder_whose_sleeve_cannot_follow_is_refused_with_the_limit(staff):
    # From the shoulder a sleeve goes 3/8 in longer at the most, and the holes forbid the cuff.
    worked = JACKET | {"worked_buttonholes": True}
    answer = staff.post("/v1/alteration-quotes", sheet(garments=[worked], lines=[SHOULDER], hems=[]))
    assert (422, "alteration_beyond_limit", ["/lines/0/amount"]) == answer.problem
    assert "jacket_sleeve_lengthen_at_shoulder goes up to 3/8 in" in answer.body["detail"]
    quarter = SHOULDER | {"amount": inches("1/4")}
    body = quoted(staff, garments=[worked], lines=[quarter])
    assert "jacket_sleeve_lengthen_at_shoulder" == body["lines"][1]["alteration"]


def test_an_order_says_what_follows_as_its_quote_did(staff):
    lines = {"lines": [WAIST_IN], "hems": [PINNED]}
    said = staff.post("/v1/alteration-quotes", sheet(**lines)).body
    done = placed(staff, **lines)
    assert (said["follow_ons"], said["order_of_work"]) == (done["follow_ons"], done["order_of_work"])
    (hem,) = [each for each in done["follow_ons"] if each["kind"] == "mark_again"]
    numbers = {each["number"]: each["alteration"] for each in done["lines"]}
    assert ({"trouser_hem"}, "increase") == ({numbers[number] for number in hem["numbers"]}, hem["direction"])
    assert ("0 in", "1/4 in") == (hem["least"]["text"], hem["most"]["text"])


def test_the_work_is_listed_as_it_is_sewn_with_what_each_waits_for(staff):
    body = quoted(staff, garments=[TROUSERS], lines=[WAIST_IN], hems=[PINNED])
    work = body["order_of_work"]
    assert ["trouser_waist_in", "trouser_hem", "trouser_hem"] == [each["alteration"] for each in work]
    assert [[], [1], [1]] == [[after["number"] for after in each["after"]] for each in work]
    assert sorted(each["stage"] for each in work) == [each["stage"] for each in work]


@pytest.mark.parametrize(("amount", "feasibility"), [("2", "within_usual_limit"), ("2 1/2", "beyond_usual_limit")])
def test_each_line_says_how_feasible_it_is(staff, amount, feasibility):
    body = quoted(staff, lines=[WAIST_IN | {"amount": inches(amount)}])
    (work,) = body["order_of_work"]
    assert (feasibility, "2 in", "3 in") == (work["feasibility"], work["usual_most"]["text"], work["most"]["text"])
    assert work["limited_by"]
    assert 2 == work["difficulty"]


def test_a_let_out_says_what_inlay_there_usually_is(staff):
    out = {"alteration": "trouser_waist_out", "amount": inches(1), "basis": "girth"}
    (work,) = quoted(staff, lines=[out])["order_of_work"]
    assert (True, "2 in") == (work["subject_to_inlay"], work["usual_inlay"]["most"]["text"])


def test_a_quote_says_the_cautions_of_the_work(staff):
    said = " ".join(quoted(staff, lines=[WAIST_IN])["cautions"])
    assert all(word in said for word in ("steam", "shears", "pins", "Local safety rules"))


def test_every_impossible_line_is_refused_where_it_stands_with_limit_and_alternative(staff):
    lines = [
        WAIST_IN | {"amount": inches(5)},
        {"alteration": "jacket_body_lengthen", "amount": inches(1), "basis": "length"},
    ]
    answer = staff.post("/v1/alteration-quotes", sheet(garments=[TROUSERS, JACKET], lines=lines, hems=[]))
    assert (422, "lines_refused", ["/lines/0/amount", "/lines/1/amount"]) == answer.problem
    for error in answer.body["errors"]:
        assert "alteration_beyond_limit" == error["code"]
        assert {"most_mm", "limited_by", "instead"} <= error["facts"].keys()


def test_an_old_alteration_that_is_undone_first_takes_longer(staff):
    plain, undone = (quoted(staff, lines=[WAIST_IN | more])["minutes"] for more in ({}, {"undone_first": True}))
    assert (35, 46) == (plain, undone)


def test_a_quote_of_all_this_books_nothing(staff):
    days = {quoted(staff, garments=[JACKET], lines=[SHOULDER])["earliest"] for _ in range(5)}
    assert 1 == len(days)
    assert [] == staff.get("/v1/orders").body["orders"]
    assert 201 == staff.post("/v1/orders", order(), key="one").status


def amended(client, done, **changes):
    asked = {"by": "fitter-1", **changes}
    answer = client.ask("PATCH", f"/v1/orders/{done['id']}", asked, headers={"If-Match": '"1"'})
    assert 200 == answer.status, answer.body
    return answer.body


def test_an_amended_order_keeps_what_is_undone_first_and_its_minutes(staff):
    done = placed(staff, garments=[HEMMED], lines=[WAIST_IN | {"undone_first": True}], hems=[])
    after = amended(staff, done, garments=[HEMMED | {"must_keep": "the label"}])
    assert (46, True) == (after["lines"][0]["minutes"], after["lines"][0]["undone_first"])
    assert done["lines"] == after["lines"]


def test_an_amended_order_gets_no_line_that_was_left_out_when_it_was_placed(staff):
    done = placed(staff, garments=[JACKET], lines=[SHOULDER], hems=[], add_follow_ons=False)
    after = amended(staff, done, garments=[JACKET | {"must_keep": "the label"}])
    assert ["jacket_shoulder_narrow"] == [each["alteration"] for each in after["lines"]]


def test_the_ticket_says_that_an_old_alteration_is_undone_first(staff):
    done = placed(staff, garments=[HEMMED], lines=[WAIST_IN | {"undone_first": True}], hems=[])
    ticket = staff.get(f"/v1/orders/{done['id']}/ticket", headers={"Accept": "text/plain"})
    assert "undo the old alteration" in " ".join(ticket.body.split())

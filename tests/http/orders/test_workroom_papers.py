"""What reaches the bench: that an order says all the tailor needs, and nothing that cannot be."""

from dataclasses import replace
from uuid import uuid4

import pytest

from service.storage.fitting.fit_checks import add_fit_check
from service.tailoring.fitting.fit_points import fit_points
from service.tailoring.fitting.left_open import LookAgain
from service.tailoring.garments.amounts import Amount
from service.tailoring.garments.charts import ChartSize
from service.tailoring.quantities import Length
from service.tailoring.sizing.plans import PlannedAlteration
from service.tailoring.work.prices import Money
from tests.http.sheets import (
    HEMMED,
    JACKET,
    PINNED,
    SLIM,
    TROUSERS,
    WAIST_IN,
    WORN,
    inches,
    moved,
    moved_along,
    order,
    placed,
)
from tests.records import a_check, a_plan

TO_PRESSED = [("accepted", {}), ("in_workroom", {}), ("sewn", {}), ("pressed", {"pins_out": 0})]
FLAT = {
    "worn": {"jacket": {"chart": "reference", "label": "40R"}},
    "observations": [{"point": "lapel", "seen": "flat"}],
}


def ticket(client, order_id):
    return client.get(f"/v1/orders/{order_id}/ticket", headers={"Accept": "text/plain"}).body


def test_a_turn_up_says_its_depth_and_where_to_cut(staff):
    hem = {"pins": {"left": inches(30)}, "finish": "turn_up", "turn_up": inches("1 3/4"), "inside_turn": inches(1)}
    body = placed(staff, garments=[TROUSERS], hems=[hem])
    # 2C + t below the finished edge: 3 1/2 and 1 in (common practice, no source).
    assert ("turn-up of 1 3/4 in, 1 in inside", "34 1/2 in") == (
        body["lines"][0]["note"],
        body["lines"][0]["cut"]["text"],
    )
    assert "CUT AT 34 1/2 in / 876 mm" in " ".join(ticket(staff, body["id"]).split())


def test_what_is_to_be_minded_of_both_legs_is_said_once(staff):
    body = placed(staff, lines=[WAIST_IN])
    assert ["left", "right"] == [line["side"] for line in body["lines"] if line["alteration"] == "trouser_hem"]
    assert [("hem_remark", "/hems/0")] == [(w["code"], w["pointer"]) for w in body["warnings"]]


def test_a_plain_hem_says_what_stays_inside_and_its_slant(staff):
    body = placed(staff)
    assert [("plain, 2 in inside, slant 1/2 in", "32 in"), ("plain, 2 in inside, slant 1/2 in", "32 1/4 in")] == [
        (line["note"], line["cut"]["text"]) for line in body["lines"]
    ]


def test_the_heel_that_the_hem_was_marked_in_stands_on_the_ticket(staff):
    body = placed(staff, hems=[PINNED | {"heel": inches("1 1/8")}])
    said = "marked in shoes with a heel of 1 1/8 in"
    assert all(line["note"].endswith(said) for line in body["lines"])
    assert said in " ".join(ticket(staff, body["id"]).split())


def test_a_leg_let_down_by_a_line_is_subject_to_the_cloth_inside(staff):
    down = {
        "alteration": "trouser_hem",
        "amount": inches(1),
        "basis": "length",
        "direction": "increase",
        "side": "both",
    }
    (line,) = placed(staff, garments=[TROUSERS], hems=[], lines=[down])["lines"]
    assert line["subject_to_inlay"]
    refused = staff.post("/v1/orders", order(hems=[], lines=[down | {"inlay_seen": inches(1)}]), key="short")
    assert (422, "inlay_too_small", ["/lines/0/inlay_seen"]) == refused.problem


def test_a_finished_measure_that_the_change_cannot_give_is_refused(staff):
    # 30 trousers are 30 3/4 in finished: less 1 in is 29 3/4 in.
    wrong = staff.post(
        "/v1/orders", order(garments=[HEMMED], hems=[], lines=[WAIST_IN | {"target": inches(99)}]), key="far"
    )
    assert (422, "target_wrong", ["/lines/0/target"]) == wrong.problem
    near = placed(staff, garments=[HEMMED], hems=[], lines=[WAIST_IN | {"target": inches("29 1/2")}])
    assert "29 1/2 in" == near["lines"][0]["target"]["text"]


def test_another_size_than_the_fit_checks_is_refused(staff):
    check = staff.post("/v1/fit-checks", WORN).body["id"]
    other = order(garments=[JACKET | {"label": "44R"}], hems=[], from_fit_check=check)
    assert (422, "not_the_plans_size", ["/garments/0/label"]) == staff.post("/v1/orders", other, key="44").problem


WAIST = PlannedAlteration(
    "jacket", "jacket_waist_in", Amount(Length(25.4, "in"), "girth", "decrease"), 68, Money(3600, "EUR"),
    arithmetic="spare 1 in, less 1/2 in, doubled",
)  # fmt: skip
CUFFS = PlannedAlteration(
    "jacket", "jacket_sleeve_shorten_at_cuff", Amount(Length(12.7, "in"), "length", "decrease", "both"), 60,
    Money(2700, "EUR"), seen=False,
)  # fmt: skip
DOUBT = LookAgain(
    "jacket", "waist", "front_closure", None, "spare 1 in", 25.4, 12.7, "taped", "seen 1 in, taped 1/2 in"
)


def checked(shop, *work, worn=None, **parts):
    """A fit check on file on a jacket, with such work planned; `worn` where another size was tried on."""
    plan = replace(a_plan("jacket"), alterations=work)
    check = replace(a_check(garments=("jacket",), plans=(plan,), keeping=plan, **parts), id=str(uuid4()))
    if worn:
        other = ChartSize("reference", 1, worn)
        check = replace(check, record=replace(check.record, worn={"jacket": other}))
    with shop.house.context.database.writing() as tx:
        add_fit_check(tx, shop.id, check)
    return {"from_fit_check": check.id}


def test_what_nobody_saw_is_offered_and_neither_booked_nor_charged_until_it_is_named(shop, staff):
    asked = checked(shop, WAIST, CUFFS)
    body = placed(staff, garments=[], hems=[], **asked)
    assert [("jacket_waist_in", True, "spare 1 in, less 1/2 in, doubled")] == [
        (line["alteration"], line["seen"], line["note"]) for line in body["lines"]
    ]
    (offered,) = body["to_look_at"]
    assert ("jacket_sleeve_shorten_at_cuff", "jacket_cuff", "1/2 in") == (
        offered["alteration"], offered["point"], offered["amount"]["text"],
    )  # fmt: skip
    assert 68 == body["minutes"]
    named = placed(staff, garments=[], hems=[], take_up=[offered["alteration"]], **asked)
    assert {"planned"} == {line["origin"] for line in named["lines"]}
    assert ["place_not_seen"] == [warning["code"] for warning in named["warnings"]]
    assert "look before it is sewn" in " ".join(ticket(staff, named["id"]).split())
    quote = staff.post("/v1/alteration-quotes", asked).body
    assert (body["total"], body["to_look_at"]) == (quote["total"], quote["to_look_at"])


def test_what_contradicts_an_amount_is_printed(shop, staff):
    body = placed(staff, garments=[], hems=[], **checked(shop, WAIST, look_again=(DOUBT,)))
    assert ["look again: seen 1 in, taped 1/2 in"] == body["lines"][0]["look_again"]
    assert "!! look again: seen 1 in, taped 1/2 in" in " ".join(ticket(staff, body["id"]).split())


def test_what_contradicts_a_place_that_is_not_altered_is_printed_on_top(shop, staff):
    cuff = replace(DOUBT, place="sleeve", point="jacket_cuff")
    body = placed(staff, garments=[], hems=[], **checked(shop, WAIST, look_again=(cuff,)))
    assert ["look again: seen 1 in, taped 1/2 in"] == body["look_again"]
    read = staff.get(f"/v1/orders/{body['id']}").body
    assert body["look_again"] == read["look_again"]
    assert "READ FIRST !! look again: seen 1 in, taped 1/2 in" in " ".join(ticket(staff, body["id"]).split())


def test_a_coat_that_was_never_tried_on_is_not_altered(shop, staff):
    asked = order(garments=[], hems=[], **checked(shop, WAIST, worn="40R", decision="swap"))
    answer = staff.post("/v1/orders", asked, key="swap")
    assert (422, "swap_not_tried_on", ["/from_fit_check"]) == answer.problem
    assert "jacket reference 38R" in answer.body["detail"]
    other = placed(staff, **{part: value for part, value in asked.items() if part not in {"garments", "hems"}})
    assert {"trouser_hem"} == {line["alteration"] for line in other["lines"]}
    assert "swap_not_tried_on" in [warning["code"] for warning in other["warnings"]]


def test_a_suit_is_not_altered_where_nobody_looked(staff):
    assert "keep" == staff.post("/v1/fit-checks", FLAT).body["decision"]


def test_long_sleeves_shorten_the_sleeves_and_not_the_choice_of_size(staff):
    seen = [
        {"point": "jacket_cuff", "side": "both", "spare": inches(1)},
        {"point": "jacket_back_length", "seen": "right"},
    ]
    body = staff.post("/v1/fit-checks", {"worn": FLAT["worn"], "observations": seen}).body
    codes = {line["alteration"] for line in body["keeping"]["alterations"] if line["seen"]}
    assert ("alter", {"jacket_sleeve_shorten_at_cuff"}) == (body["decision"], codes)


@pytest.mark.parametrize("code", [code for code, point in fit_points().items() if point.band])
def test_more_than_can_be_seen_at_a_point_is_refused(staff, code):
    point = fit_points()[code]
    worn = WORN["worn"] | {"waistcoat": {"chart": "reference", "label": "36R"}}
    side = {"side": "left"} if point.sided else {}
    for way in ("spare", "short"):
        sighting = {"point": code, way: inches(300), **side}
        asked = {"worn": worn, "observations": [sighting], "readings": SLIM}
        answer = staff.post("/v1/fit-checks", asked)
        assert answer.problem in (
            (422, "amount_implausible", [f"/observations/0/{way}"]),
            # A gap is never short.
            (422, "amount_not_read_here", ["/observations/0"]),
        )


def test_what_was_once_sewn_is_not_cancelled_and_stays_charged(staff):
    body = placed(staff)
    moved_along(staff, body["id"], *TO_PRESSED, ("in_workroom", {"reason": "hem"}))
    assert "cancelled" not in staff.get(f"/v1/orders/{body['id']}").body["may_move_to"]
    refused = moved(staff, body["id"], "cancelled", 6, reason="changed his mind", cloth_cut=True)
    assert (409, "move_not_allowed", ["/to"]) == refused.problem
    assert body["total"] == staff.get(f"/v1/orders/{body['id']}/charges").body["total"]


def test_the_bench_may_follow_orders_but_not_place_them(shop, staff):
    bench, body = shop.client("workroom"), placed(staff, hems=[PINNED])
    assert body["number"] == bench.get(f"/v1/orders/{body['id']}").body["number"]
    assert [body["number"]] == [each["number"] for each in bench.get("/v1/orders").body["orders"]]
    assert "TICKET" in ticket(bench, body["id"])
    assert 403 == bench.post("/v1/orders", order(), key="no").status
    assert 403 == bench.get(f"/v1/orders/{body['id']}/charges").status

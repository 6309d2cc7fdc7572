"""From size advice to the order: an advice id holds the plan, the shop's signature, and no person."""

import re
from base64 import urlsafe_b64decode
from datetime import timedelta

import pytest
import zxingcpp
from PIL import Image

from service.use_cases.people.retention import forget_expired
from tests.http.sheets import JACKET, SLIM, inches, reading
from tests.shops import new_shop

TAPED = [*SLIM, reading("hip_girth", 42)]
DEARER = {
    "currency": "EUR", "plain_hem_minor": 2000, "round_to_minor": 50, "minute_minor": 60, "tax_category": "standard",
    "fixed": [{"alteration": "trouser_hem", "minor": 9900}],
}  # fmt: skip


def plan_of(client, readings=SLIM, **more):
    asked = {"readings": readings, "charts": ["reference"], "limit": 1, "advice_ids": True, **more}
    return client.post("/v1/size-advice", asked).body["plans"][0]


def ordered(client, advice_id, **more):
    return client.post("/v1/orders", {"from_advice": advice_id, "by": "till-1", **more}, key="order-of-advice")


def kept(client, advice_id, **asked):
    return client.post("/v1/kept-advice", {"asked": {"readings": SLIM, **asked}, "advice_id": advice_id})


def test_only_who_asks_for_advice_ids_gets_them_in_either_view(staff):
    asked = {"readings": SLIM, "limit": 2}
    assert all("advice_id" not in plan for plan in staff.post("/v1/size-advice", asked).body["plans"])
    whole, short = (
        staff.post(f"/v1/size-advice{view}", asked | {"advice_ids": True}).body["plans"] for view in ("", "?view=short")
    )
    assert [each["advice_id"] for each in whole] == [each["advice_id"] for each in short]
    assert 2 == len({each["advice_id"] for each in whole})


def test_an_advice_id_holds_no_person(staff):
    said = plan_of(staff, [*SLIM, reading("neck_girth", 15.125)])["advice_id"]
    told = urlsafe_b64decode(said.split(".")[-2 if said.startswith(".") else 0] + "===")
    assert b"readings" not in told
    assert b"chest_girth" not in told
    # The very same plan of another man is the very same id.
    assert plan_of(staff)["advice_id"] == plan_of(staff)["advice_id"]


def test_the_tills_order_is_placed_from_it_with_what_was_taped_and_a_hem_to_be_pinned(shop):
    plan = plan_of(shop.staff, TAPED)
    taped = [each["alteration"] for each in plan["alterations"] if each["seen"] and "hem" not in each["alteration"]]
    unseen = [
        each["alteration"] for each in plan["alterations"] if not each["seen"] and "hem" not in each["alteration"]
    ]
    till = shop.client("order")
    order = ordered(till, plan["advice_id"], sale_ref="sale-1")
    assert 201 == order.status
    sizes = {each["garment"]: (each["chart"], each["label"]) for each in order.body["garments"]}
    assert {g: (plan[g]["chart"], plan[g]["label"]) for g in ("jacket", "trousers")} == sizes
    lines = [each["alteration"] for each in order.body["lines"]]
    assert sorted([*taped, "trouser_hem"]) == sorted(lines)
    assert unseen == [each["alteration"] for each in order.body["to_look_at"]]
    prices = {each["alteration"]: each["price"] for each in plan["alterations"]}
    assert all(prices[each["alteration"]] == each["price"] for each in order.body["lines"])


def test_a_quote_says_what_that_order_would_be_and_when_it_would_be_ready(staff, shop):
    plan = plan_of(staff)
    page = shop.page("https://shop.example")
    quote = page.post("/v1/alteration-quotes", {"from_advice": plan["advice_id"]})
    assert 200 == quote.status
    assert {"trouser_hem"} == {each["alteration"] for each in quote.body["lines"] if each["to_be_pinned"]}


def test_another_shop_cannot_place_an_order_from_it_nor_can_anybody_who_changed_it(house, staff):
    said = plan_of(staff)["advice_id"]
    other = new_shop(house).staff
    for client, sent in ((other, said), (staff, said[:-2] + "xx"), (staff, "x" * 40), (staff, "é")):
        answer = ordered(client, sent)
        assert (422, "advice_unreadable", ["/from_advice"]) == answer.problem
    # A shop that has signed something of its own refuses it too.
    plan_of(other)
    assert (422, "advice_unreadable", ["/from_advice"]) == ordered(other, said).problem


def test_after_fourteen_days_it_is_too_old(staff, clock):
    said = plan_of(staff)["advice_id"]
    clock.time += timedelta(days=13, hours=23)
    assert 201 == ordered(staff, said).status
    clock.time += timedelta(hours=1)
    answer = staff.post("/v1/orders", {"from_advice": said, "by": "till-1"}, key="too-late")
    assert (409, "advice_expired", ["/from_advice"]) == answer.problem


def own_jackets(staff):
    """The sheet of a chart with the reference's jackets, loaded as the shop's own."""
    chart = staff.get("/v1/charts/reference").body
    sizes = [
        {
            "garment": "jacket",
            "label": each["label"],
            "body": each["body"]["value"],
            "length_class": each["length_class"],
        }
        | {place: size["value"] for place, size in each["measures"].items()}
        for each in chart["jackets"]
    ]
    sheet = {"title": "Own", "unit": "in", "sold": "separates", "unfinished": False, "sizes": sizes}
    assert 201 == staff.ask("PUT", "/v1/charts/own", sheet).status
    return sheet


def test_of_two_jackets_of_one_label_the_work_is_done_on_the_one_whose_chart_was_advised(staff):
    own_jackets(staff)
    plan = plan_of(staff, TAPED)
    advised = {"garment": "jacket"} | plan["jacket"]
    two = [{**advised, "chart": "own"}, advised]
    order = ordered(staff, plan["advice_id"], garments=[{name: each[name] for name in JACKET} for each in two])
    assert [2] == [line["piece"] for line in order.body["lines"] if line["alteration"].startswith("jacket")]


def test_what_is_too_hard_on_a_piece_that_the_advice_brought_points_at_the_advice(staff):
    hard = ("jacket_collar_lower", "jacket_collar_shorten", "jacket_body_shorten")
    lines = [{"alteration": each, "amount": inches("3/8"), "basis": "length"} for each in hard]
    answer = staff.post("/v1/alteration-quotes", {"from_advice": plan_of(staff)["advice_id"], "lines": lines})
    found = [each for each in answer.body["warnings"] if each["code"] == "many_hard_alterations"]
    assert ["/from_advice"] == [each["pointer"] for each in found]


def test_a_chart_that_was_loaded_anew_is_told(staff):
    sheet = own_jackets(staff)
    said = plan_of(staff, charts=["own"], garments=["jacket"])["advice_id"]
    sheet["sizes"][0]["waist"] -= 0.125
    assert 200 == staff.ask("PUT", "/v1/charts/own", sheet).status
    answer = ordered(staff, said)
    assert (409, "advice_chart_changed", ["/from_advice"]) == answer.problem
    assert {"chart": "own", "advised": 1, "now": 2}.items() <= answer.body["errors"][0]["facts"].items()


def test_a_price_that_was_changed_is_told(staff):
    said = plan_of(staff)["advice_id"]
    assert 200 == staff.ask("PUT", "/v1/price-list", DEARER, headers={"If-Match": '"1"'}).status
    answer = ordered(staff, said)
    assert (409, "advice_price_changed", ["/from_advice"]) == answer.problem
    assert 9900 == answer.body["errors"][0]["facts"]["now_minor"]


def test_a_fit_check_and_an_advice_are_not_named_together(staff):
    asked = {"from_advice": plan_of(staff)["advice_id"], "from_fit_check": "00000000-0000-4000-8000-000000000000"}
    answer = staff.post("/v1/alteration-quotes", asked)
    assert 422 == answer.status
    assert ["/from_advice"] == answer.problem[2]


@pytest.mark.parametrize("path", ["/v1/orders", "/v1/alteration-quotes"])
@pytest.mark.parametrize("plan", [0, 1])
def test_which_plan_is_not_asked_of_an_advice_id_for_it_is_of_one(staff, path, plan):
    """It was passed over in silence, and the till had another plan ordered than it named."""
    asked = {"from_advice": plan_of(staff)["advice_id"], "plan": plan} | (
        {"by": "till-1"} if path == "/v1/orders" else {}
    )
    answer = staff.post(path, asked, key="a-plan-of-advice")
    assert (422, "field_wrong", ["/plan"]) == answer.problem
    assert "An advice id is of one plan: leave `plan` out." == answer.body["detail"]


# ---------------------------------------------------------------- kept for the fitter


def test_what_a_visitor_wishes_to_be_kept_the_fitter_reads_by_its_code_and_goes_on_from(shop):
    page = shop.page("https://shop.example")
    asked = {"readings": TAPED, "age_years": 35, "wish": "close", "charts": ["reference"]}
    plan = page.post("/v1/size-advice", {**asked, "advice_ids": True, "limit": 1}).body["plans"][0]
    answer = page.post("/v1/kept-advice", {"asked": asked, "advice_id": plan["advice_id"]}, key="k-1")
    assert 201 == answer.status
    assert re.fullmatch(r"[A-Z2-7]{4}-[A-Z2-7]{4}", answer.body["code"])
    for written in (answer.body["code"], answer.body["code"].replace("-", "").lower()):
        read = shop.client("measure").get(f"/v1/kept-advice/{written}")
        assert (200, asked, plan["advice_id"]) == (read.status, read.body["asked"], read.body["advice_id"])
    again = shop.staff.post("/v1/size-advice", {**read.body["asked"], "limit": 1}).body["plans"][0]
    assert plan["jacket"] == again["jacket"]
    # A retry keeps nothing twice.
    repeated = page.post("/v1/kept-advice", {"asked": asked, "advice_id": plan["advice_id"]}, key="k-1")
    assert answer.body == repeated.body


def test_by_whose_measures_a_visitor_was_answered_is_kept_with_their_question(shop):
    """What the shop counts of its customers since changes no answer that the visitor has seen."""
    code = kept(shop.staff, plan_of(shop.staff)["advice_id"], population_version=0).body["code"]
    read = shop.client("measure").get(f"/v1/kept-advice/{code}").body["asked"]
    assert 0 == read["population_version"]
    assert 0 == shop.staff.post("/v1/size-advice", read).body["population_version"]
    wrong = kept(shop.staff, plan_of(shop.staff)["advice_id"], population_version=7)
    assert (422, "population_version_unknown", ["/asked/population_version"]) == wrong.problem


def test_the_code_as_a_picture_is_read_by_a_scanner(staff):
    code = kept(staff, plan_of(staff)["advice_id"]).body
    side, wide = len(code["qr"]), 8
    picture = Image.new("L", ((side + 8) * wide,) * 2, 255)
    for y, row in enumerate(code["qr"]):
        for x, cell in enumerate(row):
            if cell == "1":
                picture.paste(0, ((x + 4) * wide, (y + 4) * wide, (x + 5) * wide, (y + 5) * wide))
    assert [code["code"].replace("-", "")] == [each.text for each in zxingcpp.read_barcodes(picture)]


@pytest.mark.parametrize(
    "more",
    [{"customer_ref": "C-1"}, {"measurement_set": "00000000-0000-4000-8000-000000000000"}, {"stock": {"jackets": []}}],
    ids=lambda more: next(iter(more)),
)
def test_nothing_that_names_a_customer_or_fills_a_database_is_kept(staff, more):
    answer = kept(staff, plan_of(staff)["advice_id"], **more)
    assert 422 == answer.status
    assert [f"/asked/{next(iter(more))}"] == answer.problem[2]


def test_only_what_was_advised_here_is_kept(staff):
    assert (422, "advice_unreadable", ["/advice_id"]) == kept(staff, "x" * 40).problem


def test_a_page_cannot_read_what_was_kept(shop):
    code = kept(shop.staff, plan_of(shop.staff)["advice_id"]).body["code"]
    assert 403 == shop.page("https://shop.example").get(f"/v1/kept-advice/{code}").status


def test_it_is_gone_after_fourteen_days_and_then_forgotten(house, staff, clock):
    code = kept(staff, plan_of(staff)["advice_id"]).body["code"]
    forget_expired(house.context)
    assert 200 == staff.get(f"/v1/kept-advice/{code}").status
    clock.time += timedelta(days=14)
    assert 404 == staff.get(f"/v1/kept-advice/{code}").status
    assert 1 <= forget_expired(house.context).kept_advice

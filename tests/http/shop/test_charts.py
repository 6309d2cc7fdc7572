import pytest

from service.tailoring import tables
from service.tailoring.garments.charts import ChartHead
from service.use_cases.shop.charts import CHARTS_MOST, load_chart
from tests.http.sheets import SLIM
from tests.http.shop.charts import CHART, put

REFERENCES = ["reference", "reference_full", "reference_athletic", "reference_portly"]


def loaded(shop, code="everyday", **more):
    return load_chart(
        shop.house.context, shop.id, ChartHead(code, "Everyday", **more), tables.rows("garments/reference_chart")
    )


def with_size(number, **changed):
    """The chart with one size changed; what is None is left out."""
    sizes = [dict(size) for size in CHART["sizes"]]
    sizes[number] = {name: value for name, value in (sizes[number] | changed).items() if value is not None}
    return CHART | {"sizes": sizes}


def test_a_shop_without_charts_has_the_reference_blocks(staff):
    heads = staff.get("/v1/charts").body["charts"]
    assert [(code, 1, True) for code in REFERENCES] == [
        (head["chart"], head["revision"], head["unfinished"]) for head in heads
    ]


def test_a_shop_without_charts_is_advised_from_all_reference_blocks(staff):
    answer = staff.post("/v1/size-advice", {"readings": SLIM, "limit": 20}).body
    found = {plan[garment]["chart"] for plan in answer["plans"] for garment in ("jacket", "trousers")}
    assert len(found) > 1
    assert found <= set(REFERENCES)
    assert answer["serves"]["other_drop"] is None


def test_a_reference_block_can_be_asked_for_by_name(staff):
    answer = staff.post("/v1/size-advice", {"readings": SLIM, "charts": ["reference_athletic"]})
    assert "reference_athletic" == answer.body["plans"][0]["jacket"]["chart"]


def test_a_shops_charts_stand_before_the_reference_block(shop, staff):
    loaded(shop, "wide")
    loaded(shop, "everyday")
    assert ["everyday", "wide", *REFERENCES] == [head["chart"] for head in staff.get("/v1/charts").body["charts"]]


def test_a_shop_has_so_many_charts_and_each_may_have_a_next_revision(shop, staff):
    for number in range(CHARTS_MOST):
        assert 201 == put(staff, CHART, f"c{number}").status
    answer = put(staff, CHART, "one-more")
    assert (409, "charts_too_many", ["/code"]) == answer.problem
    assert str(CHARTS_MOST) in answer.body["detail"]
    assert 200 == put(staff, CHART, "c7", title="Next").status
    assert CHARTS_MOST + len(REFERENCES) == len(staff.get("/v1/charts").body["charts"])


def test_a_chart_is_shown_whole_with_its_newest_revision(shop, staff):
    loaded(shop)
    loaded(shop, worked_buttonholes=True)
    chart = staff.get("/v1/charts/everyday").body
    assert (2, True, 90, 37) == (
        chart["revision"],
        chart["worked_buttonholes"],
        len(chart["jackets"]),
        len(chart["trousers"]),
    )


def test_sizes_are_shown_in_the_unit_that_is_asked_for(staff):
    def chest(units):
        jackets = staff.get("/v1/charts/reference", query={"units": units}).body["jackets"]
        return next(size for size in jackets if size["label"] == "36R")["measures"]["chest"]

    assert [("40 in", 1016.0), ("101.6 cm", 1016.0)] == [(chest(u)["text"], chest(u)["mm"]) for u in ("in", "cm")]


def test_a_chart_that_is_none_is_404(staff):
    assert (404, "not_found", [""]) == staff.get("/v1/charts/none").problem


def test_another_shops_chart_is_404(other_shop, staff):
    loaded(other_shop, "theirs")
    assert 200 == other_shop.staff.get("/v1/charts/theirs").status
    assert (404, "not_found", [""]) == staff.get("/v1/charts/theirs").problem


def test_another_shops_chart_is_unknown_in_a_question(other_shop, staff):
    loaded(other_shop, "theirs")
    answer = staff.post("/v1/size-advice", {"readings": SLIM, "charts": ["theirs"]})
    assert (422, "chart_unknown", ["/charts/0"]) == answer.problem


def test_a_plan_names_the_revision_that_it_used(shop, staff):
    loaded(shop)
    loaded(shop, worked_buttonholes=True)
    best = staff.post("/v1/size-advice", {"readings": SLIM}).body["plans"][0]
    assert ("everyday", 2, "36R") == tuple(best["jacket"][part] for part in ("chart", "revision", "label"))


def test_a_chart_is_put_and_read_back(staff):
    first = put(staff, CHART)
    assert (201, 1, "Everyday") == (first.status, first.body["revision"], first.body["title"])
    assert first.body == staff.get("/v1/charts/everyday").body
    assert ["36R", "38R"] == [size["label"] for size in first.body["jackets"]]
    assert ("34 1/2 in", "24 1/2 in") == tuple(
        first.body["jackets"][0]["measures"][place]["text"] for place in ("waist", "sleeve")
    )


def test_a_plan_says_the_article_numbers_of_its_sizes(staff):
    chart = with_size(0, sku="SUIT-36R", gtin="9520000000011")
    assert [("SUIT-36R", "9520000000011"), (None, None)] == [
        (size["sku"], size["gtin"]) for size in put(staff, chart).body["jackets"]
    ]
    asked = {"readings": SLIM, "charts": ["everyday"], "limit": 1}
    [whole] = staff.post("/v1/size-advice", asked).body["plans"]
    [short] = staff.post("/v1/size-advice", asked, query={"view": "short"}).body["plans"]
    named = {"chart": "everyday", "label": "36R", "sku": "SUIT-36R", "gtin": "9520000000011"}
    assert ({"revision": 1} | named, named) == (whole["jacket"], short["jacket"])
    assert {"chart": "everyday", "label": "30"} == short["trousers"]


def test_a_number_that_is_misread_is_refused_where_it_is(staff):
    wrong = put(staff, with_size(1, gtin="9520000000012"))
    assert (422, "chart_invalid", ["/sizes/1/gtin"]) == wrong.problem
    assert "after 952000000001 it is 1" in wrong.body["errors"][0]["detail"]
    assert (422, "field_wrong", ["/sizes/1/gtin"]) == put(staff, with_size(1, gtin=9520000000011)).problem


def test_what_is_put_again_makes_no_revision_and_what_differs_makes_one(staff):
    answers = [put(staff, CHART), put(staff, CHART), put(staff, CHART, worked_buttonholes=True)]
    assert [(201, 1), (200, 1), (200, 2)] == [(answer.status, answer.body["revision"]) for answer in answers]


def test_a_revision_never_changes(staff):
    first = put(staff, CHART).body
    put(staff, with_size(1, waist=37))
    assert first == staff.get("/v1/charts/everyday", query={"revision": 1}).body
    assert 2 == staff.get("/v1/charts/everyday").body["revision"]


@pytest.mark.parametrize(("code", "revision"), [("everyday", 2), ("reference", 2), ("none", 1)])
def test_a_revision_that_is_none_is_404(staff, code, revision):
    put(staff, CHART)
    assert (404, "not_found", [""]) == staff.get(f"/v1/charts/{code}", query={"revision": revision}).problem


@pytest.mark.parametrize("revision", ["0", "-1", "two", "1.0", "10000000", ""])
def test_a_revision_is_a_whole_number(staff, revision):
    assert (422, "field_wrong", ["/revision"]) == staff.get(
        "/v1/charts/reference", query={"revision": revision}
    ).problem


@pytest.mark.parametrize(
    ("chart", "pointers"),
    [
        (with_size(1, waist="34 1/4"), ["/sizes/1/waist"]),
        (with_size(0, sleeve=None), ["/sizes/0/sleeve"]),
        (with_size(2, waist="30,75"), ["/sizes/2/waist"]),
        (with_size(1, label="36R"), ["/sizes/1/label"]),
        (with_size(0, chest=36 + 11), ["/sizes/0/chest", "/sizes/1/chest"]),
        (with_size(0, seat=39), ["/sizes/1/seat"]),
        (with_size(3, chest="wide", body="-1"), ["/sizes/3/body", "/sizes/3/chest"]),
        (CHART | {"sold": "pairs"}, ["/drop"]),
        (CHART | {"drop": 6}, ["/drop"]),
        (CHART | {"sold": "pairs", "drop": 20}, ["/drop"]),
    ],
)
def test_every_fault_of_a_chart_has_its_pointer(staff, chart, pointers):
    answer = put(staff, chart)
    assert (422, "chart_invalid", pointers) == answer.problem
    assert {"chart_invalid"} == {error["code"] for error in answer.body["errors"]}
    assert (404, "not_found", [""]) == staff.get("/v1/charts/everyday").problem


def test_a_fault_says_its_row_and_column_and_what_is_wrong(staff):
    answer = put(staff, with_size(1, waist=34))
    (fault,) = answer.body["errors"]
    assert ("row 2, waist: does not grow from 36R to 38R", {"row": 2, "column": "waist"}) == (
        fault["detail"],
        fault["facts"],
    )
    assert fault["detail"] == answer.body["detail"]


@pytest.mark.parametrize(
    ("chart", "pointer"),
    [
        (with_size(0, garment="cape"), "/sizes/0/garment"),
        (with_size(0, length_class="tall"), "/sizes/0/length_class"),
        (with_size(0, label="x" * 21), "/sizes/0/label"),
        (with_size(0, cuff=9), "/sizes/0/cuff"),
        (with_size(0, body=None), "/sizes/0/body"),
        (CHART | {"unit": "ell"}, "/unit"),
        (CHART | {"sizes": []}, "/sizes"),
        (CHART | {"sizes": CHART["sizes"] * 63}, "/sizes"),
        (CHART | {"title": ""}, "/title"),
        (CHART | {"unfinished": "yes"}, "/unfinished"),
    ],
)
def test_what_is_no_chart_at_all_is_refused_by_its_shape(staff, chart, pointer):
    assert (422, "field_wrong", [pointer]) == put(staff, chart).problem


def test_a_drop_that_is_no_length_is_refused_where_it_stands(staff):
    assert (422, "quantity_unreadable", ["/drop"]) == put(staff, CHART, sold="pairs", drop="six").problem


@pytest.mark.parametrize("code", REFERENCES)
def test_the_services_own_blocks_cannot_be_replaced(staff, code):
    assert (422, "chart_reserved", ["/code"]) == put(staff, CHART, code).problem


def test_an_address_of_its_own_is_no_code_of_a_chart(staff):
    assert [405, 405] == [staff.ask(method, "/v1/charts/compare", CHART).status for method in ("GET", "PUT")]


def test_a_chart_of_pairs_in_centimetres_with_finished_legs_is_taken(staff):
    sizes = [
        {"garment": "jacket", "label": "50", "body": 100, "chest": 110, "waist": 96, "sleeve": 64, "back_length": 76,
         "length_class": "extra"},
        {"garment": "trousers", "label": "50", "body": 85, "waist": 87, "inside_leg": 80},
    ]  # fmt: skip
    answer = put(staff, CHART | {"unit": "cm", "sold": "pairs", "drop": 15, "unfinished": False, "sizes": sizes})
    assert (201, "15.0 cm", False, "extra") == (
        answer.status,
        answer.body["drop"]["text"],
        answer.body["unfinished"],
        answer.body["jackets"][0]["length_class"],
    )


def test_a_put_chart_is_what_the_shop_is_advised_from(staff):
    put(staff, CHART)
    assert "everyday" == staff.post("/v1/size-advice", {"readings": SLIM}).body["plans"][0]["jacket"]["chart"]


def compared(client, **changed):
    of = {"chart": "reference", "garment": "jacket", "label": "40R"}
    return client.post("/v1/charts/compare", {"from": of | changed, "to": ["reference_athletic", "reference"]})


def test_a_size_is_compared_by_the_body_that_it_serves(staff):
    athletic, same = compared(staff).body["to"]
    assert ("reference_athletic", "40R", False) == (athletic["chart"], *named(athletic["sizes"][0]))
    assert ("40R", True) == named(same["sizes"][0])
    waist = next(place for place in athletic["sizes"][0]["places"] if place["place"] == "waist")
    assert (-50.8, "-2 in", "too_little", "waist at the button: 2 in less") == (
        waist["difference"]["mm"],
        waist["difference"]["text"],
        waist["verdict"],
        waist["text"],
    )
    assert "chest: the same" in [place["text"] for place in athletic["sizes"][0]["places"]]


def named(size):
    return size["label"], size["serves"]


def test_charts_in_another_system_of_labels_are_compared_with_one_another(staff):
    # What is 38R at home is 52 there: the same measures, written in centimetres.
    metric = {name: 2.54 * CHART_38[name] for name in ("chest", "waist", "sleeve", "back_length", "body")}
    other = [
        {"garment": "jacket", "label": "52", **metric},
        {"garment": "jacket", "label": "38R", **{name: value * 1.06 for name, value in metric.items()}},
    ]
    put(staff, CHART)
    put(staff, {"title": "There", "unit": "cm", "sold": "separates", "sizes": other}, "there")
    answer = staff.post(
        "/v1/charts/compare",
        {"from": {"chart": "everyday", "garment": "jacket", "label": "38R"}, "to": ["there", "reference"]},
    )
    assert ["52", "38R"] == [each["sizes"][0]["label"] for each in answer.body["to"]]


CHART_38 = {"body": 38, "chest": 42, "waist": 36.5, "sleeve": 24.75, "back_length": 29.75}


@pytest.mark.parametrize(
    ("changed", "code", "pointer"),
    [
        ({"chart": "none"}, "chart_unknown", "/from/chart"),
        ({"label": "39R"}, "label_unknown", "/from/label"),
        ({"garment": "cape"}, "field_wrong", "/from/garment"),
    ],
)
def test_what_cannot_be_compared_is_refused(staff, changed, code, pointer):
    assert (422, code, [pointer]) == compared(staff, **changed).problem


def test_another_shops_chart_cannot_be_compared_with(other_shop, staff):
    loaded(other_shop, "theirs")
    of = {"chart": "reference", "garment": "jacket", "label": "40R"}
    assert (422, "chart_unknown", ["/to/1"]) == staff.post(
        "/v1/charts/compare", {"from": of, "to": ["reference", "theirs"]}
    ).problem


def test_a_chart_is_put_into_the_callers_own_shop_only(other_shop, staff):
    put(staff, CHART)
    assert (404, "not_found", [""]) == other_shop.staff.get("/v1/charts/everyday").problem

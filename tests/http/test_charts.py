from service.counter.charts import load_chart
from service.tailoring import tables
from service.tailoring.charts import ChartHead
from tests.http.sheets import SLIM


def loaded(shop, code="everyday", **more):
    return load_chart(shop.house.desk, shop.id, ChartHead(code, "Everyday", **more), tables.rows("reference_chart"))


def test_a_shop_without_charts_has_the_reference_block(staff):
    heads = staff.get("/v1/charts").body["charts"]
    assert [("reference", 1, True)] == [(head["code"], head["revision"], head["unfinished"]) for head in heads]


def test_a_shops_charts_stand_before_the_reference_block(shop, staff):
    loaded(shop, "wide")
    loaded(shop, "everyday")
    assert ["everyday", "wide", "reference"] == [head["code"] for head in staff.get("/v1/charts").body["charts"]]


def test_a_chart_is_shown_whole_with_its_newest_revision(shop, staff):
    loaded(shop)
    loaded(shop, worked_buttonholes=True)
    chart = staff.get("/v1/charts/everyday").body
    assert (2, True, 33, 23) == (
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
    loaded(shop)
    best = staff.post("/v1/size-advice", {"readings": SLIM}).body["plans"][0]
    assert ("everyday", 2, "36R") == tuple(best["jacket"][part] for part in ("chart", "revision", "label"))

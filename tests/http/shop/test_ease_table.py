import pytest

from service.tailoring.garments.charts import GARMENTS
from service.tailoring.garments.places import places
from tests.http.sheets import SLIM, WORN


def inches(value):
    return {"value": value, "unit": "in"}


def row(garment="jacket", place="chest", **changed):
    lengths = {"close": 3, "usual": "3 1/2", "easy": "4 1/2", "low": "-1/2", "high": "1 1/2"} | changed
    return {"garment": garment, "place": place} | {
        name: value if isinstance(value, dict) else inches(value) for name, value in lengths.items()
    }


def put(client, *rows, version=1):
    return client.ask("PUT", "/v1/ease-table", {"rows": rows}, headers={"If-Match": version and f'"{version}"'})


def shown(answer, garment="jacket", place="chest"):
    return next(each for each in answer.body["rows"] if (each["garment"], each["place"]) == (garment, place))


def test_a_new_shop_is_advised_by_the_table(staff):
    answer = staff.get("/v1/ease-table")
    assert ('"1"', [(g, p.name, False) for g in GARMENTS for p in places(g)]) == (
        answer.headers["ETag"],
        [(each["garment"], each["place"], each["own"]) for each in answer.body["rows"]],
    )
    leg = shown(answer, "trousers", "inside_leg")
    assert ("-1 3/4 in", "-1/8 in", -44.5) == (leg["usual"]["text"], leg["low"]["text"], round(leg["usual"]["mm"], 1))


def test_a_shop_sets_its_own_and_may_leave_it_again(staff):
    answer = put(staff, row())
    assert (200, '"2"') == (answer.status, answer.headers["ETag"])
    assert (True, "3 1/2 in", "-1/2 in", "1 1/2 in") == (
        shown(answer)["own"],
        *(shown(answer)[name]["text"] for name in ("usual", "low", "high")),
    )
    assert answer.raw == staff.get("/v1/ease-table").raw
    left = shown(put(staff, version=2))
    assert (False, "4 in") == (left["own"], left["usual"]["text"])


def test_ease_is_shown_in_the_unit_that_is_asked_for(staff):
    answer = staff.get("/v1/ease-table", query={"units": "cm"})
    assert ("10.2 cm", "-1.3 cm") == tuple(shown(answer)[name]["text"] for name in ("usual", "low"))


@pytest.mark.parametrize("written", ["-1 3/4", -1.75, "-1¾", "-1.750", " -1-3/4 "])
def test_what_goes_below_nothing_has_a_minus_before_it(staff, written):
    leg = row("trousers", "inside_leg", close=written, usual=written, easy=written, low="-1/8", high="1/8")
    assert -44.5 == shown(put(staff, leg), "trousers", "inside_leg")["usual"]["mm"]


def test_the_version_that_was_read_is_wanted(staff):
    assert (428, "version_missing", ["/If-Match"]) == put(staff, row(), version=None).problem
    assert (412, "version_stale", [""]) == put(staff, row(), version=7).problem
    assert ['"2"', '"2"'] == [put(staff, row(), version=version).headers["ETag"] for version in (1, 2)]


@pytest.mark.parametrize(
    ("wrong", "code", "pointer"),
    [
        (row(place="lapel"), "place_unknown", "/rows/0/place"),
        (row("trousers", "chest"), "place_unknown", "/rows/0/place"),
        (row("cape"), "field_wrong", "/rows/0/garment"),
        (row(close=4), "ease_implausible", "/rows/0/usual"),
        (row(easy=3.25), "ease_implausible", "/rows/0/usual"),
        (row(easy=9.25), "ease_implausible", "/rows/0/easy"),
        (row(close=-1), "ease_implausible", "/rows/0/close"),
        (row(low="1/4"), "ease_implausible", "/rows/0/low"),
        (row(low=-5), "ease_implausible", "/rows/0/low"),
        (row(high="-1/4"), "ease_implausible", "/rows/0/high"),
        (row(high=5), "ease_implausible", "/rows/0/high"),
        (row(low=0, high=0), "ease_implausible", "/rows/0/high"),
        (row(low="--1/2"), "quantity_negative", "/rows/0/low/value"),
        (row(low="-a"), "quantity_unreadable", "/rows/0/low/value"),
        (row(low=True), "quantity_unreadable", "/rows/0/low/value"),
        (row(usual={"value": 3, "unit": "ell"}), "field_wrong", "/rows/0/usual/unit"),
    ],
)
def test_what_no_garment_does_is_refused(staff, wrong, code, pointer):
    assert (422, code, [pointer]) == put(staff, wrong).problem
    assert '"1"' == staff.get("/v1/ease-table").headers["ETag"]


def test_a_place_is_said_once(staff):
    assert (422, "ease_repeated", ["/rows/1"]) == put(staff, row(), row(usual=3)).problem


def test_every_row_that_is_wrong_is_told(staff):
    answer = put(staff, row(close=9), row("trousers", "waist", close=0, usual="1/2", easy=1), row(place="lapel"))
    assert (422, "field_wrong", ["/rows/0/usual", "/rows/2/place"]) == answer.problem


def test_a_bound_of_nothing_is_a_bound(staff):
    # Never short: the sleeve may only be longer than he likes it.
    sleeve = row("jacket", "sleeve", close=1.5, usual=1.5, easy=1.5, low=0, high="1/2")
    assert 200 == put(staff, sleeve).status
    plans = staff.post("/v1/size-advice", {"readings": SLIM}).body["plans"]
    sleeves = [place for place in plans[0]["places"] if place["place"] == "sleeve"]
    assert [[0.0, 12.7]] == [place["tolerance_mm"] for place in sleeves]


def chest(answer):
    place = next(place for place in answer.body["plans"][0]["places"] if place["place"] == "chest")
    return place["ideal_ease_mm"], place["tolerance_mm"]


def test_advice_is_given_by_the_shops_own_ease(staff):
    asked = {"readings": SLIM, "wish": "easy"}
    before = chest(staff.post("/v1/size-advice", asked))
    put(staff, row(easy=6, high=2))
    assert ((127.0, [-12.7, 38.1]), (152.4, [-12.7, 50.8])) == (before, chest(staff.post("/v1/size-advice", asked)))


def test_a_shop_that_likes_it_wider_sells_a_larger_size(staff):
    def size():
        return staff.post("/v1/size-advice", {"readings": SLIM}).body["plans"][0]["jacket"]["label"]

    before = size()
    put(staff, row(close=6, usual=6, easy=6), row(place="waist", close=6, usual=6, easy=6, low=-1.5, high=1.5))
    assert ("36R", "38R") == (before, size())


def test_a_fit_check_is_judged_by_the_shops_own_ease(staff):
    def waist():
        found = staff.post("/v1/fit-checks", WORN).body["plans"][0]["places"]
        return next(place["ideal_ease_mm"] for place in found if place["place"] == "waist")

    before = waist()
    put(staff, row(place="waist", close=3, usual=3, easy=5, low=-1, high=1))
    assert (101.6, 76.2) == (before, waist())


def test_another_shop_keeps_its_own(staff, other_shop):
    put(staff, row())
    assert not shown(other_shop.staff.get("/v1/ease-table"))["own"]

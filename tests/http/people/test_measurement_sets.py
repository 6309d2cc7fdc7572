import pytest

from tests.http.sheets import SLIM, named, reading

RECORD = {
    "readings": [SLIM[0] | {"repeats": ["36 1/4"]}, SLIM[2]],
    "customer_ref": "C-1",
    "by": "fitter-1",
    "age_years": 34.5,
    "note": "likes a soft shoulder",
}


def test_a_set_is_recorded_and_read_back_as_it_was_answered(staff):
    recorded = staff.post("/v1/measurement-sets", RECORD)
    assert 201 == recorded.status
    assert f"/v1/measurement-sets/{recorded.body['id']}" == recorded.headers["Location"]
    assert recorded.body == staff.get(recorded.headers["Location"]).body


def test_it_keeps_what_was_said(staff):
    body = staff.post("/v1/measurement-sets", RECORD).body
    assert ("C-1", "fitter-1", 34.5, "likes a soft shoulder", "2026-03-02") == tuple(
        body[part] for part in ("customer_ref", "by", "age_years", "note", "taken_on")
    )
    assert [("chest_girth", 914.4, "measured", [920.8]), ("stature", 1750.0, "measured", [])] == [
        (each["dimension"], each["size"]["mm"], each["source"], [size["mm"] for size in each["repeats"]])
        for each in body["readings"]
    ]


def test_it_says_what_the_readings_tell_of_the_dimensions_that_were_not_read(staff):
    body = {each["dimension"]: each for each in staff.post("/v1/measurement-sets", RECORD).body["body"]}
    assert (True, False) == (body["chest_girth"]["read"], body["waist_girth"]["read"])
    assert body["chest_girth"]["sd_mm"] < body["waist_girth"]["sd_mm"]


def test_a_slip_of_the_unit_is_warned_of_where_it_stands(staff):
    answer = staff.post(
        "/v1/measurement-sets", {"readings": [reading("waist_girth", 34, "in"), reading("hip_girth", 99, "in")]}
    )
    pointers = [warning["pointer"] for warning in answer.body.get("warnings", []) if warning["code"] == "did_you_mean"]
    assert (201, ["/readings/1"]) == (answer.status, pointers)


@pytest.mark.parametrize(
    ("wrong", "pointer"),
    [
        ({"readings": []}, "/readings"),
        ({"readings": None}, "/readings"),
        ({"readings": [SLIM[0]] * 61}, "/readings"),
        ({"readings": [SLIM[0] | {"repeats": [36] * 10}]}, "/readings/0/repeats"),
        ({"customer_ref": "C-1  2"}, "/customer_ref"),
        ({"customer_ref": "C-1\n"}, "/customer_ref"),
        ({"customer_ref": "C" * 65}, "/customer_ref"),
        ({"customer_ref": "客"}, "/customer_ref"),
        ({"customer_ref": 17}, "/customer_ref"),
        ({"by": "a  b"}, "/by"),
        ({"taken_on": "02.03.2026"}, "/taken_on"),
        ({"taken_on": "20260302"}, "/taken_on"),
        ({"taken_on": "2026-W10-1"}, "/taken_on"),
        ({"taken_on": "2026-02-30"}, "/taken_on"),
        ({"taken_on": "2026-03-02T10:00:00Z"}, "/taken_on"),
        ({"taken_on": 20260302}, "/taken_on"),
        ({"age_years": "34"}, "/age_years"),
        ({"age_years": True}, "/age_years"),
        ({"age_years": 0}, "/age_years"),
        ({"age_years": 121}, "/age_years"),
        ({"note": "x" * 201}, "/note"),
        ({"note": "one\ntwo"}, "/note"),
        ({"note": "end\n"}, "/note"),
        ({"note": "nul\x00"}, "/note"),
    ],
    ids=named,
)
def test_what_is_out_of_bounds_is_refused_where_it_stands(staff, wrong, pointer):
    assert (422, "field_wrong", [pointer]) == staff.post("/v1/measurement-sets", RECORD | wrong).problem


def test_a_reference_that_is_empty_is_refused(staff):
    answer = staff.post("/v1/measurement-sets", RECORD | {"customer_ref": ""})
    assert (422, {"/customer_ref"}) == (answer.status, {error["pointer"] for error in answer.body["errors"]})


def test_a_reading_that_no_man_has_is_refused(staff):
    asked = {"readings": [SLIM[0], reading("stature", 400, "cm")]}
    answer = staff.post("/v1/measurement-sets", asked)
    assert (422, "reading_out_of_bounds", ["/readings/1"]) == (*answer.problem[:2], [answer.problem[2][0][:11]])


def test_a_label_says_only_what_is_sized(staff):
    asked = {"readings": [reading("stature", 178, "cm", source="label")]}
    assert (422, "label_not_sized", ["/readings/0/source"]) == staff.post("/v1/measurement-sets", asked).problem


def test_a_day_to_come_is_refused_with_today(staff):
    answer = staff.post("/v1/measurement-sets", RECORD | {"taken_on": "2026-03-03"})
    assert (422, "taken_in_future", ["/taken_on"]) == answer.problem
    assert "2026-03-02" in answer.body["detail"]


def test_today_is_the_shops_local_day(staff, clock):
    # Dublin keeps UTC in March until the last Sunday; in June it is an hour ahead.
    clock.advance(days=100, hours=14, minutes=30)
    assert "2026-06-11" == staff.post("/v1/measurement-sets", RECORD).body["taken_on"]


def test_a_customers_sets_are_listed_newest_first(staff, clock):
    ids = []
    for _ in range(3):
        ids.insert(0, staff.post("/v1/measurement-sets", RECORD).body["id"])
        clock.advance(minutes=1)
    staff.post("/v1/measurement-sets", RECORD | {"customer_ref": "C-2"})
    found = staff.get("/v1/customers/C-1/measurement-sets").body["measurement_sets"]
    assert ids == [each["id"] for each in found]


def paged(staff, path):
    """The ids of all pages of a list of sets, as `Link` leads on."""
    found = []
    while path:
        page = staff.get(path)
        found += [each["id"] for each in page.body["measurement_sets"]]
        path = page.headers["Link"].partition(">")[0].lstrip("<") if "Link" in page.headers else None
    return found


@pytest.mark.parametrize("limit", [1, 2, 3, 4, 100])
def test_every_page_of_a_customers_sets_leads_to_the_next(staff, clock, limit):
    ids = []
    for _ in range(2):
        # Two of one moment come one after the other all the same.
        made = [staff.post("/v1/measurement-sets", RECORD).body["id"] for _ in range(2)]
        ids = sorted(made) + ids
        clock.advance(minutes=1)
    assert ids == paged(staff, f"/v1/customers/C-1/measurement-sets?limit={limit}")


def test_a_page_after_another_customers_set_is_refused(staff):
    theirs = staff.post("/v1/measurement-sets", RECORD | {"customer_ref": "C-2"}).body["id"]
    answer = staff.get("/v1/customers/C-1/measurement-sets", query={"after": theirs})
    assert (422, "set_unknown", ["/after"]) == answer.problem


def test_of_sets_with_hundreds_of_sizes_each_the_newest_are_listed(staff):
    full = [reading("chest_girth", 960 + at % 3, "mm", repeats=[960] * 9) for at in range(60)]
    made = [staff.post("/v1/measurement-sets", {"readings": full, "customer_ref": "C-1"}).body["id"] for _ in range(32)]
    listed = staff.get("/v1/customers/C-1/measurement-sets").body["measurement_sets"]
    assert 18_000 // 600 == len(listed)
    assert sorted(made) == sorted(paged(staff, "/v1/customers/C-1/measurement-sets"))
    assert len(made) == len(staff.get("/v1/customers/C-1/export").body["measurement_sets"])


def test_a_customer_who_is_not_known_has_no_sets(staff):
    assert {"measurement_sets": []} == staff.get("/v1/customers/nobody/measurement-sets").body


@pytest.mark.parametrize("ref", ["a%20%20b", "%00", "客", "a%2F%2Fb", "x" * 65])
def test_a_reference_that_can_be_nobodys_is_404(staff, ref):
    assert 404 == staff.get(f"/v1/customers/{ref}/measurement-sets").status


@pytest.mark.parametrize("set_id", ["17", "00000000-0000-4000-8000-00000000000", "x" * 36])
def test_an_id_that_is_none_is_404(staff, set_id):
    assert (404, "not_found", []) == staff.get(f"/v1/measurement-sets/{set_id}").problem


def test_a_retry_with_its_key_records_nothing_twice(staff):
    first = staff.post("/v1/measurement-sets", RECORD, key="one")
    again = staff.post("/v1/measurement-sets", RECORD, key="one")
    assert (201, first.raw, first.headers["Location"], "true") == (
        again.status,
        again.raw,
        again.headers["Location"],
        again.headers["Answer-Repeated"],
    )
    assert 1 == len(staff.get("/v1/customers/C-1/measurement-sets").body["measurement_sets"])


def test_without_a_key_the_same_is_recorded_twice(staff):
    assert [201, 201] == [staff.post("/v1/measurement-sets", RECORD).status for _ in range(2)]
    assert 2 == len(staff.get("/v1/customers/C-1/measurement-sets").body["measurement_sets"])

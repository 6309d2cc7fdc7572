"""A shop's own men over HTTP: counted by the operator, said in every answer, and explained later."""

import numpy as np
import pytest

from service.storage.people.measurement_sets import MeasurementSet, add_measurement_set
from service.storage.shops import skip_versions
from service.tailoring.body.counted_men import CUSTOMERS_LEAST, GROUP_LEAST
from service.tailoring.body.readings import reading
from service.use_cases.people.own_men import count_men, versions_of
from service.use_cases.shop.shops import judge_by
from tests.http.sheets import SLIM, WORN
from tests.shops import open_house

MEASURED = ("chest_girth", "trouser_waist_girth", "stature")


@pytest.fixture(scope="module")
def _house(file_url):
    """A database of this file's own: every shop of a database is counted, whatever other tests left in it."""
    with open_house(file_url) as house:
        yield house


def record(house, shop, first, how_many, *, larger=1.15):
    """So many customers of a shop as staff record them, larger than others of their height."""
    generator = np.random.default_rng(first)
    house.clock.advance(days=1)
    with house.context.database.writing() as tx:
        for i in range(first, first + how_many):
            chest, waist, height = np.array([1040.0 * larger, 960.0 * larger, 1755.0]) + generator.normal(0, 60, 3)
            sizes = dict(zip(MEASURED, (chest, waist, height), strict=True))
            readings = tuple(reading(name, round(float(size), 1), "mm") for name, size in sizes.items())
            kept = MeasurementSet(
                house.context.new_id(), f"C-{i}", house.context.now().date(), "fitter-1", 40.0, readings, (), "",
                house.context.now(),
            )  # fmt: skip
            add_measurement_set(tx, shop.id, kept)


@pytest.fixture
def counted(house, shop):
    """A shop whose own men were counted once."""
    record(house, shop, 0, CUSTOMERS_LEAST)
    count_men(house.context)
    return shop


def advice(client, **more):
    answer = client.post("/v1/size-advice", {"readings": SLIM[2:], "age_years": 40, **more})
    assert 200 == answer.status, answer.body
    return answer.body


def waist(answer):
    return next(each["mm"] for each in answer["body"] if each["dimension"] == "waist_girth")


def test_advice_goes_by_the_shops_men_and_says_so(house, shop, staff):
    before = advice(staff)
    assert 0 == before["population_version"]
    record(house, shop, 0, CUSTOMERS_LEAST)
    (found,) = [each for each in count_men(house.context) if each.shop_id == shop.id]
    assert 1 == found.version.own.version
    after = advice(staff)
    assert 1 == after["population_version"]
    assert waist(after) > waist(before) + 10
    # What was answered before can be asked for again.
    assert before == advice(staff, population_version=0)


def test_advice_of_an_older_version_can_be_explained(house, staff, counted):
    of_one = advice(staff)
    record(house, counted, 1000, 3 * GROUP_LEAST, larger=1.3)
    count_men(house.context)
    of_two = advice(staff)
    assert (1, 2) == (of_one["population_version"], of_two["population_version"])
    assert of_one["body"] != of_two["body"]
    assert of_one == advice(staff, population_version=1)


def test_what_goes_by_the_shops_men_says_so_everywhere(staff, counted):
    short = staff.post("/v1/size-advice", {"readings": SLIM[2:]}, query={"view": "short"}).body
    check = staff.post("/v1/fit-checks", WORN).body
    kept = staff.get(f"/v1/fit-checks/{check['id']}").body
    assert {1} == {each["population_version"] for each in (short, check, kept)}
    asked = {"people": [{"ref": "a", "readings": SLIM}], "limit": 1}
    batch, whole = (staff.post("/v1/size-advice/batch", asked | {"whole": each}).body for each in (False, True))
    assert [1, 1] == [each["answers"][0]["population_version"] for each in (batch, whole)]
    of_then = staff.post("/v1/size-advice/batch", asked | {"population_version": 0}).body
    assert 0 == of_then["answers"][0]["population_version"]


def test_a_version_that_was_never_counted_is_refused(staff, counted):
    for version in (2, 10**6):
        asked = {"readings": SLIM, "population_version": version}
        refused = staff.post("/v1/size-advice", asked)
        assert (422, "population_version_unknown") == (refused.status, refused.body["code"])
        assert "/population_version" == refused.body["errors"][0]["pointer"]
        people = {"people": [{"ref": "a", "readings": SLIM}], "population_version": version}
        assert 422 == staff.post("/v1/size-advice/batch", people).status


def test_another_shop_has_none_of_it(house, counted, other_shop):
    assert 0 == advice(other_shop.staff)["population_version"]
    asked = {"readings": SLIM, "population_version": 1}
    assert 422 == other_shop.staff.post("/v1/size-advice", asked).status
    assert () == versions_of(house.context, other_shop.id)


def test_turned_off_it_is_neither_used_nor_counted(house, staff, counted):
    judge_by(house.context, counted.id, own=False)
    record(house, counted, 1000, CUSTOMERS_LEAST)
    assert counted.id not in {each.shop_id for each in count_men(house.context)}
    assert 0 == advice(staff)["population_version"]
    # An answer of then is explained all the same, and turned on again it goes on.
    assert 1 == advice(staff, population_version=1)["population_version"]
    judge_by(house.context, counted.id, own=True)
    assert 1 == advice(staff)["population_version"]
    count_men(house.context)
    assert 2 == advice(staff)["population_version"]


def test_who_was_erased_stays_in_no_row_and_moves_no_figure(house, staff, counted):
    before = advice(staff)
    for i in range(5):
        assert 200 == staff.ask("DELETE", f"/v1/customers/C-{i}").status
    count_men(house.context)
    assert before == advice(staff)
    record(house, counted, 2000, GROUP_LEAST - 5)
    record(house, counted, 0, 4)
    count_men(house.context)
    # Forty-nine are new: a fiftieth would be needed.
    assert before == advice(staff)
    assert "C-" not in str(versions_of(house.context, counted.id))


def test_sets_that_say_nobody_are_not_counted(house, shop, staff):
    for _ in range(3):
        staff.post("/v1/measurement-sets", {"readings": SLIM})
    record(house, shop, 0, CUSTOMERS_LEAST - 1)
    (found,) = [each for each in count_men(house.context) if each.shop_id == shop.id]
    assert found.version is None


def test_after_a_restore_no_number_of_a_version_is_given_out_again(house, staff, counted):
    with house.context.database.writing() as tx:
        skip_versions(tx, 1000)
    record(house, counted, 1000, GROUP_LEAST)
    count_men(house.context)
    assert 1002 == advice(staff)["population_version"]
    assert [1, 1002] == [each.counted.own.version for each in versions_of(house.context, counted.id)]

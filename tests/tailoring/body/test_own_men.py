"""A shop's own men: nearer to those who come there, and no customer by themselves."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.tailoring.body.body import read_body
from service.tailoring.body.builds import AGE
from service.tailoring.body.counted_men import (
    CUSTOMERS_LEAST,
    GROUP_LEAST,
    STEPS,
    MeasuredCustomer,
    next_version,
    population_of,
    shown,
)
from service.tailoring.body.population import men
from service.tailoring.sizing.batch import Person, rank_many
from service.tailoring.sizing.sizing import advise
from tests.bench.own_men import shop_and_held_out, told_of, version_of
from tests.tailoring.men import QUESTION, read

FIRST = datetime(2026, 3, 2, tzinfo=UTC)
TAPED = ("chest_girth", "trouser_waist_girth", "stature")


def in_general(seed=1, how_many=CUSTOMERS_LEAST):
    """So many men of all ages, by dimension, drawn from men in general."""
    model = men()
    y = np.random.default_rng(seed).multivariate_normal(model.mean, model.cov, how_many, method="eigh")
    return np.where(model.logs, np.exp(np.where(model.logs, y, 0.0)), y)


def customer(ref, sizes, *, names=TAPED, age=True, source="measured", at=FIRST):
    """A man as the shop has measured him."""
    by_name = dict(zip(men().names, sizes.tolist(), strict=True))
    taken = tuple(read(name, by_name[name], source=source) for name in names)
    return MeasuredCustomer(ref, at, taken, by_name[AGE] if age else None)


def customers(sizes, **options):
    return [customer(f"C-{i}", each, **options) for i, each in enumerate(sizes)]


def counted(sets, before=None, at=FIRST):
    return next_version(before, sets, before.own.version + 1 if before else 1, at)


def away(version):
    return dict(version.own.away)


# ---------------------------------------------------------------- what it is good for


@pytest.mark.parametrize("shop", ["60 years and over", "slim (index below 25)", "tall (above 180 cm)"])
def test_men_of_a_shop_are_nearer_to_its_own_than_to_men_in_general(shop):
    # Measured men of 2017 and 2018 (NHANES): 200 of a shop are counted, all its others are held against what is told.
    measured, held_out = shop_and_held_out(shop, 200)
    own = population_of(version_of(measured).own)
    for known in ("nothing: height", "nothing: waist"):
        general, moved = (told_of(held_out, among, known) for among in (men(), own))
        assert abs(moved.bias) < abs(general.bias) / 2
        assert moved.rmse < general.rmse
    # And whoever is measured is told no worse.
    general, moved = (told_of(held_out, among, "age, height, weight: waist") for among in (men(), own))
    assert moved.rmse < 1.01 * general.rmse


@pytest.mark.parametrize("seed", range(4))
def test_a_shop_of_everybody_is_told_no_worse(seed):
    measured, held_out = shop_and_held_out("everybody", 200, seed)
    version = version_of(measured)
    for known in ("nothing: height", "nothing: waist", "age and height: waist", "age, height, weight: waist"):
        general, moved = (told_of(held_out, among, known) for among in (men(), population_of(version.own)))
        assert moved.rmse < 1.01 * general.rmse


def test_a_shop_whose_men_are_men_in_general_hardly_moves():
    moved = [max(map(abs, away(counted(customers(in_general(seed, 1000)))).values())) for seed in range(8)]
    # The mean of a thousand is known to a thirtieth of an SD.
    assert max(moved) <= 0.1
    assert np.median(moved) <= 0.05


def test_what_was_never_taped_moves_with_what_was():
    sizes = in_general() * np.where(np.array(men().names) == "chest_girth", 1.08, 1.0)
    moved = away(counted(customers(sizes, age=False)))
    assert moved["chest_girth"] > 0.4
    assert moved["neck_girth"] > 0.1


def test_more_customers_move_it_further():
    sizes = in_general(3, 2000) + np.where(np.array(men().names) == "stature", 15.0, 0.0)
    few, many = (away(counted(customers(sizes[:n])))["stature"] for n in (200, 2000))
    assert 0 <= few <= many + STEPS
    assert many == pytest.approx(15 / 75, abs=0.06)


def test_the_ages_of_a_shop_move_whose_age_is_not_known_and_nobody_else():
    sizes = in_general(5)
    sizes[:, 0] = np.random.default_rng(5).uniform(22, 34, len(sizes))
    # Each as the men of his age are.
    for row in sizes:
        mean, _ = men().of_age(float(row[0]))
        row[1:] = np.where(men().logs, np.exp(np.where(men().logs, mean, 0.0)), mean)[1:]
    own = population_of(counted(customers(sizes)).own)
    young, any_man = (read_body((), age, own).belief for age in (28.0, None))
    assert young.median("waist_girth") == pytest.approx(read_body((), 28.0).belief.median("waist_girth"), rel=0.01)
    assert any_man.median("waist_girth") < read_body(()).belief.median("waist_girth") - 40


def test_advice_says_by_which_version_and_that_alone_can_move_it():
    own = population_of(counted(customers(in_general() * 1.05)).own)
    taped = (read("chest_girth", 1000.0), read("stature", 1780.0))
    bodies = [read_body(taped, 40.0, among) for among in (men(), own, own)]
    assert [0, 1, 1] == [body.among.version for body in bodies]
    general, *alike = (advise(body, QUESTION).plans[0] for body in bodies)
    assert alike[0] == alike[1]
    assert general.expected_cost != alike[0].expected_cost


def test_many_at_once_are_judged_by_the_same_men():
    own = population_of(counted(customers(in_general() * 1.05)).own)
    person = Person((read("chest_girth", 1000.0), read("stature", 1780.0)), 40.0)
    (answer,) = rank_many([person], QUESTION, own)
    (best, *_) = advise(read_body(person.readings, person.age_years, own), QUESTION).plans
    assert best.chosen == answer.ranked[0].sizes
    assert 1 == answer.population_version


# ---------------------------------------------------------------- and no customer by themselves


def test_fewer_than_two_hundred_customers_are_not_counted():
    sizes = in_general()
    assert counted(customers(sizes[1:])) is None
    assert counted(customers(sizes))


def test_nobody_counts_twice():
    sizes = in_general()[: CUSTOMERS_LEAST // 2]
    again = [replace(each, at=FIRST + timedelta(days=1)) for each in customers(sizes)]
    assert counted([*customers(sizes), *again]) is None


def test_only_what_staff_measured_counts():
    assert counted(customers(in_general(), source="self_reported")) is None


def test_a_measure_that_few_have_is_not_counted():
    sizes = in_general()
    sets = customers(sizes)
    odd = [customer(f"C-{i}", sizes[i] * 1.2, names=("neck_girth",)) for i in range(GROUP_LEAST - 1)]
    without, with_few = counted(sets), counted([*sets, *odd])
    assert without == with_few
    enough = customer("C-199", sizes[199] * 1.2, names=("neck_girth",))
    assert "neck_girth" in {each.dimension for each in counted([*sets, *odd, enough]).tallies}


def test_two_versions_differ_by_a_whole_group_whoever_came_or_was_erased():
    sizes = in_general(7, 400)
    old, later = customers(sizes)[:250], [replace(each, at=FIRST + timedelta(days=1)) for each in customers(sizes)]
    first = counted(old)
    # One fewer than a group is new: nothing is told of them, with or without anybody who was erased.
    for kept in (old, old[1:], []):
        assert counted([*kept, *later[250 : 250 + GROUP_LEAST - 1]], first, FIRST + timedelta(days=2)) is None
    # A whole group is: and the sums of before stay, whoever of them was erased meanwhile.
    whole = [counted([*kept, *later[250 : 250 + GROUP_LEAST]], first, FIRST + timedelta(days=2)) for kept in (old, [])]
    assert whole[0] == whole[1]
    assert {GROUP_LEAST} == {
        after.customers - before.customers for before, after in zip(first.tallies, whole[0].tallies, strict=True)
    }


def test_a_customer_who_comes_back_is_no_new_one():
    sizes = in_general(8)
    first = counted(customers(sizes))
    back = [replace(each, at=FIRST + timedelta(days=1)) for each in customers(sizes)]
    assert counted([*customers(sizes), *back], first, FIRST + timedelta(days=2)) is None


@settings(deadline=None, max_examples=25)
@given(st.integers(0, CUSTOMERS_LEAST), st.floats(0.5, 2.0), st.integers(0, 5))
def test_no_figure_moves_by_more_than_a_step_or_two_with_one_customer(which, times, seed):
    # An attacker who knows all the others: the most odd of men moves what is told by the steps in which it is told.
    # One more than are needed: whoever is too odd to be a man at all is not counted.
    sizes = in_general(seed, CUSTOMERS_LEAST + 1) * 1.03
    odd = sizes.copy()
    odd[which] = odd[which] * times
    one, other = (away(counted(customers(each))) for each in (sizes, odd))
    assert max(abs(one[name] - other[name]) for name in one) <= 2 * STEPS + 1e-9


def test_figures_are_told_in_steps():
    told = np.array([sds for _, sds in counted(customers(in_general() * 1.07)).own.away])
    assert np.allclose(told / STEPS, np.round(told / STEPS))


def test_what_is_shown_has_its_count():
    version = counted(customers(in_general() * 1.05))
    told = shown(version)
    assert {name for name, _, _ in told} == {AGE, *TAPED}
    assert all(number >= GROUP_LEAST for _, number, _ in told)
    by_name = {name: off for name, _, off in told}
    # Of 5 % more, what two hundred show beyond chance.
    assert 15 < by_name["chest_girth"] < 70

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.tailoring import tables
from service.tailoring.hems.breaks import (
    BREAK_NAMES,
    Shoe,
    Wearer,
    back_above_floor,
    breaks,
    falls_as,
    finished_inside_leg,
    quantities,
    typical,
)
from service.tailoring.quantities import Length, inches
from service.tailoring.refusals import Refusal

# Source: the trade's table of breaks (common practice, no source), finished inside leg less body inside leg, inches.
FINISHED_LESS_BODY_IN = {"cropped": -3, "none": -2.25, "quarter": -2, "half": -1.75, "full": -1.25}


@pytest.mark.parametrize("name", BREAK_NAMES)
def test_the_formula_gives_the_trades_length_for_each_break(name):
    back_mm = back_above_floor(name, inches(3), inches(0.5))
    finished_mm = finished_inside_leg(inches(32), back_mm, inches(1), inches(0.5), inches(0.5))
    assert finished_mm == pytest.approx(inches(32 + FINISHED_LESS_BODY_IN[name]))


@pytest.mark.parametrize("name", BREAK_NAMES)
def test_each_break_lies_within_its_own_bounds(name):
    known = breaks()[name]
    assert known.surplus_from_mm <= known.surplus_mm <= known.surplus_to_mm


@pytest.mark.parametrize("front_height_in", [2.5, 3, 3.5])
@pytest.mark.parametrize("slant_in", [0, 0.25, 0.5, 0.75])
@pytest.mark.parametrize("name", BREAK_NAMES)
def test_a_leg_by_the_formula_falls_as_it_was_asked_for(name, slant_in, front_height_in):
    # b = v - c - s, whatever the shoe and the slant (derived here).
    wearer = Wearer(Length(inches(32)), name, Shoe(Length(inches(1)), Length(inches(front_height_in))))
    finished_mm = wearer.finished_mm(inches(slant_in), "left")
    assert name == falls_as(wearer.falls_mm(finished_mm, inches(slant_in), "left")).name
    back_mm = wearer.back_above_floor_mm(inches(slant_in))
    assert breaks()[name].surplus_mm == pytest.approx(inches(front_height_in - slant_in) - back_mm)


@pytest.mark.parametrize(("slant_in", "finished_in"), [(0.5, 30.25), (0, 30)])
def test_a_single_break_is_a_quarter_shorter_without_a_slant(slant_in, finished_in):
    # 32 + 1 - 1/2 - 2 - 1/4 on a slant; 32 + 1 - 1/2 - 2 1/2 with turn-ups (derived here).
    wearer = Wearer(Length(inches(32)), "half", Shoe(Length(inches(1))))
    assert inches(finished_in) == pytest.approx(wearer.finished_mm(inches(slant_in)))


def test_the_lower_the_front_meets_the_shoe_the_longer_the_leg():
    shoes = [Shoe(Length(inches(1)), Length(inches(height))) for height in (2.5, 3, 3.5)]
    lengths = [Wearer(Length(inches(32)), shoe=shoe).finished_mm(inches(0.5)) for shoe in shoes]
    assert [inches(length) for length in (30.75, 30.25, 29.75)] == pytest.approx(lengths)


def test_the_breaks_follow_one_another_without_a_gap():
    found = [breaks()[name] for name in BREAK_NAMES]
    assert [b.surplus_to_mm for b in found[:-1]] == [b.surplus_from_mm for b in found[1:]]
    assert breaks()["full"].surplus_to_mm == breaks()["too_long"].surplus_from_mm


def test_every_figure_has_its_source_and_lies_inside_its_bounds():
    assert all(known.source for known in (*breaks().values(), *quantities().values()))
    for row in tables.rows("hems/hem_quantities"):
        columns = ("refused_below_in", "usual_from_in", "typical_in", "usual_to_in", "refused_above_in")
        figures = [float(row[column]) for column in columns]
        assert sorted(figures) == figures


def test_a_typical_man_gets_the_typical_finished_leg():
    # 32 + 1 - 1/2 - 2 - 1/4 = 30 1/4 in with the single break (derived here).
    wearer = Wearer(typical("inside_leg"))
    assert inches(30.25) == pytest.approx(wearer.finished_mm(typical("slant").mm))


@pytest.mark.parametrize(
    ("make", "at"),
    [
        (lambda: Wearer(Length(inches(79))), ("inside_leg",)),
        (lambda: Wearer(Length(inches(32)), fork_gap=Length(inches(3))), ("fork_gap",)),
        (lambda: Shoe(Length(inches(10))), ("heel",)),
        (lambda: Shoe(Length(inches(1)), Length(inches(9))), ("front_height",)),
    ],
    ids=["inside_leg", "fork_gap", "heel", "front_height"],
)
def test_a_slip_of_unit_is_refused_where_it_stands(make, at):
    # common practice, no source
    with pytest.raises(Refusal) as caught:
        make()
    assert ("hem_quantity_outside", at) == (caught.value.code, caught.value.at)


def test_an_unknown_break_is_refused_with_the_known_ones():
    with pytest.raises(Refusal) as caught:
        Wearer(Length(inches(32)), "puddle")
    assert ("break_unknown", BREAK_NAMES) == (caught.value.code, caught.value.facts["allowed"])


def test_flat_shoes_and_flat_hems_are_taken():
    Wearer(Length(inches(32)), shoe=Shoe(Length(0.0)))


@given(
    leg_mm=st.floats(600, 1000),
    heel_mm=st.floats(0, 60),
    more_mm=st.floats(1, 20),
    name=st.sampled_from(BREAK_NAMES),
)
def test_a_higher_heel_takes_as_much_longer_a_leg(leg_mm, heel_mm, more_mm, name):
    low = finished_inside_leg(leg_mm, breaks()[name].back_above_floor_mm, heel_mm, 12.7, 12.7)
    high = finished_inside_leg(leg_mm, breaks()[name].back_above_floor_mm, heel_mm + more_mm, 12.7, 12.7)
    assert more_mm == pytest.approx(high - low)


@given(slant_mm=st.floats(0, 25))
def test_a_fuller_break_takes_a_longer_leg(slant_mm):
    lengths = [Wearer(Length(800.0), name).finished_mm(slant_mm) for name in BREAK_NAMES]
    assert sorted(lengths) == lengths

"""Source: NIST Special Publication 811 (2008), appendix B: the inch and the avoirdupois pound are exact."""

from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.tailoring.quantities import inches, length, mass


def test_an_inch_is_25_4_millimetres_exactly():
    # International yard and pound agreement, 1959.
    assert 25.4 == inches(1) == length(1, "in").mm == length("1", "in").mm


def test_a_pound_is_0_45359237_kilograms_exactly():
    assert 0.45359237 == mass(1, "lb").kg


def test_a_stone_is_fourteen_pounds():
    assert float(Fraction("0.45359237") * 14) == mass(1, "st").kg


@pytest.mark.parametrize(("unit", "name"), [("in", "inch"), ("cm", "centimeter"), ("mm", "millimeter")])
def test_a_unit_of_length_is_the_librarys_own(unit, name):
    known = pint.UnitRegistry(non_int_type=Fraction)
    assert float(known.Quantity(Fraction(7), name).to("millimeter").magnitude) == length(7, unit).mm


@pytest.mark.parametrize(("unit", "name"), [("kg", "kilogram"), ("lb", "pound"), ("st", "stone")])
def test_a_unit_of_mass_is_the_librarys_own(unit, name):
    known = pint.UnitRegistry(non_int_type=Fraction)
    assert float(known.Quantity(Fraction(7), name).to("kilogram").magnitude) == mass(7, unit).kg


@given(st.integers(0, 90 * 64))
def test_every_division_of_the_tape_is_the_nearest_number_to_its_exact_length(parts):
    whole, rest = divmod(parts, 64)
    exact = (whole + Fraction(rest, 64)) * Fraction("25.4")
    assert float(exact) == length(f"{whole} {rest}/64", "in").mm


@pytest.mark.parametrize(("chest_in", "chest_cm"), [(34, 86.36), (36, 91.44), (40, 101.6), (46, 116.84)])
def test_an_inch_size_is_not_its_european_label(chest_in, chest_cm):
    # European jacket label = inch + 10 is a custom among labels (common practice, no source), a whole size off from
    # 46 up.
    assert chest_cm == pytest.approx(length(chest_in, "in").written_in("cm").value)
    assert (chest_in == 46) == (chest_cm / 2 - (chest_in + 10) > 2)

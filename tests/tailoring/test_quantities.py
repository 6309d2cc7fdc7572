import math
import re
from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from service.tailoring.garments.alterations import catalogue, instead_of
from service.tailoring.quantities import Length, Mass, inches, inches_text, length, mass, said_in
from service.tailoring.refusals import Refusal


def refused(value, unit="in"):
    with pytest.raises(Refusal) as caught:
        length(value, unit)
    return caught.value.code, caught.value.at


@pytest.mark.parametrize(
    "written",
    [36.5, "36.5", "36 1/2", "36½", "36-1/2", "36 ½", "36  1/2", " 36 1/2 ", "36 8/16", "36 32/64"],
    ids=repr,
)
def test_the_same_length_is_read_from_every_way_a_tailor_writes_it(written):
    assert 927.1 == length(written, "in").mm


@pytest.mark.parametrize(("written", "mm"), [("1/2", 12.7), ("½", 12.7), ("0", 0), (0, 0), ("7/8", 22.225)], ids=repr)
def test_a_fraction_or_nothing_stands_alone(written, mm):
    assert mm == length(written, "in").mm


@pytest.mark.parametrize("unit", ["in", "cm", "mm"], ids=repr)
def test_an_inch_is_exactly_25_4_millimetres(unit):
    # International inch, 1959; NIST SP 811.
    written = {"in": 1, "cm": 2.54, "mm": 25.4}[unit]
    assert 25.4 == length(written, unit).mm


def test_masses_have_their_exact_factors():
    # The pound is 0.45359237 kg exactly, 14 to the stone (NIST SP 811).
    assert 0.45359237 == mass(1, "lb").kg
    assert 6.35029318 == mass(1, "st").kg


@pytest.mark.parametrize(
    "written",
    [
        "81,5",
        "36 3/0",
        "36 3/3",
        "36 9/8",
        "36 1/3",
        "36 1/",
        "/2",
        "36½½",
        "36 1/2½",
        "361/2",
        "36.5 1/2",
        "36.",
        ".5",
        "",
        "   ",
        "1e3",
        "0x10",
        "1_000",
        "36 in",
        "36\n",
        "36\t1/2",
        "36\u00a01/2",
        "+36",
        "٣٦",
        "३६",
        "\uff13\uff16",
        "²",
        "nan",
        "inf",
        "1" * 17,
        None,
        True,
        [],
        {},
        b"36",
        1 + 0j,
        float("nan"),
        float("inf"),
        float("-inf"),
    ],
    ids=repr,
)
def test_what_is_not_in_the_grammar_is_unreadable(written):
    assert ("quantity_unreadable", ("value",)) == refused(written)


@pytest.mark.parametrize("written", [-1, -0.5, "-1", "-1/2", "-½", "- 36 1/2", -(10**400)], ids=repr)
def test_a_length_below_zero_is_refused(written):
    assert ("quantity_negative", ("value",)) == refused(written)


@pytest.mark.parametrize("written", [10**400, 1e300, 394, "9999999999", "394 1/2"], ids=repr)
def test_a_length_beyond_every_tape_is_refused(written):
    assert ("quantity_too_large", ("value",)) == refused(written)


@pytest.mark.parametrize("unit", ["inch", "IN", "m", "", None, 1, [], "kg"], ids=repr)
def test_an_unknown_unit_is_refused_at_the_unit(unit):
    assert ("unit_unknown", ("unit",)) == refused(1, unit)


@pytest.mark.parametrize(
    ("mm", "written"),
    [(0, "0"), (971.55, "38 1/4"), (22.225, "7/8"), (1016, "40"), (-12.7, "-1/2"), (1, "0"), (-1, "0")],
    ids=repr,
)
def test_inches_are_written_to_the_nearest_eighth(mm, written):
    assert written == inches_text(mm)


def test_lengths_and_masses_are_written_as_they_were_read():
    assert "36 1/2 in" == length("36½", "in").text
    assert "92.7 cm" == length(36.5, "in").written_in("cm").text
    assert "927 mm" == length(927.1, "mm").text
    assert 92.71 == length(36.5, "in").written_in("cm").value
    assert "12 st 4 lb" == Mass(mass(172, "lb").kg, "st").text
    assert "78.4 kg" == mass(78.4, "kg").text


@given(whole=st.integers(0, 392), eighth=st.integers(0, 7))
def test_what_is_written_in_eighths_is_read_back_exactly(whole, eighth):
    mm = inches(whole + eighth / 8)
    assert mm == length(inches_text(mm), "in").mm


@given(st.floats(-10_000, 10_000))
@example(25.4 / 16)
@example(-25.4 * 3 / 16)
def test_inches_are_rounded_exactly_as_fractions_would_be_half_of_an_eighth_away_from_nothing(mm):
    eighths = math.floor(Fraction(abs(mm)) / Fraction("25.4") * 8 + Fraction(1, 2))
    written = Fraction(eighths, 8) * (-1 if mm < 0 else 1)
    whole, _, part = inches_text(abs(mm)).rpartition(" ")
    assert abs(written) == Fraction(whole or 0) + Fraction(part)
    assert (written < 0) == inches_text(mm).startswith("-")


@given(st.floats(0, 10_000))
def test_a_written_length_is_within_a_sixteenth_of_an_inch(mm):
    read = length(Length(mm, "in").text.removesuffix(" in"), "in") if mm < 9_990 else Length(mm)
    assert abs(read.mm - mm) <= 25.4 / 16 + 1e-9


@given(st.decimals(0, 1000, places=3, allow_nan=False))
def test_a_decimal_is_read_as_the_caller_wrote_it(size):
    assert float(Fraction(size)) == length(str(size), "mm").mm
    assert float(Fraction(str(float(size)))) == length(float(size), "mm").mm


@given(st.text(max_size=20))
def test_any_text_is_read_or_refused(text):
    try:
        size = length(text, "in")
    except Refusal as refusal:
        assert refusal.code in {"quantity_unreadable", "quantity_negative", "quantity_too_large"}  # noqa: PT017
    else:
        assert 0 <= size.mm <= 10_000


@pytest.mark.parametrize(
    ("words", "in_cm"),
    [
        ("keep 2 in or more between them", "keep 5 cm or more between them"),
        ("keep 1.5–2.5 in inside", "keep 4–6.5 cm inside"),
        ("1 to 1 1/2 in may be cut on it", "2.5 to 4 cm may be cut on it"),
        ("a gap over 1/2 in is swapped", "a gap over 1.3 cm is swapped"),
        ("1 in girth brings them 1 in nearer", "2.5 cm girth brings them 2.5 cm nearer"),
        ("about 6 in / 15 cm below the band", "about 6 in / 15 cm below the band"),
        ("sewn in two rows", "sewn in two rows"),
    ],
)
def test_a_rule_of_thumb_is_said_in_the_unit_of_the_shop(words, in_cm):
    assert in_cm == said_in(words, "cm")
    assert words == said_in(words, "in") == said_in(words, None)


def test_a_size_that_is_sold_is_said_to_the_millimetre():
    assert "ready hemmed to 73.7 cm" == said_in("ready hemmed to 29 in", "cm", rough=False)


def test_no_sentence_of_the_catalogue_keeps_an_inch_where_centimetres_are_asked_for():
    texts = [(each.limited_by, instead_of(code), each.knock_on, each.caution) for code, each in catalogue().items()]
    said = [text for four in texts for text in four]
    assert any(" in" in text for text in said)
    assert [] == [text for text in said if re.search(r"[0-9] in\b", said_in(text, "cm"))]


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("5'8", "68 with the unit in"), ("5 ft 8", "68 with the unit in"), ("6\u2032 1\u2033", "73 with the unit in"),
        ("6 foot", "72 with the unit in"), ("12 st 4 lb", "172 with the unit lb"), ("12 stone", "168 with the unit lb"),
        ("40 chest", "the unit apart"), ("1" * 60 + " ft", "the unit apart"),
    ],
)  # fmt: skip
def test_who_says_a_height_or_a_weight_in_two_units_is_told_it_in_one(text, hint):
    with pytest.raises(Refusal) as caught:
        length(text, "in")
    assert hint in caught.value.facts["hint"]

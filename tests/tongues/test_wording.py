import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.tailoring.quantities import Length, inches
from service.tailoring.work.prices import Money
from service.tongues.wording import change_text, length_text, money_text


@pytest.mark.parametrize(
    ("minor", "currency", "text"),
    [
        (1800, "EUR", "EUR 18.00"),
        (5, "EUR", "EUR 0.05"),
        (-250, "GBP", "GBP −2.50"),
        (1800, "JPY", "JPY 1800"),
        (1805, "KWD", "KWD 1.805"),
        (12345, "CLF", "CLF 1.2345"),
    ],
)
def test_money_has_the_digits_of_its_currency(minor, currency, text):
    # ISO 4217: EUR 2, JPY 0, KWD 3, CLF 4.
    assert text == money_text(Money(minor, currency))


@given(st.floats(0.01, 10_000))
def test_a_change_and_a_measure_of_one_length_show_the_same_figures(mm):
    assert length_text(Length(mm)) == change_text(Length(mm), "decrease").replace("−", "")


def test_shares_add_up_to_the_whole_that_is_printed():
    # 7/8 in is not halved to the nearest eighth.
    assert "+7/16 in / +11.1 mm" == change_text(Length(inches(7 / 8), "in"), "increase", 2)


@pytest.mark.parametrize(
    ("mm", "text"),
    [(40, "4 cm / ~1 5/8 in"), (762, "76.2 cm / 30 in"), (1000, "100 cm / 39 3/8 in"), (5, "0.5 cm / ~1/4 in")],
)
def test_what_was_said_in_centimetres_is_printed_in_them_first(mm, text):
    assert text == length_text(Length(mm, "cm")) == change_text(Length(mm, "cm"), "decrease").replace("−", "")
    assert "−0.25 cm / ~−1/8 in" == change_text(Length(5, "cm"), "decrease", 2)


def test_less_than_a_tape_shows_is_never_nothing():
    assert ("−under 1/8 in / −0.5 mm", "under 1/8 in / 0.5 mm") == (
        change_text(Length(0.5), "decrease"),
        length_text(Length(0.5)),
    )

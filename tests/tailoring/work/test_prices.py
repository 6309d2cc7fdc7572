import pytest

from service.tailoring.quantities import length
from service.tailoring.refusals import Refusal
from service.tailoring.work.prices import Money, PriceBand, PriceList, PriceModifier, Terms


@pytest.mark.parametrize(
    ("hem", "currency", "rounded_to", "minute"),
    [(1200, "EUR", 50, 25), (1500, "JPY", 50, 31), (99, "GBP", 1, 2), (7, "KWD", 1, 1)],
)
def test_a_list_follows_from_its_plain_hem_in_any_currency(hem, currency, rounded_to, minute):
    prices = PriceList.of_plain_hem(hem, currency)
    assert (rounded_to, minute) == (prices.round_to_minor, prices.minute_minor)
    assert Money(hem, currency) == prices.price("trouser_hem", 1.0)


def test_a_fixed_price_stands_before_the_catalogues():
    prices = PriceList(fixed_minor=(("trouser_hem", 990),))
    assert Money(990, "EUR") == prices.price("trouser_hem", 1.0)


BANDED = PriceList(
    fixed_minor=(("trouser_waist_in", 1800),),
    bands=(
        PriceBand("trouser_waist_in", length(2, "in"), 3600),
        PriceBand("trouser_waist_in", length(1, "in"), 2400),
    ),
)


@pytest.mark.parametrize(
    ("size", "unit", "minor"),
    [
        ("1/2", "in", 1800),
        (1, "in", 1800),
        ("2.54", "cm", 1800),
        ("1 1/8", "in", 2400),
        (2, "in", 2400),
        (3, "in", 3600),
    ],
)
def test_an_amount_costs_what_the_last_band_that_it_is_over_says(size, unit, minor):
    assert Money(minor, "EUR") == BANDED.price("trouser_waist_in", 1.5, length(size, unit).mm)


def test_without_an_amount_no_band_applies():
    assert Money(1800, "EUR") == BANDED.price("trouser_waist_in", 1.5)


RAISED = PriceList(
    modifiers=(
        PriceModifier("cloth", "velvet", 25),
        PriceModifier("cloth", "raw silk", 20),
        PriceModifier("lining", "full", 10),
        PriceModifier("pattern", "check", 15),
    )
)


@pytest.mark.parametrize(
    ("cloth", "lining", "pattern", "percent"),
    [
        ("navy worsted", None, "plain", 0),
        ("Bottle-green VELVET", None, "plain", 25),
        ("velveteen", None, "plain", 0),
        ("raw silk and velvet", "full", "check", 70),
        ("", "half", "stripe", 0),
    ],
)
def test_modifiers_that_are_meant_add_up(cloth, lining, pattern, percent):
    assert percent == RAISED.raised_percent({"cloth": cloth, "lining": lining, "pattern": pattern})


@pytest.mark.parametrize(("what", "code"), [("lining", "lining_unknown"), ("pattern", "pattern_unknown")])
def test_a_modifier_for_what_no_garment_has_is_refused(what, code):
    with pytest.raises(Refusal) as refused:
        PriceModifier(what, "velvet", 10)
    assert (code, ("word",)) == (refused.value.code, refused.value.at)


def test_rush_and_deposit_are_rounded_half_up_and_agreed_with_the_order():
    prices = PriceList(rush_percent=50, deposit_percent=30)
    # Half of 36.50 is 18.25, to 50 cents 18.50; 30 % of 55.00 is 16.50.
    assert Terms(1850, 1650, 50) == prices.terms(3650, rush=True)
    # 30 % of 36.50 is 10.95, to 50 cents 11.00.
    assert Terms(0, 1100, 50) == prices.terms(3650)


def test_a_deposit_is_never_more_than_the_whole():
    assert 30 == PriceList(deposit_percent=100).terms(30).deposit_minor

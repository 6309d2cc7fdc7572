import pytest

from service.tailoring.money import Money, PriceList


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

"""The book of orders: hems, orders and their papers, held against what a fitter and the bench expect of them."""

from collections import Counter

import pytest

from tests.http.orders.book_of_orders import (
    KNOWN,
    NOT_YET,
    cases,
    everyday_shop,
    pages,
    wrong_in_hem,
    wrong_in_order,
)
from tests.shops import open_house

WAITING = pages()[NOT_YET]["waiting"]


@pytest.fixture(scope="module")
def staff(sqlite_url):
    """One database is enough for what is decided and printed."""
    with open_house(sqlite_url) as house:
        yield everyday_shop(house).staff


def marked(case):
    """A case that is known to fail is expected to: once it passes it is taken off the list."""
    why = WAITING.get(case.name)
    fails = pytest.mark.xfail(reason=why, raises=AssertionError, strict=True)
    return pytest.param(case, id=case.name, marks=[fails] if why else [])


@pytest.mark.parametrize("case", [marked(case) for case in cases("hem")])
def test_a_hem_ends_where_the_fitter_ends_it(staff, case):
    wrong = list(wrong_in_hem(case, staff))
    assert not wrong, f"{case.name}: " + "; ".join(wrong)


@pytest.mark.parametrize("case", [marked(case) for case in cases("order")])
def test_an_order_and_its_paper_say_what_the_bench_needs(staff, case):
    wrong = list(wrong_in_order(case, staff))
    assert not wrong, f"{case.name}: " + "; ".join(wrong)


def test_every_case_has_a_name_of_its_own_a_source_and_words_that_are_read():
    book = [*cases("hem"), *cases("order")]
    assert {1} == set(Counter(case.name for case in book).values())
    for case in book:
        assert set(case.written) <= KNOWN, case.name
        assert case.source, case.name
    assert set(WAITING) <= {case.name for case in book}
    assert all(WAITING.values())

"""Several people with one day: their sheets are kept at the mirror and placed together."""

import pytest
from playwright.sync_api import expect

from tests.demo.floor.fittings import find_at_counter, order_of, until_sheet
from tests.demo.floor.floors import DESK
from tests.demo.floor.looking import seen


@pytest.fixture
def tablet(tablet):
    tablet.sign_in("fitter-1")
    yield tablet
    assert [] == tablet.complaints


def keep_one(tablet):
    until_sheet(tablet)
    tablet.tap("@keep in group")
    expect(tablet.find("@chest_girth value")).to_have_text("chest–")


def test_two_are_fitted_one_after_the_other_and_placed_for_one_day(tablet, site):
    keep_one(tablet)
    tablet.sees("1 sheet of a group is kept here")
    tablet.tap("@step sheet")
    expect(tablet.find("@hold group")).to_be_disabled()
    tablet.tap("@step tape", "@chest_girth value")
    keep_one(tablet)
    tablet.tap("@step sheet")
    tablet.sees("The group: 2 sheets")
    tablet.tap("@hold group", hold_ms=900)
    tablet.sees("A group of 2")
    numbers = [each.strip() for each in tablet.page.locator(".placed .number").all_inner_texts()]
    orders = [order_of(site, each) for each in numbers]
    [group] = {each["group"] for each in orders}
    assert group
    assert 2 == len({each["customer_ref"] for each in orders})
    assert {"fitter-1"} == {each["by"] for each in orders}
    assert ["jacket", "trousers"] * 2 == [piece["garment"] for each in orders for piece in each["garments"]]
    # Placed once: the tablet keeps nothing of it.
    tablet.tap("Next customer", "@step sheet")
    expect(tablet.page.locator(".group")).to_have_count(0)
    tablet.tap(tablet.page.get_by_role("link", name="Counter"))
    find_at_counter(tablet, numbers[0])
    tablet.tap(tablet.page.locator("summary", has_text="Of a group"), f"@of group {numbers[1]}")
    expect(tablet.page.locator(".order-sheet .head .number")).to_have_text(numbers[1])


def test_a_sheet_is_kept_seen_at_three_sizes_and_taken_out_again(tablet):
    tablet.page.set_viewport_size(DESK)
    keep_one(tablet)
    tablet.tap("@step sheet")
    tablet.sees("A group has at least two.")
    seen(tablet, "group")
    tablet.tap("@take out 0")
    expect(tablet.page.locator(".group")).to_have_count(0)

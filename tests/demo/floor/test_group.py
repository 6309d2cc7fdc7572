"""Several people with one day: their sheets are kept at the mirror and placed together."""

import pytest
from playwright.sync_api import expect

from tests.demo.floor.fittings import HEMS, find_at_counter, hold, order_of, placed_number, until_sheet
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


@pytest.fixture
def party(site, request):
    """A group of two that a till has placed."""
    trousers = {"garment": "trousers", "chart": "everyday", "label": "33", "cloth": "navy"}
    orders = [{"garments": [trousers], "hems": HEMS, "customer_ref": f"{who} of the party"} for who in ("one", "two")]
    asked = {"by": "fitter-2", "orders": orders}
    return site.shop.staff.post("/v1/order-groups", asked, headers={"Idempotency-Key": request.node.name}).body


def test_one_more_joins_a_group_that_is_placed_and_takes_its_day(tablet, site, party):
    first = party["orders"][0]["number"]
    until_sheet(tablet)
    tablet.tap(tablet.page.locator("summary", has_text="They join a group"), "@joins")
    tablet.page.keyboard.type(first)
    tablet.tap("@find group")
    tablet.sees(f"One more of the group of {first}")
    expect(tablet.find("@needed")).to_have_count(0)
    tablet.tap("Hold to join the group", hold_ms=900)
    tablet.sees(f"With {first}")
    joined = order_of(site, placed_number(tablet))
    assert (party["id"], "fitter-1") == (joined["group"], joined["by"])
    days = {each["promised_for"] for each in site.shop.staff.get(f"/v1/order-groups/{party['id']}").body["orders"]}
    assert {joined["promised_for"]} == days
    if days != {party["promised_for"]}:
        tablet.sees("The whole group is now promised for")
    # Whoever is next joins nothing.
    tablet.tap("Next customer", "@step sheet")
    expect(tablet.page.locator(".group")).to_have_count(0)


def test_from_the_counter_one_more_goes_to_the_mirror_and_may_still_be_of_no_group(tablet, site, party):
    number = party["orders"][1]["number"]
    tablet.tap(tablet.page.get_by_role("link", name="Counter"))
    find_at_counter(tablet, number)
    tablet.tap(tablet.page.locator("summary", has_text="Of a group"), "@one more")
    tablet.sees("Whoever is fitted now joins the group of")
    assert tablet.page.url.endswith("#mirror")
    until_sheet(tablet)
    tablet.tap("@joins none")
    hold(tablet)
    assert order_of(site, placed_number(tablet))["group"] is None


def test_one_leaves_the_group_with_a_reason_signed_by_who_is_signed_in(tablet, site, party):
    left, stays = (each["number"] for each in party["orders"])
    tablet.tap(tablet.page.get_by_role("link", name="Counter"))
    find_at_counter(tablet, left)
    tablet.tap(tablet.page.locator("summary", has_text="Of a group"), "@leave group")
    tablet.sees("Say why it leaves the group.")
    tablet.tap("@leave why")
    tablet.page.keyboard.type("marries another day")
    tablet.tap("@leave group")
    tablet.sees("It goes on alone, promised for")
    order = order_of(site, left)
    last = order["events"][-1]
    assert (None, "fitter-1", "marries another day") == (order["group"], last["by"], last["note"])
    assert party["id"] == order_of(site, stays)["group"]


def test_a_ticket_of_no_group_is_said(tablet, site, placed):
    until_sheet(tablet)
    tablet.tap(tablet.page.locator("summary", has_text="They join a group"), "@joins")
    tablet.page.keyboard.type(f"{placed['number']}\n")
    tablet.sees(f"Order {placed['number']} is of no group.")


def test_joining_and_leaving_are_clean_whole_and_large_at_three_sizes(tablet, party):
    tablet.tap(tablet.page.get_by_role("link", name="Counter"))
    find_at_counter(tablet, party["orders"][0]["number"])
    tablet.tap(tablet.page.locator("summary", has_text="Of a group"))
    expect(tablet.find("@one more")).to_be_visible()
    seen(tablet, "of-a-group")
    tablet.tap("@one more")
    tablet.sees("Whoever is fitted now joins")
    tablet.tap("@step sheet")
    tablet.sees("One more of the group of")
    seen(tablet, "joining")

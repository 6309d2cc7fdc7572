"""Lines of an order that are changed, struck and added on the screen."""

import pytest
from playwright.sync_api import expect

from tests.demo.floor.fittings import at_the_counter, find_at_counter, go_on, order_of
from tests.demo.floor.floors import PORTRAIT
from tests.demo.floor.looking import seen

IN_QUERY = [("accepted", {}), ("in_workroom", {}), ("query", {"question": "Tight over the seat: less?"})]


@pytest.fixture
def tablet(tablet):
    yield tablet
    assert [] == tablet.complaints


@pytest.fixture
def opened(tablet, placed, site):
    """An order that is asked about, with what may be changed of it open."""
    go_on(site, placed, *IN_QUERY)
    at_the_counter(tablet)
    find_at_counter(tablet, placed["number"])
    tablet.tap("@change 1")
    expect(tablet.page.get_by_role("heading", name="Change the work: trousers 33")).to_be_visible()
    return placed


def why(tablet, reason):
    tablet.page.locator('[data-at="change why"]').fill(reason)
    tablet.tap("@keep change")


def add(tablet, work):
    tablet.tap(tablet.page.locator("summary", has_text="Add work"))
    expect(tablet.page.locator(f"option[value={work}]")).to_be_attached()
    tablet.page.locator('[data-at="new work"]').select_option(work)
    tablet.tap("@add work")


def is_kept(tablet):
    expect(tablet.page.get_by_role("form", name="Change the work")).to_have_count(0)


def test_a_leg_is_made_longer_and_a_seat_is_added_and_struck_again(tablet, opened, site):
    tablet.tap("@line 1 more", "@line 1 more")
    tablet.sees("was 31 in")
    add(tablet, "trouser_seat_in")
    tablet.sees("New: take in seat")
    why(tablet, "Asked: longer on the left, and the seat in.")
    is_kept(tablet)
    tablet.sees("31 1/4 in")
    order = order_of(site, opened["number"])
    amounts = {(each["alteration"], each["side"]): each["amount"]["text"] for each in order["lines"]}
    targets = {each["side"]: each["target"]["text"] for each in order["lines"] if each["alteration"] == "trouser_hem"}
    assert {"left": "31 1/4 in", "right": "31 in"} == targets
    assert "1/2 in" == amounts["trouser_seat_in", None]
    reasons = {(each["kind"], each["by"], each["reason"]) for each in order["line_changes"]}
    assert {("changed", "fitter-1"), ("added", "fitter-1")} == {each[:2] for each in reasons}
    assert {"Asked: longer on the left, and the seat in."} == {each[2] for each in reasons}
    [number] = [each["number"] for each in order["lines"] if each["alteration"] == "trouser_seat_in"]
    tablet.tap("@change 1", f"@strike {number}")
    tablet.sees("is struck")
    why(tablet, "The seat stays.")
    is_kept(tablet)
    assert ["trouser_hem"] * 2 == [each["alteration"] for each in order_of(site, opened["number"])["lines"]]


def test_nothing_is_changed_without_a_change_or_without_a_reason(tablet, opened, site):
    tablet.tap("@keep change")
    tablet.sees("Nothing is changed yet.")
    tablet.tap("@line 1 less", "@keep change")
    tablet.sees("Say why it is changed.")
    tablet.tap("@leave change")
    is_kept(tablet)
    assert [] == order_of(site, opened["number"])["line_changes"]


def test_what_the_service_refuses_is_said_and_what_was_set_stays(tablet, opened, site):
    tablet.tap("@strike 1", "@strike 2")
    why(tablet, "No work at all.")
    expect(tablet.page.locator(".order-sheet .wrong")).to_be_visible()
    expect(tablet.page.get_by_text("is struck")).to_have_count(2)
    assert 2 == len(order_of(site, opened["number"])["lines"])
    # The browser says of each refusal that it failed.
    tablet.complaints = [each for each in tablet.complaints if "409" not in each and "422" not in each]


def test_what_is_sewn_is_not_changed(tablet, placed, site):
    go_on(site, placed, ("accepted", {}), ("in_workroom", {}), ("sewn", {}))
    at_the_counter(tablet)
    find_at_counter(tablet, placed["number"])
    expect(tablet.find("@move 1 pressed")).to_be_visible()
    assert 0 == tablet.find("@change 1").count()


def test_the_change_is_clean_whole_and_large_at_three_sizes(tablet, opened):
    tablet.page.set_viewport_size(PORTRAIT)
    tablet.tap("@line 1 more", "@strike 2")
    add(tablet, "trouser_seat_in")
    tablet.page.locator('[data-at="new work"]').select_option("trouser_waist_in")
    expect(tablet.find("@add work")).to_be_visible()
    seen(tablet, "change")

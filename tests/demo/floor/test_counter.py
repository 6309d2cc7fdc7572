"""At the counter: found again, done again, closed days, promises, prices; and a tablet that nobody touches."""

import re

import pytest
from playwright.sync_api import expect

from tests.demo.floor.fittings import READY, at_the_counter, close_order, find_at_counter, go_on, order_of
from tests.demo.floor.floors import Tablet, open_floor_for_tests

LIST = "**/v1/price-list?*"


@pytest.fixture
def tablet(tablet):
    yield tablet
    assert [] == tablet.complaints


def state_of(tablet, words):
    expect(tablet.page.locator(".piece .state")).to_have_text(words)


def test_an_order_is_found_by_its_number_its_slip_its_customer_and_its_sale(tablet, placed):
    at_the_counter(tablet)
    slip = f"https://shop.example{placed['collection_slip']['path']}"
    for words in (placed["number"], slip, placed["customer_ref"], placed["sale_ref"], f"{placed['number']}/1"):
        find_at_counter(tablet, words)
        expect(tablet.page.locator(".order-sheet .number")).to_have_text(placed["number"])
        expect(tablet.page.locator(".balance")).to_contain_text("To pay €12.00 of €12.00")
        close_order(tablet)
        expect(tablet.page.locator(".order-sheet")).to_have_count(0)
    find_at_counter(tablet, "sale-of-nobody")
    tablet.sees("Nothing is found for sale-of-nobody.")


def test_what_does_not_sit_when_it_is_tried_on_is_done_again(tablet, placed, site):
    go_on(site, placed, *READY)
    at_the_counter(tablet)
    find_at_counter(tablet, placed["number"])
    state_of(tablet, "ready")
    tablet.tap("@move 1 in_workroom")
    tablet.page.keyboard.type("Right leg breaks twice.")
    tablet.tap("@redo 2", "@do it")
    state_of(tablet, "on the bench")
    order = order_of(site, placed["number"])
    assert "Right leg breaks twice." == order["events"][-1]["facts"]["reason"]
    assert "fitter-1" == order["events"][-1]["by"]


def test_a_pin_that_is_not_counted_keeps_a_piece_back(tablet, placed, site):
    go_on(site, placed, *READY[:3])
    at_the_counter(tablet)
    find_at_counter(tablet, placed["number"])
    tablet.tap("@move 1 pressed", "@pins out more")
    tablet.sees("1 pin still in there somewhere.")
    tablet.tap("@do it")
    expect(tablet.page.locator(".order-sheet .wrong")).to_be_visible()
    assert "sewn" == order_of(site, placed["number"])["state"]
    tablet.tap("@all pins", "@do it")
    state_of(tablet, "pressed")
    # The browser says of each refusal that it failed.
    tablet.complaints = [each for each in tablet.complaints if "409" not in each]


def test_two_who_change_the_same_order_see_each_other(tablet, placed, site):
    at_the_counter(tablet)
    find_at_counter(tablet, placed["number"])
    state_of(tablet, "marked")
    # The feed is asked each second: what a till did comes by itself.
    go_on(site, placed, READY[0])
    state_of(tablet, "accepted")


def test_a_closed_day_puts_orders_at_risk_and_they_are_promised_anew(tablet, placed, site):
    on = placed["promised_for"]
    at_the_counter(tablet)
    tablet.tap("Calendar", f"@close {on}")
    tablet.page.keyboard.type("stock-taking")
    tablet.tap("Close the day")
    tablet.sees("Closed: stock-taking")
    tablet.sees(f"{placed['number']} marked, promised for Tue 3 Mar")
    tablet.tap("Promise them anew")
    tablet.sees(f"{placed['number']}: Tue 3 Mar → Wed 4 Mar")
    tablet.sees("Every promise can be kept.")
    assert "2026-03-04" == order_of(site, placed["number"])["promised_for"]
    tablet.tap(f"@open {on}")
    expect(tablet.find(f"@close {on}")).to_be_visible()


def test_one_order_is_promised_for_another_day_with_a_reason(tablet, placed, site):
    at_the_counter(tablet)
    find_at_counter(tablet, placed["number"])

    def promise_again(reason):
        tablet.tap("@why")
        tablet.page.keyboard.type(reason)
        tablet.tap("@promise")

    tablet.tap(tablet.page.locator("summary", has_text="Promise another day"))
    promise_again("is it still right?")
    tablet.sees("The day stays Tue 3 Mar: its minutes are there.")
    days = "/v1/workroom/days"
    tag = site.shop.staff.get(days, query="from=2026-03-02&to=2026-03-03").headers["ETag"]
    shut = site.shop.staff.ask("PUT", f"{days}/2026-03-03", {"closed": True}, headers={"If-Match": tag})
    assert 200 == shut.status
    promise_again("the presser is away")
    tablet.sees("Tue 3 Mar → Wed 4 Mar. Tell them.")
    expect(tablet.page.locator(".history")).to_contain_text("promised by fitter-1")


def test_a_manager_sets_a_band_and_a_fixed_price_and_others_only_read(tablet, site):
    at_the_counter(tablet)
    tablet.tap("Prices", tablet.page.locator("summary", has_text="Trousers"))
    tablet.sees("Only a manager changes this: sign in as one.")
    assert 0 == tablet.page.locator(".prices input").count()
    tablet.tap("Lock")
    at_the_counter(tablet, "manager-1")
    tablet.tap("Prices", tablet.page.locator("summary", has_text="Trousers"))
    tablet.page.locator('[data-at="fixed trouser_hem"]').fill("15,50")
    tablet.page.keyboard.press("Tab")
    tablet.tap("@band trouser_waist_in")
    tablet.page.locator('[data-at="band over"]').fill("1.5")
    tablet.page.locator('[data-at="band minor"]').fill("24")
    tablet.tap("Add", "Keep the list")
    tablet.sees("Done: the price list is kept.")
    kept = site.shop.staff.get("/v1/price-list").body
    assert [{"alteration": "trouser_hem", "minor": 1550}] == kept["fixed"]
    [band] = kept["bands"]
    assert ("trouser_waist_in", 2400, 38.1) == (band["alteration"], band["minor"], band["over"]["mm"])
    tablet.tap("@strike trouser_waist_in 1 1/2 in", "Keep the list")
    expect(tablet.page.get_by_text("over 1 1/2 in")).to_have_count(0)


def held_back(page, asked):
    """What is asked from now on, kept from the service until it is let go on."""
    held = []
    page.route(asked, lambda route: held.append(route))  # noqa: PLW0108  a handler is no method of a list
    return held


def test_a_list_that_comes_late_does_not_undo_what_was_typed(tablet, site):
    at_the_counter(tablet, "manager-1")
    tablet.tap("Prices", tablet.page.locator("summary", has_text="Trousers"))
    page, held = tablet.page, held_back(tablet.page, LIST)
    # The list is asked for again, as it is when something happens in the shop.
    with page.expect_request(LIST):
        page.evaluate("location.hash = 'counter/prices/again'")
    page.locator('[data-at="fixed trouser_hem"]').fill("15,50")
    page.keyboard.press("Tab")
    expect(tablet.find("Keep the list")).to_be_visible()
    with page.expect_response(LIST):
        for route in held:
            route.continue_()
    page.wait_for_load_state("networkidle")
    expect(tablet.find("Keep the list")).to_be_visible()
    expect(page.locator('[data-at="fixed trouser_hem"]')).to_have_value("15.50")


def test_what_is_typed_while_the_list_is_being_kept_stays_and_can_be_kept_too(tablet, site):
    at_the_counter(tablet, "manager-1")
    tablet.tap("Prices", tablet.page.locator("summary", has_text="Trousers"))
    page = tablet.page
    page.locator('[data-at="plain hem"]').fill("16")
    page.keyboard.press("Tab")
    held = held_back(page, "**/v1/price-list")
    with page.expect_request("**/v1/price-list"):
        tablet.tap("Keep the list")
    page.locator('[data-at="fixed trouser_hem"]').fill("17")
    page.keyboard.press("Tab")
    for route in held:
        route.continue_()
    tablet.sees("Done: the price list is kept.")
    page.unroute("**/v1/price-list")
    page.wait_for_load_state("networkidle")
    expect(page.locator('[data-at="fixed trouser_hem"]')).to_have_value("17.00")
    with page.expect_response("**/v1/price-list") as kept:
        tablet.tap("Keep the list")
    assert 200 == kept.value.status
    kept = site.shop.staff.get("/v1/price-list").body
    assert (1600, [{"alteration": "trouser_hem", "minor": 1700}]) == (kept["plain_hem_minor"], kept["fixed"])


def test_a_wrong_code_is_said_and_the_right_one_opens(tablet):
    tablet.tap("fitter-1", *"9999", "Open")
    expect(tablet.page.get_by_role("alert")).to_have_text(re.compile("Type your own code again"))
    tablet.tap(*"2468", "Open")
    expect(tablet.page.locator(".bar .me")).to_have_text("fitter-1")
    tablet.complaints = [each for each in tablet.complaints if "401" not in each]


def test_a_tablet_that_nobody_touches_locks_and_shows_nothing_of_anybody(browser, sqlite_url, tmp_path):
    with open_floor_for_tests(sqlite_url, tmp_path / "staff.json", lock_seconds=6.0) as site:
        tablet = Tablet(browser, site.address)
        tablet.sign_in("fitter-1")
        expect(tablet.page.get_by_role("heading", name="Who is it?")).to_be_visible()
        assert 0 == tablet.page.locator("mirror-room").count()
        tablet.close()

"""How the floor's screens are for everybody: axe, keyboard alone, large targets, three sizes."""

import json

import pytest
from playwright.sync_api import expect

from tests.demo.floor.fittings import hold, look, measure, pin, placed_number, until_sheet
from tests.demo.floor.floors import LANDSCAPE, PORTRAIT
from tests.demo.floor.looking import seen


def test_every_screen_is_clean_whole_and_large_at_three_sizes(tablet):
    tablet.page.set_viewport_size(PORTRAIT)
    expect(tablet.find("fitter-1")).to_be_visible()
    seen(tablet, "door")
    tablet.sign_in("fitter-1")
    measure(tablet)
    seen(tablet, "tape")
    tablet.tap("@step advice")
    expect(tablet.find("Bring jacket 40R, trousers 33")).to_be_visible()
    seen(tablet, "advice")
    tablet.tap("Bring jacket 40R, trousers 33")
    look(tablet)
    expect(tablet.page.locator(".decision")).to_have_text("Alter it")
    seen(tablet, "look")
    tablet.tap("@step pins")
    pin(tablet)
    seen(tablet, "pins")
    tablet.tap("The sheet")
    expect(tablet.page.locator(".hold")).to_be_enabled()
    seen(tablet, "sheet")
    tablet.page.set_viewport_size(LANDSCAPE)
    # Held without scrolling: lines and terms lie side by side.
    place = tablet.find("@hold").bounding_box()
    assert place["y"] + place["height"] < LANDSCAPE["height"]
    tablet.page.set_viewport_size(PORTRAIT)
    hold(tablet)
    number = placed_number(tablet)
    seen(tablet, "placed")
    tablet.tap(tablet.page.get_by_role("link", name="Workroom"), "Day after")
    expect(tablet.page.locator(f'[data-at="card {number} trousers"]')).to_be_visible()
    seen(tablet, "board")
    tablet.tap(f"@card {number} trousers")
    expect(tablet.find("@move 1 accepted")).to_be_visible()
    seen(tablet, "order")
    tablet.tap("Ticket and tags")
    expect(tablet.page.locator(".paper-shown img")).to_be_visible()
    seen(tablet, "paper")
    tablet.tap(tablet.page.locator("dialog").get_by_role("button", name="Close"))
    tablet.tap(tablet.page.get_by_role("link", name="Counter"))
    tablet.sees("Promised for today")
    seen(tablet, "counter")
    tablet.tap("Calendar")
    tablet.sees("Every promise can be kept.")
    seen(tablet, "calendar")
    tablet.tap("Prices")
    tablet.tap(tablet.page.locator("summary", has_text="Trousers"))
    seen(tablet, "prices")
    assert [] == tablet.complaints


def test_a_fitter_with_a_keyboard_alone_tapes_looks_and_places(tablet):
    keys = tablet.page.keyboard

    def press(*names):
        for name in names:
            keys.press(name)

    def to(name):
        """By the tab key, as somebody does who has no other."""
        for _ in range(120):
            if tablet.find(name).evaluate("it => it === document.activeElement"):
                return
            keys.press("Tab")
        pytest.fail(f"the tab key does not come to {name}")

    to("fitter-1")
    press("Enter", *"2468", "Enter")
    expect(tablet.page.locator("tape-keypad")).to_be_visible()
    while not tablet.page.evaluate("document.activeElement.matches('tape-keypad')"):
        keys.press("Tab")
    # Whole inches, + for an eighth, Enter for the next.
    press(*"40", "Enter", *"32", *"++++", "Enter", *"38", *"++++", "Enter", *"178")
    expect(tablet.find("@hip_girth value")).to_contain_text("38 ½ in")
    to("@step advice")
    press("Enter")
    expect(tablet.find("Bring jacket 40R, trousers 33")).to_be_visible()
    to("Bring jacket 40R, trousers 33")
    press("Enter")
    to("@right")
    press("Enter", "Enter", "Enter")
    expect(tablet.page.get_by_role("heading", name="Order of checking: 3 of")).to_be_visible()
    to("@step pins")
    press("Enter")
    while not tablet.page.evaluate("document.activeElement.matches('tape-keypad')"):
        keys.press("Tab")
    press(*"31")
    to("Right as left")
    press("Enter")
    to("@step sheet")
    press("Enter")
    expect(tablet.page.locator(".hold")).to_be_enabled()
    to("@hold")
    keys.down("Enter")
    tablet.page.wait_for_timeout(900)
    keys.up("Enter")
    expect(tablet.page.locator(".placed h2")).to_be_visible()
    assert [] == tablet.complaints


def test_a_tap_that_is_let_go_at_once_places_nothing(tablet, site):
    tablet.sign_in("fitter-1")
    before = len(site.shop.staff.get("/v1/orders", query="limit=100").body["orders"])
    until_sheet(tablet)
    tablet.tap("@hold")
    tablet.page.wait_for_timeout(900)
    assert before == len(site.shop.staff.get("/v1/orders", query="limit=100").body["orders"])


def test_a_slip_of_the_unit_is_asked_at_once_and_put_right_with_one_tap(tablet):
    tablet.sign_in("fitter-1")
    tablet.tap("9", "2", "92 cm it is")
    expect(tablet.find("@chest_girth value")).to_contain_text("92 cm")
    expect(tablet.find("92 cm it is")).to_have_count(0)


def test_a_measure_that_is_half_taped_again_is_not_judged(tablet):
    tablet.sign_in("fitter-1")
    bodies = []
    tablet.page.on("request", lambda asked: bodies.append(asked.post_data or ""))
    tablet.tap("4", "0", "@chest_girth again", "4")
    # Longer than the mirror waits after a tap.
    tablet.page.wait_for_timeout(600)
    with tablet.page.expect_request("**/v1/size-advice"):
        tablet.tap("1")
    told = [each["repeats"] for body in bodies if '"repeats"' in body for each in json.loads(body)["readings"]]
    assert [["41"]] == told


def test_a_lapel_that_bows_brings_another_coat_and_says_why(tablet):
    tablet.sign_in("fitter-1")
    measure(tablet)
    tablet.tap("@step advice", "Bring jacket 40R, trousers 33")
    tablet.tap("@point lapel left", "@seen bows_away", "@point front_closure null", "@seen pulls")
    expect(tablet.page.locator(".decision")).to_have_text("Bring another")
    expect(tablet.page.locator(".verdict")).to_contain_text("Bring next: jacket 42R")
    expect(tablet.page.locator(".verdict")).to_contain_text("because the chest is too small: it is never let out")
    tablet.tap("@swap")
    tablet.sees("On: jacket 42R")

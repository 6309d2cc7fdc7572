"""Codes of tickets, read while a keypad is open: none of their keys is a measure."""

import pytest
from playwright.sync_api import expect

from tests.demo.floor.fittings import READY, go_on, until_sheet

NOBODYS = "9999"


@pytest.fixture
def at_the_tape(tablet):
    """Four inches of a chest, half typed on the keypad."""
    tablet.sign_in("fitter-1")
    tablet.tap("4")
    tablet.page.locator("tape-keypad").focus()
    return tablet


def chest(tablet):
    return tablet.page.get_by_role("heading", name="chest:")


def test_a_scan_at_the_tape_opens_the_order_and_types_no_measure(at_the_tape, placed):
    at_the_tape.scan(placed["number"])
    expect(at_the_tape.page.locator(".order-sheet .number")).to_have_text(placed["number"])
    at_the_tape.tap(at_the_tape.page.get_by_role("link", name="Mirror"))
    expect(chest(at_the_tape)).to_have_text("chest: 4 in")


def test_a_scan_at_the_tape_that_opens_nothing_says_why_and_types_no_measure(at_the_tape):
    at_the_tape.scan(NOBODYS)
    at_the_tape.sees(f"No order has the number {NOBODYS}.")
    expect(chest(at_the_tape)).to_have_text("chest: 4 in")
    # What is typed by hand is a measure still.
    at_the_tape.page.keyboard.press("0")
    expect(chest(at_the_tape)).to_have_text("chest: 40 in")


def test_what_a_fitter_types_on_the_keypad_and_enters_is_no_scan(at_the_tape):
    # As quick as a scanner: an inch, and eighths one by one.
    at_the_tape.scan("0++++")
    expect(at_the_tape.find("@chest_girth value")).to_contain_text("40 ½ in")
    expect(at_the_tape.find("@chest_girth value")).to_have_attribute("aria-pressed", "false")


def test_a_scan_at_the_pins_leaves_the_legs_as_they_are_pinned(tablet):
    tablet.sign_in("fitter-1")
    until_sheet(tablet)
    tablet.tap("@step pins", "@leg left")
    tablet.page.locator("tape-keypad").focus()
    tablet.scan(NOBODYS)
    tablet.sees(f"No order has the number {NOBODYS}.")
    expect(tablet.find("@leg left")).to_contain_text("31 ½ in")


def test_a_scan_while_a_line_is_measured_is_no_measure_of_it(tablet, site, placed):
    go_on(site, placed, *READY[:3])
    tablet.sign_in("tailor-2")
    tablet.scan(placed["number"])
    tablet.tap("@measure 1", "3")
    tablet.page.locator("tape-keypad").focus()
    tablet.scan(NOBODYS)
    tablet.sees(f"No order has the number {NOBODYS}.")
    tablet.sees("It measures 3 in")

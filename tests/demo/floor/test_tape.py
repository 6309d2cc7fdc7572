"""The tape at the mirror: what is said of a measure moves no other from under a finger."""

from playwright.sync_api import expect

ROWS = """() => [...document.querySelectorAll('.tape .list button, tape-keypad button')]
.map(each => each.getBoundingClientRect().y)"""


def test_a_slip_that_is_asked_about_moves_no_measure_and_no_key(tablet):
    tablet.sign_in("fitter-1")
    tablet.tap("4", "0")
    before = tablet.page.evaluate(ROWS)
    expect(tablet.page.locator(".tape .slip")).to_have_text("chest under the arms at its fullest: measure it twice. ")
    assert before == tablet.page.evaluate(ROWS)

"""The line drops: what was typed is kept on the tablet, said, and sent once."""

import json
import re

import pytest
from playwright.sync_api import expect

from tests.demo.floor.fittings import find_at_counter, hold, look, measure, order_of, pin, until_sheet

SERVICE = "**/v1/**"


@pytest.fixture
def tablet(tablet):
    tablet.sign_in("fitter-1")
    return tablet


def orders(site):
    return site.shop.staff.get("/v1/orders", query="limit=100").body["orders"]


def queue(tablet):
    return json.loads(tablet.page.evaluate("localStorage.getItem('floor.queue')") or "[]")


def cut(tablet):
    tablet.page.route(SERVICE, lambda route: route.abort())


def mend(tablet):
    tablet.page.unroute(SERVICE)
    tablet.page.evaluate("dispatchEvent(new Event('online'))")


def take_in_with_the_line_down(tablet, number):
    tablet.tap(tablet.page.get_by_role("link", name="Counter"))
    find_at_counter(tablet, number)
    expect(tablet.find("@move 1 accepted")).to_be_visible()
    cut(tablet)
    tablet.tap("@move 1 accepted")
    tablet.sees("Kept on this tablet")


def test_a_fitting_goes_on_with_the_line_down_and_is_placed_once_when_it_is_back(tablet, site):
    before = len(orders(site))
    measure(tablet)
    tablet.tap("@step advice", "Bring jacket 40R, trousers 33")
    expect(tablet.page.locator(".decision")).to_be_visible()
    cut(tablet)
    look(tablet)
    expect(tablet.page.locator(".line-state")).to_contain_text("The line is down.")
    expect(tablet.page.locator(".verdict")).to_contain_text("Kept here; it is judged when the line is back.")
    tablet.tap("@step pins")
    pin(tablet)
    tablet.tap("The sheet")
    tablet.sees("held now, it is kept here and placed once when the line is back")
    hold(tablet)
    tablet.sees("Kept. It is placed once, when the line is back.")
    expect(tablet.page.locator(".line-state")).to_contain_text("order of customer-")
    assert [None] == sorted({each.get("refused") for each in queue(tablet)})
    assert before == len(orders(site))
    mend(tablet)
    expect(tablet.page.locator(".line-state")).not_to_contain_text("down")
    expect(tablet.page.locator("#spoken")).to_contain_text("Sent: order of customer-")
    assert [] == queue(tablet)
    placed = orders(site)
    assert before + 1 == len(placed)
    order = order_of(site, placed[0]["number"])
    done = {(each["alteration"], each["side"]): each["amount"]["text"] for each in order["lines"]}
    assert "3/4 in" == done["jacket_sleeve_shorten_at_cuff", "left"]
    assert "fitter-1" == order["by"]


def test_an_answer_that_is_lost_on_the_way_makes_no_second_order(tablet, site):
    before, lost = len(orders(site)), []

    def lose_the_first(route):
        if not lost:
            lost.append(route.fetch().status)
            route.abort()
        else:
            route.continue_()

    tablet.page.route("**/v1/orders", lose_the_first)
    until_sheet(tablet)
    hold(tablet)
    expect(tablet.page.locator("#spoken")).to_contain_text("Sent: order of customer-")
    assert [201] == lost
    assert before + 1 == len(orders(site))
    assert [] == queue(tablet)


def test_a_tablet_that_was_switched_off_or_locked_goes_on_where_they_were(tablet, site):
    measure(tablet)
    tablet.page.reload()
    expect(tablet.find("@trouser_waist_girth value")).to_contain_text("32 ½ in")
    tablet.tap("Lock")
    tablet.sign_in("manager-1")
    # Another's fitting is not theirs to see.
    expect(tablet.find("@chest_girth value")).to_contain_text("–")
    tablet.tap("Lock")
    tablet.sign_in("fitter-1")
    expect(tablet.find("@stature value")).to_contain_text("178 cm")


def test_what_waits_is_sent_by_whoever_typed_it(tablet, placed, site):
    number = placed["number"]
    take_in_with_the_line_down(tablet, number)
    tablet.tap("Lock")
    tablet.page.unroute(SERVICE)
    tablet.sign_in("manager-1")
    expect(tablet.page.locator(".line-state")).to_contain_text("Kept until they sign in: fitter-1")
    assert "marked" == order_of(site, number)["state"]
    tablet.tap("Lock")
    tablet.sign_in("fitter-1")
    expect(tablet.page.locator("#spoken")).to_contain_text("Sent: Take in")
    order = order_of(site, number)
    assert ("accepted", "fitter-1") == (order["garments"][0]["state"], order["events"][-1]["by"])


def test_what_the_service_refuses_later_is_put_aside_with_its_words(tablet, placed, site):
    take_in_with_the_line_down(tablet, placed["number"])
    path, headers = f"/v1/orders/{placed['id']}/moves", {"If-Match": '"1"'}
    assert 200 == site.shop.staff.post(path, {"to": "accepted", "by": "fitter-2"}, headers=headers).status
    mend(tablet)
    expect(tablet.page.locator(".line-state")).to_contain_text("Not done: Take in")
    tablet.tap("Seen, take it away")
    assert [] == queue(tablet)
    assert "fitter-2" == order_of(site, placed["number"])["events"][-1]["by"]


def as_they_are(tablet):
    tablet.page.reload()


def on_the_advice(tablet):
    tablet.tap("4", "0", "@step advice")
    tablet.page.reload()


# Which answers say that nobody is there is decided in one place, for every screen: one screen gets another of them.
@pytest.mark.parametrize(
    ("status", "before", "room", "shown", "words"),
    [
        (503, as_they_are, "counter", "Fetching…|It comes when the line is back.", "Nothing is promised for today."),
        (503, as_they_are, "counter/calendar", "Fetching…", "Every promise can be kept."),
        (429, as_they_are, "counter/calendar", "Fetching…", "Every promise can be kept."),
        (503, as_they_are, "bench", "The service does not answer just now.", "Nothing to do here on this day."),
        (503, on_the_advice, "mirror", "The service does not answer just now.", "Bring jacket"),
    ],
)
def test_a_screen_that_was_not_answered_looks_again_by_itself(tablet, status, before, room, shown, words):
    # Neither news nor a tap helps it.
    tablet.page.route("**/floor/feed", lambda route: route.abort())
    tablet.page.evaluate("room => { location.hash = room; }", room)
    tablet.page.route(SERVICE, lambda route: route.fulfill(status=status, body="{}", content_type="application/json"))
    with tablet.page.expect_response(SERVICE):
        before(tablet)
    expect(tablet.page.locator("main")).to_contain_text(re.compile(shown))
    tablet.page.unroute(SERVICE)
    tablet.sees(words)
    expect(tablet.page.locator(".line-state")).not_to_contain_text("down")


def test_a_sheet_that_was_not_answered_looks_again_by_itself(tablet, placed):
    tablet.page.route("**/floor/feed", lambda route: route.abort())
    tablet.page.route(SERVICE, lambda route: route.fulfill(status=503, body="{}", content_type="application/json"))
    tablet.page.evaluate("id => { location.hash = `counter/order/${id}`; }", placed["id"])
    tablet.page.reload()
    tablet.sees("The service does not answer just now.")
    tablet.page.unroute(SERVICE)
    expect(tablet.page.locator(".order-sheet .number")).to_have_text(placed["number"])
    expect(tablet.page.get_by_text("The service does not answer just now.")).to_have_count(0)

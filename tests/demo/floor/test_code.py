"""A customer brings a code from the web shop, and the fitter goes on where they stopped."""

import json

import pytest
from playwright.sync_api import expect

from tests.demo.floor.floors import PORTRAIT
from tests.demo.floor.looking import seen

SAID = [
    {"dimension": "stature", "value": 178.5, "unit": "cm", "source": "self_reported"},
    {"dimension": "chest_girth", "value": 40, "unit": "in", "source": "self_measured"},
    {"dimension": "trouser_waist_girth", "value": 33, "unit": "in", "source": "self_measured"},
]
ASKED = {"readings": SAID, "age_years": 35, "charts": ["everyday"], "wish": "easy", "limit": 3}


@pytest.fixture
def kept(site):
    """What the shop's page keeps: the question, and the plan that was taken."""
    plan = site.shop.staff.post("/v1/size-advice", ASKED | {"advice_ids": True}).body["plans"][0]
    kept = site.shop.staff.post("/v1/kept-advice", {"asked": ASKED, "advice_id": plan["advice_id"]}).body
    return kept["code"], f"jacket {plan['jacket']['label']}, trousers {plan['trousers']['label']}"


@pytest.fixture
def tablet(tablet):
    tablet.sign_in("fitter-1")
    yield tablet
    assert [] == tablet.complaints


def type_code(tablet, code):
    tablet.tap(tablet.page.locator("summary", has_text="They have a code"), "@code")
    tablet.page.keyboard.type(code)
    tablet.tap("Go on from it")


def test_what_they_said_and_chose_is_there_and_what_is_taped_counts_before_it(tablet, kept):
    code, chosen = kept
    type_code(tablet, code.lower().replace("-", ""))
    tablet.sees(f"From the web shop, {code}")
    tablet.sees("They said: chest 40 in, trouser waist 33 in, height 178.5 cm, 35 years.")
    tablet.sees(f"They chose {chosen}.")
    expect(tablet.find("@How they like it easy")).to_have_attribute("aria-pressed", "true")
    tablet.tap("@step tape")
    expect(tablet.find("@stature value")).to_contain_text("as they said178.5 cm")
    tablet.tap("@chest_girth value", "4", "1")
    expect(tablet.find("@chest_girth value")).to_have_text("chest41 in")
    tablet.tap("@step advice")
    with tablet.page.expect_request("**/v1/fit-checks*") as asked:
        tablet.tap("@chosen")
    checked = json.loads(asked.value.post_data)
    assert ("easy", 35) == (checked["wish"], checked["age_years"])
    told = {each["dimension"]: (each["value"], each["source"]) for each in checked["readings"]}
    assert ("41", "measured") == told["chest_girth"]
    assert ("178.5", "self_reported") == told["stature"]
    tablet.sees(f"On: {chosen}")


def test_a_scanner_reads_the_code_wherever_the_focus_is_not(tablet, kept):
    tablet.page.evaluate("document.activeElement.blur()")
    tablet.scan(kept[0])
    tablet.sees(f"They chose {kept[1]}.")


def test_a_code_that_nobody_has_and_what_is_none_are_said(tablet):
    type_code(tablet, "AAAA-AAAA")
    expect(tablet.page.get_by_role("alert")).to_be_visible()
    tablet.complaints = [each for each in tablet.complaints if "404" not in each]
    tablet.page.locator('[data-at="code"]').fill("1234")
    tablet.page.keyboard.press("Enter")
    tablet.sees("A code has eight letters and digits, such as YG42-EV62.")


def test_the_next_customer_has_nothing_of_it(tablet, kept):
    type_code(tablet, kept[0])
    tablet.sees("They chose")
    tablet.tap("@step sheet", "Leave this fitting")
    expect(tablet.find("@stature value")).to_have_text("height–")
    tablet.tap("@step advice")
    tablet.sees("Nothing taped yet")


def test_the_code_and_what_it_says_are_clean_whole_and_large_at_three_sizes(tablet, kept):
    tablet.page.set_viewport_size(PORTRAIT)
    tablet.tap(tablet.page.locator("summary", has_text="They have a code"))
    seen(tablet, "code")
    tablet.tap("@code")
    tablet.page.keyboard.type(f"{kept[0]}\n")
    tablet.sees("They chose")
    tablet.sees("Best of all sizes for")
    seen(tablet, "chosen")

"""The invented shop's page in a real browser: the size adviser asks the service from an origin of its own."""

import csv
import importlib.util
import re
import socket
import threading
from contextlib import contextmanager
from types import SimpleNamespace
from urllib.parse import urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from service.app import create_app
from service.settings import Settings
from service.use_cases.shop.keys import give_key
from tests.house import HOUSE
from tests.serving import serving
from tests.shops import new_house, new_shop

DESK, PHONE, NARROW = ({"width": width, "height": 800} for width in (1200, 390, 320))
YOUR_SIZE = re.compile("^Your size")
ABOUT = {"Height in cm": "178", "Weight in kg": "76", "Age in years": "34"}
SAID = [
    {"dimension": "stature", "value": 178, "unit": "cm", "source": "self_reported"},
    {"dimension": "body_mass", "value": 76, "unit": "kg", "source": "self_reported"},
]
ASKED = {"readings": SAID, "age_years": 34, "charts": ["everyday"], "garments": ["jacket", "trousers"], "limit": 3}


def everyday():
    """The demo's chart as JSON: only the cells that are filled. One label has a colon, as a shop's may."""
    with (HOUSE / "demo" / "charts" / "everyday.csv").open(encoding="utf-8", newline="") as lines:
        sizes = [{name: cell for name, cell in row.items() if cell} for row in csv.DictReader(lines)]
    for size in sizes:
        size["label"] = {"38R": "38:R"}.get(size["label"], size["label"])
    return {"title": "Everyday", "unit": "in", "sold": "separates", "unfinished": True, "sizes": sizes}


def page_server():
    found = importlib.util.spec_from_file_location("shop_page", HOUSE / "demo" / "shop_page.py")
    module = importlib.util.module_from_spec(found)
    found.loader.exec_module(module)
    return module.shop_page


@contextmanager
def served_page(api, context, shop_id, *, key=None):
    """The page at a free port, with a web key of that origin unless another is given."""
    door = socket.create_server(("127.0.0.1", 0))
    origin = f"http://127.0.0.1:{door.getsockname()[1]}"
    given = key or give_key(context, shop_id, "page", frozenset({"advise"}), origins=(origin,))
    server = page_server()(door, api, given)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    try:
        yield SimpleNamespace(origin=origin, api=api, key=given)
    finally:
        server.shutdown()
        thread.join()
        server.server_close()


@pytest.fixture(scope="module")
def open_house(sqlite_url):
    """One database: a page sees answers, and those are shown to be the same on both where operations are tested."""
    house = new_house(sqlite_url)
    yield house
    house.context.database.close()


@pytest.fixture(scope="module")
def outfitters(open_house):
    shop = new_shop(open_house)
    assert 201 == shop.staff.ask("PUT", "/v1/charts/everyday", everyday()).status
    return shop


@pytest.fixture(scope="module")
def site(open_house, outfitters):
    with (
        serving(open_house.contract.app) as api,
        served_page(api, open_house.context, outfitters.id) as site,
    ):
        yield site


@contextmanager
def visiting(browser, site, size=DESK):
    """The page as a visitor has it before him; what it asked for and complained of beside it."""
    page = browser.new_page()
    page.asked, page.complaints = [], []
    page.on("request", lambda request: page.asked.append(request.url))
    page.on("console", lambda said: page.complaints.append(said.text) if said.type in ("error", "warning") else None)
    page.on("pageerror", lambda error: page.complaints.append(str(error)))
    page.set_viewport_size(size)
    try:
        page.goto(site.origin)
        expect(page.locator("option[value='own:40R']")).to_have_count(1)
        yield page
    finally:
        page.close()


def answer(page, **more):
    for label, value in {**ABOUT, **more}.items():
        page.get_by_label(label).fill(value)
    page.get_by_role("button", name="Find my size").click()
    expect(page.locator("[aria-busy]")).to_have_count(0)


def measure(page, name, *values):
    for label, value in zip((f"{name} in cm", "Once more, if you like"), values, strict=False):
        page.get_by_label(label).fill(value)
    page.get_by_role("button", name="Use this measure").click()
    expect(page.locator("[aria-busy]")).to_have_count(0)


def the_size(page):
    return page.get_by_role("heading", name=YOUR_SIZE).inner_text()


def next_question(page):
    return page.get_by_role("heading", name=re.compile("^The measure that tells us most")).inner_text().split(": ")[1]


def everything(page):
    """All that the adviser shows."""
    return page.locator("size-adviser").evaluate("it => [...it.shadowRoot.children].map(e => e.innerText).join('\\n')")


def how_sure(page):
    return int(re.search(r"is the best for (?:fewer than )?(\d+)", everything(page))[1])


def size_of(plan):
    return f"Your size: jacket {plan['jacket']['label']}, trousers {plan['trousers']['label']}"


def test_the_visitor_is_told_the_services_plan_with_its_work_and_price(browser, site, outfitters):
    advice = outfitters.staff.post("/v1/size-advice", ASKED).body
    best = advice["plans"][0]
    with visiting(browser, site) as page:
        answer(page)
        assert size_of(best) == the_size(page)
        assert round(best["confidence"]["together"]["best"] * 100) == how_sure(page)
        work = page.get_by_role("heading", name="What our workroom would do").locator("..")
        assert len(best["alterations"]) == work.get_by_role("listitem").count()
        assert f"€{sum(each['price']['minor'] for each in best['alterations']) / 100:.2f}" in work.inner_text()
        assert [] == page.complaints


def test_the_plan_is_a_picture_whose_every_badge_stands_in_words_beside_it(browser, site):
    with visiting(browser, site) as page:
        answer(page)
        picture = page.get_by_role("img", name=re.compile("^The jacket and trousers on a man"))
        numbers = [each for each in picture.locator("text").all_text_contents() if each]
        words = page.locator("ol.places li")
        assert [str(number) for number in range(1, 12)] == numbers
        assert 11 == words.count()
        assert "Length of the leg: sold uncut, hemmed to you." in words.last.inner_text()
        # Not by colour alone: what is altered has another shape, and another word.
        assert 1 == picture.locator("path[stroke='#7a4a00']").count()
        assert "Altered: length of the leg." in picture.get_attribute("aria-label")


def test_the_next_question_is_the_one_that_the_service_ranks_first_and_its_answer_makes_it_surer(
    browser, site, outfitters
):
    ranked = [each["dimension"] for each in outfitters.staff.post("/v1/size-advice", ASKED).body["next_measures"]]
    assert "chest_girth" == ranked[0]
    taped = {"dimension": "chest_girth", "value": 99.5, "unit": "cm", "source": "self_measured", "repeats": [99]}
    after = outfitters.staff.post("/v1/size-advice", ASKED | {"readings": [*SAID, taped]}).body
    with visiting(browser, site) as page:
        answer(page)
        assert "chest" == next_question(page)
        unsure = how_sure(page)
        measure(page, "Chest", "99,5", "99")
        assert size_of(after["plans"][0]) == the_size(page)
        assert unsure < how_sure(page) == round(after["plans"][0]["confidence"]["together"]["best"] * 100)
        assert "chest" != next_question(page)
        page.get_by_role("button", name="Measure the chest again").click()
        expect(page.get_by_role("heading", name="The measure that tells us most: chest")).to_be_visible()


def test_what_he_cannot_measure_is_not_asked_again_and_the_questions_come_to_an_end(browser, site):
    asked = []
    with visiting(browser, site) as page:
        answer(page)
        skip = page.get_by_role("button", name="I cannot measure that")
        while skip.count():
            asked.append(next_question(page))
            skip.click()
            expect(page.locator("[aria-busy]")).to_have_count(0)
        assert "Your size" in the_size(page)
    assert 3 <= len(asked) <= 9
    assert sorted(set(asked)) == sorted(asked)


def test_a_label_he_wears_counts_our_own_and_another_makers(browser, site, outfitters):
    worn = {"garment": "jacket", "chart": "everyday", "label": "38:R", "how": "says"}
    label = {"dimension": "trouser_waist_girth", "value": 34, "unit": "in", "source": "label"}
    told = outfitters.staff.post("/v1/size-advice", ASKED | {"readings": [*SAID, label], "wears": [worn]}).body
    with visiting(browser, site) as page:
        answer(page)
        without, size_without = how_sure(page), the_size(page)
        page.get_by_label("A jacket size you wear").select_option("own:38:R")
        page.get_by_label("A trouser size you wear").select_option("label:34")
        answer(page)
        assert size_of(told["plans"][0]) == the_size(page)
        assert size_without != the_size(page)
        assert how_sure(page) > without


def test_feet_inches_stones_and_pounds_say_the_same(browser, site):
    with visiting(browser, site) as page:
        page.get_by_label("feet, inches and pounds").check()
        for label, value in {"feet": "5", "inches": "10", "stones": "11", "pounds": "13 1/2"}.items():
            page.get_by_label(label, exact=True).fill(value)
        page.get_by_label("Age in years").fill("34")
        page.get_by_role("button", name="Find my size").click()
        assert "Your size: jacket 40R, trousers 35" == the_size(page)
        page.get_by_label("Chest in inches").fill("39½")
        page.get_by_role("button", name="Use this measure").click()
        expect(page.get_by_text("Chest: 39.5 in")).to_be_visible()
        assert "cm" not in page.locator("ol.places").inner_text()


# ---------------------------------------------------------------- for everybody


def test_it_works_by_keyboard_alone_and_the_focus_goes_to_the_answer(browser, site):
    with visiting(browser, site) as page:
        page.keyboard.press("Tab")
        assert "To the size adviser" == page.evaluate("document.activeElement.textContent")
        for _ in range(3):
            page.keyboard.press("Tab")
        for value in ("178", "76", "34"):
            page.keyboard.type(value)
            page.keyboard.press("Tab")
        page.keyboard.press("Tab")
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        expect(page.locator("h3:focus")).to_have_text(YOUR_SIZE)
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        expect(page.locator("#basket")).to_have_text("In your basket: jacket 40R, trousers 35.")
        page.keyboard.press("Tab")
        page.keyboard.press("Tab")
        page.keyboard.type("99")
        page.keyboard.press("Enter")
        expect(page.get_by_text("Chest: 99 cm")).to_be_visible()


def test_a_screen_reader_finds_every_question_by_its_name_and_hears_of_the_answer(browser, site):
    with visiting(browser, site) as page:
        tree = page.locator("size-adviser").aria_snapshot()
        for part in (
            'heading "Find your size" [level=2]', 'group "What are you looking for?"',
            'radio "Jacket and trousers" [checked]',
            'group "You count in"', 'textbox "Height in cm"', 'textbox "Weight in kg"', 'textbox "Age in years"',
            'combobox "A jacket size you wear"', 'combobox "A trouser size you wear"', 'button "Find my size"',
            "status",
        ):  # fmt: skip
            assert part in tree
        answer(page)
        tree = page.locator("size-adviser").aria_snapshot()
        for part in (
            'heading "Your size: jacket 40R, trousers 35" [level=3]', 'textbox "Chest in cm"',
            'button "Use this measure"', 'button "I cannot measure that"', 'img "The jacket and trousers on a man',
            'heading "What we do not know" [level=3]',
        ):  # fmt: skip
            assert part in tree


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_an_accessibility_check_finds_nothing(browser, site, size):
    found = {}
    with visiting(browser, site, size) as page:
        for stage, step in {
            "asked": lambda: None,
            "wrong": lambda: answer(page, **{"Height in cm": "17"}),
            "answered": lambda: answer(page),
            "measured": lambda: measure(page, "Chest", "99"),
            "outside": lambda: answer(page, **{"Weight in kg": "160"}),
        }.items():
            step()
            results = Axe().run(page).response
            assert len(results["passes"]) > 10
            found[stage] = [(each["id"], each["impact"]) for each in results["violations"]]
    assert {stage: [] for stage in found} == found


@pytest.mark.parametrize("size", [PHONE, NARROW], ids=lambda size: f"{size['width']} px")
def test_on_a_phone_nothing_runs_over_the_edge_and_a_thumb_finds_the_buttons(browser, site, size):
    with visiting(browser, site, size) as page:
        answer(page)
        assert size["width"] == page.evaluate("document.documentElement.scrollWidth")
        for button in page.locator(".doing button").all():
            assert button.bounding_box()["height"] >= 44
        box = page.get_by_role("img", name=re.compile("^The jacket")).bounding_box()
        assert 200 <= box["width"] <= size["width"]


# ---------------------------------------------------------------- what it does not know, and what goes wrong


def test_it_says_what_it_does_not_know(browser, site):
    with visiting(browser, site) as page:
        answer(page)
        told = page.get_by_role("heading", name="What we do not know").locator("..").inner_text()
        assert "At 11 of 11 places you were not measured." in told
        assert "Only a first guess." in everything(page)
        measure(page, "Chest", "99")
        told = page.get_by_role("heading", name="What we do not know").locator("..").inner_text()
        assert "At 10 of 11 places you were not measured." in told


def test_beyond_the_men_it_knows_it_names_no_size_and_asks_for_the_tape(browser, site):
    with visiting(browser, site) as page:
        answer(page, **{"Weight in kg": "195", "Age in years": "70"})
        expect(page.get_by_role("heading", name="We cannot say yet")).to_be_visible()
        assert 0 == page.get_by_role("heading", name=YOUR_SIZE).count()
        assert "chest" == next_question(page)


def test_a_slip_of_the_unit_is_pointed_out(browser, site):
    with visiting(browser, site) as page:
        answer(page)
        measure(page, "Chest", "39")
        expect(page.get_by_text("Please look again")).to_be_visible()
        expect(page.locator(".notice li")).to_contain_text("39 in")


def test_a_wrong_answer_is_said_beside_its_field_which_has_the_focus(browser, site):
    with visiting(browser, site) as page:
        before = len(page.asked)
        answer(page, **{"Height in cm": "17", "Age in years": "old"})
        height = page.get_by_label("Height in cm")
        expect(height).to_be_focused()
        expect(height).to_have_attribute("aria-invalid", "true")
        expect(height).to_have_accessible_description("This should be a height between 120 and 230 cm.")
        expect(page.get_by_label("Weight in kg")).not_to_have_attribute("aria-invalid", "true")
        expect(page.get_by_label("Age in years")).to_have_accessible_description(
            "This should be an age between 1 and 120."
        )
        assert before == len(page.asked)
        answer(page)
        expect(height).to_have_attribute("aria-invalid", "false")
        assert "Your size" in the_size(page)


def test_with_no_answer_at_all_it_asks_for_one(browser, site):
    with visiting(browser, site) as page:
        page.get_by_role("button", name="Find my size").click()
        expect(page.get_by_label("Height in cm")).to_have_accessible_description(re.compile("^Tell us at least one"))


def test_where_the_service_is_away_the_answers_stay_and_he_may_try_again(browser, site):
    with visiting(browser, site) as page:
        browser.set_offline(True)
        try:
            answer(page)
            expect(page.get_by_role("alert")).to_contain_text("We cannot reach our size service")
        finally:
            browser.set_offline(False)
        page.get_by_role("button", name="Try again").click()
        expect(page.get_by_role("heading", name="Your size: jacket 40R, trousers 35")).to_be_visible()


def test_a_visitor_who_asks_too_often_is_told_when_to_come_again(browser, open_house, outfitters):
    app = create_app(Settings(database_url=open_house.url, address_per_minute=4), open_house.context)
    with (
        serving(app) as api,
        served_page(api, open_house.context, outfitters.id) as site,
        visiting(browser, site) as page,
    ):
        # Where a minute ends in between, a few more are let in.
        for _ in range(8):
            answer(page)
            if page.get_by_role("alert").count():
                break
        expect(page.get_by_role("alert")).to_contain_text(re.compile(r"Please try again in \d+ seconds"))


def test_the_key_opens_no_page_of_another_origin(browser, site, open_house, outfitters):
    with served_page(site.api, open_house.context, outfitters.id, key=site.key) as thief:
        page = browser.new_page()
        try:
            page.goto(thief.origin)
            answer(page)
            expect(page.get_by_role("alert")).to_be_visible()
            assert 0 == page.get_by_role("heading", name=YOUR_SIZE).count()
        finally:
            page.close()


def test_it_asks_nobody_but_the_page_and_the_service_and_keeps_nothing(browser, site):
    with visiting(browser, site) as page:
        answer(page)
        measure(page, "Chest", "99")
        hosts = {urlsplit(url).netloc for url in page.asked if not url.startswith("data:")}
        assert {urlsplit(site.origin).netloc, urlsplit(site.api).netloc} == hosts
        assert 0 == page.evaluate("localStorage.length + sessionStorage.length + document.cookie.length")
    assert [] == browser.cookies()


def test_the_adviser_is_one_file_that_names_no_other_host():
    text = (HOUSE / "demo" / "shop" / "size-adviser.js").read_text("utf-8")
    assert [] == re.findall(r"^\s*import\b|\bimport\(", text, re.MULTILINE)
    # The example in its comment, and the name of the drawing language.
    assert {"https://fitting.example", "http://www.w3.org/2000/svg"} == set(re.findall(r"https?://[^\s\"'`]+", text))

"""The size adviser for everybody: by keyboard, by screen reader, on small screens, in every language, on paper."""

import gzip
import re
from urllib.parse import urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from tests.demo.adviser_page import (
    ADVISER,
    DESK,
    LANGUAGES,
    NARROW,
    PHONE,
    TABLET,
    answer,
    everything,
    heading,
    measure,
    settled,
    speak,
    take_button,
    visiting,
    words_of,
)
from tests.house import HOUSE

FACTS = re.compile(r"\{(\w+)\}")
SCRIPTS = (HOUSE / "demo" / "shop" / "size-adviser.js", *sorted(ADVISER.glob("*.js")))
MOST_BYTES = 30_000
# What a visitor never reads: a word of the contract, of the code, or of a table that has no such word.
NOT_FOR_VISITORS = re.compile(r"\w+_\w+|undefined|null|NaN|\[object|\{\w+\}|/v1/")


def test_it_works_by_keyboard_alone_and_the_focus_goes_to_the_answer(browser, site):
    with visiting(browser, site) as page:
        page.keyboard.press("Tab")
        assert "To the size adviser" == page.evaluate("document.activeElement.textContent")
        page.keyboard.press("Tab")
        page.keyboard.press("ArrowDown")
        page.keyboard.press("ArrowDown")
        for value in ("178", "76", "3"):
            page.keyboard.press("Tab")
            page.keyboard.type(value)
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        settled(page)
        expect(page.locator("h3:focus")).to_have_text(re.compile("^Jacket 40 regular"))
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        expect(page.locator("#basket")).to_have_text("In your basket: jacket 40R, trousers 35.")


def test_a_screen_reader_finds_every_question_by_its_name_and_hears_of_the_answer(browser, site):
    with visiting(browser, site) as page:
        tree = page.locator("size-adviser").aria_snapshot()
        for part in (
            'heading "Find your size" [level=2]', 'group "What do you know?"', 'radio "A tape reading best" [checked]',
            'group "You read the tape in"', 'textbox "Chest"', 'textbox "Height"', 'button "Find my size"', "status",
        ):  # fmt: skip
            assert part in tree
        answer(page)
        tree = page.locator("size-adviser").aria_snapshot()
        for part in (
            "[level=3]", 'textbox "Chest"', 'button "Use it"', 'button "I cannot measure that"',
            'group "How you like it"',
            'combobox "Another jacket size"', 'img "A customer from the front', 'heading "Why this size" [level=3]',
        ):  # fmt: skip
            assert part in tree


@pytest.mark.parametrize("colours", ["light", "dark"])
@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_an_accessibility_check_finds_nothing(browser, site, size, colours):
    found = {}
    with visiting(browser, site, size) as page:
        page.emulate_media(color_scheme=colours, reduced_motion="reduce")
        for stage, step in {
            "asked": lambda: None,
            "wrong": lambda: answer(page, height="17", weight="11"),
            "answered": lambda: answer(page),
            "measured": lambda: measure(page, "99 cm"),
            "meant": lambda: measure(page, "40 cm"),
            "taken": lambda: take_button(page).click(),
        }.items():
            step()
            results = Axe().run(page).response
            assert len(results["passes"]) > 10
            found[stage] = [(each["id"], each["impact"]) for each in results["violations"]]
    assert {stage: [] for stage in found} == found


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("size", [DESK, TABLET, PHONE, NARROW], ids=lambda size: f"{size['width']} px")
def test_nothing_runs_over_the_edge_in_any_language_and_the_answer_is_on_two_screens(
    browser, site, size, language, tmp_path_factory
):
    with visiting(browser, site, size, language) as page:
        answer(page)
        shots = tmp_path_factory.getbasetemp() / "screenshots"
        shots.mkdir(exist_ok=True)
        page.screenshot(path=shots / f"{language}-{size['width']}.png", full_page=True, animations="disabled")
        assert size["width"] == page.evaluate("document.documentElement.scrollWidth")
        for button in page.locator("size-adviser button").all():
            assert button.bounding_box()["height"] >= 44
        top = page.locator("size-adviser").bounding_box()["y"]
        first = page.locator("size-adviser .answer section").first.bounding_box()
        assert first["y"] + first["height"] - top <= 2 * size["height"]
        shown = everything(page)
        assert [] == NOT_FOR_VISITORS.findall(shown)
        assert [] == page.complaints


def test_every_table_has_the_same_words_with_the_same_facts():
    british = words_of("en-GB")
    for language in LANGUAGES:
        table = words_of(language)
        assert set(british) == set(table)
        differ = [key for key in table if set(FACTS.findall(table[key])) != set(FACTS.findall(british[key]))]
        assert [] == differ
        assert [] == [key for key, words in table.items() if not words.strip()]


def test_no_language_is_left_in_british_english():
    british = words_of("en-GB")
    # A number with its sign, and what is spelt alike.
    alike = {
        "in_cm",
        "in_kg",
        "in_lb",
        "in_st",
        "said_weight",
        "said_taped",
        "garment_size",
        "mends_line",
        "class_long",
    }
    alike |= {"colon", "class_extra", "sure_fairly", "sure_sure", "age_decade", "said_age", "wish_close", "wish_usual"}
    for language in ("de", "fr"):
        table = words_of(language)
        same = {key for key in table if table[key] == british[key]}
        assert set() == same - alike


def test_american_words_are_those_of_the_trade_there():
    shown = " ".join(words_of("en-US").values()).lower()
    assert "pants" in shown
    assert "inseam" in shown
    assert [] == re.findall(r"\btrousers?\b|centimetre|centre|\bround you\b", shown)


def test_the_language_is_the_elements_own_then_the_pages_and_changes_with_it(browser, site):
    with visiting(browser, site) as page:
        answer(page)
        speak(page, "de")
        expect(page.get_by_role("heading", name="Ihre Größe finden")).to_be_visible()
        settled(page)
        # What was said before stays said.
        assert "178 cm groß · 76 kg" in everything(page)
        assert heading(page).startswith("Sakko 40 normal, fürs Erste geschätzt.")
        assert re.search(r"\d,\d\d\s€", everything(page))
        # Who chose no unit counts as their language does.
        measure(page, "99")
        assert "Brustumfang 99 cm" in everything(page)
        speak(page, "fr")
        # The words come first: what is typed while the page is drawn in them is lost.
        expect(page.get_by_role("heading", name="Trouver votre taille")).to_be_visible()
        settled(page)
        measure(page, "40 cm")
        expect(page.locator("size-adviser")).to_contain_text("Vouliez-vous dire 40 po\u00a0?")
        speak(page, "xx")
        expect(page.get_by_role("heading", name="Find your size")).to_be_visible()


def test_words_that_come_late_do_not_take_the_place_of_those_asked_for_since(browser, site):
    """The page's own language was slow, the one that it changed to was not, and the visitor read the first."""
    held = []
    page = browser.new_page()
    page.route("**/words/en-GB.json", lambda route: held.append(route))  # noqa: PLW0108  a bound method is no handler
    page.goto(site.origin)
    page.wait_for_function("() => document.querySelector('size-adviser').shadowRoot")
    page.evaluate("() => { document.querySelector('size-adviser').lang = 'de'; }")
    expect(page.get_by_role("button", name="Meine Größe finden")).to_be_visible()
    with page.expect_response("**/words/en-GB.json"):
        held[0].continue_()
    page.evaluate("() => new Promise((done) => requestAnimationFrame(() => setTimeout(done)))")
    assert page.get_by_role("button", name="Meine Größe finden").is_visible()
    page.close()


def test_money_has_the_decimals_of_its_currency_and_the_signs_of_the_language(browser, site):
    shown = """async (asked) => {
      const { wordsOf } = await import("/adviser/words.js");
      const write = async ([language, minor, currency]) => (await wordsOf(language)).money({ minor, currency });
      return Promise.all(asked.map(write));
    }"""
    asked = [
        ["en-GB", 123450, "GBP"],
        ["de", 123450, "EUR"],
        ["fr", 123450, "EUR"],
        ["en-US", 1400, "JPY"],
        ["de", 1400, "KWD"],
    ]
    with visiting(browser, site) as page:
        spaced = [re.sub(r"\s", " ", each) for each in page.evaluate(shown, asked)]
    # ISO 4217: the yen has no minor unit, the Kuwaiti dinar a thousand.
    assert ["£1,234.50", "1.234,50 €", "1 234,50 €", "¥1,400", "1,400 KWD"] == spaced


def test_it_reads_from_right_to_left_where_the_page_does(browser, site):
    with visiting(browser, site, PHONE) as page:
        page.evaluate("document.documentElement.dir = 'rtl'")
        answer(page)
        assert PHONE["width"] == page.evaluate("document.documentElement.scrollWidth")
        side = "it => getComputedStyle(it.shadowRoot.querySelector('.lead')).borderRightWidth"
        assert "4px" == page.locator("size-adviser").evaluate(side)
        # At the right, and a sentence of a language that runs the other way ends at its own end.
        way = """it => {
            const { textAlign, unicodeBidi } = getComputedStyle(it.shadowRoot.querySelector("h3"));
            return [textAlign, unicodeBidi];
        }"""
        assert ["right", "plaintext"] == page.locator("size-adviser").evaluate(way)


def test_a_shop_dresses_it_by_properties_and_parts(browser, site):
    with visiting(browser, site) as page:
        page.evaluate(
            """() => { const sheet = new CSSStyleSheet();
            sheet.replaceSync('size-adviser { --adviser-accent: rgb(0, 90, 60); } '
              + 'size-adviser::part(title) { color: rgb(1, 2, 3); }');
            document.adoptedStyleSheets = [sheet]; }"""
        )
        assert "rgb(1, 2, 3)" == page.get_by_role("heading", name="Find your size").evaluate(
            "it => getComputedStyle(it).color"
        )
        button = page.get_by_role("button", name="Find my size")
        assert "rgb(0, 90, 60)" == button.evaluate("it => getComputedStyle(it).backgroundColor")


def test_on_paper_there_are_the_answer_and_the_reasons_and_nothing_to_press(browser, site):
    with visiting(browser, site) as page:
        answer(page)
        page.emulate_media(media="print")
        shown = everything(page)
        assert "Jacket 40 regular" in shown
        assert "Why this size" in shown
        assert all(not button.is_visible() for button in page.locator("size-adviser .doing button").all())


def test_without_its_words_the_page_shows_what_the_shop_wrote_in_its_place(browser, site):
    page = browser.new_page()
    try:
        page.route("**/words/*.json", lambda route: route.abort())
        page.goto(site.origin)
        expect(page.get_by_text("Come by: we measure you in five minutes.")).to_be_visible()
    finally:
        page.close()


def test_it_asks_nobody_but_the_page_and_the_service_and_keeps_nothing(browser, site):
    with visiting(browser, site) as page:
        answer(page)
        measure(page, "99 cm")
        hosts = {urlsplit(url).netloc for url in page.asked if not url.startswith("data:")}
        assert {urlsplit(site.origin).netloc, urlsplit(site.api).netloc} == hosts
        assert 0 == page.evaluate("localStorage.length + sessionStorage.length + document.cookie.length")
    assert [] == browser.cookies()


def test_the_adviser_names_no_other_host_and_takes_in_only_its_own_files():
    text = "\n".join(path.read_text("utf-8") for path in SCRIPTS)
    taken = set(re.findall(r'^import .* from "([^"]+)";$', text, re.MULTILINE))
    assert {f"./adviser/{path.name}" for path in SCRIPTS[1:]} >= {each for each in taken if "/adviser/" in each}
    assert all(each.startswith(("./adviser/", "./")) for each in taken)
    assert [] == re.findall(r"\bimport\(", text)
    # The example in its comment, and the name of the drawing language.
    assert {"https://fitting.example", "http://www.w3.org/2000/svg"} == set(re.findall(r"https?://[^\s\"'`]+", text))


def test_it_comes_packed_in_less_than_thirty_kilobytes_with_one_language():
    for language in LANGUAGES:
        files = [*SCRIPTS, ADVISER / "words" / f"{language}.json"]
        assert sum(len(gzip.compress(path.read_bytes(), 9)) for path in files) < MOST_BYTES


def test_every_file_is_as_long_as_a_reader_takes_in():
    assert {} == {path.name: n for path in SCRIPTS if (n := len(path.read_text("utf-8").splitlines())) > 300}

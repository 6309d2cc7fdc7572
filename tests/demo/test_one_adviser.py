"""The size adviser written as one file, as a shop hosts it that would rather not have a folder."""

import gzip
import re
import shutil
import subprocess
import sys

import pytest

from tests.demo.adviser_page import (
    LANGUAGES,
    answer,
    heading,
    served_page,
    speak,
    take_button,
    visiting,
    words_of,
)
from tests.demo.scripts import demo_script
from tests.house import HOUSE

SHOP = HOUSE / "demo" / "shop"


def written(*languages):
    """What the command prints, and how it ended."""
    command = [sys.executable, HOUSE / "demo" / "one_adviser.py", *languages]
    ended = subprocess.run(command, capture_output=True, text=True, check=False)
    return ended.returncode, ended.stdout, ended.stderr


@pytest.fixture
def alone(tmp_path, site, one_house, outfitters):
    """The shop's page whose adviser is that one file, with the folder of parts left away."""
    shutil.copytree(SHOP, tmp_path / "shop", ignore=shutil.ignore_patterns("adviser"))
    page = tmp_path / "shop" / "index.html"
    page.write_text(re.sub(r'<link rel="modulepreload".*\n', "", page.read_text("utf-8")), "utf-8")

    def with_languages(*languages):
        (tmp_path / "shop" / "size-adviser.js").write_text(written(*languages)[1], "utf-8")
        return served_page(site.api, one_house.context, outfitters.id, folder=tmp_path / "shop")

    return with_languages


def test_a_page_with_the_one_file_asks_for_no_other_and_sells_the_same_suit(browser, alone):
    with alone() as site, visiting(browser, site) as page:
        answer(page)
        assert heading(page).startswith("Jacket 40 regular")
        take_button(page).click()
        assert "In your basket: jacket 40R, trousers 35." == page.locator("#basket").inner_text()
        assert {"size-adviser.js", "shop.js"} == {url.rsplit("/", 1)[1] for url in page.asked if url.endswith(".js")}
        assert [] == [url for url in page.asked if "/words/" in url]
        assert [] == page.complaints


def test_it_speaks_the_languages_that_it_was_written_with_and_else_the_first(browser, alone):
    with alone("de", "fr") as site, visiting(browser, site, language="fr") as page:
        answer(page)
        assert heading(page).startswith("Veste")
        speak(page, "de")
        page.get_by_role("heading", name=words_of("de")["title"]).wait_for()
        assert [] == page.complaints


@pytest.mark.parametrize("language", LANGUAGES)
def test_with_one_language_it_comes_packed_in_less_than_thirty_kilobytes(language):
    assert len(gzip.compress(written(language)[1].encode(), 9)) < 30_000


def test_a_language_that_it_has_no_words_of_is_refused_with_those_that_there_are():
    assert (2, "", "No words for it, nl; there are some for en-GB, en-US, de, fr.\n") == written("nl", "de", "it")


def test_every_part_stands_in_it_once():
    whole = demo_script("one_adviser").one_adviser([])
    for part in sorted((SHOP / "adviser").glob("*.js")):
        assert 1 == whole.count(part.read_text("utf-8").splitlines()[0])

"""What is written for readers holds: short enough, its links lead somewhere, and its tables leave nothing out."""

import csv
import re
from pathlib import Path
from typing import get_args

import pytest

from service.console import main
from service.http.refusals.words import WORDS
from service.settings import KNOWN
from service.tailoring.body.readings import SOURCES
from service.tailoring.fitting.fit_checks import DECISIONS
from service.tailoring.garments.alterations import BASES, BENCHES, DIRECTIONS, SIDES
from service.tailoring.garments.charts import LENGTH_CLASSES
from service.tailoring.garments.places import Wish
from service.tailoring.orders.lines.order_lines import ORIGINS
from service.tailoring.orders.order_events import event_types
from service.tailoring.orders.order_states import STATES

HOUSE = Path(__file__).resolve().parent.parent
PAGES = (
    "README.md",
    "DEVELOPERS.md",
    "openapi/README.md",
    "openapi/CHANGES.md",
    "openapi/WORDS.md",
    "docker/README.md",
    "demo/README.md",
    "tests/bench/README.md",
)
LINES_MOST = {"README.md": 180, "DEVELOPERS.md": 200}
LINE_LONGEST = 160


def read(page):
    return (HOUSE / page).read_text("utf-8")


def rows(page, *, after):
    """The cells of the table that follows a heading."""
    table = read(page).partition(after)[2].partition("\n## ")[0]
    return [re.split(r" ?\| ?", line)[1:-1] for line in table.splitlines() if line.startswith("| `")]


@pytest.mark.parametrize("page", LINES_MOST)
def test_a_page_for_everybody_is_short(page):
    assert len(read(page).splitlines()) <= LINES_MOST[page]


@pytest.mark.parametrize("page", PAGES)
def test_no_line_of_prose_is_too_wide_to_read(page):
    # A row of a table cannot be folded.
    lines = [line for line in read(page).splitlines() if not line.startswith("|")]
    assert [] == [line for line in lines if len(line) > LINE_LONGEST]


@pytest.mark.parametrize("page", PAGES)
def test_links_within_the_house_lead_somewhere(page):
    links = re.findall(r"\]\(([^)#:]+)\)", read(page))
    assert [] == [link for link in links if not (HOUSE / page).parent.joinpath(link).exists()]


def test_every_operation_is_in_the_integrators_table_with_its_scope():
    shown = {}
    for names, scopes, _ in rows("openapi/README.md", after="## Operations"):
        operations = re.findall(r"`([^`]+)`", names)
        # The pilcrow marks what is open to pages; one scope may stand for all operations of the row.
        words = scopes.replace(" \N{PILCROW SIGN}", "").replace("\N{EN DASH}", "-").split("; ")
        each = words * len(operations) if len(words) == 1 else words
        for operation, scope in zip(operations, each, strict=True):
            shown[re.sub(r"\{\w+\}", "{}", operation)] = "|".join(scope.split(" or "))
    listed = {}
    for line in read("openapi/operations.txt").splitlines():
        method, rest = line.split(None, 1)
        address, scope = rest.rsplit(None, 1)
        listed[f"{method} {re.sub('<[^>]+>', '{}', address)}"] = scope
    files_of_docs = {name for name in listed if name.startswith("GET /docs/")}
    assert {name: scope for name, scope in listed.items() if name not in files_of_docs} == shown


def test_every_type_of_event_is_named_to_integrators():
    events = read("openapi/README.md").partition("## Events")[2].partition("- **Fetched**")[0]
    assert sorted(event_types()) == sorted(re.findall(r"`(order\.\w+)`", events))


def test_every_setting_is_in_the_operators_table():
    assert set(KNOWN) == {cells[0].strip("`") for cells in rows("docker/README.md", after="## Settings")}


def test_every_command_is_in_the_operators_table():
    first_table = [
        cells for cells in rows("docker/README.md", after="## The console") if not cells[0].startswith("`--")
    ]
    shown = {word for cells in first_table for word in re.findall(r"`([a-z-]+)", cells[0])}
    assert set(main.commands) == shown


@pytest.mark.parametrize(
    "words",
    [STATES, ORIGINS, BASES, DIRECTIONS, SIDES, DECISIONS, SOURCES, LENGTH_CLASSES, BENCHES, get_args(Wish)],
    ids=lambda words: words[0],
)
def test_every_word_that_answers_choose_from_is_explained(words):
    assert [] == [word for word in words if f"`{word}`" not in read("openapi/WORDS.md")]


# Words of ours that a shop would not say, and spellings of another country.
PRIVATE = re.compile(
    r"\b(?:he|his|him|himself|nobody|anew|reckon\w*|haste|(?:can|cannot) be had|whatever maker|the house(?:'s)?"
    r"|of before|looked at|told|center|gray|catalog|canceled|labeled|color)\b",
    re.IGNORECASE,
)
# What callers, staff and operators read; the pages of developers have words of their own.
FOR_READERS = (
    "README.md",
    "openapi/README.md",
    "openapi/WORDS.md",
    "openapi/CHANGES.md",
    "docker/README.md",
    "demo/README.md",
)
WORDS_OF_TABLES = (
    "words",
    "short",
    "text",
    "how",
    "amount",
    "limited_by",
    "knock_on",
    "caution",
    "instead",
    "reason",
    "looks",
    "mind",
)


def test_what_is_written_for_readers_has_no_idiom_of_ours():
    found = {page: PRIVATE.findall(re.sub(r"`[^`]*`", "", read(page))) for page in FOR_READERS}
    assert {} == {page: words for page, words in found.items() if words}


def test_what_refuses_and_what_tables_say_has_none_either():
    said = [words for each in WORDS.values() for words in (each.title, each.detail)]
    for table in (HOUSE / "service").rglob("tables/*.csv"):
        with table.open(newline="", encoding="utf-8") as file:
            said += [row[name] for row in csv.DictReader(file) for name in WORDS_OF_TABLES if row.get(name)]
    assert len(said) > 1000
    assert [] == [words for words in said if PRIVATE.search(words)]


def test_what_commands_say_of_themselves_has_none_either():
    said = [words for name, command in main.commands.items() for words in (name, command.help or "")]
    said += [
        option.help for command in main.commands.values() for option in command.params if getattr(option, "help", None)
    ]
    assert [] == [words for words in said if PRIVATE.search(words)]


def test_a_title_of_a_refusal_says_what_is_wrong_and_asks_nothing():
    assert [] == [each.title for each in WORDS.values() if each.title.endswith(("?", ".")) or len(each.title) > 60]
    assert [] == [each.detail for each in WORDS.values() if not each.detail.endswith((".", "}"))]

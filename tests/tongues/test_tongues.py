"""Customers' papers in other languages: every word of them, days and money as the language writes them."""

import re
from dataclasses import fields, is_dataclass
from datetime import date
from pathlib import Path

import pytest
from babel.messages.pofile import read_po

from service.http.refusals.words import WORDS
from service.papers import tickets
from service.papers.slips import slip, slip_text
from service.papers.text import ticket_text
from service.papers.tickets import in_language, ticket
from service.tailoring import tables
from service.tailoring.garments.alterations import ALTERED, catalogue
from service.tailoring.orders.order_states import STATES
from service.tailoring.work.prices import Money
from service.tongues import tongues
from service.tongues.tags import TAGS
from service.tongues.tongues import tongue
from tests.house import SERVICE
from tests.papers.agreed import FIXED, LIVED
from tests.papers.orders import dinner

FOLDER = SERVICE / "tongues" / "languages"
# Tables of which notices speak, and their columns.
NOTED = {
    "body/dimensions": ("words",),
    "body/posture": ("words", "look_at"),
    "fitting/fit_points": ("words",),
    "garments/alterations": ("words", "limited_by"),
    "hems/dressed_doubts": ("words",),
    "hems/hem_checks": ("words",),
}
NAMES_IN = re.compile(r"\{(\w+)\}")
NAMES = re.compile(r"\{\w+\}")
SAYING = re.compile(r'say\(\s*"([^"]+)"')
PAPERS = SERVICE / "papers"
FILES = sorted(FOLDER.glob("*/*.po"))


def catalogue_of(name, of="papers"):
    return catalogue_in(FOLDER / name / f"{of}.po")


def catalogue_in(path):
    with path.open("rb") as source:
        return {
            (each.id[0] if isinstance(each.id, tuple) else each.id): each.string
            for each in read_po(source, locale=path.parent.name)
            if each.id
        }


def words_of_slips():
    """Whatever a slip may say: what its sources say, states, garments, every alteration."""
    from service.papers import slip_page, slips, ticket_lines  # noqa: PLC0415

    found = {words for module in (slips, slip_page, tongues) for words in SAYING.findall(_source(module))}
    found |= {slips._STANDS[state] for state in STATES}  # noqa: SLF001  the table itself
    found |= {*slips._ADVICE, *slip_page._NAMED.values(), *ALTERED, slips.TO_PAY, "price", "deposit, paid"}  # noqa: SLF001
    found |= {"Fitting", "To pay", "Ask at"}
    for doing in catalogue().values():
        found |= {doing.words, doing.words.replace(" (pair)", "")}
        found |= {ticket_lines._known(doing.code, way) for way in ("less", "more")} - {""}  # noqa: SLF001
    return found


def _source(module):
    return Path(module.__file__).read_text("utf-8")


@pytest.mark.parametrize("name", ["de", "fr"])
def test_every_word_that_a_slip_may_say_has_one_in_the_other_language(name):
    known = catalogue_of(name)
    assert set() == words_of_slips() - set(known)
    assert [] == [words for words, said in known.items() if not said]


@pytest.mark.parametrize("name", ["de", "fr", "en_US"])
def test_no_catalogue_has_a_word_that_no_slip_says(name):
    known = catalogue_of(name)
    counted = {words for words in known if words.startswith("{n} ")}
    assert set() == set(known) - words_of_slips() - counted


@pytest.mark.parametrize("name", ["de", "fr"])
def test_every_title_of_a_problem_is_said_in_the_other_language_and_no_other(name):
    assert {words.title for words in WORDS.values()} == set(catalogue_of(name, "problems"))


@pytest.mark.parametrize("path", FILES, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_no_word_is_empty_and_no_fact_is_lost_or_comes_twice(path):
    for words, said in catalogue_in(path).items():
        for each in said if isinstance(said, tuple) else (said,):
            assert each.strip()
            assert sorted(NAMES.findall(words)) == sorted(NAMES.findall(each))


def test_the_same_words_are_not_said_twice_in_one_language():
    for folder in {path.parent for path in FILES}:
        keys = [words for path in sorted(folder.glob("*.po")) for words in catalogue_in(path)]
        assert [] == [words for words in set(keys) if keys.count(words) > 1]


def test_whatever_a_notice_may_speak_of_is_said_in_every_language():
    found = _words_of_notices()
    assert len(found) > 250
    for tag in ("de", "fr", "en-US"):
        assert [] == [words for words in sorted(found) if not tongue(tag).knows(words)]


def _words_of_notices():
    """What the tables say of which notices speak: measures, places, points and looks, checks, limits, what follows."""
    rows = {name: list(tables.rows(name)) for name in NOTED}
    found = {row[column] for name, columns in NOTED.items() for column in columns for row in rows[name] if row[column]}
    found |= {row["words"] for row in tables.rows("work/knock_ons") if row["notice"]}
    found |= {f"1 in {row['amount']}" for row in rows["fitting/fit_points"] if row["amount"]}
    found |= {row["seen"].replace("_", " ") for row in tables.rows("fitting/appearances")}
    return found | {row["place"].replace("_", " ") for row in tables.rows("garments/places")}


@pytest.mark.parametrize("name", ["de", "fr"])
def test_a_sentence_is_known_again_with_whatever_is_in_it(name):
    """No fact is lost, none is said twice, and no English is left."""
    english = _english(name)
    for words in catalogue_of(name, "notices"):
        parts = {part: "3 1/2 in" if part in tongues._FIGURES else "Q-7" for part in NAMES_IN.findall(words)}  # noqa: SLF001
        parts |= {"side": "left"} if "side" in parts else {}
        said = tongue(name).sentence(words.format(**parts))
        assert [said.count(part) for part in ("3 1/2 in", "Q-7")] == [
            list(parts.values()).count(part) for part in ("3 1/2 in", "Q-7")
        ]
        assert set() == set(re.findall(r"(?<![\w])[a-z]{3,}(?![\w])", said)) & english


@pytest.mark.parametrize("name", ["de", "fr"])
@pytest.mark.parametrize("detail", ["short", "full"])
@pytest.mark.parametrize("order", [*FIXED, *LIVED])
def test_no_word_of_a_ticket_is_left_in_english(order, detail, name):
    british = ticket({**FIXED, **LIVED}[order](), "Haus", None, detail)
    english = _english(name)
    for said, words in zip(_said_on(in_language(british, name)), _said_on(british), strict=True):
        left = set(re.findall(r"(?<![\w])[a-z]{3,}(?![\w])", said)) & english
        # What the fitter and the workroom asked and answered is theirs, in what language they like.
        assert not left or words.startswith(("asked: ", "REDO, free: ", "QUERY: ", "line ", "STRUCK")), words


def test_what_nobody_wrote_is_said_in_the_shops_language():
    british = ticket(LIVED["brought_in"](), "Haus")
    assert "size not written" in ticket_text(british)
    assert "Größe nicht notiert" in ticket_text(in_language(british, "de"))


def _said_on(part):
    """Every text of a paper but what somebody wrote."""
    if isinstance(part, str):
        yield part
    elif isinstance(part, tuple):
        for each in part:
            yield from _said_on(each)
    elif is_dataclass(part):
        for each in fields(part):
            if each.name not in tickets._AS_WRITTEN:  # noqa: SLF001  the list itself
                yield from _said_on(getattr(part, each.name))


@pytest.mark.parametrize("name", ["de", "fr", "en-US"])
def test_whatever_a_renderer_of_tickets_says_has_a_word(name):
    sources = [PAPERS / f"{each}.py" for each in ("text", "ticket_sheet", "ticket_work_sheet")]
    said = {words for path in sources for words in SAYING.findall(path.read_text("utf-8"))}
    said |= {"size", "cloth", "pattern", "marked with", "mind", "inlay", "note", "LEFT", "RIGHT", "BOTH", "LEFT ONLY"}
    assert len(said) > 40
    assert [] == [words for words in sorted(said) if not tongue(name).knows(words)]


def _english(name):
    """Words of the sources that are no words of the other language."""
    words, said = set(), set()
    for path in (FOLDER / name).glob("*.po"):
        for key, value in catalogue_in(path).items():
            words |= set(re.findall(r"[a-z]{3,}", NAMES.sub("", key)))
            said |= set(re.findall(r"[^\W\d_]{3,}", NAMES.sub("", str(value)).lower()))
    return words - said


def test_what_american_english_says_otherwise_is_said_so_in_every_sentence():
    british = re.compile(r"\b(trousers|waistcoat|turn-ups?|centre|braces|fibre|inlay|grey)\b", re.IGNORECASE)
    there = tongue("en-US")
    found = {
        words
        for name in ("problems", "papers", "notices")
        for words in catalogue_of("de", name)
        if british.search(words)
    }
    assert found
    assert [] == [words for words in sorted(found) if british.search(there.say(words))]


def test_american_words_are_those_of_the_trade_there():
    said = tongue("en-US")
    assert ("pants", "vest") == (said.say("trousers"), said.say("waistcoat"))
    assert "remove cuffs, plain hem" == said.say("remove turn-ups, plain hem")
    assert "2 pairs of pants" == said.counted("trousers", 2)


def test_days_are_written_as_the_language_writes_them():
    said = {language: tongue(language).day(date(2026, 3, 5)) for language in TAGS}
    # As the Common Locale Data Repository has the full form of a date.
    assert {
        "en-GB": "Thursday 5 March 2026", "en-US": "Thursday, March 5, 2026",
        "de": "Donnerstag, 5. März 2026", "fr": "jeudi 5 mars 2026",
    } == said  # fmt: skip


@pytest.mark.parametrize(
    ("language", "money", "said"),
    [
        ("en-GB", Money(123450, "GBP"), "GBP 1234.50"), ("en-US", Money(123450, "USD"), "USD 1,234.50"),
        ("de", Money(123450, "EUR"), "1.234,50 EUR"), ("fr", Money(123450, "EUR"), "1 234,50 EUR"),
        # ISO 4217: no minor unit; a thousand of them.
        ("de", Money(1800, "JPY"), "1.800 JPY"), ("fr", Money(1800, "KWD"), "1,800 KWD"),
        ("de", Money(-50, "EUR"), "-0,50 EUR"),
    ],
)  # fmt: skip
def test_money_has_its_currencys_decimals_and_the_languages_signs(language, money, said):
    assert said == tongue(language).money(money)


def test_a_slip_is_in_one_language_whole():
    order = dinner()
    for language in ("de", "fr"):
        written = slip_text(slip(order, "Haus", "https://shop.example/x", language=language))
        english = slip_text(slip(order, "Haus", "https://shop.example/x"))
        assert not set(re.findall(r"[A-Za-z]{3,}", written)) & ENGLISH_WORDS
        assert set(re.findall(r"[A-Za-z]{3,}", english)) & ENGLISH_WORDS


ENGLISH_WORDS = {
    "ORDER",
    "READY",
    "now",
    "pieces",
    "jacket",
    "trousers",
    "the",
    "and",
    "Bring",
    "take",
    "March",
    "price",
}


def test_what_is_not_known_stays_as_it_is_and_another_tongue_is_british():
    assert "a word of nobody" == tongue("de").say("a word of nobody")
    assert "en-GB" == tongue("nl").tag


@pytest.mark.parametrize(("language", "said"), [("de", ["1 Hose", "2 Hosen"]), ("fr", ["1 pantalon", "2 pantalons"])])
def test_one_is_counted_otherwise_than_two(language, said):
    assert said == [tongue(language).counted("trousers", count) for count in (1, 2)]

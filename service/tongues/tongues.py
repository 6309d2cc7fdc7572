"""A language: its words by gettext's catalogues, days, numbers and money by locale.

British English is the language of the sources: what a catalogue does not have is said in it (a test shows what that
may be). Codes are never translated.

A sentence with figures is known again by its pattern, the key of its catalogue, and its facts are said one by one: the
core says sentences, records and kept answers of years have them, and none of these knows languages. Weighed: a template
and facts in every notice, which forty places of the core would have to build, and the records of years to be migrated.
The client of the tests refuses a notice for which a language has no words.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Protocol

from babel.dates import format_date
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from babel.numbers import format_decimal
from babel.support import NullTranslations, Translations

from service.tailoring.work.prices import Money
from service.tongues.tags import BRITISH, CATALOGUES
from service.tongues.wording import day_of, day_text, minor_digits, money_text

_FOLDER = Path(__file__).parent / "languages"
# That of the most words: American English has only those that differ.
_FULLEST = "de"
# With so many digits after the decimal sign.
_DECIMALS = {0: "#,##0", 2: "#,##0.00", 3: "#,##0.000", 4: "#,##0.0000"}
# What a locale puts between digits, or before its currency, and no printer knows.
_SPACES = str.maketrans({"\u202f": " ", "\xa0": " "})

# What stays as somebody wrote it, wherever a sentence has it.
_AS_WRITTEN = frozenset({"question", "answer", "why", "by", "reason"})
_NAME = re.compile(r"\{(\w+)\}")
# What is a figure, and so begins with one and is no list.
_FIGURES = frozenset(
    {"amount", "depth", "given", "girth", "heat", "least", "likely", "meant", "minutes", "most", "n", "nearer"}
    | {"number", "of", "ordered", "other_size", "share", "size", "step", "turn"}
)
# What is one thing, and no list of several.
_ONE = frozenset({"fibre", "garment", "place", "point", "system"})
# Signs between the parts of a list, of which each is said by itself.
_BETWEEN = ("; ", ", ", ": ", " or ", " and ")
_ISO_DAY = re.compile("[0-9]{4}-[0-9]{2}-[0-9]{2}")
_MONEY = re.compile("([A-Z]{3}) (−?)([0-9]+(?:[.][0-9]+)?)")
_FIGURE = re.compile(r"(?<=[0-9])\.(?=[0-9])")
_TO = re.compile("(?<=[0-9]) to (?=[0-9])")

_COUNTED = {
    "jacket": ("{n} jacket", "{n} jackets"),
    "trousers": ("{n} pair of trousers", "{n} pairs of trousers"),
    "waistcoat": ("{n} waistcoat", "{n} waistcoats"),
    "shirt": ("{n} shirt", "{n} shirts"),
}


class Say(Protocol):
    """What says words of a catalogue, with facts in them."""

    def __call__(self, words: str, **facts: object) -> str: ...


@dataclass(frozen=True, slots=True)
class Tongue:
    """A language: `tag` is as RFC 5646 writes it."""

    tag: str
    catalogue: NullTranslations

    def say(self, words: str, **facts: object) -> str:
        """The words in this language, with facts in the place of {names}."""
        said = str(self.catalogue.gettext(words))
        return said.format(**facts) if facts else said

    def sentence(self, text: str) -> str:
        """A finished sentence in this language: as the catalogue has it, or part by part; what it has not stays."""
        return text if self.tag == BRITISH or not text else self._sentence(text)

    def knows(self, text: str) -> bool:
        """Whether the catalogue has the sentence, as it is or by its pattern."""
        return self._has(text) or any(True for _ in self._fitting(text))

    def _sentence(self, text: str) -> str:
        if self._has(text):
            return str(self.catalogue.gettext(text))
        value = self._value(text)
        if value is not None:
            return value
        for words, found in self._fitting(text):
            return self.say(words, **{name: self._part(name, part) for name, part in found.items()})
        for sign in _BETWEEN:
            if sign in text:
                return self._between(sign).join(self._sentence(part) for part in self._parts(text.split(sign), sign))
        return self.figures(text)

    def _value(self, text: str) -> str | None:
        """A day, or an amount of money, as the sources write it; None of other words."""
        day, money = day_of(text), _MONEY.fullmatch(text)
        if day is not None:
            return self.day(day)
        if money:
            return self.money(Money(int(money[2].replace("−", "-") + money[3].replace(".", "")), money[1]))
        if _ISO_DAY.fullmatch(text):
            return format_date(date.fromisoformat(text), "medium", locale=CATALOGUES[self.tag])
        return None

    def _part(self, name: str, part: str) -> str:
        """What a sentence has in the place of a name."""
        if name in _AS_WRITTEN:
            return part
        return self.side(part) if name == "side" else self._sentence(part)

    def _parts(self, parts: list[str], sign: str) -> Iterator[str]:
        """The parts of a list, those that are one in the catalogue together."""
        while parts:
            count = next((count for count in range(len(parts), 1, -1) if self._has(sign.join(parts[:count]))), 1)
            yield sign.join(parts[:count])
            parts = parts[count:]

    def _between(self, sign: str) -> str:
        """What is between the parts of a list: its sign, or its word in this language."""
        word = sign.strip()
        if word.isalpha():
            return f" {self.say(word)} "
        return f" {sign}" if self.tag == "fr" and sign in ("; ", ": ") else sign

    def side(self, side: str) -> str:
        """A side in words: what is on the right is not what is right."""
        return self.say(f"{side} side") if self.tag != BRITISH and side in ("left", "right") else self.sentence(side)

    def figures(self, text: str) -> str:
        """Figures with the decimal sign of the language, and its word between two: "98,5 cm", "3 bis 4 in"."""
        return text if self.tag in (BRITISH, "en-US") else _TO.sub(f" {self.say('to')} ", _FIGURE.sub(",", text))

    def _has(self, words: str) -> bool:
        return words in _known(self.tag)

    def _fitting(self, text: str) -> Iterator[tuple[str, dict[str, str]]]:
        """Patterns that the sentence is by, the most telling first, with the facts in it."""
        for words, telling, pattern in _patterns():
            found = telling in text and pattern.fullmatch(text)
            if found:
                yield words, found.groupdict()

    def counted(self, garment: str, count: int) -> str:
        """So many of a garment: "2 pairs of trousers"."""
        one, many = _COUNTED.get(garment, (f"{{n}} {garment}", f"{{n}} {garment}s"))
        return str(self.catalogue.ngettext(one, many, count)).format(n=count)

    def day(self, day: date) -> str:
        """A day in words, with its weekday."""
        if self.tag == BRITISH:
            return day_text(day)
        return format_date(day, "full", locale=CATALOGUES[self.tag]).translate(_SPACES)

    def money(self, money: Money) -> str:
        """An amount with its code, for a sign may be any of several dollars; the digits as the locale writes them."""
        if self.tag == BRITISH:
            return money_text(money)
        digits = minor_digits(money.currency)
        amount = Decimal(money.minor).scaleb(-digits)
        said = format_decimal(amount, format=_DECIMALS[digits], locale=CATALOGUES[self.tag]).translate(_SPACES)
        return f"{money.currency} {said}" if self.tag == "en-US" else f"{said} {money.currency}"

    def hours(self, begins: str, closes: str) -> str:
        """From when and until when; "" for what nobody said."""
        if begins and closes:
            return self.say("from {begins} to {closes}", begins=begins, closes=closes)
        return self.say("from {begins}", begins=begins) if begins else self.say("by {closes}", closes=closes)


@cache
def tongue(tag: str) -> Tongue:
    """A language by its tag; British English where it is not among those there are."""
    name = CATALOGUES.get(tag)
    return Tongue(tag, _translations(name)) if name else Tongue(BRITISH, NullTranslations())


@cache
def _known(tag: str) -> frozenset[str]:
    """The words that a language has a catalogue's word for; those that are said alike too."""
    return frozenset(_words(_FULLEST)) if tag == "en-US" else frozenset(_words(CATALOGUES[tag]))


@cache
def _patterns() -> tuple[tuple[str, str, re.Pattern[str]], ...]:
    """Every sentence with facts in it, its longest words, and its pattern; first those with the most of their own."""
    with_facts = [words for words in _words(_FULLEST) if _NAME.search(words)]
    told = sorted(with_facts, key=lambda words: -len(_NAME.sub("", words)))
    return tuple((words, max(_NAME.split(words)[::2], key=len), _pattern(words)) for words in told)


def _pattern(words: str) -> re.Pattern[str]:
    parts = _NAME.split(words)
    said = "".join(f"(?P<{part}>{_may_be(part)})" if at % 2 else re.escape(part) for at, part in enumerate(parts))
    return re.compile(said, re.DOTALL)


def _may_be(name: str) -> str:
    if name == "side":
        return "left|right|both"
    if name == "bench":
        return "[a-z]+"
    return "[~−+-]?[0-9][^,;]*?" if name in _FIGURES else "[^;:]+?" if name in _ONE else ".+?"


@cache
def _words(name: str) -> tuple[str, ...]:
    return tuple(str(each.id) for each in _catalogue(name) if isinstance(each.id, str) and each.id)


@cache
def _catalogue(name: str) -> Catalog:
    """All that is said in a language, out of its files."""
    paths = sorted((_FOLDER / name).glob("*.po"))
    whole, *others = [read_po(BytesIO(path.read_bytes()), locale=name) for path in paths]
    for each in (message for other in others for message in other if message.id):
        whole[each.id] = each
    return whole


def _translations(name: str) -> Translations:
    """The catalogue, compiled as it is read: there is no compiled file to be forgotten."""
    compiled = BytesIO()
    write_mo(compiled, _catalogue(name))
    compiled.seek(0)
    return Translations(compiled)

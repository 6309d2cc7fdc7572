"""In which language a paper for a customer is written: its words by gettext's catalogues, days and money by locale.

British English is the language of the sources: what a catalogue does not have is said in it (a test shows what that
may be). Codes are never translated.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cache
from io import BytesIO
from pathlib import Path

from babel.dates import format_date
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from babel.numbers import format_decimal
from babel.support import NullTranslations, Translations

from service.papers.wording import day_text, minor_digits, money_text
from service.tailoring.work.prices import Money

# A language by its tag (RFC 5646), and the catalogue of its words; the first is that of the sources.
BRITISH = "en-GB"
_CATALOGUES = {"en-US": "en_US", "de": "de", "fr": "fr"}
_FOLDER = Path(__file__).parent / "languages"
# With so many digits after the decimal sign.
_DECIMALS = {0: "#,##0", 2: "#,##0.00", 3: "#,##0.000", 4: "#,##0.0000"}
# What a locale puts between digits, or before its currency, and no printer knows.
_SPACES = str.maketrans({"\u202f": " ", "\xa0": " "})

_COUNTED = {
    "jacket": ("{n} jacket", "{n} jackets"),
    "trousers": ("{n} pair of trousers", "{n} pairs of trousers"),
    "waistcoat": ("{n} waistcoat", "{n} waistcoats"),
    "shirt": ("{n} shirt", "{n} shirts"),
}


@dataclass(frozen=True, slots=True)
class Tongue:
    """A language: `tag` is as RFC 5646 writes it."""

    tag: str
    catalogue: NullTranslations

    def say(self, words: str, **facts: object) -> str:
        """The words in this language, with facts in the place of {names}."""
        said = str(self.catalogue.gettext(words))
        return said.format(**facts) if facts else said

    def counted(self, garment: str, count: int) -> str:
        """So many of a garment: "2 pairs of trousers"."""
        one, many = _COUNTED.get(garment, (f"{{n}} {garment}", f"{{n}} {garment}s"))
        return str(self.catalogue.ngettext(one, many, count)).format(n=count)

    def day(self, day: date) -> str:
        """A day in words, with its weekday."""
        if self.tag == BRITISH:
            return day_text(day)
        return format_date(day, "full", locale=_CATALOGUES[self.tag]).translate(_SPACES)

    def money(self, money: Money) -> str:
        """An amount with its code, for a sign may be any of several dollars; the digits as the locale writes them."""
        if self.tag == BRITISH:
            return money_text(money)
        digits = minor_digits(money.currency)
        amount = Decimal(money.minor).scaleb(-digits)
        said = format_decimal(amount, format=_DECIMALS[digits], locale=_CATALOGUES[self.tag]).translate(_SPACES)
        return f"{money.currency} {said}" if self.tag == "en-US" else f"{said} {money.currency}"

    def hours(self, begins: str, closes: str) -> str:
        """From when and until when; "" for what nobody said."""
        if begins and closes:
            return self.say("from {begins} to {closes}", begins=begins, closes=closes)
        return self.say("from {begins}", begins=begins) if begins else self.say("by {closes}", closes=closes)


@cache
def tongue(tag: str) -> Tongue:
    """A language by its tag; British English where it is not among those there are."""
    name = _CATALOGUES.get(tag)
    return Tongue(tag, _translations(name)) if name else Tongue(BRITISH, NullTranslations())


def _translations(name: str) -> Translations:
    """The catalogue, compiled as it is read: there is no compiled file to be forgotten."""
    with (_FOLDER / f"{name}.po").open("rb") as source:
        catalogue = read_po(source, locale=name)
    compiled = BytesIO()
    write_mo(compiled, catalogue)
    compiled.seek(0)
    return Translations(compiled)

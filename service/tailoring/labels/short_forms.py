"""Labels as people write them (`50L`, `40 regular`, `W34 L32`), and what their parts are."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

# What a length class is called, and its letters on a label; the longer words first.
LENGTH_WORDS = (
    ("EXTRA LONG", "XL"), ("X LONG", "XL"), ("EXTRA SHORT", "XS"), ("X SHORT", "XS"),
    ("REGULAR", "R"), ("REG", "R"), ("SHORT", "S"), ("LONG", "L"),
)  # fmt: skip
_NUMBER = re.compile(r"(?P<number>[1-9][0-9]{1,2}) ?(?P<length>XS|S|R|L|XL)?")
_WAIST_AND_LEG = re.compile(r"W?(?P<number>[1-9][0-9])W?[ /X]*(?P<leg>[1-9][0-9])L?|W?(?P<waist>[1-9][0-9])W?")
_LEG_FIRST_LETTER = re.compile(r"W?(?P<number>[1-9][0-9])W?[ /X]*L(?P<leg>[1-9][0-9])")


@dataclass(frozen=True, slots=True)
class ShortForm:
    """A label's number, its length class's letters, and for trousers the inside leg in inches; where it has them.

    `text` is the whole of it in capitals without spaces, as a system or a chart may write it.
    """

    text: str
    number: str | None = None
    length: str | None = None
    inside_leg_in: int | None = None


def short_form(label: str, *, legs: bool = False) -> ShortForm:
    """The parts of a label; `legs`: of a garment whose label may say the inside leg."""
    plain = " ".join(unicodedata.normalize("NFKC", label).replace("-", " ").upper().split())
    for words, letters in LENGTH_WORDS:
        plain = re.sub(rf"(?<=[0-9]) ?{words}$", letters, plain)
    text = plain.replace(" ", "")
    found = _NUMBER.fullmatch(plain)
    if found:
        return ShortForm(text, found["number"], found["length"])
    pair = (_LEG_FIRST_LETTER.fullmatch(plain) or _WAIST_AND_LEG.fullmatch(plain)) if legs else None
    if pair:
        named = pair.groupdict()
        leg = named.get("leg")
        return ShortForm(text, named.get("number") or named.get("waist"), None, int(leg) if leg else None)
    return ShortForm(text)

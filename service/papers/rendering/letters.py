"""Letters: words in the signs that a paper can print. What it lacks is written in plain Latin letters.

A cloth may be named in any script. A screen shows them all; a page of 42 columns, a typeface and a printer's
code page hold less, each its own part.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from functools import lru_cache
from typing import Any, TypeAlias, TypeVar

from anyascii import anyascii

Paper = TypeVar("Paper")
Has: TypeAlias = Callable[[str], bool]

_STAYING_SCRIPTS = ("LATIN ", "GREEK ", "CYRILLIC ")
# The longest word that one sign becomes: letters of all scripts that are written today are within it. Pictures and
# signs that are a sentence are not, and a page has no room for a text of those.
LIKENESS_MOST = 8
# What all texts of a paper may become together: the paper of the largest order is still made in a second.
PAPER_MOST = 24_000
# Where it would be more, each text that becomes longer than this, and than so many times its own length, is cut.
WRITTEN_MOST = 240
LONGER_MOST = 2
# What a person wrote never ends without a word.
CUT = " ... [cut, see the order]"
# Where a tailor would write something else than the library does.
_LIKENESS = {"×": "x", "→": "->", "€": "EUR ", "£": "GBP ", "¥": "JPY ", "–": "-", "—": "-", "−": "-"}


def in_letters(paper: Paper, has: Has) -> Paper:
    """The same paper with every text of it in the signs that `has` knows; cut, and saying so, only where it must be."""
    texts: list[str] = []

    def whole(words: str) -> str:
        texts.append(in_signs(words, has))
        return texts[-1]

    written = _each_text(paper, whole)
    if sum(map(len, texts)) <= PAPER_MOST:
        return written
    return _each_text(paper, lambda words: _cut(in_signs(words, has), len(words)))


def in_signs(words: str, has: Has) -> str:
    """Words in the signs that `has` knows, one space between them; a question mark for what has no likeness."""
    return " ".join("".join(_sign(sign, has) for sign in unicodedata.normalize("NFC", words)).split())


def _cut(written: str, length: int) -> str:
    most = max(WRITTEN_MOST, LONGER_MOST * length)
    return written if len(written) <= most else written[: most - len(CUT)] + CUT


def in_a_column(sign: str) -> bool:
    """Whether a sign is one column wide wherever text is shown: Latin, Greek and Cyrillic, and what stands between."""
    category = unicodedata.category(sign)
    if category[0] == "L":
        name = unicodedata.name(sign, "")
        return unicodedata.east_asian_width(sign) not in {"W", "F"} and name.startswith(_STAYING_SCRIPTS)
    return category[0] in "NPS" and unicodedata.east_asian_width(sign) not in {"W", "F"} and ord(sign) < 0x2600  # noqa: PLR2004  pictures begin there


def in_code_page_1252(sign: str) -> bool:
    """Whether a Western printer's code page has the sign."""
    try:
        sign.encode("cp1252")
    except UnicodeEncodeError:
        return False
    return True


def any_sign(_sign: str) -> bool:
    """A screen finds a typeface for every sign."""
    return True


def _each_text(paper: Paper, write: Callable[[str], str]) -> Paper:
    return replace(paper, **{each.name: _part(getattr(paper, each.name), write) for each in fields(paper)})  # type: ignore[arg-type, type-var]  # a dataclass


def _part(value: Any, write: Callable[[str], str]) -> Any:  # noqa: ANN401  a paper's part, of whatever kind
    if isinstance(value, str):
        return write(value)
    if isinstance(value, tuple):
        return tuple(_part(each, write) for each in value)
    return _each_text(value, write) if is_dataclass(value) and not isinstance(value, type) else value


@lru_cache(4096)
def _sign(sign: str, has: Has) -> str:
    category = unicodedata.category(sign)
    if category[0] in "CZ":
        # A control sign would be an order to the printer; what joins or hides is left out.
        return "" if category in {"Cf", "Cs", "Cn", "Co"} else " "
    if has(sign):
        return sign
    if unicodedata.decomposition(sign).startswith("<fraction>"):
        # The space keeps "36" and its half apart.
        return " " + "/".join(unicodedata.normalize("NFKD", sign).split("\N{FRACTION SLASH}"))
    likeness = _LIKENESS.get(sign) or anyascii(sign)
    if not likeness:
        # A mark on a letter is left out rather than asked about.
        return "" if category[0] == "M" else "?"
    return likeness if likeness.isprintable() and len(likeness) <= LIKENESS_MOST else "?"

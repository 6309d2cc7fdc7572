"""Letters: words in the signs that a paper can print. What it lacks is written in plain Latin letters.

A cloth may be named in any script. A screen shows them all; a page of 42 columns, a typeface and a printer's
code page hold less, each its own part.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeAlias, TypeVar

from anyascii import anyascii

Paper = TypeVar("Paper")
Has: TypeAlias = Callable[[str], bool]

_STAYING_SCRIPTS = ("LATIN ", "GREEK ", "CYRILLIC ")
# The longest word that one sign becomes: letters of all scripts that are written today are within it. Pictures and
# signs that are a sentence are not, and a page has no room for a text of those.
LIKENESS_MOST = 8
# A text that becomes longer than this, and than so many times its own length, is cut, and shows it. One of 80 signs is
# whole in any script that is written; a note of 200 may lose its end where the sheet can show Latin letters only.
WRITTEN_MOST = 240
LONGER_MOST = 2
# Where a tailor would write something else than the library does.
_LIKENESS = {"×": "x", "→": "->", "€": "EUR ", "£": "GBP ", "¥": "JPY ", "–": "-", "—": "-", "−": "-"}


def in_letters(paper: Paper, has: Has) -> Paper:
    """The same paper with every text of it in the signs that `has` knows."""
    return replace(paper, **{each.name: _part(getattr(paper, each.name), has) for each in fields(paper)})  # type: ignore[arg-type, type-var]  # a dataclass


def in_signs(words: str, has: Has) -> str:
    """Words in the signs that `has` knows, one space between them; a question mark for what has no likeness."""
    whole = unicodedata.normalize("NFC", words)
    written = "".join(_sign(sign, has) for sign in whole)
    most = max(WRITTEN_MOST, int(LONGER_MOST * len(whole)))
    return " ".join((written if len(written) <= most else f"{written[: most - 3]}...").split())


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


def _part(value: Any, has: Has) -> Any:  # noqa: ANN401  a paper's part, of whatever kind
    if isinstance(value, str):
        return in_signs(value, has)
    if isinstance(value, tuple):
        return tuple(_part(each, has) for each in value)
    return in_letters(value, has) if is_dataclass(value) and not isinstance(value, type) else value


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

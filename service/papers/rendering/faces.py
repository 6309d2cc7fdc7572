"""The typeface of printed pages: Bitstream Vera, which comes with the library that writes them.

It has the letters of Western and of some Central European languages; what it lacks is written in plain Latin.
"""

from __future__ import annotations

import unicodedata
from functools import cache

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

PLAIN = "Vera"
STRONG = "VeraBd"
# Whoever draws these pages elsewhere finds the same shapes and widths under these names.
FAMILY = "'Bitstream Vera Sans', 'DejaVu Sans', Verdana, sans-serif"


@cache
def _faces() -> dict[str, TTFont]:
    faces = {name: TTFont(name, f"{name}.ttf") for name in (PLAIN, STRONG)}
    for face in faces.values():
        pdfmetrics.registerFont(face)
    return faces


def face_of(*, strong: bool) -> str:
    """The name of a face, ready to be used."""
    _faces()
    return STRONG if strong else PLAIN


@cache
def has_sign(sign: str) -> bool:
    """Whether both faces can print a sign."""
    return all(ord(sign) in face.face.charToGlyph for face in _faces().values())


def width_of(words: str, size: float, *, strong: bool = False) -> float:
    """How wide words are, in points; a sign that the face lacks is as wide as another face may have it."""
    return size * sum(map(_SHARES[strong].__getitem__, words))


class _Shares(dict[str, float]):
    """How wide each sign of a face is at a size of one point: these pages set sign after sign, without kerning.

    A table and not a cached function: a paper asks it half a million times.
    """

    def __init__(self, *, strong: bool) -> None:
        super().__init__()
        self._strong = strong

    def __missing__(self, sign: str) -> float:
        self[sign] = share = self._share(sign)
        return share

    def _share(self, sign: str) -> float:
        if has_sign(sign):
            return float(pdfmetrics.stringWidth(sign, face_of(strong=self._strong), 1))
        return 1.0 if unicodedata.east_asian_width(sign) in {"W", "F"} else 0.0 if unicodedata.combining(sign) else 0.7


_SHARES = {strong: _Shares(strong=strong) for strong in (False, True)}


def broken(words: str, width: float, size: float, *, strong: bool = False) -> list[str]:
    """Words on as many lines as they need; only a word that is wider than the line is itself broken."""
    lines = [""]
    for word in words.split():
        longer = f"{lines[-1]} {word}".strip()
        if width_of(longer, size, strong=strong) <= width:
            lines[-1] = longer
            continue
        pieces = _pieces(word, width, size, strong=strong)
        lines = [*lines, *pieces] if lines[-1] else pieces
    return lines


def _pieces(word: str, width: float, size: float, *, strong: bool) -> list[str]:
    pieces, wide, shares = [""], 0.0, _SHARES[strong]
    for sign in word:
        wide += size * shares[sign]
        if pieces[-1] and wide > width:
            pieces.append("")
            wide = size * shares[sign]
        pieces[-1] += sign
    return pieces

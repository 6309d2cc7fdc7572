"""Texts: callers' lines and references, with patterns that say in words what they ask for; sentences of our tables."""

from __future__ import annotations

from typing import Any
from unicodedata import normalize

from flask import g
from marshmallow import ValidationError, fields, validate
from typing_extensions import override

from service.tailoring.quantities import said_in

ONE_LINE = "One line: no tabs, ends of line or other control characters."
PRINTABLE = r"^[^\x00-\x1f\x7f]*$"
# What tills print and shops write: 2026/00123, R#12, Müller 3. Runs of letters (Latin with its accents, Greek,
# Cyrillic), digits and marks, between them one space or slash; a run of nothing but dots would be a step in an address.
_RUN = r"(?!\.+(?:[ /]|$))[A-Za-z0-9À-ɏ̀-ͯͰ-ԯ._~:@#+&()'-]+"
REFERENCE = rf"{_RUN}(?:[ /]{_RUN})*"
REFERENCE_LONGEST = 64
REFERENCE_WORDS = "Up to 64 letters, digits and . _ ~ : @ # + & ( ) ' - with single spaces or / between them."
# A plan of three garments with all that can be altered of them, signed.
ADVICE_ID_LONGEST = 4_000


class Whole(validate.Regexp):
    """A pattern for the whole text, and what it asks for in words; `$` alone would let an end of line pass."""

    def __init__(self, regex: str, words: str) -> None:
        super().__init__(regex, error=words)

    @override
    def __call__(self, value: Any) -> Any:
        if self.regex.fullmatch(value) is None:
            raise ValidationError(self._format_error(value))
        return value


class Text(fields.String):
    """Text of one line: no control characters, bounded."""

    def __init__(self, *, most: int, least: int = 0, **options: Any) -> None:  # noqa: ANN401  marshmallow's own
        bounds = [
            validate.Length(min=least, max=most),
            Whole(PRINTABLE, ONE_LINE),
        ]
        super().__init__(validate=bounds, **options)


class TableWords(fields.String):
    """A sentence of the house's tables, its figures in the unit of this answer."""

    @override
    def _serialize(self, value: Any, *more: Any, **options: Any) -> Any:
        return super()._serialize(value and in_words(value), *more, **options)


def in_words(sentence: str, *, rough: bool = True) -> str:
    """A sentence of the house's tables, its figures in the unit of this answer (`callers.units`)."""
    return said_in(sentence, g.get("units"), rough=rough)


class Reference(fields.String):
    """An opaque reference of the caller's own (a customer, a sale, a member of staff)."""

    def __init__(self, **options: Any) -> None:  # noqa: ANN401  marshmallow's own
        bounds = [validate.Length(min=1, max=REFERENCE_LONGEST), Whole(f"^{REFERENCE}$", REFERENCE_WORDS)]
        super().__init__(validate=bounds, **options)

    @override
    def _deserialize(self, value: Any, *more: Any, **options: Any) -> Any:
        # An accent of its own and a letter with its accent are one reference.
        return super()._deserialize(composed(value) if isinstance(value, str) else value, *more, **options)


def composed(reference: str) -> str:
    """A reference in one way: a letter and an accent after it are the letter with its accent (NFC)."""
    return normalize("NFC", reference)

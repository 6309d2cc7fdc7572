"""Codes that a scanner reads: QR (ISO/IEC 18004) and Code 128 (ISO/IEC 15417), as plain patterns to be drawn."""

from __future__ import annotations

from functools import lru_cache
from typing import TypeAlias

import segno

# Light cells that must stand around a code, by its standard.
QR_QUIET = 4
CODE_128_QUIET = 10

# Rows of cells, True where it is dark.
Cells: TypeAlias = tuple[tuple[bool, ...], ...]


@lru_cache(maxsize=64)
def qr_code(said: str) -> Cells:
    """The square of a QR code, without the light edge; it is still read where a tenth of it is soiled."""
    made = segno.make(said, error="m", micro=False)
    return tuple(tuple(bool(cell) for cell in row) for row in made.matrix)


@lru_cache(maxsize=64)
def code_128(said: str) -> tuple[bool, ...]:
    """The bars of a Code 128 from left to right, a cell each of their narrowest, without the light edges.

    `said` is printable ASCII.
    """
    # Here and not above: it brings the library's drawing of charts with it, and most that starts prints no receipt.
    from reportlab.graphics.barcode.code128 import Code128  # noqa: PLC0415

    made = Code128(said, quiet=False)
    made.validate()
    made.encode()
    made.decompose()
    # The library says a bar in a capital and a gap in a small letter, as wide as the letter's place.
    return tuple(letter.isupper() for letter in made.decomposed for _ in range(ord(letter.lower()) - ord("a") + 1))

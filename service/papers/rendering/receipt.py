"""Bytes for a receipt printer: the plain command set that such printers share, in a small table of our own.

The commands' names and bytes are from memory of the printers' common standard; no printer was at hand. They
initialise, choose the Western code page, print bold, print a picture in rows of dots, feed and cut; nothing else is
used. Both codes go as pictures, which every such printer prints alike.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from service.papers.rendering.codes import CODE_128_QUIET, QR_QUIET, code_128, qr_code
from service.papers.rendering.columns import WIDTH, Row

ESC, GS, LF = b"\x1b", b"\x1d", b"\n"

INITIALISE = ESC + b"@"
CODE_PAGE_1252 = ESC + b"t" + bytes([16])
# The face of which 42 letters stand in the 384 dots of a narrow paper (58 mm), and more on a wide one.
SMALL_FACE = ESC + b"M" + bytes([1])
BOLD_ON = ESC + b"E" + bytes([1])
BOLD_OFF = ESC + b"E" + bytes([0])
CENTRE = ESC + b"a" + bytes([1])
LEFT = ESC + b"a" + bytes([0])
FEED_FOUR_LINES = ESC + b"d" + bytes([4])
# Part of the paper is left standing, so that the slip does not fall.
CUT = GS + b"V" + bytes([1])
# Followed by width in bytes and height in dots, low byte first, then the rows: a dot a bit, the left one highest.
PICTURE = GS + b"v0" + bytes([0])

CODE_PAGE = "cp1252"
PAPER_DOTS = 384
QR_CELL_DOTS = 6
BAR_DOTS = 2
BARS_HIGH_DOTS = 80


def receipt(rows: Iterable[Row], number: str, says: str) -> bytes:
    """Rows, `number` as a Code 128, `says` as a QR code, and a cut. Rows hold letters of the code page only."""
    printed = [INITIALISE, CODE_PAGE_1252, SMALL_FACE, LEFT]
    bold = False
    for row in rows:
        if row.strong != bold:
            bold = row.strong
            printed.append(BOLD_ON if bold else BOLD_OFF)
        # A sign that is no letter would be an order to the printer.
        printed += [row.words[:WIDTH].encode(CODE_PAGE, "replace"), LF]
    codes = [_bars(number), number.encode(CODE_PAGE, "replace") + LF, _square(says)]
    return b"".join([*printed, BOLD_OFF, LF, CENTRE, *codes, LEFT, FEED_FOUR_LINES, CUT])


def picture(cells: Sequence[Sequence[bool]], dots: int) -> bytes:
    """Rows of cells as the printer's picture, each cell so many dots wide and high."""
    rows = [[cell for cell in row for _ in range(dots)] for row in cells for _ in range(dots)]
    return _raster(rows)


def _square(said: str) -> bytes:
    code = qr_code(said)
    empty = [False] * (len(code) + 2 * QR_QUIET)
    edge = [False] * QR_QUIET
    cells = [*[empty] * QR_QUIET, *([*edge, *row, *edge] for row in code), *[empty] * QR_QUIET]
    return picture(cells, min(QR_CELL_DOTS, PAPER_DOTS // len(empty)))


def _bars(said: str) -> bytes:
    edge = [False] * CODE_128_QUIET
    row = [*edge, *code_128(said), *edge]
    dots = max(1, min(BAR_DOTS, PAPER_DOTS // len(row)))
    return _raster([[cell for cell in row for _ in range(dots)]] * BARS_HIGH_DOTS)


def _raster(rows: Sequence[Sequence[bool]]) -> bytes:
    width = (len(rows[0]) + 7) // 8
    size = width.to_bytes(2, "little") + len(rows).to_bytes(2, "little")
    return PICTURE + size + b"".join(_packed(row, width) for row in rows) + LF


def _packed(row: Sequence[bool], width: int) -> bytes:
    bits = "".join("1" if cell else "0" for cell in row).ljust(width * 8, "0")
    return int(bits, 2).to_bytes(width, "big")

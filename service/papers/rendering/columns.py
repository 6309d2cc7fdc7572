"""Rows of plain text, as wide as a receipt: on a screen, or from a receipt printer."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from dataclasses import dataclass

WIDTH = 42
_LABEL = 10


@dataclass(frozen=True, slots=True)
class Row:
    """One row, at most `WIDTH` wide; `strong` is printed bold where that is possible."""

    words: str
    strong: bool = False


RULE = Row("-" * WIDTH)
DOUBLE_RULE = Row("=" * WIDTH)
GAP = Row("")


def text_of(rows: Iterable[Row]) -> str:
    """Rows as plain text; every one ends with a newline."""
    return "".join(f"{row.words}\n" for row in rows)


def labelled(label: str, words: str, width: int = _LABEL, *, strong: bool = False) -> list[Row]:
    """A label and its words, which stay clear of the label's column."""
    lines = wrapped(words, WIDTH - max(width, len(label) + 1))
    first, indent = f"{label:<{width}}", " " * width
    if len(label) >= width:
        first, indent = f"{label} ", " " * (len(label) + 1)
    return [Row(f"{first if at == 0 else indent}{line}".rstrip(), strong) for at, line in enumerate(lines)]


def ends(left: str, right: str, indent: int = 0, *, strong: bool = False) -> list[Row]:
    """One at the left edge, one at the right; on two lines where they would touch."""
    if indent + len(left) + len(right) < WIDTH:
        return [Row(" " * indent + f"{left}{right:>{WIDTH - indent - len(left)}}", strong)]
    return [*labelled("", left, indent, strong=strong), *(Row(f"{line:>{WIDTH}}", strong) for line in wrapped(right))]


def centred(words: str, *, strong: bool = False) -> list[Row]:
    """Words in the middle."""
    return [Row(line.center(WIDTH).rstrip(), strong) for line in wrapped(words)]


def plain(words: str, *, strong: bool = False) -> list[Row]:
    """Words from the left edge on."""
    return [Row(line, strong) for line in wrapped(words)]


def wrapped(words: str, width: int = WIDTH) -> list[str]:
    """Words stay whole; only one that is longer than the line itself goes on in the next."""
    return textwrap.wrap(words, width, break_on_hyphens=False) or [""]

"""Pages as marks on paper: what is drawn where is decided here, once for every drawn format.

Lengths are points (1/72 in), from the top left corner down. A block is never broken over two pages.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

from service.papers.rendering.codes import CODE_128_QUIET, QR_QUIET, code_128, qr_code
from service.papers.rendering.faces import broken, width_of

# In points: names of facts, what they are, and the thinnest line that a laser prints.
NAME_SIZE = 7.5
WORDS_SIZE = 9.0
HAIR = 0.5


@dataclass(frozen=True, slots=True)
class Words:
    """Words on one line; `y` is the line that they stand on. `white` is for words on a dark box."""

    x: float
    y: float
    words: str
    size: float
    strong: bool = False
    white: bool = False


@dataclass(frozen=True, slots=True)
class Box:
    """A box, filled, or drawn with a line so wide."""

    x: float
    y: float
    width: float
    height: float
    line: float | None = None


Mark: TypeAlias = Words | Box


@dataclass(frozen=True, slots=True)
class Block:
    """Marks that stay together, and how much of the page they take; `with_next` is a heading's."""

    height: float
    marks: tuple[Mark, ...]
    with_next: bool = False


@dataclass(frozen=True, slots=True)
class Page:
    """One page."""

    width: float
    height: float
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A kind of paper: its size and its margin. Without a height it is as long as what stands on it."""

    width: float
    height: float | None
    margin: float

    @property
    def inner(self) -> float:
        """The width between the margins."""
        return self.width - 2 * self.margin


def scaled(block: Block, scale: float) -> Block:
    """The block that much larger or smaller; one that is laid out as much wider or narrower keeps its width."""
    if scale == 1.0:
        return block
    return replace(block, height=block.height * scale, marks=tuple(_scaled(mark, scale) for mark in block.marks))


def _scaled(mark: Mark, scale: float) -> Mark:
    x, y = mark.x * scale, mark.y * scale
    if isinstance(mark, Words):
        return Words(x, y, mark.words, mark.size * scale, mark.strong, mark.white)
    # What is a line stays as thin as it can be printed.
    height = mark.height if mark.height <= HAIR else mark.height * scale
    return Box(x, y, mark.width * scale, height, mark.line)


def paragraph(
    words: str, x: float, y: float, width: float, size: float, *, strong: bool = False
) -> tuple[list[Mark], float]:
    """Words on as many lines as they need, the first below `y`; and where the next may begin."""
    marks: list[Mark] = []
    for line in broken(words, width, size, strong=strong):
        y += size * 1.25
        marks.append(Words(x, y - size * 0.25, line, size, strong))
    return marks, y


def facts_in_columns(facts: Iterable[tuple[str, str]], y: float, width: float) -> tuple[list[Mark], float]:
    """Names and what they are, in two columns; what does not fit its column has a row of its own."""
    marks: list[Mark] = []
    name_width, column, at_left = 58.0, width / 2, True
    for name, words in facts:
        if not words:
            continue
        room = column - name_width - 6
        wide = width_of(words, WORDS_SIZE) > room
        if wide and not at_left:
            y, at_left = y + 12, True
        x = 0 if at_left else column
        marks.append(Words(x, y + 8, name, NAME_SIZE))
        found, end = paragraph(words, x + name_width, y - 1, width - name_width if wide else room, WORDS_SIZE)
        marks += found
        if wide:
            y = end + 1
        else:
            y, at_left = (y, False) if at_left else (y + 12, True)
    return marks, y if at_left else y + 12


def blank(x: float, y: float, width: float) -> list[Mark]:
    """A line to write on."""
    return [Box(x, y + 1.5, width, HAIR)]


def struck(words: str, x: float, y: float, size: float) -> list[Mark]:
    """Words that hold no more, with a line through them."""
    return [Words(x, y, words, size), Box(x - 1, y - size * 0.4, width_of(words, size) + 2, 0.9)]


def fitting(words: str, width: float, size: float) -> float:
    """The size, or the smaller one at which the words have room."""
    wide = width_of(words, size, strong=True)
    return size if wide <= width else max(4.0, size * width / wide)


def label(words: str, x: float, y: float, size: float) -> tuple[list[Mark], float]:
    """Words in white on a dark box whose top left corner is given; and the box's width."""
    width = width_of(words, size, strong=True) + size
    box = Box(x, y, width, size * 1.5)
    return [box, Words(x + size / 2, y + size * 1.12, words, size, strong=True, white=True)], width


def square_code(said: str, x: float, y: float, side: float) -> list[Mark]:
    """A QR code in a square of that side, its light edge included."""
    rows = qr_code(said)
    cell = side / (len(rows) + 2 * QR_QUIET)
    return [
        Box(x + (QR_QUIET + first) * cell, y + (QR_QUIET + down) * cell, (last - first) * cell, cell)
        for down, row in enumerate(rows)
        for first, last in _runs(row)
    ]


def bar_code(said: str, x: float, y: float, width: float, height: float) -> list[Mark]:
    """A Code 128 at most so wide, its light edges included."""
    cells = code_128(said)
    # Two dots of a screen, so that it can be scanned from there too.
    cell = min(width / (len(cells) + 2 * CODE_128_QUIET), 1.5)
    return [Box(x + (CODE_128_QUIET + first) * cell, y, (last - first) * cell, height) for first, last in _runs(cells)]


def flush_left(marks: Sequence[Mark], x: float) -> list[Mark]:
    """Marks moved so that the first begins at `x`: a code's light edge may stand in the margin."""
    return _moved(marks, x - min(mark.x for mark in marks), 0)


def flow(blocks: Sequence[Block], sheet: Sheet, foot: Callable[[int, int], Iterable[Mark]]) -> tuple[Page, ...]:
    """Blocks one below the other on as many pages as they need; `foot` draws each page's foot, of so many.

    Feet are drawn within the lower margin, from the inner height on. A heading goes to the page of what it heads.
    """
    if sheet.height is None:
        height = _height(blocks)
        marks = _stacked(blocks, sheet.margin)
        return (Page(sheet.width, height + 2 * sheet.margin, (*marks, *_moved(foot(1, 1), 0, height + sheet.margin))),)
    inner = sheet.height - 2 * sheet.margin
    pages: list[list[Block]] = [[]]
    for group in _groups(blocks):
        if pages[-1] and _height(pages[-1]) + _height(group) > inner:
            pages.append([])
        pages[-1] += group
    return _pages(pages, sheet, sheet.height, foot)


def _pages(
    pages: Sequence[Sequence[Block]], sheet: Sheet, height: float, foot: Callable[[int, int], Iterable[Mark]]
) -> tuple[Page, ...]:
    return tuple(
        Page(
            sheet.width,
            height,
            (*_stacked(page, sheet.margin), *_moved(foot(at, len(pages)), 0, height - sheet.margin)),
        )
        for at, page in enumerate(pages, start=1)
    )


@dataclass(frozen=True, slots=True)
class Part:
    """What begins on a page of its own: `again` heads each further page of it, `tail` is the foot of its first."""

    blocks: tuple[Block, ...]
    again: Block
    tail: Block

    @property
    def height(self) -> float:
        """How much it takes with its tail, if it has one page."""
        return self.tail.height + sum(block.height for block in self.blocks)


def flow_apart(parts: Sequence[Part], sheet: Sheet, foot: Callable[[int, int], Iterable[Mark]]) -> tuple[Page, ...]:
    """As `flow`, each part apart. Without a height one follows the other, each with its tail."""
    if sheet.height is None:
        return flow([block for part in parts for block in (*part.blocks, part.tail)], sheet, foot)
    inner = sheet.height - 2 * sheet.margin
    pages: list[list[Block]] = []
    for part in parts:
        mine: list[list[Block]] = [[]]
        for group in _groups(part.blocks):
            room = inner - _height(mine[-1]) - (part.tail.height if len(mine) == 1 else 0)
            if mine[-1] and _height(group) > room:
                mine.append([part.again])
            mine[-1] += group
        room = inner - _height(mine[0]) - part.tail.height
        mine[0] += [Block(max(0.0, room), ()), part.tail]
        pages += mine
    return _pages(pages, sheet, sheet.height, foot)


def _height(blocks: Iterable[Block]) -> float:
    return sum(block.height for block in blocks)


def _groups(blocks: Sequence[Block]) -> Iterator[list[Block]]:
    group: list[Block] = []
    for block in blocks:
        group.append(block)
        if not block.with_next:
            yield group
            group = []
    if group:
        yield group


def _stacked(blocks: Iterable[Block], margin: float) -> list[Mark]:
    marks, y = [], margin
    for block in blocks:
        marks += _moved(block.marks, margin, y)
        y += block.height
    return marks


def _moved(marks: Iterable[Mark], right: float, down: float) -> list[Mark]:
    return [replace(mark, x=mark.x + right, y=mark.y + down) for mark in marks]


def _runs(cells: Sequence[bool]) -> Iterator[tuple[int, int]]:
    """Where each run of dark cells begins and ends."""
    start = None
    for at, cell in enumerate([*cells, False]):
        if cell and start is None:
            start = at
        if not cell and start is not None:
            yield start, at
            start = None

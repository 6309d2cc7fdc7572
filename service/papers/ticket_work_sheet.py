"""The lines of a ticket laid out: left and right of one alteration side by side, what cannot be undone largest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from service.papers.rendering.faces import width_of
from service.papers.rendering.layout import (
    HAIR,
    NAME_SIZE,
    WORDS_SIZE,
    Block,
    Box,
    Mark,
    Words,
    blank,
    fitting,
    label,
    paragraph,
    struck,
)
from service.papers.ticket_lines import CAUTION, STOP, Measure, TicketLine
from service.tongues.tongues import Say

_SMALL, _USUAL = NAME_SIZE, WORDS_SIZE
# To be read at arm's length: the change, what it ends at, and what is cut and cannot be undone.
_CHANGE, _LARGE, _CUT = 10.5, 14.0, 17.0
_TIGHT = 0.88
_EDGE, _INDENT, _GAP = 6.0, 24.0, 10.0


def work_block(say: Say, lines: Sequence[TicketLine], width: float) -> Block:
    """One alteration: a line of its own, or its left and right in two columns; what both share stands over them."""
    first, right, of_two = lines[0], width - _EDGE, len(lines) > 1
    marks, y = _words(say, lines, right)
    shared = [said for said in (*first.stops, *first.details) if all(said in (*e.stops, *e.details) for e in lines)]
    found, y = _said(say, [said for said in shared if said[0] != CAUTION], _INDENT, y, right)
    marks += found
    room = (width - 2 * _EDGE - (len(lines) - 1) * _GAP) / len(lines)
    ends = []
    for at, line in enumerate(lines):
        x = _EDGE + at * (room + _GAP)
        found, end = _side(say, line, shared, (x, y + 2, x + room), of_two=of_two)
        marks += found
        ends.append(end)
        if at:
            marks.append(Box(x - _GAP / 2, y + 3, HAIR, end - y - 7))
    found, y = _said(say, [said for said in shared if said[0] == CAUTION], _INDENT, max(ends) + 1, right)
    return Block(y + 7, (*marks, *found, Box(0, 0, width, y + 4, HAIR)))


def _said(say: Say, said: Sequence[tuple[str, str]], x: float, y: float, right: float) -> tuple[list[Mark], float]:
    """What stops the hand in strong letters, cautions small, the rest by its name."""
    marks: list[Mark] = []
    for name, words in said:
        size = _SMALL if name == CAUTION else _USUAL
        text = f"{name} {words}" if name == STOP else f"{say(name).capitalize()}{say(':')} {words}"
        # Rather a little smaller than a word by itself on a second line.
        tight = fitting(text, right - x, size)
        found, y = paragraph(text, x, y, right - x, tight if tight > size * _TIGHT else size, strong=name == STOP)
        marks += found
    return marks, y


def _words(say: Say, lines: Sequence[TicketLine], right: float) -> tuple[list[Mark], float]:
    """The numbers, the side where there is but one, what is done, and its minutes and price at the edge."""
    numbers = "+".join(str(line.number) for line in lines)
    marks: list[Mark] = [Words(7, 16, numbers, 14, strong=True)]
    x = max(_INDENT, 7 + width_of(numbers, 14, strong=True) + 6)
    if len(lines) == 1 and lines[0].side:
        found, wide = label(say(lines[0].side.upper()), x, 4, 9.5)
        marks += found
        x += wide + 5
    minutes = say("{n} min", n=" + ".join(str(line.minutes) for line in lines))
    booked = f"{minutes} · {' + '.join(line.price for line in lines)}"
    size = fitting(booked, 130, _SMALL)
    booked_at = right - width_of(booked, size)
    marks.append(Words(booked_at, 14, booked, size))
    found, y = paragraph(lines[0].words, x, 2.5, booked_at - x - 6, 11, strong=True)
    marks += found
    beside = x + width_of(lines[0].words, 11, strong=True) + 6
    if len(lines) > 1 and lines[0].finished and beside + width_of(lines[0].finished.of, _USUAL) < booked_at:
        marks.append(Words(beside, found[0].y, lines[0].finished.of, _USUAL))
    return marks, max(y, 19.0)


def _side(
    say: Say, line: TicketLine, shared: Sequence[tuple[str, str]], room: tuple[float, float, float], *, of_two: bool
) -> tuple[list[Mark], float]:
    """One line's own: what stops it, its measures, what the other side does not share, and who signs for it."""
    x, y, right = room
    marks: list[Mark] = []
    own = [said for said in (*line.stops, *line.details) if said not in shared]
    if line.was:
        marks += struck(line.was, x, y + 8, fitting(line.was, right - x, _SMALL))
        y += 12
    if of_two:
        found, wide = label(say(line.side.upper()), x, y, 10.5)
        change = line.change[0].text if line.change else say("line {number}", number=line.number)
        size = fitting(change, right - x - wide - 6, _CHANGE)
        marks += [*found, Words(x + wide + 6, y + 12, change, size, strong=True)]
        y += 16
    found, y = _said(say, own, x, y, right)
    marks += found
    found, y = _measures(say, line, x, y, right, of_two=True) if of_two else _measures_beside(say, line, x, y, right)
    marks += found
    found, y = _signatures(say, line, x, y + 2, right)
    return [*marks, *found], y


def _measures_beside(say: Say, line: TicketLine, x: float, y: float, right: float) -> tuple[list[Mark], float]:
    """The change on the left, what it ends at on the right."""
    marks: list[Mark] = []
    middle = x + (right - x) * 0.51
    down = y
    for at, change in enumerate(line.change):
        found, down = _measure("", change, (x, down, middle - 6), _USUAL if at else _CHANGE, strong=not at)
        marks += found
    found, y = _measures(say, line, middle if line.change else x, y, right)
    return [*marks, *found], max(y, down)


def _measures(
    say: Say, line: TicketLine, x: float, y: float, right: float, *, of_two: bool = False
) -> tuple[list[Mark], float]:
    """The finished measure, large enough not to be missed, and the cut larger still."""
    marks: list[Mark] = []
    if line.finished:
        finished = replace(line.finished, of="") if of_two else line.finished
        found, y = _measure(f"{say('TO')} ", finished, (x, y, right), _LARGE, strong=True)
        marks += found
    elif line.is_measured:
        found, y = _unsaid(say, say("NOT PINNED" if line.not_pinned else "not recorded: measure first"), x, y, right)
        marks += found
    if line.mark_again:
        half = x + (right - x) * 0.56
        beside = x + max(30, width_of(say("or TO"), _USUAL, strong=True) + 2)
        marks += [Words(x, y + 14, say("or TO"), _USUAL, strong=True), *blank(beside, y + 14, half - beside - 4)]
        found, _ = _signed(say("marked by"), half, y + 4, right)
        marks += found
        y += 18
    if line.cut:
        found, y = _cut(say, line, line.cut, x, y + 3, right)
        marks += found
    elif line.second_reading:
        found, y = _signed(say("read again before the cut by"), x, y + 1, min(right, x + 220), strong=True)
        marks += found
    return marks, y


def _unsaid(say: Say, why: str, x: float, y: float, right: float) -> tuple[list[Mark], float]:
    """Room to write a measure into, and why there is none."""
    beside = x + max(28, width_of(say("TO"), _LARGE, strong=True) + 6)
    marks: list[Mark] = [
        Words(x, y + 14, say("TO"), _LARGE, strong=True),
        *blank(beside, y + 14, min(right - beside, 150)),
    ]
    found, y = paragraph(why, beside, y + 16, right - beside, _USUAL, strong=True)
    return [*marks, *found], y


def _cut(say: Say, line: TicketLine, cut: Measure, x: float, y: float, right: float) -> tuple[list[Mark], float]:
    """Where the shears go, in a frame of its own, and who read it a second time."""
    right = min(right, x + 230)
    marks, wide = label(say("CUT AT"), x, y, 9)
    size = fitting(cut.text, right - x - 10, _CUT)
    marks.append(Words(x + 5, y + 15 + size, cut.text, size, strong=True))
    if line.second_reading:
        found, _ = _signed(say("read again by"), x + wide + 5, y, right - 4)
        marks += found
    else:
        marks.append(Words(x + wide + 5, y + 10, cut.of, fitting(cut.of, right - x - wide - 9, _SMALL)))
    return [*marks, Box(x, y, right - x, 20 + size, 1.5)], y + 22 + size


def _measure(
    before: str, measure: Measure, room: tuple[float, float, float], size: float, *, strong: bool
) -> tuple[list[Mark], float]:
    x, y, right = room
    words = f"{before}{measure.text}"
    size = fitting(words, right - x, size)
    y += size * 1.25
    marks: list[Mark] = [Words(x, y - size * 0.3, words, size, strong)]
    beside = x + width_of(words, size, strong=strong) + 7
    if not measure.of:
        return marks, y
    if beside + width_of(measure.of, _SMALL) <= right:
        return [*marks, Words(beside, y - size * 0.3, measure.of, _SMALL)], y
    found, y = paragraph(measure.of, x, y - 2, right - x, _SMALL)
    return [*marks, *found], y


def _signatures(say: Say, line: TicketLine, x: float, y: float, right: float) -> tuple[list[Mark], float]:
    marks: list[Mark] = []
    taped = ((say("tape"), 3),) if line.is_measured else ()
    names = ((say("by"), 3), *taped, (say("min"), 2))
    named = sum(width_of(name, _SMALL) + 8 for name, _ in names)
    share = (min(right - x, 260) - named) / sum(part for _, part in names)
    for name, part in names:
        marks.append(Words(x, y + 10, name, _SMALL))
        x += width_of(name, _SMALL) + 3
        marks += blank(x, y + 10, part * share)
        x += part * share + 5
    return marks, y + 13


def _signed(words: str, x: float, y: float, right: float, *, strong: bool = False) -> tuple[list[Mark], float]:
    """Words, and room for who signs them."""
    end = x + width_of(words, _SMALL, strong=strong) + 4
    return [Words(x, y + 10, words, _SMALL, strong=strong), *blank(end, y + 10, right - end)], y + 14

"""Where a drawing's figures and words stand on the sheet: A4 across, drawn smaller only where the words need it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from service.papers.drawing.drawings import VIEWS, Column, Drawing, Remark, Spot, View
from service.papers.rendering.faces import broken

# A4 across (ISO 216, in mm) less the centimetre at each edge that printers leave white: a sheet is printed on one page.
PAPER_MM = (277.0, 190.0)
WIDTH = 842.0
LEAST_HEIGHT = WIDTH * PAPER_MM[1] / PAPER_MM[0]
MARGIN = 4.0
TOP = 62.0
SIZE, LEADING = 7.4, 8.9
# A figure as drawn, in points for 1/380 of the stature.
SCALE = 0.95
FLOOR = TOP + 384 * SCALE
FOOT_GAP = 22.0
BETWEEN = 4.5
# Half the room that a figure takes, in its own units.
_HALF: dict[View, float] = {"front": 66, "side": 42, "back": 66}
_COLUMN = (WIDTH - 2 * MARGIN - 2 * SCALE * sum(_HALF.values())) / 6
_AWAY = 6.0


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure's middle and the edges of its room; words stand outside of them."""

    view: View
    middle: float
    left: float
    right: float

    def at(self, spot: Spot) -> Spot:
        """A spot of the man on the sheet."""
        return (self.middle + SCALE * spot[0], TOP + SCALE * spot[1])


@dataclass(frozen=True, slots=True)
class Label:
    """A remark's words on the sheet: `x` is the edge towards the figure, `y` the top; the verdict's line is first."""

    remark: Remark
    x: float
    y: float
    strong: tuple[str, ...]
    plain: tuple[str, ...]

    @property
    def height(self) -> float:
        """How much of its column it takes."""
        return LEADING * (len(self.strong) + len(self.plain))


@dataclass(frozen=True, slots=True)
class Sheet:
    """Figures, words beside them, and below all at `foot` what nobody judged."""

    figures: dict[View, Figure]
    labels: tuple[Label, ...]
    foot: float
    unjudged: tuple[str, ...]
    height: float

    @property
    def printed_mm(self) -> tuple[float, float]:
        """Width and height as it is printed: as large as a page of A4 lets it."""
        scale = min(PAPER_MM[0] / WIDTH, PAPER_MM[1] / self.height)
        return (WIDTH * scale, self.height * scale)


def drawing_sheet(paper: Drawing) -> Sheet:
    """A drawing laid out; no words run into others, however many there are."""
    figures = _figures()
    columns: tuple[Column, ...] = ("left", "right")
    labels = tuple(
        label
        for view in VIEWS
        for column in columns
        for label in _column(
            figures[view], [each for each in paper.remarks if (each.view, each.column) == (view, column)]
        )
    )
    lowest = max((each.y + each.height for each in labels), default=0.0)
    foot = max(FLOOR, lowest) + FOOT_GAP
    unjudged = tuple(line for words in paper.unjudged for line in broken(words, WIDTH - 2 * MARGIN, SIZE))
    bottom = foot + (len(unjudged) + 3 if unjudged else 1) * LEADING + MARGIN
    return Sheet(figures, labels, foot, unjudged, max(LEAST_HEIGHT, bottom))


def _figures() -> dict[View, Figure]:
    figures: dict[View, Figure] = {}
    edge = MARGIN
    for view in VIEWS:
        half = SCALE * _HALF[view]
        middle = edge + _COLUMN + half
        figures[view] = Figure(view, middle, middle - half, middle + half)
        edge = middle + half + _COLUMN
    return figures


def _column(figure: Figure, remarks: Sequence[Remark]) -> list[Label]:
    """The words of a column, each as near to the height of its mark as the others let it."""
    labels: list[Label] = []
    for each in remarks:
        is_left = each.column == "left"
        x = figure.left - _AWAY if is_left else figure.right + _AWAY
        width = _COLUMN - 2 * _AWAY
        strong = tuple(_verdict_lines(each))
        plain = tuple(broken(each.text, width, SIZE))
        wished = figure.at(each.spots[0])[1] - LEADING / 2
        least = labels[-1].y + labels[-1].height + BETWEEN if labels else TOP
        labels.append(Label(each, x, max(wished, least), strong, plain))
    return _moved_up(labels)


def _verdict_lines(remark: Remark) -> list[str]:
    """The number and the verdict; that it is still worn stands whole on a line of its own."""
    return f"{remark.number} {remark.verdict}".replace(", ", ",\n").split("\n")


def _moved_up(labels: Sequence[Label]) -> list[Label]:
    """What was pushed below the man's feet goes up again, as far as there is room."""
    moved: list[Label] = []
    below = FLOOR + BETWEEN
    for each in reversed(labels):
        above = max(TOP, _least(labels, each))
        y = max(min(each.y, below - BETWEEN - each.height), above)
        moved.append(Label(each.remark, each.x, y, each.strong, each.plain))
        below = y
    return moved[::-1]


def _least(labels: Sequence[Label], label: Label) -> float:
    """As high as a label could stand with all before it packed from the top."""
    before = [each for each in labels if each.remark.number < label.remark.number]
    return TOP + sum(each.height + BETWEEN for each in before)

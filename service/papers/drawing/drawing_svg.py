"""A drawing as SVG: the man from three sides, black on white; what the marks say stands beside them in words."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any
from xml.etree import ElementTree as ET

from service.papers.drawing.drawing_sheet import (
    LEADING,
    MARGIN,
    SCALE,
    SIZE,
    TOP,
    WIDTH,
    Figure,
    Label,
    Sheet,
    drawing_sheet,
)
from service.papers.drawing.drawings import SAYS, SIDES_NOTE, SIGNS, VIEWS, Drawing, Sign, said
from service.papers.rendering.faces import FAMILY, width_of

_SVG = "http://www.w3.org/2000/svg"
_HEADS = {
    "front": ("THEIR RIGHT", "FRONT", "THEIR LEFT"),
    "side": ("", "RIGHT SIDE", ""),
    "back": ("THEIR LEFT", "BACK", "THEIR RIGHT"),
}
_LOOK: dict[str, dict[str, str]] = {
    "body": {"fill": "#fff", "stroke-width": "1.1"},
    "line": {"fill": "none", "stroke-width": "0.9"},
    "seam": {"fill": "none", "stroke-width": "0.5"},
    "hidden": {"fill": "none", "stroke-width": "0.6", "stroke-dasharray": "3 2"},
}
# Each verdict has a shape of its own, so that it is told apart without colour: its outline, its fill, and how far
# below its middle the number stands.
_SHAPES: dict[Sign, tuple[str, str, float]] = {
    "right": ("M-5.6,0 a5.6,5.6 0 1 0 11.2,0 a5.6,5.6 0 1 0 -11.2,0 Z", "#fff", 2.0),
    "too_little": ("M-7.8,-5 L7.8,-5 L0,8.4 Z", "#000", 0.6),
    "too_much": ("M-7.8,5 L7.8,5 L0,-8.4 Z", "#000", 3.8),
    "watch": ("M0,-8 L8,0 L0,8 L-8,0 Z", "#fff", 2.0),
    "not_judged": ("M-2.2,-2.2 L2.2,2.2 M-2.2,2.2 L2.2,-2.2", "none", 0.0),
}
_NUMBER_SIZE = 5.6


def drawing_svg(paper: Drawing) -> str:
    """An SVG document that prints on a page of A4, black on white, with all it says as text in its description."""
    ET.register_namespace("", _SVG)
    sheet = drawing_sheet(paper)
    width_mm, height_mm = sheet.printed_mm
    root = ET.Element(
        f"{{{_SVG}}}svg",
        {
            "width": f"{_n(width_mm)}mm",
            "height": f"{_n(height_mm)}mm",
            "viewBox": f"0 0 {_n(WIDTH)} {_n(sheet.height)}",
            "role": "img",
            "aria-labelledby": "title desc",
            "lang": "en",
            "font-family": FAMILY,
        },
    )
    ET.SubElement(root, f"{{{_SVG}}}title", {"id": "title"}).text = f"{paper.title}: {paper.worn}"
    ET.SubElement(root, f"{{{_SVG}}}desc", {"id": "desc"}).text = "\n".join(said(paper))
    ET.SubElement(root, f"{{{_SVG}}}rect", {"width": "100%", "height": "100%", "fill": "#fff"})
    _head(root, paper)
    for view in VIEWS:
        _figure(root, sheet.figures[view], paper)
    for label in sheet.labels:
        _leader(root, label, sheet.figures[label.remark.view])
    for view, spot in paper.bare:
        _mark(root, "not_judged", sheet.figures[view].at(spot))
    for label in sheet.labels:
        figure = sheet.figures[label.remark.view]
        for spot in label.remark.spots:
            _mark(root, label.remark.sign, figure.at(spot), str(label.remark.number))
        _label(root, label, figure)
    _foot(root, paper, sheet)
    return ET.tostring(root, encoding="unicode", xml_declaration=False) + "\n"


def _head(root: ET.Element, paper: Drawing) -> None:
    _text(root, paper.title, MARGIN, 18, size=14, strong=True)
    _text(root, f"Worn: {paper.worn}. Decision: {paper.decision}.", MARGIN, 32, size=9)
    number = f"Fit check {paper.number}"
    _text(root, number, WIDTH - MARGIN - width_of(number, SIZE), 18)
    _text(root, SIDES_NOTE, WIDTH - MARGIN - width_of(SIDES_NOTE, SIZE), 32)


def _figure(root: ET.Element, figure: Figure, paper: Drawing) -> None:
    left, middle, right = _HEADS[figure.view]
    _text(root, left, figure.left - 6 - width_of(left, SIZE), 52)
    _text(root, middle, figure.middle - width_of(middle, 9, strong=True) / 2, 52, size=9, strong=True)
    _text(root, right, figure.right + 6, 52)
    place = f"translate({_n(figure.middle)} {_n(TOP)}) scale({SCALE})"
    look = {"transform": place, "stroke": "#000", "stroke-linejoin": "round", "stroke-linecap": "round"}
    man = ET.SubElement(root, f"{{{_SVG}}}g", {"id": f"man-{figure.view}", **look})
    for stroke in _art()[figure.view]:
        if all(_is_so(what, paper.garments) for what in stroke["when"]):
            drawn = {"d": stroke["d"], **_LOOK[stroke["kind"]]}
            ET.SubElement(man, f"{{{_SVG}}}path", drawn)
            if stroke["mirrored"]:
                ET.SubElement(man, f"{{{_SVG}}}path", {**drawn, "transform": "scale(-1 1)"})


def _is_so(what: str, worn: tuple[str, ...]) -> bool:
    return what.removeprefix("no ") not in worn if what.startswith("no ") else what in worn


def _leader(root: ET.Element, label: Label, figure: Figure) -> None:
    spots = [figure.at(spot) for spot in label.remark.spots]
    x, y = min(spots, key=lambda spot: abs(spot[0] - label.x))
    turn = label.x + (4 if label.x < figure.middle else -4)
    level = label.y + LEADING / 2
    path = f"M{_n(label.x)},{_n(level)} L{_n(turn)},{_n(level)} L{_n(x)},{_n(y)}"
    ET.SubElement(root, f"{{{_SVG}}}path", {"d": path, "fill": "none", "stroke": "#000", "stroke-width": "0.45"})


def _label(root: ET.Element, label: Label, figure: Figure) -> None:
    group = ET.SubElement(root, f"{{{_SVG}}}g", {"class": "label", "id": f"label-{label.remark.number}"})
    is_left = label.x < figure.middle
    lines = [(line, True) for line in label.strong] + [(line, False) for line in label.plain]
    for row, (line, strong) in enumerate(lines):
        width = width_of(line, SIZE, strong=strong)
        x = label.x - 2 - width if is_left else label.x + 2
        _text(group, line, x, label.y + row * LEADING + SIZE - 0.4, strong=strong)


def _mark(root: ET.Element, sign: Sign, at: tuple[float, float], number: str = "") -> None:
    outline, fill, lower = _SHAPES[sign]
    place = {"class": f"mark {sign}", "transform": f"translate({_n(at[0])} {_n(at[1])})"}
    group = ET.SubElement(root, f"{{{_SVG}}}g", place)
    # A rim of white keeps it clear of the lines that it stands on.
    ET.SubElement(group, f"{{{_SVG}}}path", {"d": outline, "fill": "none", "stroke": "#fff", "stroke-width": "2.6"})
    ET.SubElement(group, f"{{{_SVG}}}path", {"d": outline, "fill": fill, "stroke": "#000", "stroke-width": "0.9"})
    if number:
        x = -width_of(number, _NUMBER_SIZE, strong=True) / 2
        _text(group, number, x, lower, size=_NUMBER_SIZE, strong=True, white=fill == "#000")


def _foot(root: ET.Element, paper: Drawing, sheet: Sheet) -> None:
    x = MARGIN + 8
    for sign in SIGNS:
        _mark(root, sign, (x, sheet.foot))
        _text(root, SAYS[sign], x + 13, sheet.foot + 2.6, size=8)
        x += 13 + width_of(SAYS[sign], 8) + 26
    _text(root, "The number in a mark is that of its words.", x, sheet.foot + 2.6, size=8)
    if not paper.unjudged:
        return
    row = sheet.foot + 2.4 * LEADING
    _text(root, "Not judged", MARGIN, row, strong=True)
    for number, line in enumerate(sheet.unjudged, start=1):
        _text(root, line, MARGIN, row + number * LEADING)


def _text(
    root: ET.Element, words: str, x: float, y: float, *, size: float = SIZE, strong: bool = False, white: bool = False
) -> None:
    if not words:
        return
    look = {"font-weight": "bold"} if strong else {}
    look |= {"fill": "#fff"} if white else {}
    # Another typeface than ours is drawn as wide as ours, so that nothing runs into anything.
    fit = {"textLength": _n(width_of(words, size, strong=strong)), "lengthAdjust": "spacingAndGlyphs"}
    place = {"x": _n(x), "y": _n(y), "font-size": _n(size)}
    ET.SubElement(root, f"{{{_SVG}}}text", {**place, **look, **fit}).text = words


@cache
def _art() -> dict[str, Any]:
    return tomllib.loads((files(__package__) / "figures.toml").read_text(encoding="utf-8"))


def _n(size: float) -> str:
    return f"{size:.2f}".rstrip("0").rstrip(".")

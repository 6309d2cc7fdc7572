"""A page as SVG: words stay words, for a screen reader and for a search."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from service.papers.rendering.faces import FAMILY, width_of
from service.papers.rendering.layout import Box, Mark, Page

_SVG = "http://www.w3.org/2000/svg"


def svg(page: Page, title: str, language: str = "en") -> str:
    """An SVG document in points, black on white."""
    ET.register_namespace("", _SVG)
    size = {"width": f"{page.width:g}pt", "height": f"{page.height:.1f}pt"}
    box = {"viewBox": f"0 0 {page.width:g} {page.height:.1f}", "role": "document", "lang": language}
    root = ET.Element(f"{{{_SVG}}}svg", {**size, **box, "font-family": FAMILY})
    ET.SubElement(root, f"{{{_SVG}}}title").text = title
    ET.SubElement(root, f"{{{_SVG}}}rect", {"width": "100%", "height": "100%", "fill": "#fff"})
    for mark in page.marks:
        _draw(root, mark)
    return ET.tostring(root, encoding="unicode", xml_declaration=False) + "\n"


def _draw(root: ET.Element, mark: Mark) -> None:
    if isinstance(mark, Box):
        place = {"x": _n(mark.x), "y": _n(mark.y), "width": _n(mark.width), "height": _n(mark.height)}
        look = {"fill": "none", "stroke": "#000", "stroke-width": _n(mark.line)} if mark.line is not None else {}
        ET.SubElement(root, f"{{{_SVG}}}rect", {**place, **look})
        return
    place = {"x": _n(mark.x), "y": _n(mark.y), "font-size": _n(mark.size)}
    look = {"font-weight": "bold"} if mark.strong else {}
    look |= {"fill": "#fff"} if mark.white else {}
    # Another typeface than ours is drawn as wide as ours, so that nothing runs into anything.
    fit = {"textLength": _n(width_of(mark.words, mark.size, strong=mark.strong)), "lengthAdjust": "spacingAndGlyphs"}
    ET.SubElement(root, f"{{{_SVG}}}text", {**place, **look, **fit}).text = mark.words


def _n(size: float) -> str:
    return f"{size:.2f}".rstrip("0").rstrip(".")

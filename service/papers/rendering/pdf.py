"""Pages as PDF: the same pages, the same bytes."""

from __future__ import annotations

import io
from collections.abc import Sequence

from reportlab import rl_config
from reportlab.pdfgen.canvas import Canvas

from service.papers.rendering.faces import face_of
from service.papers.rendering.layout import Box, Page

# Every reader takes compressed bytes as they are; written as letters they are a quarter more, and take as long again.
rl_config.useA85 = 0


def pdf(pages: Sequence[Page], title: str) -> bytes:
    """A PDF document; its words can be searched and copied."""
    written = io.BytesIO()
    # Without the hour and a random id, so that what is printed twice is the same.
    canvas = Canvas(written, pagesize=(pages[0].width, pages[0].height), invariant=True, pageCompression=1)
    canvas.setTitle(title)
    for page in pages:
        canvas.setPageSize((page.width, page.height))
        _draw(canvas, page)
        canvas.showPage()
    canvas.save()
    return written.getvalue()


def _draw(canvas: Canvas, page: Page) -> None:
    # The format counts from the bottom up, and a page begins without a font.
    font: tuple[str, float] | None = None
    for mark in page.marks:
        if isinstance(mark, Box):
            _draw_box(canvas, mark, page.height)
            continue
        if mark.white:
            canvas.saveState()
            canvas.setFillGray(1)
        wanted = face_of(strong=mark.strong), mark.size
        if wanted != font:
            canvas.setFont(*wanted)
        canvas.drawString(mark.x, page.height - mark.y, mark.words)
        if mark.white:
            canvas.restoreState()
        else:
            font = wanted


def _draw_box(canvas: Canvas, box: Box, height: float) -> None:
    # As the format says it: a code is a thousand boxes, and the library takes six times as long to say the same.
    end = "f"
    if box.line is not None:
        canvas.setLineWidth(box.line)
        end = "S"
    low = height - box.y - box.height
    canvas.addLiteral(f"{box.x:.3f} {low:.3f} {box.width:.3f} {box.height:.3f} re {end}")

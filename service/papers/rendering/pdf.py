"""Pages as PDF: the same pages, the same bytes."""

from __future__ import annotations

import io
from collections.abc import Sequence

from reportlab.pdfgen.canvas import Canvas

from service.papers.rendering.faces import face_of
from service.papers.rendering.layout import Box, Mark, Page


def pdf(pages: Sequence[Page], title: str) -> bytes:
    """A PDF document; its words can be searched and copied."""
    written = io.BytesIO()
    # Without the hour and a random id, so that what is printed twice is the same.
    canvas = Canvas(written, pagesize=(pages[0].width, pages[0].height), invariant=True, pageCompression=1)
    canvas.setTitle(title)
    for page in pages:
        canvas.setPageSize((page.width, page.height))
        for mark in page.marks:
            _draw(canvas, mark, page.height)
        canvas.showPage()
    canvas.save()
    return written.getvalue()


def _draw(canvas: Canvas, mark: Mark, height: float) -> None:
    # The format counts from the bottom up. What is drawn in black needs not be told so: a code is a thousand boxes.
    if isinstance(mark, Box):
        if mark.line is not None:
            canvas.setLineWidth(mark.line)
        filled = mark.line is None
        low = height - mark.y - mark.height
        canvas.rect(mark.x, low, mark.width, mark.height, stroke=int(not filled), fill=int(filled))
        return
    if mark.white:
        canvas.saveState()
        canvas.setFillGray(1)
    canvas.setFont(face_of(strong=mark.strong), mark.size)
    canvas.drawString(mark.x, height - mark.y, mark.words)
    if mark.white:
        canvas.restoreState()

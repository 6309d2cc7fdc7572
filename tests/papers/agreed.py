"""The papers that were agreed, and where they are kept."""

import io
from pathlib import Path

import pypdf

from tests.papers.looking import (
    JSON,
    RECEIPT,
    SVG,
    TEXT,
)
from tests.papers.orders import an_order, dinner

GOLDEN = Path(__file__).parent / "golden"
FIXED = {"suit": an_order, "dinner": dinner}
KINDS = {TEXT: "txt", SVG: "svg", RECEIPT: "receipt", JSON: "json"}


def text_of(pdf):
    """The words of a PDF, page by page."""
    return [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages]

"""The papers that were agreed, and where they are kept."""

import io
from pathlib import Path

import pypdf

from tests.papers import fixed_orders
from tests.papers.looking import JSON, RECEIPT, SVG, TEXT
from tests.papers.orders import an_order, dinner

GOLDEN = Path(__file__).parent / "golden"
FIXED = {"suit": an_order, "dinner": dinner}
KINDS = {TEXT: "txt", SVG: "svg", RECEIPT: "receipt", JSON: "json"}
# Of these the words are kept, as a receipt and as pages: what is drawn is drawn alike.
LIVED = {
    "centimetres": fixed_orders.in_centimetres,
    "query_answered": fixed_orders.a_query_answered,
    "redo": fixed_orders.a_redo,
    "struck_line": fixed_orders.a_struck_line,
    "group": fixed_orders.one_of_a_group,
    "brought_in": fixed_orders.a_garment_brought_in,
    "part_collected": fixed_orders.a_part_collected,
}
# The suit again, as a bench that works in another language has it.
ABROAD = ("de", "fr")
SAID_BESIDE = {"group": {"group": "GROUP party-7, order 2 of 3"}}


def text_of(pdf):
    """The words of a PDF, page by page."""
    return [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages]

"""The customer's own view of his order: where it stands and its day, nothing personal."""

from __future__ import annotations

from flask import Response

from service.http.contract.contract_words import KEPT
from service.http.operations import context, operation
from service.http.orders.papers import TEXT, CustomerSlipSchema, in_language
from service.http.parsing import StrictBlueprint
from service.use_cases.orders.order_papers import OrderOnPaper
from service.use_cases.orders.orders import collection_slip, slip_is_of

room = StrictBlueprint("collection_slips", __name__, description="What the customer may see")

# A customer who looks twice in a minute need not ask twice; nobody between him and the shop keeps it.
KEPT_FOR = "private, max-age=60"
# The page has its own style and nothing else.
ALLOWS = "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'"


@operation(
    room, "GET", "/collection-slips/<token:slip>", scope=None, answer=CustomerSlipSchema,
    also={"text/html": TEXT, "text/plain": TEXT}, cacheable=True, refuses=(404, 406),
    sends=(*KEPT, "Content-Language"),
    made_of=lambda slip: slip_is_of(context(), slip),
)  # fmt: skip
def read_collection_slip(slip: str) -> Response:
    """The customer's own view, by the unguessable token on their slip: JSON, a small page, or plain text."""
    response = in_language("collection_slip", OrderOnPaper(*collection_slip(context(), slip)))
    response.headers["Cache-Control"] = KEPT_FOR
    if response.mimetype == "text/html":
        response.headers["Content-Security-Policy"] = ALLOWS
    return response

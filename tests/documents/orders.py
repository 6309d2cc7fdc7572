"""Orders for the tests of papers: one fixed, others drawn from the whole catalogue."""

from datetime import UTC, date, datetime, timedelta, timezone

from hypothesis import strategies as st

from service.tailoring.alterations import Amount, catalogue
from service.tailoring.garment_pieces import PATTERNS, GarmentPiece
from service.tailoring.money import PriceList
from service.tailoring.order_lines import LineAsked, lines_of
from service.tailoring.orders import place
from service.tailoring.quantities import LENGTH_UNITS, Length, length
from service.tailoring.refusals import Refusal

PLACED = datetime(2026, 3, 2, 10, 20, tzinfo=timezone(timedelta(hours=1)))
PARTICULARS = {
    "number": "A-0412",
    "customer_ref": "RM-17",
    "sale_ref": "S-2093",
    "needed_by": date(2026, 3, 14),
    "promised_for": date(2026, 3, 12),
    "placed_at": PLACED,
    "marked_by": "Ann",
}
SUIT = (
    GarmentPiece(1, "jacket", "everyday", "40R", "navy worsted", pins_left_in=2),
    GarmentPiece(2, "trousers", "everyday", "34", "navy worsted", pins_left_in=4),
)


def asked(piece, code, inches, basis, target, side=None, direction="decrease", **more):
    return LineAsked(piece, code, Amount(length(inches, "in"), basis, direction, side), length(target, "in"), **more)


SUIT_WORK = (
    asked(2, "trouser_hem", "1 1/4", "length", "30 3/8", "left"),
    asked(2, "trouser_hem", "1 1/2", "length", "30 1/8", "right"),
    asked(2, "trouser_waist_in", "1 1/4", "girth", "33 3/4"),
    asked(1, "jacket_sleeve_shorten_at_cuff", "1/2", "length", "24 1/2", "left"),
    asked(1, "jacket_sleeve_shorten_at_cuff", "3/8", "length", "24 5/8", "right"),
    asked(1, "jacket_waist_in", "3/4", "girth", "38 1/4"),
)


def an_order(work=SUIT_WORK, garments=SUIT, prices=None, **more):
    return place(garments, lines_of(garments, work, prices or PriceList()), **PARTICULARS | more)


_words = st.one_of(st.text(max_size=120), st.text("abcdefghij", min_size=43, max_size=90))
_lengths = st.builds(Length, st.floats(0.01, 10_000), st.sampled_from(LENGTH_UNITS))


@st.composite
def _works(draw, piece):
    doing = draw(st.sampled_from([found for found in catalogue().values() if found.garment == piece.garment]))
    amount = None
    if doing.directions:
        direction = draw(st.sampled_from(doing.directions))
        size = Length(draw(st.floats(0.01, doing.most_mm(direction))), draw(st.sampled_from(LENGTH_UNITS)))
        side = draw(st.sampled_from(("left", "right", "both"))) if doing.sided else None
        amount = Amount(size, doing.basis, direction, side)
    return LineAsked(piece.piece, doing.code, amount, draw(st.none() | _lengths), None, draw(_words))


@st.composite
def orders(draw):
    pieces = [
        GarmentPiece(
            number,
            draw(st.sampled_from(("jacket", "trousers", "waistcoat", "shirt"))),
            draw(st.none() | _words),
            draw(st.none() | _words),
            draw(_words),
            draw(st.sampled_from(PATTERNS)),
            draw(st.booleans()),
            draw(st.integers(0, 99)),
        )
        for number in range(1, draw(st.integers(1, 3)) + 1)
    ]
    lines = []
    for piece in pieces:
        for work in draw(st.lists(_works(piece), min_size=1, max_size=3)):
            # What the core refuses beside the rest is left out.
            try:
                lines_of(pieces, [*lines, work], PriceList())
            except Refusal:
                continue
            lines.append(work)
    if not lines:
        pieces, lines = SUIT, SUIT_WORK
    prices = PriceList(draw(st.sampled_from(("EUR", "JPY", "KWD"))), draw(st.integers(0, 10**9)))
    more = {name: draw(_words) for name in ("number", "customer_ref", "sale_ref", "marked_by")}
    return an_order(lines, pieces, prices, **more, placed_at=datetime(2026, 3, 2, tzinfo=UTC))

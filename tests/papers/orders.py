"""Orders for the tests of papers: one fixed, others drawn from the whole catalogue."""

from datetime import UTC, date, datetime, timedelta, timezone

from hypothesis import strategies as st

from service.tailoring.garments.alterations import catalogue
from service.tailoring.garments.amounts import Amount
from service.tailoring.garments.pieces import PATTERNS, GarmentPiece
from service.tailoring.orders.lines.order_lines import LineAsked, lines_of
from service.tailoring.orders.order_moves import move
from service.tailoring.orders.orders import place
from service.tailoring.quantities import LENGTH_UNITS, Length, length
from service.tailoring.refusals import Refusal
from service.tailoring.work.prices import PriceList

PLACED = datetime(2026, 3, 2, 10, 20, tzinfo=timezone(timedelta(hours=1)))
PARTICULARS = {
    "number": "A-0412",
    "customer_ref": "RM-17",
    "sale_ref": "S-2093",
    "needed_by": date(2026, 3, 14),
    "promised_for": date(2026, 3, 12),
    "placed_at": PLACED,
    "marked_by": "F1",
}
SUIT = (
    GarmentPiece(1, "jacket", "everyday", "40R", "navy worsted", pins_left_in=2),
    GarmentPiece(2, "trousers", "everyday", "34", "navy worsted", pins_left_in=4, pleats=0),
)


def asked(piece, code, inches, basis, target, side=None, direction="decrease", **more):
    return LineAsked(piece, code, Amount(length(inches, "in"), basis, direction, side), length(target, "in"), **more)


PLAIN = "plain, 2 in inside, slant 1/2 in"
SUIT_WORK = (
    asked(2, "trouser_hem", "1 1/4", "length", "30 3/8", "left", cut=length("32 3/8", "in"), note=PLAIN),
    asked(2, "trouser_hem", "1 1/2", "length", "30 1/8", "right", cut=length("32 1/8", "in"), note=PLAIN),
    asked(2, "trouser_waist_in", "1 1/4", "girth", "33 3/4"),
    asked(1, "jacket_sleeve_shorten_at_cuff", "1/2", "length", "24 1/2", "left"),
    asked(1, "jacket_sleeve_shorten_at_cuff", "3/8", "length", "24 5/8", "right"),
    asked(1, "jacket_waist_in", "3/4", "girth", "37 1/4"),
)


# All that a ticket can say at once, in letters that few printers have.
DINNER = (
    GarmentPiece(
        1,
        "jacket",
        "evening",
        "42L",
        "Köper aus Schurwolle 羊毛, 9½ oz",
        "check",
        worked_buttonholes=True,
        pins_left_in=12,
        style="double-breasted, peak lapels",
        lining="half",
        repeat=length("1 1/4", "in"),
        must_keep="side vents; do not press the lapel flat",
        faults_seen="shine at the left elbow, moth at the hem",
    ),
    GarmentPiece(2, "trousers", cloth="шерсть, тёмно-синяя", pins_left_in=4),
    GarmentPiece(3, "waistcoat", "evening", "42L", "łódzka wełna"),
)
DINNER_WORK = (
    LineAsked(
        1,
        "jacket_shoulder_narrow",
        Amount(length("0.6", "cm"), "per_side", "decrease", "both"),
        marked_with="thread",
        note="he carries a bag on the right – look at both",
    ),
    asked(1, "jacket_sleeve_shorten_at_shoulder", "1/2", "length", "25", "left", marked_with="chalk"),
    asked(2, "trouser_waist_out", "1", "girth", "36", direction="increase", marked_with="pins"),
    asked(2, "trouser_hem_turn_up", "1", "length", "31", "both", note="turn-up of 1 3/4 in, 1 in inside"),
)


def dinner():
    """A suit of three pieces, in a hurry, with a deposit paid and a question open."""
    prices = PriceList("GBP", rush_percent=50, deposit_percent=30)
    lines = lines_of(DINNER, DINNER_WORK, prices)
    terms = prices.terms(sum(line.price.minor for line in lines), rush=True)
    more = {"number": "20417", "terms": terms, "rush": True, "note": "to be worn on the 14th, with braces"}
    order = place(DINNER, lines, **PARTICULARS | more)
    steps = (
        ("accepted", {}),
        ("in_workroom", {}),
        ("query", {"question": "is the left sleeve head to be eased?"}),
        ("in_workroom", {"answer": "yes, as the right"}),
        ("query", {"question": "which side vents?"}),
    )
    for hours, (to, said) in enumerate(steps, start=1):
        order = move(order, to, "tailor-1", PLACED + timedelta(hours=hours), **said)
    return order


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
    more = {name: draw(_words) for name in ("customer_ref", "sale_ref", "marked_by", "note")}
    more["number"] = str(draw(st.integers(1, 2**53)))
    more["rush"] = draw(st.booleans())
    return an_order(lines, pieces, prices, **more, placed_at=datetime(2026, 3, 2, tzinfo=UTC))

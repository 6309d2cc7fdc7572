"""Orders whose papers were agreed, beside the suit and the dinner suit: as a workroom meets them."""

from dataclasses import replace
from datetime import date, timedelta

from service.storage.orders.order_groups import OrderGroup
from service.storage.orders.orders import FiledOrder
from service.tailoring.garments.amounts import Amount
from service.tailoring.garments.charts import reference_chart
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.orders.line_changes import LineChangesAsked, with_lines_changed
from service.tailoring.orders.lines.line_edits import LineEdit
from service.tailoring.orders.lines.line_history import Signed
from service.tailoring.orders.lines.order_lines import LineAsked
from service.tailoring.orders.order_moves import move
from service.tailoring.orders.sheets.order_sheets import SheetSources
from service.tailoring.quantities import length
from service.tailoring.work.prices import PriceList
from service.use_cases.orders.order_groups import FiledGroup
from tests.papers.orders import PLACED, SUIT, SUIT_WORK, an_order

SOURCES = SheetSources(PriceList(), {"everyday": reference_chart()})
TO_PRESSED = (("accepted", {}), ("in_workroom", {}), ("sewn", {}), ("pressed", {"pins_out": 6}))


def moved(order, *steps):
    for to, said in steps:
        order = move(order, to, "tailor-1", PLACED + timedelta(hours=len(order.events)), **said)
    return order


def changed(order, why, **asked):
    signed = Signed("fitter-1", PLACED + timedelta(hours=len(order.events)), why)
    return with_lines_changed(order, LineChangesAsked(**asked), SOURCES, signed).order


def cm(size):
    return length(size, "cm")


def in_centimetres():
    """All of it taped in centimetres, one leg let down, one pad thinned."""
    pieces = (
        GarmentPiece(1, "jacket", "city", "50", "grey flannel", "stripe", repeat=cm(2), pins_left_in=3),
        GarmentPiece(2, "trousers", "city", "50", "grey flannel", "stripe", pins_left_in=2, pleats=1),
    )
    note = "turn-up of 4 cm, 2.5 cm inside"
    work = (
        LineAsked(1, "jacket_pad_one_shoulder", Amount(cm("0.6"), "per_side", "decrease", "left")),
        LineAsked(1, "jacket_waist_in", Amount(cm("1.5"), "girth", "decrease"), cm("98.5")),
        LineAsked(2, "trouser_leg_taper", Amount(cm(3), "per_leg", "decrease", "both"), cm(37)),
        LineAsked(
            2, "trouser_hem_turn_up", Amount(cm(4), "length", "decrease", "left"), cm(78), None, note, cut=cm("88.5")
        ),
        LineAsked(
            2,
            "trouser_hem_turn_up",
            Amount(cm("3.5"), "length", "decrease", "right"),
            cm("78.5"),
            None,
            note,
            cut=cm(89),
        ),
    )
    return an_order(work, pieces, PriceList(currency="EUR", deposit_percent=30), number="1204")


def a_query_answered():
    """The workroom asked, and the answer is another amount."""
    order = moved(
        an_order(number="1031"), *TO_PRESSED[:2], ("query", {"question": "the band is short of cloth at 1 1/4?"})
    )
    order = changed(order, "the loop stays", change=(LineEdit(4, length(1, "in")),))
    return moved(order, ("in_workroom", {"answer": "1 in, and leave the loop"}))


def a_redo():
    """Back from pressing: one leg is long, and it is cut."""
    order = moved(an_order(number="1017"), *TO_PRESSED)
    redone = {"reason": "left leg long by 1/4 in", "redo_lines": [5], "pins_in": 1}
    order = moved(order, ("in_workroom", redone))
    return changed(order, "pinned again", change=(LineEdit(5, target=length("30 1/8", "in")),))


def a_struck_line():
    """The jacket's waist stays as it is after all."""
    order = moved(an_order(number="1044"), *TO_PRESSED[:2], ("query", {"question": "the jacket has no room for it?"}))
    order = changed(order, "no room at the pockets", strike=(1,))
    return moved(order, ("in_workroom", {"answer": "leave the jacket's waist"}))


def one_of_a_group():
    """Trousers of one of a party."""
    order = an_order(SUIT_WORK[:3], SUIT[1:], number="1052", customer_ref="guest-4")
    return replace(order, note="with the others' on one rail")


def a_garment_brought_in():
    """A jacket bought elsewhere: no chart says what it measures, its faults are written before it is touched."""
    jacket = GarmentPiece(
        1,
        "jacket",
        None,
        "",
        "brown tweed",
        "check",
        faults_seen="moth at the left cuff",
        must_keep="the leather patches",
        measures=(("waist", length("40 1/2", "in")),),
        photos=("shelf-12", "shelf-13"),
    )
    waist = Amount(length("3/4", "in"), "girth", "decrease")
    work = (
        LineAsked(1, "jacket_waist_in", waist, length("39 3/4", "in")),
        LineAsked(1, "jacket_sleeve_shorten_at_cuff", Amount(length("1/2", "in"), "length", "decrease", "both")),
    )
    return an_order(work, (jacket,), number="1060", sale_ref=None)


def a_part_collected():
    """The trousers are away already; the jacket is still sewn at."""
    order = an_order(number="1066")
    order = moved(order, *TO_PRESSED[:2])
    for to, said in (
        ("sewn", {}),
        ("pressed", {"pins_out": 4}),
        ("ready", {"pins_out": 4}),
        ("collected", {"tried_on": True}),
    ):
        order = move(order, to, "tailor-1", PLACED + timedelta(hours=len(order.events)), pieces=(2,), **said)
    return order


def a_party():
    """Three of a party: a suit, trousers that are ready, and one who came after all with a jacket brought in."""
    ready = moved(one_of_a_group(), *TO_PRESSED[:3], ("pressed", {"pins_out": 4}), ("ready", {"pins_out": 4}))
    suit = an_order(number="1051", customer_ref="guest-3", note="the best man; to be tried on with the others")
    brought = replace(a_garment_brought_in(), customer_ref="guest-9")
    filed = tuple(FiledOrder(str(n), 1, "", order, "party") for n, order in enumerate((suit, ready, brought), start=1))
    return FiledGroup(OrderGroup("party", "party-7", date(2026, 3, 14), PLACED, "F1"), filed)

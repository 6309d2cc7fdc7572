from dataclasses import replace

import pytest
from hypothesis import given, settings

from service.papers.rendering.columns import WIDTH
from service.papers.rendering.letters import in_a_column
from service.papers.text import ticket_text
from service.papers.tickets import ticket
from service.tailoring.garments.amounts import Amount
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.orders.lines.order_lines import LineAsked
from service.tailoring.quantities import length
from tests.papers.orders import SUIT, SUIT_WORK, an_order, orders

SHOP = "Harrow Lane Menswear"


def printed(order, shop=SHOP):
    return ticket_text(ticket(order, shop))


@settings(max_examples=60)
@given(orders())
def test_no_line_is_wider_than_the_receipt_and_every_sign_is_one_column_wide(order):
    text = printed(order, order.number)
    assert text.endswith("\n")
    for line in text.splitlines():
        assert len(line) <= WIDTH
        assert line == line.rstrip()
        assert all(sign == " " or in_a_column(sign) for sign in line)


@settings(max_examples=60)
@given(orders())
def test_every_lines_change_and_finished_measure_is_printed_unbroken(order):
    paper = ticket(order, SHOP)
    text = ticket_text(paper)
    for line in (line for piece in paper.garments for line in piece.lines):
        for measure in (line.finished, line.cut, *line.change):
            # Of a side the change stands in the order's own unit, before what it ends at in both.
            assert measure is None or measure.text in text or f"{measure.text.partition(' / ')[0]} TO" in text


def test_what_is_said_of_one_side_between_two_rows_says_of_which():
    pad = LineAsked(1, "jacket_pad_one_shoulder", Amount(length("3/8", "in"), "per_side", "increase", "right"))
    rows = printed(an_order((*SUIT_WORK, pad))).splitlines()
    at = next(n for n, row in enumerate(rows) if row.startswith("LEFT  −1/2 in"))
    assert rows[at + 1].startswith("!! RIGHT: the pad draws that sleeve up")
    assert any(row.startswith("RIGHT −3/8 in") for row in rows[at : at + 5])


def test_words_are_whole_and_only_a_word_longer_than_the_line_goes_on_in_the_next():
    cloth = "mid-grey " + "w" * 50
    text = printed(an_order(garments=(SUIT[0], GarmentPiece(2, "trousers", cloth=cloth))))
    assert "cloth mid-grey " + "w" * 27 + "\n      " + "w" * 23 + "\n" in text


@pytest.mark.parametrize(
    ("cloth", "said"),
    [
        ("Köln flannel", "Köln flannel"),
        ("Ko\u0308ln flannel", "Köln flannel"),
        ("12½ oz – light", "12½ oz – light"),
        ("super 120’s", "super 120’s"),
        ("μαλλί, шерсть", "μαλλί, шерсть"),
        ("羊毛", "YangMao"),
        ("\uff57\uff4f\uff4f\uff4c", "wool"),
        ("वूल", "vul"),
        ("🧵 silk", ":thread: silk"),
        ("\x1b@open\x07 the\ndrawer", "@open the drawer"),
    ],
)
def test_a_cloth_is_named_in_signs_of_one_column(cloth, said):
    # A control sign would be an order to a printer.
    text = printed(an_order(garments=(SUIT[0], GarmentPiece(2, "trousers", cloth=cloth))))
    assert f"cloth {said}\n" in text.replace("  ", "\n")


def test_a_measure_that_is_not_written_leaves_room_for_it():
    work = [replace(SUIT_WORK[0], target=None)]
    assert "TO __________ not recorded: measure first\n" in printed(an_order(work))

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings

from service.documents.text import WIDTH, ticket_text
from service.documents.tickets import ticket
from service.tailoring.garment_pieces import GarmentPiece
from tests.documents.orders import SUIT, SUIT_WORK, an_order, orders

SHOP = "Harrow Lane Menswear"
GOLDEN = Path(__file__).parent / "golden"


def printed(order, shop=SHOP):
    return ticket_text(ticket(order, shop))


def as_printed(words):
    return words.replace("−", "-")


def test_a_suits_ticket_reads_as_agreed():
    assert (GOLDEN / "suit.txt").read_text(encoding="ascii") == printed(an_order())


@settings(max_examples=60, deadline=None)
@given(orders())
def test_no_line_is_wider_than_the_receipt_and_every_sign_is_printable_ascii(order):
    text = printed(order, order.number)
    assert text.endswith("\n")
    for line in text.splitlines():
        assert len(line) <= WIDTH
        assert line == line.rstrip()
        assert not line or (line.isascii() and line.isprintable())


@settings(max_examples=60, deadline=None)
@given(orders())
def test_every_lines_change_and_finished_measure_is_printed_unbroken(order):
    paper = ticket(order, SHOP)
    text = ticket_text(paper)
    for line in (line for piece in paper.pieces for line in piece.lines):
        for measure in (*line.change, *((line.finished,) if line.finished else ())):
            assert as_printed(measure.text) in text


def test_words_are_whole_and_only_a_word_longer_than_the_line_goes_on_in_the_next():
    cloth = "mid-grey " + "w" * 50
    text = printed(an_order(garments=(SUIT[0], GarmentPiece(2, "trousers", cloth=cloth))))
    assert "cloth     mid-grey " + "w" * 23 + "\n          " + "w" * 27 + "\n" in text


@pytest.mark.parametrize(
    ("cloth", "said"),
    [
        ("Köln flannel", "Koln flannel"),
        ("12½ oz – light", "12 1/2 oz - light"),
        ("super 120’s", "super 120's"),
        ("\x1b@open\x07 the\ndrawer", "@open the drawer"),
        ("羊毛", "??"),
    ],
)
def test_what_a_code_page_lacks_is_written_in_ascii(cloth, said):
    # A control sign would be an order to the printer.
    text = printed(an_order(garments=(SUIT[0], GarmentPiece(2, "trousers", cloth=cloth))))
    assert f"cloth     {said}\n" in text


def test_a_measure_that_is_not_written_leaves_room_for_it():
    work = [replace(SUIT_WORK[0], target=None)]
    assert "TO ____________ not written: measure first\n" in printed(an_order(work))

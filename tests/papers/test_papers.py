"""One content, several renderings: each is what was agreed, and says what the ticket says."""

import io
from dataclasses import astuple, replace

import pypdf
import pytest
import zxingcpp
from hypothesis import given, settings

from service.papers.papers import CUSTOMER_SLIPS, TICKETS, ToPrint
from service.papers.rendering.faces import has_sign
from service.papers.rendering.layout import Words
from service.papers.rendering.letters import LONGER_MOST, in_letters, in_signs
from service.papers.text import ticket_text
from service.papers.ticket_sheet import A5, ROLL, ticket_pages
from service.papers.tickets import ticket
from service.tailoring.garments.pieces import GarmentPiece
from tests.papers.agreed import ABROAD, FIXED, GOLDEN, KINDS, LIVED, SAID_BESIDE, text_of
from tests.papers.fixed_orders import a_party
from tests.papers.looking import (
    ADDRESS,
    JSON,
    PDF,
    RECEIPT,
    SHOP,
    SVG,
    TEXT,
    pages_of,
    read_from,
    scanned,
    sheet_as,
    shown,
    slip_as,
    ticket_as,
)
from tests.papers.orders import an_order, asked, dinner, orders
from tests.papers.printer import printed_by

A5_POINTS = (420, 595)
A6_POINTS = (298, 420)


def said_in(paper):
    """Every text of a paper, however deep."""
    if isinstance(paper, str):
        return [paper] if paper else []
    return [text for part in paper for text in said_in(part)] if isinstance(paper, tuple) else []


def without_spaces(words):
    return "".join(words.split())


# ---------------------------------------------------------------- as agreed


@pytest.mark.parametrize("name", FIXED)
@pytest.mark.parametrize("media", KINDS)
def test_a_ticket_is_what_was_agreed(name, media):
    assert (GOLDEN / f"{name}.{KINDS[media]}").read_bytes() == ticket_as(media, FIXED[name]())


@pytest.mark.parametrize("media", KINDS)
def test_a_customers_slip_is_what_was_agreed(media):
    assert (GOLDEN / f"slip.{KINDS[media]}").read_bytes() == slip_as(media, dinner())


@pytest.mark.parametrize(("name", "made"), [("suit", ticket_as), ("dinner", ticket_as), ("slip", slip_as)])
def test_the_words_of_a_pdf_are_what_was_agreed(name, made):
    # The bytes are the library's; the words, their order and their pages are ours.
    words = "\f".join(text_of(made(PDF, FIXED.get(name, dinner)())))
    assert (GOLDEN / f"{name}.pdf.txt").read_text("utf-8") == words + "\n"


@pytest.mark.parametrize("language", ABROAD)
def test_a_ticket_abroad_is_as_it_was_agreed(language):
    order = an_order()
    assert (GOLDEN / f"suit.{language}.txt").read_bytes() == ticket_as(TEXT, order, language=language)
    words = "\f".join(text_of(ticket_as(PDF, order, language=language)))
    assert (GOLDEN / f"suit.{language}.pdf.txt").read_text("utf-8") == words + "\n"


@pytest.mark.parametrize("name", LIVED)
def test_an_order_that_lived_is_printed_as_agreed(name):
    order, more = LIVED[name](), SAID_BESIDE.get(name, {})
    assert (GOLDEN / f"{name}.txt").read_bytes() == ticket_as(TEXT, order, **more)
    words = "\f".join(text_of(ticket_as(PDF, order, **more)))
    assert (GOLDEN / f"{name}.pdf.txt").read_text("utf-8") == words + "\n"


def test_a_partys_sheet_is_what_was_agreed():
    assert (GOLDEN / "party.txt").read_bytes() == sheet_as(TEXT, a_party())
    words = "\f".join(text_of(sheet_as(PDF, a_party())))
    assert (GOLDEN / "party.pdf.txt").read_text("utf-8") == words + "\n"


@pytest.mark.parametrize("name", LIVED)
def test_whatever_became_of_it_each_piece_has_one_page(name):
    # A two-piece suit is two pages of A5: amended, done again and part collected too.
    order, more = LIVED[name](), SAID_BESIDE.get(name, {})
    pages = text_of(ticket_as(PDF, order, **more))
    assert len(order.garments) == len(pages)
    for garment, page in zip(order.garments, pages, strict=True):
        for said in (f"{order.number}/{garment.piece}", "READY BY", "PINS IN", "TAKE CARE"):
            assert said in page


def test_what_is_printed_twice_is_the_same_to_the_byte():
    for printers in (TICKETS, CUSTOMER_SLIPS):
        for media in printers:
            asked = ToPrint(dinner(), SHOP, None, ADDRESS)
            assert printers[media](asked) == printers[media](asked)


# ---------------------------------------------------------------- it says what the ticket says


def test_the_pdf_says_every_word_of_the_ticket_and_keeps_numbers_whole():
    words = without_spaces(" ".join(text_of(ticket_as(PDF, dinner()))))
    said = said_in(astuple(in_letters(ticket(dinner(), SHOP), has_sign)))
    # Said in capitals, or as a code that is no word of the paper.
    words = words.casefold()
    missing = [text for text in said if without_spaces(text).casefold() not in words]
    assert ["jacket_shoulder_narrow", "jacket_sleeve_shorten_at_shoulder"] == missing[:2]
    assert {"trouser_waist_out", "trouser_hem_turn_up", "en-GB"} == set(missing[2:])


@settings(max_examples=25)
@given(orders())
def test_any_order_is_printed_in_every_format(order):
    for printers in (TICKETS, CUSTOMER_SLIPS):
        made = {media: print_it(ToPrint(order, order.marked_by)) for media, print_it in printers.items()}
        assert all(made.values())
        printed = printed_by(made[RECEIPT])
        assert (1, 2) == (printed.cuts, len(printed.pictures))
        pages = pypdf.PdfReader(io.BytesIO(made[PDF])).pages
        assert all(order.number in page.extract_text() for page in pages)


@settings(max_examples=25)
@given(orders())
def test_every_finished_measure_stands_whole_in_the_pdf(order):
    words = " ".join(text_of(ticket_as(PDF, order))).split()
    joined = " ".join(words)
    for line in (line for piece in ticket(order, SHOP).garments for line in piece.lines if line.finished):
        assert " ".join(line.finished.text.split()) in joined


def test_a_suit_is_two_pages_that_benches_can_split():
    pages = text_of(ticket_as(PDF, an_order()))
    assert 2 == len(pages)
    for piece, page in enumerate(pages, start=1):
        # What whoever holds this page alone must know.
        garment = an_order().garments[piece - 1].garment
        for said in (f"PIECE {piece} of 2: {garment.upper()}", f"Ticket A-0412/{piece}", "READY BY", "TAKE CARE"):
            assert said in page
        assert f"{garment}, {piece} of 2, for RM-17" in page
        assert "navy worsted" in page
    assert [False, True] == ["READ FIRST" in page for page in pages]
    assert "5+6: mark the hem again after the waist" in pages[1]


def test_the_same_suit_takes_seventy_rows_of_a_receipt():
    # Below them a gap, both codes, and the number.
    *rows, _gap, _bars, _number, _square = printed_by(ticket_as(RECEIPT, an_order())).rows
    assert len(rows) <= 70


def test_a_piece_that_goes_on_says_so_and_its_day():
    notes = [replace(line, note="n" * 190) for line in an_order().lines]
    first, second, *_ = text_of(ticket_as(PDF, replace(an_order(), lines=(*notes,), note="w" * 400)))
    assert "A-0412/1" in first
    assert "PIECE 1 of 2: JACKET" in first
    assert ("continued" in second, "READY BY Thursday 12 March 2026" in second) == (True, True)


def test_where_a_leg_is_cut_is_the_largest_of_its_measures():
    (page,) = ticket_pages(ticket(an_order(), SHOP), ROLL)
    sizes = {mark.words: mark.size for mark in page.marks if isinstance(mark, Words)}
    assert sizes["32 3/8 in / 822 mm"] > sizes["TO 30 3/8 in / 772 mm"] > sizes["−1 1/4 in / −32 mm"]


def test_all_of_the_pressing_is_printed_where_it_is_asked_for():
    short, whole = (" ".join(text_of(ticket_as(PDF, an_order(), detail=detail))) for detail in ("short", "full"))
    assert ("edges clapped" in short, "edges clapped" in whole) == (False, True)
    assert "lift and set down, hands clear of the steam" in " ".join(whole.split())


def test_paper_sizes_are_a5_and_a6():
    for pdf, size in ((ticket_as(PDF, an_order()), A5_POINTS), (slip_as(PDF, an_order()), A6_POINTS)):
        for page in pypdf.PdfReader(io.BytesIO(pdf)).pages:
            assert size == (round(page.mediabox.width), round(page.mediabox.height))


def test_the_receipt_prints_bold_what_the_eye_looks_for_and_is_cut_once():
    printed = printed_by(ticket_as(RECEIPT, dinner()))
    strong = [row for row, bold in printed.rows if bold]
    assert "TICKET    20417" in strong
    assert any(row.startswith("TO 25 in / 635 mm") for row in strong)
    assert 1 == printed.cuts


# ---------------------------------------------------------------- codes


def test_a_scanner_reads_the_order_number_on_the_pdf():
    first, *rest = pages_of(ticket_as(PDF, dinner()))
    assert {"QRCode": "20417", "Code128": "20417"} == scanned(first)
    assert rest


def test_a_scanner_reads_the_order_number_on_the_svg_in_a_browser(browser):
    picture = shown(browser, ticket_as(SVG, dinner()).decode())
    assert {"QRCode": "20417", "Code128": "20417"} == scanned(picture)


@pytest.mark.parametrize("number", ["1", "20417", str(2**53)])
def test_every_piece_has_a_tag_to_cut_out_that_a_scanner_reads(number):
    pdf = ticket_as(PDF, an_order(number=number))
    said = [
        code.text for page in pages_of(pdf) for code in zxingcpp.read_barcodes(page) if code.format.name == "Code128"
    ]
    # On the tags of both pieces, each on its piece's own page.
    assert [number] * 2 == said
    assert all(f"{number}/{piece}" in text_of(pdf)[piece - 1] for piece in (1, 2))


@pytest.mark.parametrize("number", ["1", "1001", "20417", str(2**53)])
def test_a_scanner_reads_the_order_number_on_the_receipt(number):
    bars, square = printed_by(ticket_as(RECEIPT, an_order(number=number))).pictures
    assert [{"Code128": number}, {"QRCode": number}] == [scanned(bars), scanned(square)]


@pytest.mark.parametrize("number", ["1", str(2**53)])
def test_the_shortest_and_the_longest_number_are_read_on_the_pdf_too(number):
    assert {"QRCode": number, "Code128": number} == scanned(pages_of(ticket_as(PDF, an_order(number=number)))[0])


def test_the_slips_square_code_says_its_address_and_its_bars_the_number(browser):
    both = {"QRCode": ADDRESS, "Code128": "20417"}
    assert both == scanned(pages_of(slip_as(PDF, dinner()))[0])
    assert both == scanned(shown(browser, slip_as(SVG, dinner()).decode()))
    bars, square = printed_by(slip_as(RECEIPT, dinner())).pictures
    assert both == scanned(bars) | scanned(square)


def test_without_an_address_the_slip_says_the_number():
    assert {"QRCode": "20417", "Code128": "20417"} == scanned(pages_of(slip_as(PDF, dinner(), address=None))[0])


# ---------------------------------------------------------------- letters


def test_a_cloth_in_letters_that_a_paper_lacks_is_written_in_latin_ones():
    assert "Köper aus Schurwolle 羊毛, 9½ oz" == read_from(ticket_as(JSON, dinner()))["garments"][0]["cloth"]
    assert "羊毛" in ticket_as(SVG, dinner()).decode()
    assert "Köper aus Schurwolle YangMao" in ticket_as(TEXT, dinner()).decode()
    assert "шерсть, тёмно-синяя" in ticket_as(TEXT, dinner()).decode()
    rows = [row for row, _ in printed_by(ticket_as(RECEIPT, dinner())).rows]
    assert "cloth sherst', temno-sinyaya" in " ".join(rows)
    pdf = " ".join(text_of(ticket_as(PDF, dinner())))
    assert "YangMao, 9½ oz" in pdf
    assert "łódzka we" in pdf


def test_the_customers_slip_names_nobody():
    order = an_order(customer_ref="CUSTOMER-REF", sale_ref="SALE-REF", marked_by="FITTER-REF")
    for media in CUSTOMER_SLIPS:
        made = slip_as(media, order)
        text = " ".join(text_of(made)) if media == PDF else made.decode("latin-1")
        for said in ("CUSTOMER-REF", "SALE-REF", "FITTER-REF", "38 1/4", "36.00"):
            assert said not in text


# What one sign of it becomes: a picture, a sentence in one letter, a syllable of six letters, a letter of two columns.
@pytest.mark.parametrize("sign", ["\U0001faf0", "\ufdfa", "\U0001680c", "\u5e84", "\u0436", "W", "\u00bd"])
def test_the_largest_order_fits_on_paper_whatever_its_letters(sign):
    paper = the_largest(sign)
    assert len(ticket_text(paper).encode()) < 64 * 1024
    pages = ticket_pages(in_letters(paper, has_sign), A5)
    # A page to a line of work at the worst; before it was one to a sentence of each letter.
    assert len(pages) <= 40
    assert sum(len(page.marks) for page in pages) < 20_000
    notes = [line.note for piece in in_letters(paper, has_sign).garments for line in piece.lines]
    assert max(map(len, notes)) <= LONGER_MOST * 200
    # Each sign is there, or the paper says that there is more.
    whole = len(in_signs(sign * 200, has_sign))
    assert all(len(note) == whole or note.endswith("[cut, see the order]") for note in notes)


@pytest.mark.parametrize("sign", ["\U0001680c", "\u5e84", "\u0416"])
def test_what_was_written_about_an_order_is_on_its_paper_to_the_last_letter(sign):
    words, note = f"{sign * 496} 7/8", f"{sign * 196} 7/8"
    work = [asked(2, "trouser_waist_in", "1 1/4", "girth", "33 3/4", note=note)]
    paper = in_letters(ticket(an_order(work, note=words), SHOP), has_sign)
    assert in_signs(words, has_sign) == paper.note
    assert [in_signs(note, has_sign)] == [line.note for piece in paper.garments for line in piece.lines]


def the_largest(sign):
    """The ticket of an order that has all that an order may have."""
    pieces = [
        GarmentPiece(
            number, "jacket", "c" * 40, sign * 20, sign * 80,
            style=sign * 80, must_keep=sign * 200, faults_seen=sign * 200, pins_left_in=200,
        )
        for number in range(1, 11)
    ]  # fmt: skip
    work = [
        asked(piece.piece, code, "1/2", basis, target, side, note=sign * 200)
        for piece in pieces
        for code, basis, target, side in (
            ("jacket_sleeve_shorten_at_cuff", "length", "24 1/2", "left"),
            ("jacket_sleeve_shorten_at_cuff", "length", "24 1/2", "right"),
            ("jacket_waist_in", "girth", "38 1/4", None),
            ("jacket_sleeve_narrow", "girth", "12 1/4", "left"),
        )
    ]
    return ticket(an_order(work, pieces), SHOP)

"""Papers of the fixed orders in every format, and what a scanner reads on a picture of one."""

import io
import json

import pypdfium2
import zxingcpp
from PIL import Image

from service.papers.papers import CUSTOMER_SLIPS, GROUP_SHEETS, RECEIPT, TICKETS, ToPrint
from service.papers.slips import ShopCounter
from tests.papers.orders import PLACED

SHOP = "Harrow Lane Menswear"
COUNTER = ShopCounter("16:00", "the counter, or 01 555 0100")
ADDRESS = "https://fitting.example/v1/collection-slips/R7pQ2mX9kLw4Zt8Vb3Nc6Yd1Hf5Jg0Sa"
PDF, SVG, TEXT, JSON = "application/pdf", "image/svg+xml", "text/plain", "application/json"


def ticket_as(media, order, shop=SHOP, **more):
    return TICKETS[media](ToPrint(order, shop, PLACED.tzinfo, ADDRESS, **more))


def slip_as(media, order, shop=SHOP, address=ADDRESS):
    return CUSTOMER_SLIPS[media](ToPrint(order, shop, PLACED.tzinfo, address, COUNTER))


def sheet_as(media, party):
    return GROUP_SHEETS[media](party, SHOP)


def read_from(document):
    return json.loads(document)


def scanned(picture):
    """What a scanner reads on a picture: by kind of code, what each says."""
    found = zxingcpp.read_barcodes(picture.convert("L"))
    return {code.format.name: code.text for code in found}


def pages_of(pdf):
    return [page.render(scale=300 / 72).to_pil() for page in pypdfium2.PdfDocument(pdf)]


def shown(browser, svg):
    """An SVG as a browser shows it."""
    page = browser.new_page()
    try:
        page.set_content(f'<body style="margin: 0">{svg}')
        return Image.open(io.BytesIO(page.screenshot(full_page=True)))
    finally:
        page.close()


__all__ = [
    "JSON",
    "PDF",
    "RECEIPT",
    "SVG",
    "TEXT",
    "pages_of",
    "read_from",
    "scanned",
    "sheet_as",
    "shown",
    "slip_as",
    "ticket_as",
]

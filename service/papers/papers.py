"""Every paper in every format that it is asked for in, by media type; the first is given to who asks for none."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from datetime import tzinfo
from typing import TypeAlias

import orjson

from service.papers import slips
from service.papers.drawing.drawing_svg import drawing_svg
from service.papers.drawing.drawings import drawing, drawing_text
from service.papers.group_sheets import (
    A4,
    GroupSheet,
    group_sheet,
    group_sheet_pages,
    group_sheet_rows,
    group_sheet_text,
)
from service.papers.made_to_measure import (
    HandOverSheet,
    hand_over_pages,
    hand_over_rows,
    hand_over_sheet,
    hand_over_text,
)
from service.papers.rendering.faces import has_sign
from service.papers.rendering.letters import any_sign, in_code_page_1252, in_letters
from service.papers.rendering.pdf import pdf
from service.papers.rendering.receipt import receipt
from service.papers.rendering.svg import svg
from service.papers.slip_page import slip_page
from service.papers.slips import A6, CARD, ShopCounter, Slip, own_view, slip_pages, slip_rows
from service.papers.text import ticket_rows, ticket_text
from service.papers.ticket_sheet import A5, ROLL, ticket_pages
from service.papers.tickets import Ticket, in_language, ticket
from service.storage.fitting.fit_checks import KeptFitCheck
from service.tailoring.fitting.hand_overs import HandOver
from service.tailoring.orders.orders import Order
from service.tongues.tags import BRITISH
from service.use_cases.orders.order_groups import FiledGroup
from service.use_cases.orders.order_papers import Detail

# Bytes that are sent to a receipt printer as they are; no media type is registered for them.
RECEIPT = "application/octet-stream"


@dataclass(frozen=True, slots=True)
class ToPrint:
    """An order that is printed: in the name of a shop, in its local time, with where its customer may look at it.

    `counter` is what the shop says on slips, `group` its place in a group in words, `detail` how much of the pressing a
    ticket says, `language` what it is written in.
    """

    order: Order
    shop: str
    zone: tzinfo | None = None
    address: str | None = None
    counter: ShopCounter = ShopCounter()  # noqa: RUF009  frozen
    group: str = ""
    detail: Detail = "short"
    language: str = BRITISH


# An order on paper.
Printer: TypeAlias = Callable[[ToPrint], bytes]
# A fit check as it was answered, drawn.
Drawer: TypeAlias = Callable[[KeptFitCheck], bytes]
# What a maker to measure is handed, in the name of the shop.
HandOverPrinter: TypeAlias = Callable[[HandOver, str], bytes]
# A group with its orders, in the name of the shop.
GroupPrinter: TypeAlias = Callable[[FiledGroup, str], bytes]


def _tickets(draw: Callable[[Ticket], bytes]) -> Printer:
    def printed(asked: ToPrint) -> bytes:
        paper = ticket(asked.order, asked.shop, asked.zone, asked.detail, asked.group)
        return draw(in_language(paper, asked.language))

    return printed


def _slips(draw: Callable[[Slip], bytes]) -> Printer:
    return lambda asked: draw(slips.slip(asked.order, asked.shop, asked.address, asked.counter, asked.language))


def _ticket_pdf(paper: Ticket) -> bytes:
    return pdf(ticket_pages(in_letters(paper, has_sign), A5), _titled(paper))


def _ticket_svg(paper: Ticket) -> bytes:
    (page,) = ticket_pages(in_letters(paper, any_sign), ROLL)
    return svg(page, _titled(paper), paper.language).encode()


def _slip_pdf(paper: Slip) -> bytes:
    return pdf(slip_pages(in_letters(paper, has_sign), A6), paper.tongue.say("Order {number}", number=paper.number))


def _slip_svg(paper: Slip) -> bytes:
    (page,) = slip_pages(in_letters(paper, any_sign), CARD)
    return svg(page, paper.tongue.say("Order {number}", number=paper.number), paper.language).encode()


def _hand_overs(draw: Callable[[HandOverSheet], bytes]) -> HandOverPrinter:
    return lambda given, shop: draw(hand_over_sheet(given, shop))


def _hand_over_svg(paper: HandOverSheet) -> bytes:
    (page,) = hand_over_pages(in_letters(paper, any_sign), ROLL)
    return svg(page, f"Made to measure {paper.number}").encode()


def _group_sheets(draw: Callable[[GroupSheet], bytes]) -> GroupPrinter:
    return lambda filed, shop: draw(group_sheet(filed, shop))


def _group_sheet_svg(paper: GroupSheet) -> bytes:
    (page,) = group_sheet_pages(in_letters(paper, any_sign), ROLL)
    return svg(page, paper.group).encode()


def _titled(paper: Ticket) -> str:
    return f"{paper.tongue.say('Ticket')} {paper.number}"


TICKETS: Mapping[str, Printer] = {
    "text/plain": _tickets(lambda paper: ticket_text(paper).encode()),
    "application/pdf": _tickets(_ticket_pdf),
    "image/svg+xml": _tickets(_ticket_svg),
    RECEIPT: _tickets(
        lambda paper: receipt(ticket_rows(in_letters(paper, in_code_page_1252)), paper.number, paper.number)
    ),
    "application/json": _tickets(lambda paper: orjson.dumps(asdict(paper))),
}
CUSTOMER_SLIPS: Mapping[str, Printer] = {
    "text/plain": _slips(lambda paper: slips.slip_text(paper).encode()),
    "application/pdf": _slips(_slip_pdf),
    "image/svg+xml": _slips(_slip_svg),
    RECEIPT: _slips(lambda paper: receipt(slip_rows(in_letters(paper, in_code_page_1252)), paper.number, paper.says)),
    "application/json": _slips(lambda paper: orjson.dumps(asdict(paper))),
}
COLLECTION_SLIPS: Mapping[str, Printer] = {
    "application/json": _slips(lambda paper: orjson.dumps(asdict(own_view(paper)))),
    "text/html": _slips(lambda paper: slip_page(own_view(paper)).encode()),
    "text/plain": _slips(lambda paper: slips.slip_text(own_view(paper)).encode()),
}
MADE_TO_MEASURE: Mapping[str, HandOverPrinter] = {
    "text/plain": _hand_overs(lambda paper: hand_over_text(paper).encode()),
    "application/pdf": _hand_overs(
        lambda paper: pdf(hand_over_pages(in_letters(paper, has_sign), A5), f"Made to measure {paper.number}")
    ),
    "image/svg+xml": _hand_overs(_hand_over_svg),
    RECEIPT: _hand_overs(
        lambda paper: receipt(hand_over_rows(in_letters(paper, in_code_page_1252)), paper.number, paper.number)
    ),
    "application/json": _hand_overs(lambda paper: orjson.dumps(asdict(paper))),
}
GROUP_SHEETS: Mapping[str, GroupPrinter] = {
    "text/plain": _group_sheets(lambda paper: group_sheet_text(paper).encode()),
    "application/pdf": _group_sheets(
        lambda paper: pdf(group_sheet_pages(in_letters(paper, has_sign), A4), paper.group)
    ),
    "image/svg+xml": _group_sheets(_group_sheet_svg),
    RECEIPT: _group_sheets(
        lambda paper: receipt(group_sheet_rows(in_letters(paper, in_code_page_1252)), paper.number, paper.number)
    ),
    "application/json": _group_sheets(lambda paper: orjson.dumps(asdict(paper))),
}
DRAWINGS: Mapping[str, Drawer] = {
    "image/svg+xml": lambda check: drawing_svg(in_letters(drawing(check), any_sign)).encode(),
    "text/plain": lambda check: drawing_text(drawing(check)).encode(),
}

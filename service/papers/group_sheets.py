"""The sheet of a group: everybody's pieces, work, day and price on one paper. Decided once for every format."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from service.papers.rendering.columns import DOUBLE_RULE, GAP, RULE, Row, centred, ends, labelled, plain, text_of
from service.papers.rendering.layout import (
    Block,
    Box,
    Mark,
    Page,
    Sheet,
    Words,
    blank,
    facts_in_columns,
    flow,
    paragraph,
)
from service.papers.rendering.letters import in_a_column, in_letters
from service.papers.ticket_lines import line_words
from service.papers.tickets import owed_and_paid
from service.tailoring.orders.lines.order_lines import line_numbers
from service.tailoring.orders.orders import Order
from service.tailoring.orders.piece_states import PieceOfOrder
from service.tailoring.work.prices import Money
from service.tongues.wording import day_text, money_text
from service.use_cases.orders.order_groups import NEVER_COLLECTED, FiledGroup

# ISO 216, in points.
A4 = Sheet(595.28, 841.89, 36)
# How much room there is to sign for each person, in points.
_TRIED_ON = 170.0
CHECKS = ("all pieces counted", "all tried on", "collected by")
_HERE = frozenset({"ready", "stored", "collected"})


@dataclass(frozen=True, slots=True)
class GroupPiece:
    """A piece of somebody: what it is, as its tag says it, where it is, and what is done to it."""

    what: str
    state: str
    work: str


@dataclass(frozen=True, slots=True)
class GroupMember:
    """One person of a group: which of them, their order, and their pieces."""

    place: str
    number: str
    wearer: str
    state: str
    pieces: tuple[GroupPiece, ...]
    total: str
    note: str


@dataclass(frozen=True, slots=True)
class GroupSheet:
    """All that the sheet says; `number` is what its codes hold. What is empty is not printed."""

    shop: str
    number: str
    group: str
    promised: str
    needed_by: str
    placed: str
    by: str
    counts: str
    members: tuple[GroupMember, ...]
    total: str
    checks: tuple[str, ...]


def group_sheet(filed: FiledGroup, shop: str) -> GroupSheet:
    """The sheet of a group as it is now; of an order that is cancelled or given up nothing is on it."""
    group = filed.group
    orders = [each.order for each in filed.orders if each.order.state not in NEVER_COLLECTED]
    owed = [owed_and_paid(order)[0] for order in orders]
    pieces = [piece for order in orders for piece in order.pieces]
    ready = sum(piece.state in _HERE for piece in pieces)
    return GroupSheet(
        shop=shop,
        number=group.group_ref or (orders[0].number if orders else group.id[:8]),
        group=f"Group {group.group_ref}" if group.group_ref else "Group",
        promised=day_text(filed.promised_for) if filed.promised_for else "no day promised",
        needed_by=day_text(group.needed_by) if group.needed_by else "",
        placed=day_text(group.placed_at.date()),
        by=group.marked_by,
        counts=f"{len(orders)} orders, {len(pieces)} pieces, {ready} of them ready or collected",
        members=tuple(_member(order, f"{n} of {len(orders)}") for n, order in enumerate(orders, start=1)),
        total=money_text(Money(sum(each.minor for each in owed), owed[0].currency)) if owed else "",
        checks=CHECKS,
    )


def _member(order: Order, place: str) -> GroupMember:
    return GroupMember(
        place=place,
        number=order.number,
        wearer=order.customer_ref or "",
        state=order.state.replace("_", " "),
        pieces=tuple(_piece(order, each) for each in sorted(order.pieces, key=lambda each: each.piece)),
        total=money_text(owed_and_paid(order)[0]),
        note=order.note,
    )


def _piece(order: Order, each: PieceOfOrder) -> GroupPiece:
    size = f" {each.tagged.label}" if each.tagged.label else ""
    cloth = f", {each.tagged.cloth}" if each.tagged.cloth else ""
    numbers = sorted((number, at) for at, number in line_numbers(order.lines).items())
    lines = [order.lines[at] for _, at in numbers if order.lines[at].piece == each.piece]
    work = "; ".join(dict.fromkeys(line_words(line) for line in lines))
    return GroupPiece(f"{each.garment}{size}{cloth}", each.state.replace("_", " "), work or "no work")


def group_sheet_text(sheet: GroupSheet) -> str:
    """The sheet as plain text, as wide as a receipt."""
    return text_of(group_sheet_rows(in_letters(sheet, in_a_column)))


def group_sheet_rows(sheet: GroupSheet) -> Iterator[Row]:
    """The sheet row by row; its letters are those of whoever prints it."""
    yield DOUBLE_RULE
    yield from centred(sheet.shop)
    yield from centred(sheet.group, strong=True)
    yield DOUBLE_RULE
    for name, fact in _facts(sheet):
        yield from labelled(name, fact, strong=name == "READY BY")
    for each in sheet.members:
        yield RULE
        yield from ends(f"{each.place}  ORDER {each.number}", each.total, strong=True)
        yield from labelled("wearer", each.wearer or "no reference")
        for piece in each.pieces:
            yield from labelled("[ ]", f"{piece.what}: {piece.state}", width=4)
            yield from labelled("", piece.work, width=4)
        if each.note:
            yield from plain(each.note)
    yield RULE
    if sheet.total:
        yield from ends("TOTAL", sheet.total, strong=True)
    yield GAP
    for check in sheet.checks:
        yield from ends(check, "[__________]")


def _facts(sheet: GroupSheet) -> list[tuple[str, str]]:
    facts = (
        ("READY BY", sheet.promised),
        ("needed by", sheet.needed_by),
        ("placed", sheet.placed),
        ("by", sheet.by),
        ("in all", sheet.counts),
    )
    return [(name, words) for name, words in facts if words]


def group_sheet_pages(sheet: GroupSheet, paper: Sheet) -> tuple[Page, ...]:
    """The sheet on paper of that kind; nobody is parted by the end of a page."""
    width = paper.inner
    marks, y = paragraph(sheet.shop, 0, 0, width, 11)
    found, y = paragraph(sheet.group, 0, y + 4, width, 18, strong=True)
    ready = [Words(0, y + 16, "READY BY", 9, strong=True), Words(58, y + 16, sheet.promised, 15, strong=True)]
    facts, y = facts_in_columns(_facts(sheet)[1:], y + 26, width)
    blocks = [Block(y + 6, (*marks, *found, *ready, *facts))]
    blocks += [_member_block(each, width) for each in sheet.members]
    if sheet.total:
        blocks.append(Block(22, (Box(0, 2, width, 1), Words(0, 16, f"Total {sheet.total}", 11, strong=True))))
    blocks += [Block(20, (Words(0, 14, each, 9), *blank(width * 0.4, 14, width * 0.6))) for each in sheet.checks]

    def foot(page: int, of: int) -> Iterator[Mark]:
        if of > 1:
            yield Words(paper.margin, 14, f"{sheet.group}, page {page} of {of}", 7.5)

    return flow(blocks, paper, foot)


def _member_block(each: GroupMember, width: float) -> Block:
    """Whose it is, a box to tick for each piece, and where it is signed that all of it was tried on."""
    whose = f"{each.place} · {each.wearer or 'no reference'} · order {each.number} · {each.total}"
    marks: list[Mark] = [Box(0, 2, width, 0.8)]
    signed = width - _TRIED_ON
    marks += [Words(signed, 16, "tried on", 9), *blank(signed + 40, 16, _TRIED_ON - 40)]
    found, y = paragraph(whose, 0, 5, signed - 10, 11, strong=True)
    marks += found
    for piece in each.pieces:
        marks.append(Box(1, y + 3, 9, 9, 0.8))
        found, y = paragraph(f"{piece.what}: {piece.state}", 18, y, width - 18, 10)
        marks += found
        found, y = paragraph(piece.work, 18, y, width - 18, 9)
        marks += found
    if each.note:
        found, y = paragraph(each.note, 18, y, width - 18, 9)
        marks += found
    return Block(y + 6, tuple(marks))

"""The hand-over to a maker to measure: readings, posture, what was seen, and where the nearest size stays wrong.

What it says is decided here, once for every format. It names no person but by the shop's own reference.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from service.papers.rendering.columns import DOUBLE_RULE, GAP, RULE, Row, centred, ends, labelled, plain, text_of
from service.papers.rendering.layout import Block, Mark, Page, Sheet, Words, blank, facts_in_columns, flow, paragraph
from service.papers.rendering.letters import in_a_column, in_letters
from service.tailoring.body.posture import PostureNote
from service.tailoring.body.readings import Reading, Source, dimensions
from service.tailoring.fitting.fit_check_records import FitCheckRecord
from service.tailoring.fitting.hand_overs import HandOver
from service.tailoring.garments.charts import GARMENTS
from service.tailoring.quantities import Length, Mass
from service.tailoring.sizing.plans import PlaceReport, Plan
from service.tongues.wording import change_text, day_text, length_text

_SOURCES: dict[Source, str] = {
    "measured": "taped",
    "self_measured": "taped by the customer",
    "self_reported": "as the customer says",
    "label": "from a label",
}
_VERDICTS = {"right": "right", "too_much": "too much", "too_little": "too little"}
# Said to the maker, whoever it is (common practice, no source).
_CHECKS = ("Tape again what decides, over a shirt, before the cloth is cut.", "Try on at the first fitting.")


@dataclass(frozen=True, slots=True)
class SheetReading:
    """A dimension in words, its size both ways, and how it was got."""

    of: str
    size: str
    how: str


@dataclass(frozen=True, slots=True)
class HandOverSheet:
    """All that the sheet says; what is empty is not printed. `nearest` are sizes, `wrong` where they stay wrong."""

    shop: str
    number: str
    day: str
    customer_ref: str
    garments: str
    age: str
    serves: str
    readings: tuple[SheetReading, ...]
    to_take: tuple[str, ...]
    posture: tuple[str, ...]
    seen: tuple[str, ...]
    nearest: tuple[str, ...]
    wrong: tuple[str, ...]
    note: str
    checks: tuple[str, ...]


def hand_over_sheet(given: HandOver, shop: str) -> HandOverSheet:
    """The sheet of one customer."""
    plan = given.advice.plans[0] if given.advice.plans else None
    serves = given.advice.serves
    return HandOverSheet(
        shop=shop,
        number=given.customer_ref or f"MTM-{given.on.isoformat()}",
        day=day_text(given.on),
        customer_ref=given.customer_ref or "",
        garments=", ".join(given.garments),
        age=f"{given.age_years:g} years" if given.age_years is not None else "",
        serves=serves.serves if serves else "doubtful",
        readings=tuple(_reading(each) for each in given.readings),
        to_take=tuple(dimensions()[name].words for name in given.to_take),
        posture=tuple(_posture(each) for each in given.posture),
        seen=tuple(_seen(given.check)) if given.check else (),
        nearest=tuple(_nearest(plan)) if plan else (),
        wrong=tuple(_wrong(each) for each in serves.beyond) if serves else (),
        note=given.note,
        checks=_CHECKS,
    )


def _reading(each: Reading) -> SheetReading:
    sizes = ", again ".join(_size(size) for size in (each.size, *each.repeats))
    return SheetReading(dimensions()[each.dimension].words, sizes, _SOURCES[each.source])


def _size(size: Length | Mass) -> str:
    return length_text(size) if isinstance(size, Length) else f"{size.kg:.1f} kg"


def _posture(note: PostureNote) -> str:
    side = f", {note.side}" if note.side else ""
    return f"{note.kind.words}{side}: {length_text(note.amount)}"


def _seen(check: FitCheckRecord) -> Iterator[str]:
    """What was judged on the worn suit, point by point, with the amount where one was measured."""
    worn = ", ".join(f"{garment} {size.label} of {size.chart}" for garment, size in check.worn.items())
    yield f"worn: {worn}"
    amounts = {(each.point, each.side): each.amount_mm for each in check.seen if each.amount_mm is not None}
    for each in check.verdicts:
        if each.verdict is None:
            continue
        side = f", {each.side}" if each.side else ""
        amount_mm = amounts.get((each.point, each.side))
        amount = "" if amount_mm is None else f", {_signed(amount_mm)}"
        yield f"{each.words}{side}: {_VERDICTS[each.verdict]}{amount}"


def _signed(mm: float) -> str:
    if not mm:
        return "nothing"
    return change_text(Length(abs(mm), "in"), "increase" if mm > 0 else "decrease")


def _nearest(plan: Plan) -> Iterator[str]:
    """The nearest size of each garment with its finished measures: what a maker has before them on the rack."""
    for garment in GARMENTS:
        size = plan.chosen.get(garment)
        if size:
            of = (each for each in plan.places if each.garment == garment)
            measures = ", ".join(f"{each.place.replace('_', ' ')} {_inch(each.garment_mm)}" for each in of)
            yield f"{garment} {size.label} of {size.chart}, revision {size.revision}: {measures}"


def _wrong(each: PlaceReport) -> str:
    way = "too little" if each.residual_mm < 0 else "too much"
    return f"{each.garment}, {each.place.replace('_', ' ')}: {way} by {_inch(abs(each.residual_mm))}"


def _inch(mm: float) -> str:
    return length_text(Length(mm, "in"))


def hand_over_text(sheet: HandOverSheet) -> str:
    """The sheet as plain text, as wide as a receipt."""
    return text_of(hand_over_rows(in_letters(sheet, in_a_column)))


def hand_over_rows(sheet: HandOverSheet) -> Iterator[Row]:
    """The sheet row by row; its letters are those of whoever prints it."""
    yield DOUBLE_RULE
    yield from centred(sheet.shop)
    yield from centred("MADE TO MEASURE", strong=True)
    yield DOUBLE_RULE
    for name, fact in _facts(sheet):
        yield from labelled(name, fact)
    yield GAP
    yield Row("READINGS", strong=True)
    for each in sheet.readings:
        yield from plain(each.of)
        yield from ends(each.how, each.size, indent=2)
    for name in sheet.to_take:
        yield from plain(name)
        yield from ends("to be taped", "[______________]", indent=2)
    for head, words in _lists(sheet):
        yield RULE
        yield Row(head, strong=True)
        for line in words:
            yield from labelled("-", line, width=2)


def _facts(sheet: HandOverSheet) -> Iterable[tuple[str, str]]:
    """What stands at the head of the sheet; what is empty is not printed."""
    facts = (
        ("day", sheet.day), ("customer", sheet.customer_ref), ("garments", sheet.garments), ("age", sheet.age),
        ("serves", sheet.serves), ("note", sheet.note),
    )  # fmt: skip
    return [(name, words) for name, words in facts if words]


def _lists(sheet: HandOverSheet) -> Iterator[tuple[str, tuple[str, ...]]]:
    """The lists of the sheet with their headings; an empty one is not printed."""
    for head, words in (
        ("POSTURE", sheet.posture),
        ("SEEN ON THE WORN SUIT", sheet.seen),
        ("NEAREST SIZE", sheet.nearest),
        ("STAYS WRONG", sheet.wrong),
        ("TAKE CARE", sheet.checks),
    ):
        if words:
            yield head, words


def hand_over_pages(sheet: HandOverSheet, paper: Sheet) -> tuple[Page, ...]:
    """The sheet on paper of that kind."""
    width = paper.inner
    marks, y = paragraph(sheet.shop, 0, 0, width, 11)
    found, y = paragraph("Made to measure", 0, y + 4, width, 18, strong=True)
    facts, y = facts_in_columns(_facts(sheet), y + 8, width)
    blocks = [Block(y + 6, (*marks, *found, *facts)), _heading("READINGS")]
    blocks += [_taken(each, width) for each in sheet.readings]
    blocks += [_left_open(name, width) for name in sheet.to_take]
    for head, words in _lists(sheet):
        blocks.append(_heading(head))
        blocks += [_line(line, width) for line in words]

    def foot(page: int, of: int) -> Iterator[Mark]:
        if of > 1:
            yield Words(paper.margin, 12, f"{sheet.number}, page {page} of {of}", 7.5)

    return flow(blocks, paper, foot)


def _heading(words: str) -> Block:
    return Block(20, (Words(0, 15, words, 8.5, strong=True),), with_next=True)


def _taken(each: SheetReading, width: float) -> Block:
    marks, y = paragraph(f"{each.of}: {each.size} ({each.how})", 0, 0, width, 9)
    return Block(y + 1, tuple(marks))


def _left_open(name: str, width: float) -> Block:
    return Block(18, (Words(0, 13, name, 9), *blank(width * 0.7, 13, width * 0.3)))


def _line(words: str, width: float) -> Block:
    marks, y = paragraph(words, 8, 0, width - 8, 9)
    return Block(y + 1, (Words(0, 9, "-", 9), *marks))

"""The ticket: the paper that travels with the pieces. What it says is decided here, once for every format.

A ticket is read at the bench without the fitter at hand. So each line gives the change and the finished
measure aimed at, left and right stand apart, and what stops the work stands where the work is read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from datetime import datetime, tzinfo
from typing import TypeVar, cast

from service.papers.ticket_changes import SaidChange, said_changes
from service.papers.ticket_lines import Measure, TicketLine, line_words
from service.papers.ticket_pieces import TicketGarment, fittings_of, ticket_piece
from service.tailoring.orders.charges import charges
from service.tailoring.orders.lines.order_lines import line_numbers
from service.tailoring.orders.order_states import is_over
from service.tailoring.orders.orders import Order
from service.tailoring.work.cautions import cautions_at
from service.tailoring.work.prices import Money
from service.tailoring.workroom.bookings import work_of
from service.tongues.tags import BRITISH
from service.tongues.tongues import Say, Tongue, tongue
from service.tongues.wording import ROUNDED_WORDS, day_text, money_text
from service.use_cases.orders.order_papers import Detail

Part = TypeVar("Part")

# Signed once for the order; each piece has its own.
CHECKS = ("tried on", "collected by")
# When pins are counted, each time all of them.
PIN_COUNTS = ("at pressing", "at hand-over")


@dataclass(frozen=True, slots=True)
class TicketNotice:
    """What must be looked at first, and at which lines."""

    numbers: tuple[int, ...]
    text: str

    def words_in(self, say: Say) -> str:
        """As it is printed, with the numbers of its lines."""
        numbers = "+".join(map(str, self.numbers))
        return f"{say('line {number}', number=numbers) if len(self.numbers) == 1 else numbers}: {self.text}"


@dataclass(frozen=True, slots=True)
class Ticket:
    """All that the paper says. `number` stands on it as a QR code and as a Code 128 too.

    `rush` is "" or what is printed large. `alerts` are what an order's last moves ask of whoever picks it up. `group`
    is "", or which group it belongs to. `deposit` and `balance` are "" where nothing is paid down. `answers` are the
    workroom's questions with what the fitter said, `changes` what became of lines, `look_again` what the fitting left
    in doubt; `fittings` lines that are fitted before they are closed. All of it is in its `language`.
    """

    shop: str
    number: str
    state: str
    rush: str
    group: str
    alerts: tuple[str, ...]
    placed: str
    promised: str
    needed_by: str
    customer_ref: str
    sale_ref: str
    by: str
    note: str
    answers: tuple[str, ...]
    look_again: tuple[str, ...]
    changes: tuple[str, ...]
    notices: tuple[TicketNotice, ...]
    fittings: tuple[str, ...]
    garments: tuple[TicketGarment, ...]
    rounding: str
    pins_in: int
    checks: tuple[str, ...]
    minutes: tuple[str, ...]
    total: str
    deposit: str
    balance: str
    cautions: tuple[str, ...]
    language: str = BRITISH

    @property
    def tongue(self) -> Tongue:
        """The language that it is written in."""
        return tongue(self.language)


def group_words(group_ref: str | None, place: int, of: int, wearer: str | None = None) -> str:
    """That an order belongs to others, and whose of them it is: "GROUP party-7, order 2 of 6, wearer C-1042"."""
    whose = f", wearer {wearer}" if wearer else ""
    return f"GROUP{f' {group_ref}' if group_ref else ''}, order {place} of {of}{whose}"


def ticket(order: Order, shop: str, zone: tzinfo | None = None, detail: Detail = "short", group: str = "") -> Ticket:
    """The ticket of `order` as it is now; the hour of placing in `zone`, or as the order has it.

    `group` is its place in a group of orders, in words.
    """
    pieces, work = sorted(order.garments, key=lambda piece: piece.piece), work_of(order.lines)
    minutes = {item.bench: 0 for item in work}
    for item in work:
        minutes[item.bench] += item.minutes
    numbers = line_numbers(order.lines)
    owed, paid = owed_and_paid(order)
    changes = said_changes(order, numbers, _words_by_id(order))
    fittings, notices = fittings_of(order, numbers), _notices(order, numbers)
    shown = tuple(
        ticket_piece(
            order,
            piece,
            f"{n} of {len(pieces)}",
            numbers,
            detail,
            _read_first(order, piece.piece, numbers, notices, changes),
        )
        for n, piece in enumerate(pieces, start=1)
    )
    return Ticket(
        shop=shop,
        number=order.number,
        state=order.state.replace("_", " "),
        rush="RUSH" if order.rush else "",
        group=group,
        alerts=_alerts(order, zone),
        placed=_hour_text(order.placed_at, zone),
        promised=day_text(order.promised_for) if order.promised_for else "no day promised",
        needed_by=day_text(order.needed_by) if order.needed_by else "",
        customer_ref=order.customer_ref or "",
        sale_ref=order.sale_ref or "",
        by=order.marked_by,
        note=order.note,
        answers=_answers(order),
        look_again=order.doubts,
        changes=tuple(each.words for each in changes),
        notices=notices,
        fittings=tuple(fittings.values()),
        garments=shown,
        rounding=ROUNDED_WORDS if any(each.is_rounded for each in _measures(shown)) else "",
        pins_in=order.pins_to_count,
        checks=CHECKS,
        minutes=tuple(f"{bench} {count}" for bench, count in minutes.items()),
        total=money_text(owed),
        deposit=money_text(paid) if paid.minor else "",
        balance=money_text(Money(owed.minor - paid.minor, owed.currency)) if paid.minor else "",
        cautions=tuple(each.text if detail == "full" else each.short for each in cautions_at(minutes)),
    )


# What is as somebody wrote it, or numbers it: it is no word of the trade's.
_AS_WRITTEN = frozenset(
    {"shop", "number", "tag", "alteration", "customer_ref", "sale_ref", "by", "note", "language", "side"}
    | {"size", "style", "cloth", "must_keep", "faults_seen"}
)


def in_language(paper: Ticket, language: str) -> Ticket:
    """The ticket in another language: each of its sentences, but what somebody wrote."""
    speech = tongue(language)
    return paper if speech.tag == BRITISH else replace(_said_in(paper, speech), language=speech.tag)


def _said_in(part: Part, speech: Tongue) -> Part:
    if isinstance(part, str):
        return cast("Part", speech.sentence(part))
    if isinstance(part, tuple):
        return cast("Part", tuple(_said_in(each, speech) for each in part))
    if not is_dataclass(part):
        return part
    found = {each.name: getattr(part, each.name) for each in fields(part) if each.name not in _AS_WRITTEN}
    # The note of a hem is the service's own, another is whoever marked it.
    if isinstance(part, TicketLine) and speech.knows(part.note):
        found["note"] = part.note
    said = {name: _said_in(value, speech) for name, value in found.items()}
    return replace(part, **said)  # type: ignore[type-var]


def owed_and_paid(order: Order) -> tuple[Money, Money]:
    """What is charged for it, and what of that is paid down."""
    owed = Money(sum(charge.amount.minor for charge in charges(order)), order.total.currency)
    return owed, Money(min(owed.minor, order.deposit.minor), owed.currency)


def _measures(pieces: Sequence[TicketGarment]) -> list[Measure]:
    return [measure for piece in pieces for line in piece.lines for measure in line.measures]


def _hour_text(at: datetime, zone: tzinfo | None) -> str:
    local = at.astimezone(zone) if zone else at
    return f"{day_text(local.date())}, {local:%H:%M}"


def _alerts(order: Order, zone: tzinfo | None) -> tuple[str, ...]:
    """A cancelled order, an open question, why the order came back: what its state alone does not say."""
    last, found = order.events[-1], []
    if order.state == "cancelled":
        found.append("CANCELLED: do no work, give the pieces back")
        if dict(last.facts).get("cloth_cut"):
            found.append("cloth was already cut")
    if order.state == "query":
        found.append(f"QUERY: {order.open_question or 'stop, ask the fitter'}")
    unmarked = sorted({line.piece for line in order.lines if line.to_be_pinned})
    if unmarked and order.state != "cancelled":
        found.append(f"HEM NOT PINNED, piece {', '.join(map(str, unmarked))}: not to be begun before it is marked")
    found += _pins_lost(order)
    redo = next((event for event in reversed(order.events) if event.is_redo), None)
    if redo and not is_over(order.state):
        numbers = cast("Sequence[int]", dict(redo.facts).get("redo_lines") or ())
        lines = f" (line {', '.join(str(number) for number in numbers)})" if numbers else ""
        found.append(f"REDO, free: {dict(redo.facts)['reason']}{lines}")
    if order.fitting_on is not None:
        found.append(f"SECOND FITTING {day_text(order.fitting_on)}: leave the basting in")
    amended = next((event for event in reversed(order.events) if event.kind == "amended"), None)
    if amended and not is_over(order.state):
        found.append(f"AMENDED {_hour_text(amended.at, zone)}: use no older paper")
    return tuple(found)


def _pins_lost(order: Order) -> list[str]:
    """Pins that the last count did not find: whoever takes the piece over must know it."""
    count = next((event for event in reversed(order.events) if event.is_pin_count), None)
    said = dict(count.facts) if count else {}
    lost = said.get("pins_lost")
    if not lost:
        return []
    pins = "PIN" if lost == 1 else "PINS"
    return [f"{lost} {pins} LOST, searched for by {said['searched_by']}, swept with a magnet: search at every step"]


def _answers(order: Order) -> tuple[str, ...]:
    """What the workroom asked and the fitter answered: the bench sews by it."""
    found, question = [], ""
    for event in order.events:
        said = dict(event.facts)
        question = str(said.get("question") or question)
        if said.get("answer"):
            found.append(f"asked: {question} Answered: {said['answer']}")
    return tuple(found)


def _notices(order: Order, numbers: dict[int, int]) -> tuple[TicketNotice, ...]:
    lines: dict[str, list[int]] = {}
    for notice in order.notices:
        position = notice.at[1]
        if isinstance(position, int):
            lines.setdefault(notice.text, []).append(numbers[position])
    return tuple(TicketNotice(tuple(sorted(at)), text) for text, at in lines.items())


def _words_by_id(order: Order) -> dict[int, str]:
    lines = [*(change.line for change in order.line_changes), *order.lines]
    return {line.id: line_words(line) for line in lines}


def _read_first(
    order: Order,
    piece: int,
    numbers: dict[int, int],
    notices: Sequence[TicketNotice],
    changes: Sequence[SaidChange],
) -> tuple[str, ...]:
    """What is read first of one piece: what is said of the whole order, and of its own lines."""
    mine = {number for position, number in numbers.items() if order.lines[position].piece == piece}
    fitted = (words for number, words in fittings_of(order, numbers).items() if number in mine)
    of_lines = (notice.words_in(tongue(BRITISH).say) for notice in notices if mine & set(notice.numbers))
    changed = (each.words for each in changes if each.piece == piece)
    garment = next(each.garment for each in order.garments if each.piece == piece)
    doubts = (each.words for each in order.look_again if each.garment in ("", garment))
    return (*_answers(order), *changed, *doubts, *of_lines, *fitted)

"""The customer's slip: what was received, what will be done, what it costs, and when. Decided once for every format.

It names no person, no reference of one, no sale and no measure. The customer's own view on the web says less still:
where the order is, its day, and what is to be paid.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace

from service.papers.rendering.columns import DOUBLE_RULE, GAP, Row, centred, ends, labelled, plain, text_of
from service.papers.rendering.faces import width_of
from service.papers.rendering.layout import (
    Block,
    Mark,
    Page,
    Sheet,
    Words,
    bar_code,
    fitting,
    flow,
    flush_left,
    paragraph,
    square_code,
)
from service.papers.rendering.letters import in_a_column, in_letters
from service.papers.ticket_lines import line_words
from service.papers.tickets import owed_and_paid
from service.tailoring.orders.lines.order_lines import line_numbers
from service.tailoring.orders.order_states import State, is_over
from service.tailoring.orders.orders import Order
from service.tailoring.work.prices import Money
from service.tailoring.workroom.opening import Opening
from service.tongues.tags import BRITISH
from service.tongues.tongues import Tongue, tongue

# ISO 216, in points.
A6 = Sheet(297.64, 419.53, 24)
CARD = Sheet(297.64, None, 24)

# What customers are told of a state: the workroom's own turns are no news to them.
_STANDS: dict[State, str] = {
    "marked": "received",
    "accepted": "received",
    "in_workroom": "in the workroom",
    "query": "in the workroom",
    "basted_for_fitting": "in the workroom",
    "sewn": "in the workroom",
    "pressed": "in the workroom",
    "ready": "ready to collect",
    "stored": "ready to collect",
    "lost": "please ask in the shop",
    "collected": "collected",
    "given_up": "not collected, given up",
    "written_off": "settled",
    "cancelled": "cancelled",
}
TO_PAY = "to pay at collection"
# Trade press: what is not tried on at collection comes back later.
_ADVICE = ("Bring this slip.", "Try everything on before you take it home.")


@dataclass(frozen=True, slots=True)
class Slip:
    """All that the slip says. `says` is what its QR code holds: the slip's address, or the number where there is none.

    The number is on it as a Code 128 too. `promised_for` is the day as ISO 8601 writes it, `day` in words, `hour` from
    when on that day it may be collected; `fittings` are the days on which a piece is tried on before. `work` says what
    is done, a piece each, without measures; the `total`, what is paid down and what is left are "" where they are not
    said, `ask_at` where the shop did not say it. All of it is in its `language`.
    """

    shop: str
    number: str
    state: State
    state_words: str
    promised_for: str | None
    day: str
    hour: str
    fittings: tuple[str, ...]
    garments: tuple[str, ...]
    work: tuple[str, ...]
    total: str
    deposit: str
    balance: str
    ask_at: str
    advice: tuple[str, ...]
    says: str
    language: str = BRITISH

    @property
    def tongue(self) -> Tongue:
        """The language that it is written in."""
        return tongue(self.language)


@dataclass(frozen=True, slots=True)
class ShopCounter:
    """What a shop says on its slips: from which hour pieces may be collected, where customers ask, when it is open."""

    ready_from: str = ""
    ask_at: str = ""
    opening: Opening = Opening()  # noqa: RUF009  frozen

    def hour(self, order: Order, speech: Tongue) -> str:
        """The hour of collection of an order that is promised for a day, in words; "" where nobody said."""
        on = order.promised_for
        hours = self.opening.hours_of_collection(on, self.ready_from) if on and not is_over(order.state) else ("", "")
        return speech.hours(*hours) if any(hours) else ""


def slip(
    order: Order,
    shop: str,
    address: str | None = None,
    counter: ShopCounter = ShopCounter(),
    language: str = BRITISH,
) -> Slip:
    """The slip of `order` as it is now, in a language; `address` is where the customer may look at it."""
    speech = tongue(language)
    owed, paid = owed_and_paid(order)
    counts = Counter(
        (piece.garment, _STANDS[state]) for piece, state in zip(order.garments, order.piece_states, strict=True)
    )
    # Where all of them are is said once, of the order.
    apart = len({words for _, words in counts}) > 1
    is_open, names = not is_over(order.state), {each.piece: each.garment for each in order.garments}
    return Slip(
        shop=shop,
        number=order.number,
        state=order.state,
        state_words=speech.say(_STANDS[order.state]),
        promised_for=order.promised_for.isoformat() if order.promised_for else None,
        day=speech.day(order.promised_for) if order.promised_for else speech.say("no day promised"),
        hour=counter.hour(order, speech),
        fittings=tuple(f"{speech.day(each.on)}: {speech.say(names[each.piece])}" for each in order.fittings_ahead),
        garments=tuple(
            speech.counted(garment, count) + (f": {speech.say(words)}" if apart else "")
            for (garment, words), count in counts.items()
        ),
        work=_work(order, speech) if is_open else (),
        total=speech.money(owed) if is_open else "",
        deposit=speech.money(paid) if paid.minor and is_open else "",
        balance=speech.money(Money(owed.minor - paid.minor, owed.currency)) if paid.minor and is_open else "",
        ask_at=counter.ask_at,
        advice=tuple(speech.say(each) for each in _ADVICE) if is_open else (),
        says=address or order.number,
        language=speech.tag,
    )


def own_view(paper: Slip) -> Slip:
    """As the customer sees it on the web, where a link may be passed on: without what is done and what it cost."""
    return replace(paper, work=(), total="", deposit="", balance=paper.balance or paper.total)


def slip_text(slip: Slip) -> str:
    """The slip as plain text, as wide as a receipt."""
    return text_of(slip_rows(in_letters(slip, in_a_column)))


def slip_rows(slip: Slip) -> Iterator[Row]:
    """The slip row by row; its letters are those of whoever prints it."""
    yield DOUBLE_RULE
    yield from centred(slip.shop)
    yield DOUBLE_RULE
    say = slip.tongue.say
    yield from labelled(say("ORDER"), slip.number, strong=True)
    yield from labelled(say("READY BY"), _when(slip), strong=True)
    for fitting_day in slip.fittings:
        yield from labelled(say("FITTING"), fitting_day, strong=True)
    yield from labelled(say("now"), slip.state_words)
    yield from labelled(say("pieces"), ", ".join(slip.garments))
    if slip.work:
        yield GAP
    for work in slip.work:
        yield from labelled("-", work, width=2)
    if slip.total or slip.balance:
        yield GAP
    for name, amount in _money(slip):
        yield from ends(say(name), amount, strong=name == TO_PAY)
    if slip.ask_at:
        yield GAP
        yield from plain(say("Ask at {ask_at}", ask_at=slip.ask_at))
    if slip.advice:
        yield GAP
        yield from plain(" ".join(slip.advice))
    if slip.says != slip.number:
        yield GAP
        yield from plain(say("See how it is going: {says}", says=slip.says))


def slip_pages(slip: Slip, sheet: Sheet) -> tuple[Page, ...]:
    """The slip on paper of that kind."""
    width, side = sheet.inner, 92.0
    when, say = _when(slip), slip.tongue.say
    marks, y = paragraph(slip.shop, 0, 0, width, 11)
    title = say("Order {number}", number=slip.number)
    marks.append(Words(0, y + 24, title, fitting(title, width, 22), strong=True))
    marks.append(Words(0, y + 42, say("READY BY"), 7.5, strong=True))
    marks.append(Words(0, y + 58, when, fitting(when, width, 16), strong=True))
    now = f"{slip.state_words[:1].upper()}{slip.state_words[1:]}: {', '.join(slip.garments)}"
    found, y = paragraph(now, 0, y + 62, width, 10, strong=True)
    blocks = [Block(y + 4, (*marks, *found))]
    for fitting_day in slip.fittings:
        found, y = paragraph(say("Fitting {day}", day=fitting_day), 0, 0, width, 10, strong=True)
        blocks.append(Block(y + 2, tuple(found)))
    for work in slip.work:
        found, y = paragraph(f"– {work}", 0, 0, width, 9)
        blocks.append(Block(y, tuple(found)))
    blocks.append(_paid(slip, width))
    for words in (say("Ask at {ask_at}", ask_at=slip.ask_at) if slip.ask_at else "", " ".join(slip.advice)):
        if words:
            found, y = paragraph(words, 0, 0, width, 9)
            blocks.append(Block(y + 2, tuple(found)))
    codes = flush_left(square_code(slip.says, 0, 6, side), 0)
    codes += bar_code(slip.number, side + 2, 20, width - side - 2, 34)
    y = side + 6
    if slip.says != slip.number:
        found, y = paragraph(slip.says, 0, y - 4, width, 6.5)
        codes += found
    blocks.append(Block(y, tuple(codes)))

    def foot(_page: int, _of: int) -> Iterator[Mark]:
        return iter(())

    return flow(blocks, sheet, foot)


def _paid(slip: Slip, width: float) -> Block:
    marks: list[Mark] = []
    y = 4.0
    for name, amount in _money(slip):
        y += 12
        strong = name == TO_PAY
        said = slip.tongue.say(name)
        marks += [Words(0, y, said, 9, strong), Words(width - width_of(amount, 9, strong=strong), y, amount, 9, strong)]
    return Block(y + 4, tuple(marks))


def _when(slip: Slip) -> str:
    return f"{slip.day}, {slip.hour}" if slip.hour else slip.day


def _money(slip: Slip) -> tuple[tuple[str, str], ...]:
    """Price, what is paid down, and what is left, by name; what is not said is left out."""
    price = ("price", slip.total) if slip.deposit else (TO_PAY, slip.total)
    named = (price, ("deposit, paid", slip.deposit), (TO_PAY, slip.balance))
    return tuple((name, amount) for name, amount in named if amount)


def _work(order: Order, speech: Tongue) -> tuple[str, ...]:
    """What is done to each piece, in the trade's words, without a measure."""
    numbers = line_numbers(order.lines)
    found = []
    for piece in sorted(order.garments, key=lambda each: each.piece):
        mine = sorted((n, order.lines[at]) for at, n in numbers.items() if order.lines[at].piece == piece.piece)
        words = dict.fromkeys(speech.say(line_words(line)) for _, line in mine)
        found += [f"{speech.say(piece.garment)}: {'; '.join(words)}"] if words else []
    return tuple(found)

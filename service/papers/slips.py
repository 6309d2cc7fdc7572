"""The customer's slip: where his order stands and its day. What it says is decided here, once for every format.

It names no person, no reference of one, no sale and no measure: whoever finds it learns of an order and its day.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from html import escape

from service.papers.rendering.columns import DOUBLE_RULE, GAP, Row, centred, labelled, plain, text_of
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
from service.papers.wording import day_text
from service.tailoring.orders.order_states import State
from service.tailoring.orders.orders import Order

# ISO 216, in points.
A6 = Sheet(297.64, 419.53, 24)
CARD = Sheet(297.64, None, 24)

# What a customer is told of a state: the workroom's own turns are no news to him.
_STANDS: dict[State, str] = {
    "marked": "taken in",
    "accepted": "taken in",
    "in_workroom": "in the workroom",
    "query": "in the workroom",
    "basted_for_fitting": "in the workroom",
    "sewn": "in the workroom",
    "pressed": "in the workroom",
    "ready": "ready to collect",
    "collected": "collected",
    "cancelled": "cancelled",
}
_MANY = {"trousers": "pairs of trousers"}
_ONE = {"trousers": "pair of trousers"}


@dataclass(frozen=True, slots=True)
class Slip:
    """All that the slip says. `says` is what its QR code holds: the slip's address, or the number where there is none.

    The number stands on it as a Code 128 too. `promised_for` is the day as ISO 8601 writes it, `day` in words.
    """

    shop: str
    number: str
    state: State
    state_words: str
    promised_for: str | None
    day: str
    garments: tuple[str, ...]
    advice: tuple[str, ...]
    says: str


def slip(order: Order, shop: str, address: str | None = None) -> Slip:
    """The slip of `order` as it stands; `address` is where the customer may look at it."""
    counts = Counter(piece.garment for piece in order.garments)
    is_open = order.state not in {"collected", "cancelled"}
    return Slip(
        shop=shop,
        number=order.number,
        state=order.state,
        state_words=_STANDS[order.state],
        promised_for=order.promised_for.isoformat() if order.promised_for else None,
        day=day_text(order.promised_for) if order.promised_for else "no day promised",
        garments=tuple(_counted(garment, count) for garment, count in counts.items()),
        # Trade press: what is not tried on at collection comes back later.
        advice=("Bring this slip.", "Try everything on before you take it home.") if is_open else (),
        says=address or order.number,
    )


def slip_text(slip: Slip) -> str:
    """The slip as plain text, as wide as a receipt."""
    return text_of(slip_rows(in_letters(slip, in_a_column)))


def slip_rows(slip: Slip) -> Iterator[Row]:
    """The slip row by row; its letters are those of whoever prints it."""
    yield DOUBLE_RULE
    yield from centred(slip.shop)
    yield DOUBLE_RULE
    yield from labelled("ORDER", slip.number, strong=True)
    yield from labelled("READY BY", slip.day, strong=True)
    yield from labelled("now", slip.state_words)
    yield from labelled("pieces", ", ".join(slip.garments))
    if slip.advice:
        yield GAP
        yield from plain(" ".join(slip.advice))
    if slip.says != slip.number:
        yield GAP
        yield from plain(f"Look here where it stands: {slip.says}")


def slip_pages(slip: Slip, sheet: Sheet) -> tuple[Page, ...]:
    """The slip on paper of that kind."""
    width, side = sheet.inner, 120.0
    marks, y = paragraph(slip.shop, 0, 0, width, 11)
    marks.append(Words(0, y + 26, f"Order {slip.number}", fitting(f"Order {slip.number}", width, 24), strong=True))
    marks.append(Words(0, y + 52, "READY BY", 7.5, strong=True))
    marks.append(Words(0, y + 70, slip.day, fitting(slip.day, width, 16), strong=True))
    marks.append(Words(0, y + 90, f"Now: {slip.state_words}", 10))
    found, y = paragraph(", ".join(slip.garments), 0, y + 94, width, 10)
    marks += found
    for advice in slip.advice:
        found, y = paragraph(advice, 0, y + 2, width, 10)
        marks += found
    marks += flush_left(bar_code(slip.number, 0, y + 12, width, 30), 0)
    marks += flush_left(square_code(slip.says, 0, y + 42, side), 0)
    y += 42 + side
    if slip.says != slip.number:
        found, y = paragraph(slip.says, 0, y - 4, width, 6.5)
        marks += found

    def foot(_page: int, _of: int) -> Iterator[Mark]:
        return iter(())

    return flow([Block(y, tuple(marks))], sheet, foot)


def slip_page(slip: Slip) -> str:
    """The slip as a web page of its own, to be looked at on a telephone and printed; nothing is fetched for it."""
    advice = "".join(f"<p>{escape(each)}</p>" for each in slip.advice)
    day = f'<time datetime="{slip.promised_for}">{escape(slip.day)}</time>' if slip.promised_for else escape(slip.day)
    return _PAGE.format(
        shop=escape(slip.shop),
        number=escape(slip.number),
        stands=escape(slip.state_words),
        day=day,
        pieces=escape(", ".join(slip.garments)),
        advice=advice,
    )


def _counted(garment: str, count: int) -> str:
    return f"1 {_ONE.get(garment, garment)}" if count == 1 else f"{count} {_MANY.get(garment, f'{garment}s')}"


_PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="robots" content="noindex">
<title>Order {number}: {stands}</title>
<style>
body {{ font: 1.1rem/1.5 system-ui, sans-serif; max-width: 30rem; margin: 2rem auto; padding: 0 1rem; color: #111; background: #fff }}
h1 {{ font-size: 1.6rem; margin: 0 }}
dl {{ margin: 1.5rem 0 }}
dt {{ font-size: .85rem; color: #444 }}
dd {{ margin: 0 0 .8rem; font-size: 1.3rem; font-weight: bold }}
@media print {{ body {{ margin: 0 }} }}
</style>
</head>
<body>
<main>
<p>{shop}</p>
<h1>Order {number}</h1>
<dl>
<dt>Now</dt><dd>{stands}</dd>
<dt>Ready by</dt><dd>{day}</dd>
<dt>Pieces</dt><dd>{pieces}</dd>
</dl>
{advice}
</main>
</body>
</html>
"""  # noqa: E501  one rule a line

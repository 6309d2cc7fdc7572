"""What is charged of an order, line by line, as it was agreed."""

from __future__ import annotations

from dataclasses import dataclass

from service.tailoring.garments.alterations import alteration
from service.tailoring.orders.lines.order_lines import OrderLine
from service.tailoring.orders.lines.price_reasons import PriceReason
from service.tailoring.orders.order_states import standings
from service.tailoring.orders.orders import Order
from service.tailoring.work.prices import Money

# The code of a rush's charge, beside those of the catalogue.
RUSH = "rush"


@dataclass(frozen=True, slots=True)
class Charge:
    """A line for the till's basket; `position` of the order's line that it is for, None for the rush surcharge.

    `list_amount` is the list's price where another is charged, `price_reason` the line's own reason.
    """

    code: str
    words: str
    amount: Money
    tax_category: str
    position: int | None = None
    list_amount: Money | None = None
    price_reason: PriceReason | None = None


def charges(order: Order) -> tuple[Charge, ...]:
    """What the till charges, a line each, as agreed when the order was placed; of pieces cancelled or lost nothing.

    A redo changes nothing here (redo is free: common practice, no source).
    """
    charged = {
        each.piece for each, state in zip(order.garments, order.piece_states, strict=True) if standings()[state].charged
    }
    found = [
        Charge(
            line.alteration, _words(line), line.price, line.tax_category, position, line.list_price, line.price_reason
        )
        for position, line in enumerate(order.lines)
        if line.piece in charged
    ]
    if found and order.terms.rush_minor:
        rush = Money(order.terms.rush_minor, order.total.currency)
        # Taxed as the work that it hastens.
        found.append(Charge(RUSH, "rush surcharge", rush, order.lines[0].tax_category))
    return tuple(found)


def _words(line: OrderLine) -> str:
    words = alteration(line.alteration).words
    return words if line.side == "both" else f"{words.replace(' (pair)', '')}, {line.side}"

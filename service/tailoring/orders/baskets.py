"""What a till charges for an order: its charges by their lines, what they come to, and what of it is paid down."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple

from service.tailoring.orders.charges import Charge, charges
from service.tailoring.orders.lines.order_lines import line_numbers
from service.tailoring.orders.order_states import State
from service.tailoring.orders.orders import Order
from service.tailoring.work.prices import Money
from service.tailoring.work.taxes import taxes_of


class ChargeOfLine(NamedTuple):
    """A charge, with the number and the piece of the line that it is for; none for a rush."""

    charge: Charge
    line: int | None
    piece: int | None


class TaxOfCharges(NamedTuple):
    """The tax on the charges of one category: in their sum, or on top of it."""

    category: str
    percent: float
    charged: Money
    tax: Money


class PieceHandedOver(NamedTuple):
    """A piece of the order: where it is, and when the customer took it away, if they have."""

    piece: int
    garment: str
    state: State
    collected_at: datetime | None


@dataclass(frozen=True, slots=True)
class Basket:
    """The charges of an order; `to_pay` is their total and the tax that is not in it.

    The deposit is a part of what is to pay, the balance is the rest of it. `pieces` say what was collected and what is
    still here.
    """

    order: Order
    charges: tuple[ChargeOfLine, ...]
    total: Money
    taxes: tuple[TaxOfCharges, ...]
    to_pay: Money
    deposit: Money
    balance: Money
    pieces: tuple[PieceHandedOver, ...]


def basket_of(order: Order) -> Basket:
    """What the till charges. Nothing is paid down on what is not charged."""
    numbers, currency = line_numbers(order.lines), order.total.currency
    found = charges(order)
    total = sum(charge.amount.minor for charge in found)
    parts = taxes_of(order.tax, ((charge.tax_category, charge.amount.minor) for charge in found))
    on_top = 0 if order.tax.included else sum(part.tax_minor for part in parts)
    deposit = min(total, order.deposit.minor)
    rows = tuple(
        ChargeOfLine(each, None, None)
        if each.position is None
        else ChargeOfLine(each, numbers[each.position], order.lines[each.position].piece)
        for each in found
    )
    return Basket(
        order=order,
        charges=rows,
        total=Money(total, currency),
        taxes=tuple(
            TaxOfCharges(
                part.category, part.percent, Money(part.charged_minor, currency), Money(part.tax_minor, currency)
            )
            for part in parts
        ),
        to_pay=Money(total + on_top, currency),
        deposit=Money(deposit, currency),
        balance=Money(total + on_top - deposit, currency),
        pieces=tuple(
            PieceHandedOver(each.piece, each.garment, each.state, each.since if each.state == "collected" else None)
            for each in order.pieces
        ),
    )

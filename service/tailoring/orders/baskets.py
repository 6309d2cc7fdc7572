"""What a till charges for an order: its charges by their lines, what they come to, and what of it is paid down."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from service.tailoring.orders.order_lines import line_numbers
from service.tailoring.orders.orders import Charge, Order, charges
from service.tailoring.work.prices import Money


class ChargeOfLine(NamedTuple):
    """A charge, with the number and the piece of the line that it is for; none for a rush."""

    charge: Charge
    line: int | None
    piece: int | None


@dataclass(frozen=True, slots=True)
class Basket:
    """The charges of an order; the deposit is a part of the total, the balance is the rest of it."""

    order: Order
    charges: tuple[ChargeOfLine, ...]
    total: Money
    deposit: Money
    balance: Money


def basket_of(order: Order) -> Basket:
    """What the till charges. Nothing is paid down on what is not charged."""
    numbers, currency = line_numbers(order.lines), order.total.currency
    found = charges(order)
    total = sum(charge.amount.minor for charge in found)
    deposit = min(total, order.deposit.minor)
    rows = tuple(
        ChargeOfLine(each, None, None)
        if each.position is None
        else ChargeOfLine(each, numbers[each.position], order.lines[each.position].piece)
        for each in found
    )
    return Basket(order, rows, Money(total, currency), Money(deposit, currency), Money(total - deposit, currency))

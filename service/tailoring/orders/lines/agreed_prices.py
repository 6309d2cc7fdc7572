"""What is charged of each line: the list's price, its own, or its share of what the whole order costs less."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.orders.lines.order_lines import OrderLine
from service.tailoring.orders.lines.price_reasons import PriceReason
from service.tailoring.work.prices import Money, PriceList, Terms


def listed(line: OrderLine) -> Money:
    """What the list says of a line, whatever is charged."""
    return line.list_price or line.price


def with_prices(lines: Sequence[OrderLine], whole: PriceReason | None) -> tuple[OrderLine, ...]:
    """Lines at the prices that follow of the list's, of their own reasons, and of that of the whole order.

    What the whole order costs less, or more, is spread over its lines by their prices, to the last minor unit.
    """
    own = [line.price_reason.price(listed(line).minor) if line.price_reason else listed(line).minor for line in lines]
    charged = _spread(own, whole.price(sum(own))) if whole else own
    return tuple(_at(line, minor) for line, minor in zip(lines, charged, strict=True))


def _at(line: OrderLine, minor: int) -> OrderLine:
    of_list = listed(line)
    price = Money(minor, of_list.currency)
    return replace(line, price=price, list_price=of_list if price != of_list or line.price_reason else None)


def _spread(weights: Sequence[int], total: int) -> list[int]:
    """`total` in whole parts by weight; equally where none weighs anything. The largest rests are rounded up."""
    whole = sum(weights)
    exact = [Fraction(total * weight, whole) if whole else Fraction(total, len(weights)) for weight in weights]
    parts = [int(each) for each in exact]
    largest = sorted(range(len(parts)), key=lambda i: parts[i] - exact[i])
    for i in largest[: total - sum(parts)]:
        parts[i] += 1
    return parts


def terms_of(garments: Sequence[GarmentPiece], lines: Sequence[OrderLine], prices: PriceList, *, rush: bool) -> Terms:
    """What is agreed of an order beside its lines; what is paid down differs for pieces that were brought in."""
    brought = {piece.piece for piece in garments if piece.is_brought_in}
    whole = sum(line.price.minor for line in lines)
    return prices.terms(whole, sum(line.price.minor for line in lines if line.piece in brought), rush=rush)

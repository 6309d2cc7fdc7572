"""What was agreed of lines and stays agreed when they change: price, minutes, what is cut, what is paid down."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from service.tailoring.orders.legs_again import cut_of
from service.tailoring.orders.lines.agreed_prices import listed, terms_of, with_prices
from service.tailoring.orders.lines.line_edits import as_asked
from service.tailoring.orders.lines.line_history import Signed, changes_between
from service.tailoring.orders.lines.order_lines import OrderLine, line
from service.tailoring.orders.lines.price_reasons import PriceAsked
from service.tailoring.orders.order_states import standings
from service.tailoring.orders.orders import Amendment, Order, with_changes
from service.tailoring.work.prices import PriceList


@dataclass(frozen=True, slots=True)
class Agreed:
    """Who changes the lines of an order, and what is allowed of their prices, by id, and of that of the whole order."""

    order: Order
    signed: Signed
    prices: Mapping[int, PriceAsked]
    whole: PriceAsked | None = None

    def with_lines(self, lines: Sequence[OrderLine], prices: PriceList) -> Order:
        """The order with these lines at their prices, its history and an event; the same order where all is the same.

        What was paid down stays, unless no work has begun or it is more than all of it.
        """
        order, signed = self.order, self.signed
        reason = self.whole.signed(signed.by, signed.now, signed.why) if self.whole else order.price_reason
        charged = with_prices([self._priced(each) for each in lines], reason)
        if (charged, reason) == (order.lines, order.price_reason):
            return order
        terms = replace(
            terms_of(order.garments, charged, prices, rush=order.rush), round_to_minor=order.terms.round_to_minor
        )
        if not standings()[order.state].amend:
            whole = sum(each.price.minor for each in charged) + terms.rush_minor
            terms = replace(terms, deposit_minor=min(order.terms.deposit_minor, whole))
        history = (*order.line_changes, *changes_between(order.lines, charged, signed))
        changes: Amendment = {"lines": charged, "line_changes": history, "terms": terms, "price_reason": reason}
        return with_changes(order, signed.by, signed.now, signed.why, **changes)

    def _priced(self, each: OrderLine) -> OrderLine:
        asked = self.prices.get(each.id)
        if asked is None:
            return each
        signed = self.signed
        cut = cut_of(self.order, each) if each in self.order.lines else each.cloth_cut
        return replace(each, price_reason=asked.signed(signed.by, signed.now, signed.why), cloth_cut=cut)


def as_agreed(order: Order, was: OrderLine | None, now: OrderLine, prices: PriceList) -> OrderLine:
    """A changed line at the price and minutes agreed, unless the change makes them others; what is cut stays so."""
    if was is None or now == was:
        return now
    cut, piece = cut_of(order, was), next(each for each in order.garments if each.piece == was.piece)
    if as_asked(now) == as_asked(was):
        return was
    as_before = line(piece, as_asked(was), prices)
    return replace(
        now,
        cloth_cut=cut,
        price=listed(was) if as_before.price == now.price else now.price,
        price_reason=was.price_reason,
        sewn_by=was.sewn_by,
        checks=was.checks,
        minutes=was.minutes if as_before.minutes == now.minutes else now.minutes,
        tax_category=was.tax_category,
    )

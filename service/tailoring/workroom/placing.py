"""From what is asked at the counter to an order with its day: drawn up, priced, laid onto the calendar, in one go."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from service.tailoring.fitting.left_open import ToLookAt
from service.tailoring.notices import Notice
from service.tailoring.orders.lines.agreed_prices import terms_of
from service.tailoring.orders.lines.work_of_lines import WorkOfLines, work_of_lines
from service.tailoring.orders.orders import Order, place
from service.tailoring.orders.sheets.order_sheets import Sheet, SheetAsked, SheetSources, draw_up
from service.tailoring.refusals import Refusal
from service.tailoring.work.prices import Money, Terms
from service.tailoring.work.taxes import TaxTerms
from service.tailoring.workroom.bookings import BookedMinutes, Booking, promise, rush_day, with_taken, work_of
from service.tailoring.workroom.calendar import Calendar


@dataclass(frozen=True, slots=True)
class OrderAsked:
    """An order sheet, whose it is and who marked it."""

    sheet: SheetAsked
    marked_by: str
    customer_ref: str | None = None
    sale_ref: str | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class GroupAsked:
    """The orders of a group, and the day by which all of them are needed."""

    orders: tuple[OrderAsked, ...]
    marked_by: str
    group_ref: str | None = None
    needed_by: date | None = None
    rush: bool = False


@dataclass(frozen=True, slots=True)
class Moment:
    """When an order is asked for: the shop's local day, the time, and the calendar as it then is."""

    today: date
    now: datetime
    calendar: Calendar


@dataclass(frozen=True, slots=True)
class Quote:
    """What an order would be: its lines, terms and tax, and the days it could be promised for; nothing is booked.

    `rush_day` is the day of a rush; None where none is free.
    """

    sheet: Sheet
    terms: Terms
    booking: Booking
    rush_day: date | None
    tax: TaxTerms

    @property
    def work(self) -> WorkOfLines:
        """Its lines as they are read."""
        return work_of_lines(self.sheet.lines)

    @property
    def total(self) -> Money:
        """All lines, and the surcharge of a rush where one is asked for."""
        return self._money(sum(line.price.minor for line in self.sheet.lines) + self.terms.rush_minor)

    @property
    def rush_surcharge(self) -> Money:
        """What of the total is for the haste."""
        return self._money(self.terms.rush_minor)

    @property
    def deposit(self) -> Money:
        """What of the total would be paid when it is placed."""
        return self._money(self.terms.deposit_minor)

    @property
    def minutes(self) -> int:
        """Its lines' minutes at the benches."""
        return sum(line.minutes for line in self.sheet.lines)

    def _money(self, minor: int) -> Money:
        return Money(minor, self.sheet.lines[0].price.currency)


@dataclass(frozen=True, slots=True)
class DrawnOrder:
    """An order ready to be filed, what the fitter should look at, and the minutes that are to be booked for it.

    `to_look_at` is what its fit check only estimates, and what is no line of it.
    """

    order: Order
    notices: tuple[Notice, ...]
    taken: tuple[BookedMinutes, ...]
    to_look_at: tuple[ToLookAt, ...] = ()


def quote(asked: SheetAsked, sources: SheetSources, moment: Moment) -> Quote:
    """Feasibility, price, minutes and the earliest day. Raises Refusal as `draw_up` and `promise`."""
    sheet = draw_up(asked, sources, binding=False)
    work = work_of(sheet.lines)
    booking = promise(work, moment.calendar, moment.today, asked.needed_by, rush=asked.rush)
    hurried = rush_day(work, moment.calendar, moment.today)
    return Quote(sheet, _terms(sheet, asked, sources), booking, hurried, sources.prices.tax)


def draw_up_order(asked: OrderAsked, sources: SheetSources, moment: Moment, number: int) -> DrawnOrder:
    """An order with its promised day and the minutes that it takes. Raises Refusal as `quote`."""
    sheet = draw_up(asked.sheet, sources)
    needed_by, rush = asked.sheet.needed_by, asked.sheet.rush
    booking = promise(work_of(sheet.lines), moment.calendar, moment.today, needed_by, rush=rush)
    order = place(
        sheet.garments,
        sheet.lines,
        number=str(number),
        customer_ref=asked.customer_ref,
        sale_ref=asked.sale_ref,
        needed_by=needed_by,
        promised_for=booking.promised_for,
        placed_at=moment.now,
        marked_by=asked.marked_by,
        terms=_terms(sheet, asked.sheet, sources),
        rush=rush,
        note=asked.note,
        look_again=sheet.look_again,
        tax=sources.prices.tax,
        planned_fittings=booking.fittings,
        dressed=sheet.dressed,
    )
    return DrawnOrder(order, sheet.notices, booking.taken, sheet.to_look_at)


def draw_up_group(
    asked: GroupAsked, sources: Sequence[SheetSources], moment: Moment, numbers: Sequence[int]
) -> tuple[DrawnOrder, ...]:
    """The orders of a group, all promised for the day of the last of them; `sources` and `numbers` are theirs in turn.

    Raises Refusal `needed_by_too_early` of the whole group, or as `draw_up_order`, pointing at ("orders", n, …).
    """
    drawn = _side_by_side(asked, sources, moment, numbers, rush=asked.rush)
    together = _last_day(drawn)
    if asked.needed_by is not None and together > asked.needed_by:
        hurried = drawn if asked.rush else _side_by_side(asked, sources, moment, numbers, rush=True)
        raise Refusal(
            "needed_by_too_early",
            ("needed_by",),
            earliest=together.isoformat(),
            earliest_rush=_last_day(hurried).isoformat(),
            needed_by=asked.needed_by.isoformat(),
        )
    return tuple(
        replace(each, order=replace(each.order, promised_for=together, needed_by=asked.needed_by)) for each in drawn
    )


def _terms(sheet: Sheet, asked: SheetAsked, sources: SheetSources) -> Terms:
    return terms_of(sheet.garments, sheet.lines, sources.prices, rush=asked.rush)


def _side_by_side(
    asked: GroupAsked, sources: Sequence[SheetSources], moment: Moment, numbers: Sequence[int], *, rush: bool
) -> list[DrawnOrder]:
    """The orders of a group, each on the days that those before it leave free."""
    drawn: list[DrawnOrder] = []
    taken: list[BookedMinutes] = []
    for n, each in enumerate(asked.orders):
        wanted = replace(each, sheet=replace(each.sheet, rush=rush), marked_by=asked.marked_by)
        left = replace(moment, calendar=with_taken(moment.calendar, taken))
        try:
            drawn.append(draw_up_order(wanted, sources[n], left, numbers[n]))
        except Refusal as refusal:
            raise refusal.within("orders", n) from None
        taken += drawn[-1].taken
    return drawn


def _last_day(drawn: Sequence[DrawnOrder]) -> date:
    return max(each.order.promised_for for each in drawn if each.order.promised_for)

"""What a customer had here, newest first: measured, checked, ordered, and what became of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Literal, TypeAlias

from service.storage.database import Transaction
from service.storage.fitting import fit_checks
from service.storage.fitting.fit_checks import KeptFitCheck
from service.storage.orders import outcomes
from service.storage.orders.orders import FiledOrder
from service.storage.orders.outcomes import FiledOutcome
from service.storage.people import histories, measurement_sets
from service.storage.people.measurement_sets import MeasurementSet
from service.tailoring.orders.last_bought import Bought, last_kept
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.people.disclosures import note_shown

PAGE_MOST = 50
HistoryKind: TypeAlias = Literal["measured", "checked", "ordered", "reported"]
HISTORY_KINDS: tuple[HistoryKind, ...] = ("measured", "checked", "ordered", "reported")
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class HistoryEntry:
    """One thing that happened with a customer; of the four that it may be one is there."""

    kind: HistoryKind
    at: datetime
    id: str
    measured: MeasurementSet | None = None
    checked: KeptFitCheck | None = None
    ordered: FiledOrder | None = None
    reported: FiledOutcome | None = None

    @property
    def place(self) -> str:
        """Where it is in the history, as a cursor."""
        return f"{(self.at - _EPOCH) // timedelta(microseconds=1)}.{self.id}"


@dataclass(frozen=True, slots=True)
class HistoryPage:
    """A page of a history; `after` continues it, None at its end."""

    customer_ref: str
    entries: tuple[HistoryEntry, ...]
    after: str | None


def show_history(
    context: ServiceContext, caller: Caller, customer_ref: str, after: str | None, most: int
) -> HistoryPage:
    """A page of a customer's history, newest first; empty where they are not known. That it is shown is kept."""
    last = _place(after) if after else None
    with context.database.writing() as tx:
        found = sorted(
            (entry for read in _READERS for entry in read(tx, caller.shop.id, customer_ref, most + 1, last)),
            key=lambda entry: (_EPOCH - entry.at, entry.id),
        )
        if found:
            note_shown(tx, context, caller, "history", customer_ref=customer_ref)
    more = len(found) > most
    return HistoryPage(customer_ref, tuple(found[:most]), found[most - 1].place if more else None)


def last_bought(tx: Transaction, context: ServiceContext, caller: Caller, customer_ref: str) -> tuple[Bought, ...]:
    """Of each garment the size that a customer bought last and kept. That it is shown is kept."""
    bought, gone = histories.sizes_bought(tx, caller.shop.id, customer_ref)
    note_shown(tx, context, caller, "advice", customer_ref=customer_ref)
    return last_kept(bought, gone)


_Last: TypeAlias = tuple[datetime, str] | None
_Reader: TypeAlias = Callable[[Transaction, str, str, int, _Last], list[HistoryEntry]]


def _measured(tx: Transaction, shop_id: str, ref: str, most: int, last: _Last) -> list[HistoryEntry]:
    found = measurement_sets.sets_of_customer(tx, shop_id, ref, most, last)
    return [HistoryEntry("measured", each.recorded_at, each.id, measured=each) for each in found]


def _checked(tx: Transaction, shop_id: str, ref: str, most: int, last: _Last) -> list[HistoryEntry]:
    found = fit_checks.checks_of_customer(tx, shop_id, ref, most, last)
    return [HistoryEntry("checked", each.made_at, each.id, checked=each) for each in found]


def _ordered(tx: Transaction, shop_id: str, ref: str, most: int, last: _Last) -> list[HistoryEntry]:
    found = histories.orders_of_customer(tx, shop_id, ref, most, last)
    return [HistoryEntry("ordered", each.order.placed_at, each.id, ordered=each) for each in found]


def _reported(tx: Transaction, shop_id: str, ref: str, most: int, last: _Last) -> list[HistoryEntry]:
    found = outcomes.outcomes_of_customer(tx, shop_id, ref, most, last)
    return [HistoryEntry("reported", each.told_at, each.id, reported=each) for each in found]


_READERS: tuple[_Reader, ...] = (_measured, _checked, _ordered, _reported)


def _place(written: str) -> tuple[datetime, str]:
    at, _, key = written.partition(".")
    return _EPOCH + timedelta(microseconds=int(at)), key

"""Who was shown what of whom: kept with every reading of what was recorded, and shown to the shop's own admin."""

from __future__ import annotations

from dataclasses import dataclass

from service.storage.database import Transaction
from service.storage.people import disclosures
from service.storage.people.disclosures import Disclosure, Shown
from service.use_cases.context import Caller, ServiceContext

PAGE_MOST = 100


@dataclass(frozen=True, slots=True)
class DisclosurePage:
    """A page of a list; `below` continues it, None at its end."""

    disclosures: tuple[Disclosure, ...]
    below: int | None


def note_shown(
    tx: Transaction,
    context: ServiceContext,
    caller: Caller,
    what: Shown,
    *,
    thing: str | None = None,
    customer_ref: str | None = None,
) -> None:
    """Keep, in the transaction that reads it, that the caller is shown something: unless this is kept, that is not."""
    disclosures.add_disclosure(
        tx, caller.shop.id, caller.key_id, context.now(), what, thing=thing, customer_ref=customer_ref
    )


def list_disclosures(
    context: ServiceContext, caller: Caller, customer_ref: str | None, below: int | None, most: int
) -> DisclosurePage:
    """A page of the shop's disclosures, newest first; of one customer where he is named."""
    with context.database.reading() as tx:
        found = disclosures.list_disclosures(tx, caller.shop.id, customer_ref, below, most + 1)
    more = len(found) > most
    return DisclosurePage(found[:most], found[most - 1].number if more else None)

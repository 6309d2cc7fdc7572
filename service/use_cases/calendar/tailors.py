"""The tailors of a shop: kept, listed, kept no more."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from zlib import crc32

from service.storage.database import Transaction
from service.storage.orders import tailors
from service.tailoring.garments.alterations import Bench
from service.tailoring.refusals import Refusal
from service.tailoring.workroom.tailors import Tailor, tailor
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.shop.shops import hold
from service.use_cases.versions import check_version

# A chain's largest workroom has a few dozen.
TAILORS_MOST = 200
# An ETag has nine digits at most.
VERSION_MOST = 999_999_999


def keep_tailor(
    context: ServiceContext,
    caller: Caller,
    ref: str,
    *,
    benches: Sequence[Bench],
    minutes_a_day: int,
    days_off: Sequence[date],
    version: int | None = None,
) -> Tailor:
    """Keep a tailor as they are from now on, new or known; `version` is the one that was read of one known.

    Raises Refusal `tailors_too_many`, `version_missing` or `version_stale`.
    """
    kept = tailor(ref, tuple(benches), minutes_a_day, tuple(days_off))
    with context.database.writing() as tx:
        shop_id = hold(tx, caller).shop.id
        known = {each.ref: each for each in tailors.tailors_of(tx, shop_id)}
        if ref not in known and len(known) >= TAILORS_MOST:
            raise Refusal("tailors_too_many", most=TAILORS_MOST)
        if ref in known and version is None:
            raise Refusal("version_missing")
        if version is not None:
            check_version(version_of(known[ref]) if ref in known else 0, version)
        tailors.keep_tailor(tx, shop_id, kept)
    return kept


def version_of(tailor: Tailor) -> int:
    """The version of a tailor as they are, for an ETag: the same where nothing is another."""
    return 1 + crc32(repr((tailor.benches, tailor.minutes_a_day, tailor.days_off)).encode()) % VERSION_MOST


def list_tailors(context: ServiceContext, caller: Caller) -> tuple[Tailor, ...]:
    """The shop's tailors, by reference."""
    with context.database.reading() as tx:
        return tailors.tailors_of(tx, caller.shop.id)


def show_tailor(context: ServiceContext, caller: Caller, ref: str) -> Tailor:
    """One tailor. Raises Refusal `not_found`."""
    with context.database.reading() as tx:
        return tailor_of(tx, caller, ref)


def drop_tailor(context: ServiceContext, caller: Caller, ref: str) -> tuple[Tailor, ...]:
    """Keep a tailor no more; those that are left. Raises Refusal `not_found`, or `tailor_at_work` with work in hand."""
    with context.database.writing() as tx:
        caller = hold(tx, caller)
        tailor_of(tx, caller, ref)
        if ref in tailors.open_spells(tx, caller.shop.id):
            raise Refusal("tailor_at_work")
        tailors.drop_tailor(tx, caller.shop.id, ref)
        return tailors.tailors_of(tx, caller.shop.id)


def tailor_of(tx: Transaction, caller: Caller, ref: str, at: tuple[str | int, ...] | None = None) -> Tailor:
    """The shop's tailor of that reference. Raises Refusal `not_found`, or `tailor_unknown` where a request names it."""
    found = tailors.find_tailor(tx, caller.shop.id, ref)
    if found is None:
        raise Refusal("not_found") if at is None else Refusal("tailor_unknown", at)
    return found

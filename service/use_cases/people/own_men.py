"""A shop's own men: counted from what it has measured, version by version, and the population that advice goes by."""

from __future__ import annotations

from dataclasses import dataclass

from service.storage.database import Transaction, again_if_undone
from service.storage.people import own_men
from service.storage.people.own_men import KeptVersion
from service.storage.shops import lock_shop
from service.tailoring.body.counted_men import next_version, population_of
from service.tailoring.body.own_men import CountedMen
from service.tailoring.body.population import Population, men
from service.tailoring.refusals import Refusal
from service.use_cases.context import Caller, ServiceContext


@dataclass(frozen=True, slots=True)
class Counted:
    """What came of counting a shop's men: the new version; None where too few customers are new."""

    shop_id: str
    version: CountedMen | None


def count_men(context: ServiceContext) -> tuple[Counted, ...]:
    """The next version of every shop's own men, where enough customers are new."""
    with context.database.reading() as tx:
        shop_ids = own_men.shops_that_count(tx)
    return tuple(Counted(shop_id, _count(context, shop_id)) for shop_id in shop_ids)


def _count(context: ServiceContext, shop_id: str) -> CountedMen | None:
    # Read without a lock, for it may take long: the shop sells meanwhile.
    with context.database.reading() as tx:
        now, number = context.now(), own_men.next_number(tx, shop_id)
        before = own_men.newest_version(tx, shop_id)
        found = next_version(before, own_men.measured_customers(tx, shop_id), number, now)
    if found is None:
        return None

    def keep() -> CountedMen | None:
        with context.database.writing() as tx:
            lock_shop(tx, shop_id)
            if own_men.next_number(tx, shop_id) != number:
                # Another counted meanwhile.
                return None
            own_men.add_version(tx, shop_id, found, now)
        return found

    return again_if_undone(keep)


def versions_of(context: ServiceContext, shop_id: str) -> tuple[KeptVersion, ...]:
    """Every version of a shop's own men, oldest first."""
    with context.database.reading() as tx:
        return own_men.versions_of(tx, shop_id)


def todays_men(caller: Caller) -> Population:
    """The men by whom customers are judged today: the shop's own, or men in general."""
    return population_of(caller.shop.own_men) if caller.shop.own_men else men()


def population_asked(tx: Transaction, caller: Caller, version: int | None) -> Population:
    """The men by whom a customer is judged: today's of the shop, or those of an earlier `version` (0: men in general).

    Raises Refusal `population_version_unknown`.
    """
    today = todays_men(caller)
    if version is None or version == today.version:
        return today
    if version == 0:
        return men()
    own = own_men.find_version(tx, caller.shop.id, version)
    if own is None:
        raise Refusal("population_version_unknown", ("population_version",), given=version)
    return population_of(own)

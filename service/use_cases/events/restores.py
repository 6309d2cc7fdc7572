"""Going on from a backup: what was given out since it was taken is not given out again for other things."""

from __future__ import annotations

from dataclasses import dataclass

from service.storage import feeds, shops, webhooks
from service.storage.database import again_if_undone
from service.use_cases.context import ServiceContext

# More than the largest shop of a chain places in four months (75 orders a day): no backup is older.
NUMBERS_SKIPPED = 10_000
# More often than anything of a shop is changed between a backup and its restore.
VERSIONS_SKIPPED = 1_000
_EPOCH_LONG = 10


@dataclass(frozen=True, slots=True)
class Restored:
    """The epoch that began, and in how many shops."""

    epoch: str
    shops: int


def note_restored(context: ServiceContext, numbers_skipped: int = NUMBERS_SKIPPED) -> Restored:
    """Begin a new epoch of every shop's feed, and go on with order numbers past all that papers may bear.

    All of it is one transaction; done twice it does no harm.
    """
    epoch = context.new_id().replace("-", "")[:_EPOCH_LONG]

    def note() -> Restored:
        with context.database.writing() as tx:
            shops.skip_order_numbers(tx, numbers_skipped)
            # Whoever read a version that is lost would otherwise change another one that has its number.
            shops.skip_versions(tx, VERSIONS_SKIPPED)
            # Whoever was sending when the backup was taken is not sending now.
            webhooks.drop_claims(tx)
            return Restored(epoch, feeds.begin_epoch(tx, epoch, context.now()))

    return again_if_undone(note)

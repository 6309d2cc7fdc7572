"""The operator's command after a restore."""

from __future__ import annotations

import click

from service.console.context import opened_context
from service.use_cases.events.restores import NUMBERS_SKIPPED, note_restored

SKIPPED_MOST = 10_000_000


@click.command()
@click.option(
    "--numbers-skipped",
    type=click.IntRange(1, SKIPPED_MOST),
    default=NUMBERS_SKIPPED,
    show_default=True,
    help="how many order numbers each shop skips: more than it can have used since the backup",
)
def restored(numbers_skipped: int) -> None:
    """Continue after a restore from a backup: run it once, before the service is started.

    Cursors, event ids and order numbers that were given out since the backup are not used again for other things.
    """
    with opened_context() as context:
        found = note_restored(context, numbers_skipped)
    click.echo(f"epoch {found.epoch} in {found.shops} shops; order numbers skip {numbers_skipped}")

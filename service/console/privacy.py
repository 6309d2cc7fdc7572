"""The operator's commands for what is kept of customers: for how long, forgotten, sealed."""

from __future__ import annotations

from dataclasses import asdict

import click

from service.console.context import opened_context
from service.use_cases.people import retention

DAYS_MOST = 3650


@click.command()
@click.argument("shop")
@click.option(
    "--days", type=click.IntRange(1, DAYS_MOST), required=True, help="how long readings and fit checks are kept"
)
def keep_readings(shop: str, days: int) -> None:
    """Set for how many days a shop keeps what it read; `forget-expired` then forgets the rest."""
    with opened_context() as context:
        retention.keep_readings_for(context, shop, days)
    click.echo(f"readings are kept for {days} days")


@click.command()
def forget_expired() -> None:
    """Forget what every shop has kept for long enough; run it every day."""
    with opened_context() as context:
        forgotten = asdict(retention.forget_expired(context))
    click.echo("forgotten: " + ", ".join(f"{count} {name.replace('_', ' ')}" for name, count in forgotten.items()))


@click.command()
def new_readings_key() -> None:
    """Print a new key for FITTING_READINGS_KEYS; put it first there, before the older ones."""
    from cryptography.fernet import Fernet  # noqa: PLC0415

    click.echo(Fernet.generate_key().decode())


@click.command()
def reseal() -> None:
    """Seal all readings with the first key of FITTING_READINGS_KEYS; after it the older keys may go."""
    with opened_context() as context:
        retention.reseal(context)
    click.echo("sealed")

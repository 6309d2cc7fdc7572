"""The operator's commands for what is kept of customers: for how long, forgotten, sealed."""

from __future__ import annotations

from dataclasses import asdict

import click

from service.console.context import opened_context
from service.use_cases.people import retention
from service.use_cases.shop import shops

DAYS_MOST = 3650
_UNITS = {"age_years": "years", "body_mass": "kg"}


@click.command()
@click.argument("shop")
@click.option(
    "--days", type=click.IntRange(1, DAYS_MOST), required=True, help="how long readings and fit checks are kept"
)
def keep_readings(shop: str, days: int) -> None:
    """Set for how many days a shop keeps readings and fit checks; `forget-expired` deletes older ones."""
    with opened_context() as context:
        retention.keep_readings_for(context, shop, days)
    click.echo(f"readings are kept for {days} days")


@click.command()
def forget_expired() -> None:
    """Delete what every shop has kept for long enough; run it every day."""
    with opened_context() as context:
        forgotten = asdict(retention.forget_expired(context))
    click.echo("forgotten: " + ", ".join(f"{count} {name.replace('_', ' ')}" for name, count in forgotten.items()))


@click.command()
def count_men() -> None:
    """Count every shop's measured customers, where enough are new; run it every day or week."""
    from service.use_cases.people import own_men  # noqa: PLC0415

    with opened_context() as context:
        for each in own_men.count_men(context):
            words = f"version {each.version.own.version}" if each.version else "too few new customers"
            click.echo(f"{each.shop_id}: {words}")


@click.command()
@click.argument("shop")
@click.option("--by", type=click.Choice(["own", "everyone"]), required=True, help="everyone: men in general alone")
def judge_by(shop: str, by: str) -> None:
    """Choose by whom a shop's customers are judged: by its own figures, once counted, or by men in general."""
    with opened_context() as context:
        shops.judge_by(context, shop, own=by == "own")
    click.echo(f"judged by {by}")


@click.command()
@click.argument("shop")
def show_men(shop: str) -> None:
    """Show every version of a shop's own figures: per measure, how many customers, and how far their average is off."""
    from service.tailoring.body.counted_men import shown  # noqa: PLC0415
    from service.use_cases.people import own_men  # noqa: PLC0415

    with opened_context() as context:
        versions = own_men.versions_of(context, shop)
        if not versions:
            click.echo("not counted yet: judged by men in general")
        for kept in versions:
            click.echo(f"version {kept.counted.own.version} of {kept.made_at:%Y-%m-%d}")
            for name, customers, off in shown(kept.counted):
                click.echo(f"  {name}: {customers} customers, {off:+.0f} {_UNITS.get(name, 'mm')}")


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

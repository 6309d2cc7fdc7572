"""The operator's commands for keys: given out, listed, replaced, revoked."""

from __future__ import annotations

from datetime import datetime, timedelta

import click

from service.console.context import NAME, opened_context
from service.storage.keys import Key
from service.use_cases.shop import keys

DAYS = click.IntRange(1, 3650)
PER_MINUTE = click.IntRange(1, 1_000_000)


@click.command()
@click.argument("shop")
@click.argument("name", type=NAME)
@click.option("--scope", "scopes", multiple=True, required=True, type=click.Choice(keys.SCOPES))
@click.option(
    "--origin", "origins", multiple=True, help="makes it a web key for pages of https://shop.example; repeats"
)
@click.option("--days", type=DAYS, help="for how many days it is valid; without it, until it is revoked")
@click.option("--per-minute", type=PER_MINUTE, help="requests a minute; without it, as in the settings")
def add_key(
    shop: str,
    name: str,
    scopes: tuple[str, ...],
    origins: tuple[str, ...],
    days: int | None,
    per_minute: int | None,
) -> None:
    """Add a key for a shop; it is printed once."""
    with opened_context() as context:
        lasts = timedelta(days=days) if days else None
        given = frozenset(scopes)
        click.echo(keys.give_key(context, shop, name, given, origins=origins, per_minute=per_minute, lasts=lasts))


@click.command()
@click.argument("key")
@click.option(
    "--overlap-hours",
    type=click.IntRange(0, 24 * 90),
    default=24,
    show_default=True,
    help="for how many hours the old key still works",
)
@click.option("--days", type=DAYS, help="for how many days the new key is valid; without it, as long as the old one")
def rotate_key(key: str, overlap_hours: int, days: int | None) -> None:
    """Replace a key by a new one, which is printed once. KEY is its first part, before the dot."""
    if "." in key:
        # It serves for the overlap, and whoever is on this machine reads the words of every command.
        raise click.BadParameter("give the part before the dot: the rest is secret, and a list of processes shows it")
    with opened_context() as context:
        lasts = timedelta(days=days) if days else None
        click.echo(keys.rotate_key(context, key, timedelta(hours=overlap_hours), lasts))


@click.command()
@click.argument("key")
def revoke_key(key: str) -> None:
    """Take a key out of use; KEY is its first part, before the dot."""
    with opened_context() as context:
        keys.revoke_key(context, key.partition(".")[0])
    click.echo("revoked")


@click.command()
@click.argument("shop")
def list_keys(shop: str) -> None:
    """List a shop's keys: first part, state, scopes, last use, name; of a web key its origins."""
    with opened_context() as context:
        now = context.now()
        for key in keys.list_keys(context, shop):
            click.echo("  ".join((key.id, _state(key, now), ",".join(sorted(key.scopes)), _use(key), key.name)))
            for origin in key.origins:
                click.echo(f"    {origin}")


def _state(key: Key, now: datetime) -> str:
    if key.revoked_at:
        return f"revoked {key.revoked_at:%Y-%m-%d}"
    if key.expires_at is None:
        return "in use"
    return f"{'in use until' if keys.in_use(key, now) else 'expired'} {key.expires_at:%Y-%m-%d %H:%M}Z"


def _use(key: Key) -> str:
    # Known to the hour.
    return f"used {key.last_used_at:%Y-%m-%d %H}h" if key.last_used_at else "never used"

"""The relay, as the operator starts it."""

from __future__ import annotations

import os
import signal
from threading import Event

import click

from service.console.context import opened_context
from service.settings import Settings
from service.starting import made_to_last


@click.command()
@click.option("--once", is_flag=True, help="deliver what is due, then stop")
def deliver(*, once: bool) -> None:
    """Send events to the webhooks until stopped (SIGTERM); any number of these may run."""
    # A command imports what it alone needs: most are done before all of the house would be.
    with made_to_last():
        from service import logs  # noqa: PLC0415
        from service.delivery.posting import Poster  # noqa: PLC0415
        from service.delivery.relay import Relay  # noqa: PLC0415

    logs.configure()
    stop = Event()
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda *_: stop.set())
    with opened_context() as context:
        settings = Settings.read(os.environ)
        poster = Poster(settings.webhook_seconds, anywhere=context.webhooks_anywhere)
        relay = Relay(context, poster, stop, settings.webhook_lanes)
        if not once:
            relay.run()
        if once:
            relay.remind()
        while once and relay.deliver_next():
            pass

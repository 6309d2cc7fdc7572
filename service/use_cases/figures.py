"""What waits to be done, for whoever watches the service: no shop's, no person's, all together."""

from __future__ import annotations

from dataclasses import dataclass

from service.storage import events, webhooks
from service.use_cases.context import ServiceContext


@dataclass(frozen=True, slots=True)
class Figures:
    """What stands in the database now."""

    waiting_events: int
    relay_lag_seconds: float
    webhooks_disabled: int


def figures(context: ServiceContext) -> Figures:
    """The figures of this moment."""
    now = context.now()
    with context.database.reading() as tx:
        oldest = events.oldest_unsent(tx)
        return Figures(
            waiting_events=events.count_unsent(tx),
            relay_lag_seconds=max(0.0, (now - oldest).total_seconds()) if oldest else 0.0,
            webhooks_disabled=webhooks.count_disabled(tx),
        )

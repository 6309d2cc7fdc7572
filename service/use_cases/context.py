"""What every use case is handed: the database, the clock, and where new ids and tokens come from."""

from __future__ import annotations

import secrets
import uuid
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from service.settings import Settings
from service.storage.database import Database
from service.storage.shops import Shop


@dataclass(frozen=True, slots=True)
class ServiceContext:
    """The counter's means. `now` gives an aware time; `new_token` gives text that nobody can guess.

    `webhooks_anywhere` is the operator's leave to send events to other than public addresses.
    """

    database: Database
    now: Callable[[], datetime]
    new_id: Callable[[], str]
    new_token: Callable[[], str]
    webhooks_anywhere: bool = False

    def local_time(self, shop: Shop) -> datetime:
        """The shop's local time."""
        return self.now().astimezone(ZoneInfo(shop.time_zone))

    def today(self, shop: Shop) -> date:
        """The shop's local day."""
        return self.local_time(shop).date()


# So much of a name is kept beside what was done.
SIGNED_MOST = 64


@dataclass(frozen=True, slots=True)
class Caller:
    """Who asks: a key of one shop, what it may do, and how often (None: as the service has it).

    A web key has the origins of the pages that may use it; others have none.
    """

    key_id: str
    shop: Shop
    scopes: frozenset[str]
    origins: tuple[str, ...] = ()
    per_minute: int | None = None
    key_name: str = ""

    def signs(self, by: str | None) -> str:
        """Whose doing it is: who was named, or else the key."""
        return by or self.key_name[:SIGNED_MOST]

    @property
    def is_page(self) -> bool:
        """Whether this is a web key: it may advise, and sees nothing that was recorded."""
        return bool(self.origins)


def open_context(settings: Settings) -> ServiceContext:
    """The counter's means for a running service: a real clock, random ids and tokens."""
    return ServiceContext(
        database=Database(
            settings.database_url, seal_keys=settings.readings_keys, connections=settings.database_connections
        ),
        now=lambda: datetime.now(UTC),
        new_id=lambda: str(uuid.uuid4()),
        new_token=lambda: secrets.token_urlsafe(24),
        webhooks_anywhere=settings.webhooks == "anywhere",
    )

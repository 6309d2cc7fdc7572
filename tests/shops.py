"""A shop for a test: opened new, so that no test sees another's things, with a key for each purpose."""

import secrets
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from service.app import create_app
from service.http.advice.batch import BatchSeconds
from service.settings import Settings
from service.storage.database import Database
from service.tailoring.work.prices import PriceList
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.shop.keys import SCOPES, give_key, identify
from service.use_cases.shop.shops import open_shop
from tests.client import Client, Contract
from tests.days import Clock
from tests.waiting import PATIENCE_SECONDS

# Tests ask more in a minute than any shop; what limits do is shown where they are asked for.
UNHURRIED = {"key_per_minute": 1_000_000, "web_per_minute": 1_000_000, "address_per_minute": 1_000_000}
# The same as a process of its own is told them.
UNHURRIED_SETTINGS = {f"FITTING_{name.upper()}": str(value) for name, value in UNHURRIED.items()}


@dataclass(frozen=True)
class House:
    """The service over one database, with a clock that the test moves."""

    url: str
    clock: Clock
    context: ServiceContext
    contract: Contract


@dataclass(frozen=True)
class TestShop:
    """An open shop: `staff` may do everything; `caller` is the same as use cases know it."""

    __test__ = False
    id: str
    house: House
    caller: Caller
    staff: Client

    def client(self, *scopes: str) -> Client:
        """Somebody with a key for these scopes only."""
        key = give_key(self.house.context, self.id, "test", frozenset(scopes))
        return Client(self.house.contract, key)

    def page(self, *origins: str, **more: Any) -> Client:
        """A page with a web key for these origins, which says that it is of the first."""
        key = give_key(self.house.context, self.id, "page", frozenset({"advise"}), origins=origins, **more)
        return Client(self.house.contract, key, {"Origin": origins[0]})


def new_desk(url: str, clock: Clock) -> ServiceContext:
    """The counter's means over a database of its own connections."""
    return ServiceContext(
        # However busy the machine is, nothing gives up for it.
        database=Database(url, wait_seconds=PATIENCE_SECONDS),
        now=clock.now,
        new_id=new_id,
        new_token=lambda: secrets.token_urlsafe(24),
    )


def new_id() -> str:
    return str(uuid.uuid4())


def new_house(url: str) -> House:
    """The service over a migrated database."""
    clock = Clock()
    context = new_desk(url, clock)
    app = create_app(Settings(database_url=url, **UNHURRIED), context)
    # However slow the machine is.
    app.extensions["batch_seconds"] = BatchSeconds(3600, 3600)
    return House(url, clock, context, Contract(app))


@contextmanager
def open_house(url: str) -> Iterator[House]:
    """The same, with its database closed afterwards."""
    house = new_house(url)
    try:
        yield house
    finally:
        house.context.database.close()


def new_shop(house: House, **more: Any) -> TestShop:
    """A shop opened just now; `more` goes to `open_shop`, as its week."""
    given = {"name": "Corner Tailors", "time_zone": "Europe/Dublin", "prices": PriceList()} | more
    shop_id = open_shop(house.context, **given)
    key = give_key(house.context, shop_id, "staff", frozenset(SCOPES))
    return TestShop(shop_id, house, identify(house.context, key), Client(house.contract, key))

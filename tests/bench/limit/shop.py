"""The shops that are asked, and what they are asked."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from alembic import command
from flask.testing import FlaskClient

from service.app import create_app
from service.console import alembic_config
from service.settings import Settings
from service.starting import made_to_last
from service.tailoring.work.prices import PriceList
from service.tailoring.workroom.weeks import Week
from service.use_cases.context import ServiceContext, open_context
from service.use_cases.shop.keys import SCOPES, give_key
from service.use_cases.shop.shops import open_shop
from tests.bench.limit.questions import ADVICE
from tests.http.sheets import WORN_UNREAD, order
from tests.shops import UNHURRIED

CHECK = ADVICE | WORN_UNREAD
MOVE = {"to": "accepted", "by": "tailor-1"}
# Room for all that is placed: what is measured is no full calendar.
WIDE = Week(minutes=({"trousers": 10**6, "jackets": 10**6, "finishing": 10**6},) * 7)
_numbers = itertools.count()


@dataclass(frozen=True)
class OpenShop:
    """A shop on a database of its own, asked in this process, and an order of it."""

    url: str
    context: ServiceContext
    client: FlaskClient
    id: str
    key: str
    order_id: str = ""
    slip: str = ""

    def ask(self, method: str, path: str, document: Any = None, key: str | None = None, **headers: str) -> Any:
        """What it answers, as the client has it."""
        said = {name.replace("_", "-"): value for name, value in headers.items()}
        said |= {"Authorization": f"Bearer {key or self.key}"}
        if method == "POST":
            said |= {"Idempotency-Key": f"in-process-{next(_numbers)}"}
        answer = self.client.open(path, method=method, json=document, headers=said)
        if answer.status_code // 100 not in (2, 3):
            raise SystemExit(f"{method} {path} answered {answer.status_code}: {answer.text}")
        return answer

    def tag(self, path: str) -> str:
        """The ETag of what is there."""
        return str(self.ask("GET", path).headers["ETag"])

    def another(self, prices: PriceList, week: Week = WIDE) -> tuple[str, str]:
        """One more shop of the same service: its id and a key."""
        shop = open_shop(self.context, "Another", "UTC", prices, week)
        return shop, give_key(self.context, shop, "bench", frozenset(SCOPES))


@contextmanager
def opened(folder: Path, url: str | None = None) -> Iterator[OpenShop]:
    """A shop with one order, on SQLite where no database is named."""
    url = url or f"sqlite:///{folder}/limit.sqlite3"
    settings = Settings(database_url=url, **UNHURRIED)  # type: ignore[arg-type]
    command.upgrade(alembic_config(url), "head")
    context = open_context(settings)
    shop = open_shop(context, "Limit", "UTC", PriceList(), WIDE)
    key = give_key(context, shop, "bench", frozenset(SCOPES))
    with made_to_last():  # as a worker starts
        client = create_app(settings, context).test_client()
    plain = OpenShop(url, context, client, shop, key)
    placed = plain.ask("POST", "/v1/orders", order()).json
    with context.database.reading() as tx:
        token = tx.exec_driver_sql("SELECT collection_token FROM orders").scalar_one()
    yield OpenShop(url, context, plain.client, shop, key, placed["id"], f"/v1/collection-slips/{token}")
    context.database.close()

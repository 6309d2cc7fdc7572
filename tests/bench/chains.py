"""The orders of a chain of shops over two years: whose, of which kind of visit, when, and what is its own of each."""

from __future__ import annotations

import random
import uuid
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from tests.bench.visits import NUMBER, OVER, SHAPES, WEEKDAYS, Kind, Row, Visit, lived_visits, open_day

# Two years, as long as readings are kept.
OPEN_DAYS = 626
# So many of them answers are kept for retries: 30 days.
RETRIED_DAYS = 26
# Orders that a customer of a shop has placed in that time (common practice, no source).
ORDERS_EACH = 2.5
# Orders of one day are placed within so long after the visit's own time.
OPENING_SECONDS = 5 * 3600


@dataclass(frozen=True)
class Chain:
    """Shops by their sizes, and every order that they have had, oldest first: a row of `grown_shops.plan` each."""

    sizes: dict[str, int]
    orders: list[Row]
    visits: dict[Kind, Visit]

    def newest(self, shop_ids: Iterable[str], most: int) -> Chain:
        """The newest orders of some of the shops, as if these had opened not long ago."""
        mine = {shop_id: self.sizes[shop_id] for shop_id in shop_ids}
        return Chain(mine, [row for row in self.orders if row["shop_id"] in mine][-most:], self.visits)


def chain_of(count: int, shop_count: int, today: date) -> Chain:
    """A chain of so many orders of so many shops, on its last open day.

    A shop's orders come evenly over the years. Sizes fall with the rank's power 0.8, as those of a chain's shops may
    (no source): of 2,000 shops the first has every eighteenth order.
    """
    chance = random.Random(1)
    ids = [_new_id(chance) for _ in range(shop_count)]
    sizes = dict(zip(ids, _skewed(count, shop_count), strict=True))
    days = _days_back(open_day(today, -1) if today.weekday() == WEEKDAYS else today)
    stream = sorted(
        ((back := nth * OPEN_DAYS / size, shop_id, nth) for shop_id, size in sizes.items() for nth in range(size)),
        reverse=True,
    )
    shapes = chance.choices(range(len(SHAPES)), [shape.share for shape in SHAPES], k=count)
    kinds = [
        Kind(shape, days[int(back)].weekday(), min(int(back), OVER))
        for shape, (back, *_) in zip(shapes, stream, strict=True)
    ]
    visits = lived_visits(sorted(set(kinds)))
    told: dict[str, int] = defaultdict(int)
    found = []
    for kind, (back, shop_id, nth) in zip(kinds, stream, strict=True):
        visit = visits[kind]
        customer = nth % max(1, int(sizes[shop_id] / ORDERS_EACH))
        found.append(
            kind._asdict()
            | {name: _new_id(chance) for name in ("order_id", "set_id", "check_id")}
            | {
                "shop_id": shop_id,
                "key_id": shop_id,
                "number": NUMBER + sizes[shop_id] - 1 - nth,
                "cursor": told[shop_id],
                "days": (days[int(back)] - visit.day).days,
                "seconds": int((1 - back % 1) * OPENING_SECONDS),
                "customer_ref": f"C-{customer}",
                "sale_ref": f"S-{sizes[shop_id] - nth}",
                "retried": back < RETRIED_DAYS,
            }
        )
        told[shop_id] += len(visit.rows["events"])
    return Chain(sizes, found, visits)


def _skewed(count: int, shop_count: int) -> Sequence[int]:
    """Sizes that fall with the rank, none without an order, together so many."""
    weights = [rank**-0.8 for rank in range(1, shop_count + 1)]
    whole = sum(weights)
    sizes = [1 + int(weight / whole * (count - shop_count)) for weight in weights]
    return [sizes[0] + count - sum(sizes), *sizes[1:]]


def _days_back(last: date) -> list[date]:
    """The open days by how far back they lie."""
    days = [last]
    while len(days) < OPEN_DAYS:
        days.append(open_day(days[-1], -1))
    return days


def _new_id(chance: random.Random) -> str:
    return str(uuid.UUID(int=chance.getrandbits(128), version=4))

"""Advice ids: a plan as it was advised, signed by the shop, from which its order is placed days later.

An id holds sizes, alterations and prices, and no person: nothing is kept for it. It is good in the shop that signed it.
"""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime, timedelta
from typing import Any

from itsdangerous import BadData, URLSafeSerializer

from service.storage import shops
from service.storage.records import read, written
from service.storage.shops import Shop
from service.tailoring.garments.amounts import Amount
from service.tailoring.garments.charts import GARMENTS, ChartSize
from service.tailoring.orders.sheets.advised_plans import AdvisedPlan
from service.tailoring.refusals import Refusal, Where
from service.tailoring.sizing.plans import Plan, PlannedAlteration
from service.tailoring.work.prices import Money
from service.use_cases.context import Caller, ServiceContext

# Long enough to sleep on it and come in on the next free Saturday (common practice, no source).
GOOD_FOR = timedelta(days=14)
_FORM = 1


class AdviceSigner:
    """Signs plans of one shop; what is signed says until when it is good."""

    def __init__(self, key: str, until: datetime) -> None:
        self._serializer = _serializer(key)
        self._until = int(until.timestamp())

    def sign(self, plan: Plan) -> str:
        """The advice id of a plan."""
        sizes = [[garment, each.chart, each.revision, each.label] for garment, each in plan.chosen.items()]
        work = [
            [each.garment, each.code, written(each.amount), each.minutes, each.price.minor, each.seen]
            for each in plan.alterations
        ]
        return str(self._serializer.dumps([_FORM, self._until, plan.expected_cost.currency, sizes, work]))


def signer_of(context: ServiceContext, caller: Caller) -> AdviceSigner:
    """What signs the caller's shop's advice; the first time its key is made."""
    key = caller.shop.advice_key
    if not key:
        with context.database.writing() as tx:
            key = shops.advice_key(tx, caller.shop.id, context.new_token())
    return AdviceSigner(key, context.now() + GOOD_FOR)


def read_advice_id(shop: Shop, said: str, now: datetime, at: Where = ("from_advice",)) -> AdvisedPlan:
    """The plan that an advice id holds. Raises Refusal `advice_unreadable` or `advice_expired`, pointing `at` it."""
    if not shop.advice_key:
        raise Refusal("advice_unreadable", at)
    try:
        form, until, currency, sizes, work = _serializer(shop.advice_key).loads(said)
    except (BadData, ValueError):
        raise Refusal("advice_unreadable", at) from None
    if form != _FORM:
        raise Refusal("advice_unreadable", at)
    if now.timestamp() >= until:
        raise Refusal("advice_expired", at, until=datetime.fromtimestamp(until, UTC).date().isoformat())
    chosen = {garment: ChartSize(*size) for garment, *size in sizes if garment in GARMENTS}
    return AdvisedPlan(chosen, tuple(_planned(each, currency) for each in work))


def _planned(work: list[Any], currency: str) -> PlannedAlteration:
    garment, code, amount, minutes, minor, seen = work
    known = read(amount, Amount) if amount else None
    return PlannedAlteration(garment, code, known, minutes, Money(minor, currency), seen)


def _serializer(key: str) -> URLSafeSerializer:
    derived = {"key_derivation": "hmac", "digest_method": hashlib.sha256}
    return URLSafeSerializer(key, salt="advice", signer_kwargs=derived)

"""A plan that was advised elsewhere, as an order takes it up: its sizes, its work, the prices that were said."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from service.tailoring.garments.alterations import alteration
from service.tailoring.garments.charts import Chart, ChartSize, Garment
from service.tailoring.hems.hems import HEM_CODES
from service.tailoring.orders.sheets.planned_lines import TakenUp, estimated
from service.tailoring.refusals import Refusal
from service.tailoring.sizing.plans import PlannedAlteration
from service.tailoring.work.prices import Money, PriceList

NAMED = "from_advice"


@dataclass(frozen=True, slots=True)
class AdvisedPlan:
    """What was advised of whoever it was: sizes by garment, and the alterations with the prices that were said."""

    chosen: Mapping[Garment, ChartSize]
    alterations: tuple[PlannedAlteration, ...]


def taken_of(advised: AdvisedPlan, charts: Mapping[str, Chart], prices: PriceList) -> TakenUp:
    """The plan as an order takes it up: what was taped is ordered, the rest is offered, a hem is to be pinned.

    `charts` are the newest revisions of those that it names. Raises Refusal `advice_chart_changed` where the sizes
    are of an earlier revision, `advice_price_changed` where the work costs another price now.
    """
    for size in advised.chosen.values():
        newest = charts.get(size.chart)
        if newest is None or newest.revision != size.revision:
            now = newest.revision if newest else None
            raise Refusal("advice_chart_changed", (NAMED,), chart=size.chart, advised=size.revision, now=now)
    for each in advised.alterations:
        now_minor = _prices_now(each, prices)
        if each.price.currency != prices.currency or each.price.minor not in now_minor:
            raise Refusal(
                "advice_price_changed",
                (NAMED,),
                alteration=each.code,
                advised_minor=each.price.minor,
                currency=each.price.currency,
                now_minor=now_minor[-1],
                now_currency=prices.currency,
            )
    sewn = [each for each in advised.alterations if each.code not in HEM_CODES.values()]
    return TakenUp(
        sizes=advised.chosen,
        lines=tuple(each for each in sewn if each.seen),
        to_look_at=tuple(estimated(each, alteration(each.code)) for each in sewn if not each.seen),
        hems=len(sewn) < len(advised.alterations),
        named=NAMED,
    )


def _prices_now(each: PlannedAlteration, prices: PriceList) -> tuple[int, ...]:
    """What it may cost by the list as it is: as a whole, and of one side of a pair half, rounded up."""
    amount = each.amount
    whole: Money = prices.price(each.code, alteration(each.code).plain_hems, amount.length.mm if amount else None)
    one_side = amount is not None and amount.side in ("left", "right")
    return (math.ceil(whole.minor / 2), whole.minor) if one_side else (whole.minor,)

"""A shop's charts: loading a revision, and finding the ones that a question is about."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from service.storage import charts, shops
from service.storage.database import Transaction
from service.tailoring.garments.charts import (
    Chart,
    ChartHead,
    chart,
    reference_charts,
    same_chart,
)
from service.tailoring.refusals import Refusal
from service.use_cases.context import Caller, ServiceContext

# What an address means already; no chart of a shop can have it for a code.
ADDRESSES = ("compare",)
# A question that names none is about all of them. A chain of brands has a few dozen.
CHARTS_MOST = 100
# Where no size of the charts asked for serves, so many others are searched for one that does.
BESIDES_MOST = 10


def load_chart(
    context: ServiceContext, shop_id: str, head: ChartHead, rows: Sequence[Mapping[str, object]]
) -> tuple[Chart, bool]:
    """Keep a new revision of a chart, unless it says what the newest says; the newest now, and whether it is new.

    Raises Refusal `chart_invalid`, `chart_reserved`, `charts_too_many` or `shop_unknown`.
    """
    if head.code in reference_charts() or head.code in ADDRESSES:
        raise Refusal("chart_reserved", ("code",), given=head.code)
    with context.database.writing() as tx:
        if shops.find_shop(tx, shop_id) is None:
            raise Refusal("shop_unknown", ("shop",), given=shop_id)
        shops.lock_shop(tx, shop_id)
        newest = charts.find_chart(tx, shop_id, head.code)
        if newest is None and len(charts.codes(tx, shop_id)) >= CHARTS_MOST:
            raise Refusal("charts_too_many", ("code",), most=CHARTS_MOST)
        loaded = chart(head, rows, newest.revision + 1 if newest else 1)
        if newest and same_chart(newest, loaded):
            return newest, False
        charts.add_chart(tx, shop_id, loaded, context.now())
    return loaded, True


def show_charts(context: ServiceContext, caller: Caller) -> tuple[Chart, ...]:
    """The newest revision of every chart of the shop, and the reference blocks."""
    with context.database.reading() as tx:
        return (*charts.newest_charts(tx, caller.shop.id).values(), *reference_charts().values())


def show_chart(context: ServiceContext, caller: Caller, code: str, revision: int | None = None) -> Chart:
    """One revision of a chart, its newest where none is named. Raises Refusal `not_found`."""
    with context.database.reading() as tx:
        found = _chart_of(tx, caller.shop.id, code, revision)
    if found is None:
        raise Refusal("not_found")
    return found


def charts_asked(tx: Transaction, shop_id: str, asked: tuple[str, ...] | None) -> tuple[Chart, ...]:
    """The charts that a question names; all of the shop's if it names none, or the reference blocks if it has none.

    Raises Refusal `chart_unknown`, pointing at ("charts", i).
    """
    codes = tuple(dict.fromkeys(asked or ()))
    if not codes:
        return tuple(charts.newest_charts(tx, shop_id).values()) or tuple(reference_charts().values())
    known = known_charts(tx, shop_id, codes)
    for i, code in enumerate(codes):
        if code not in known:
            raise Refusal("chart_unknown", ("charts", i), given=code)
    return tuple(known[code] for code in codes)


def charts_besides(tx: Transaction, shop_id: str, asked: Sequence[str]) -> tuple[Chart, ...]:
    """The first few of the shop's charts that were not asked for: what may serve where none of those does."""
    besides = [code for code in charts.codes(tx, shop_id) if code not in asked]
    return tuple(charts.newest_charts(tx, shop_id, besides[:BESIDES_MOST]).values())


def find_chart(tx: Transaction, shop_id: str, code: str, at: tuple[str | int, ...] = ("chart",)) -> Chart:
    """The newest revision of a chart, or a reference block. Raises Refusal `chart_unknown`."""
    found = _chart_of(tx, shop_id, code)
    if found is None:
        raise Refusal("chart_unknown", at, given=code)
    return found


def known_charts(tx: Transaction, shop_id: str, codes: Iterable[str]) -> dict[str, Chart]:
    """The newest revisions of those charts that there are, by code."""
    reference = reference_charts()
    own = charts.newest_charts(tx, shop_id, [code for code in codes if code not in reference])
    found = {code: reference.get(code) or own.get(code) for code in codes}
    return {code: chart for code, chart in found.items() if chart is not None}


def _chart_of(tx: Transaction, shop_id: str, code: str, revision: int | None = None) -> Chart | None:
    reference = reference_charts().get(code)
    if reference is None:
        return charts.find_chart(tx, shop_id, code, revision)
    return reference if revision in (None, reference.revision) else None

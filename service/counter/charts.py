"""A shop's charts: loading a revision, and finding the ones that a question is about."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from service.counter.desk import Caller, Desk
from service.storage import charts, shops
from service.storage.database import Transaction
from service.tailoring.charts import Chart, ChartHead, chart, reference_chart
from service.tailoring.refusals import Refusal


def load_chart(desk: Desk, shop_id: str, head: ChartHead, rows: Sequence[Mapping[str, object]]) -> Chart:
    """Keep a new revision of a chart. Raises Refusal `chart_invalid`, `chart_reserved` or `shop_unknown`."""
    if head.code == reference_chart().code:
        raise Refusal("chart_reserved", ("code",), given=head.code)
    with desk.database.writing() as tx:
        if shops.find_shop(tx, shop_id) is None:
            raise Refusal("shop_unknown", ("shop",), given=shop_id)
        shops.lock_shop(tx, shop_id)
        loaded = chart(head, rows, charts.last_revision(tx, shop_id, head.code) + 1)
        charts.add_chart(tx, shop_id, loaded, desk.now())
    return loaded


def show_charts(desk: Desk, caller: Caller) -> tuple[Chart, ...]:
    """The newest revision of every chart of the shop, and the reference block."""
    with desk.database.reading() as tx:
        codes = charts.codes(tx, caller.shop.id)
        return (*(find_chart(tx, caller.shop.id, code) for code in codes), reference_chart())


def show_chart(desk: Desk, caller: Caller, code: str) -> Chart:
    """One chart. Raises Refusal `not_found`."""
    with desk.database.reading() as tx:
        found = _newest(tx, caller.shop.id, code)
    if found is None:
        raise Refusal("not_found")
    return found


def charts_asked(tx: Transaction, shop_id: str, asked: tuple[str, ...] | None) -> tuple[Chart, ...]:
    """The charts that a question names; all of the shop's if it names none, or the reference block if it has none.

    Raises Refusal `chart_unknown`, pointing at ("charts", i).
    """
    codes = asked or charts.codes(tx, shop_id) or (reference_chart().code,)
    return tuple(find_chart(tx, shop_id, code, ("charts", i)) for i, code in enumerate(codes))


def find_chart(tx: Transaction, shop_id: str, code: str, at: tuple[str | int, ...] = ("chart",)) -> Chart:
    """The newest revision of a chart, or the reference block. Raises Refusal `chart_unknown`."""
    found = _newest(tx, shop_id, code)
    if found is None:
        raise Refusal("chart_unknown", at, given=code)
    return found


def _newest(tx: Transaction, shop_id: str, code: str) -> Chart | None:
    return reference_chart() if code == reference_chart().code else charts.find_chart(tx, shop_id, code)

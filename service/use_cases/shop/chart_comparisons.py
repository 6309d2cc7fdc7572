"""Which sizes of other charts serve the body that one size is cut for."""

from __future__ import annotations

from service.tailoring.garments.charts import Garment
from service.tailoring.refusals import Refusal
from service.tailoring.sizing.chart_comparison import Comparison, compare
from service.use_cases.context import Caller, ServiceContext
from service.use_cases.shop.charts import find_chart


def compare_size(
    context: ServiceContext, caller: Caller, chart_code: str, garment: Garment, label: str, others: tuple[str, ...]
) -> Comparison:
    """Which sizes of other charts serve the body that one size is cut for.

    Raises Refusal `chart_unknown` or `label_unknown`, pointing at ("from", …) or ("to", i).
    """
    with context.database.reading() as tx:
        first = find_chart(tx, caller.shop.id, chart_code, ("from", "chart"))
        against = tuple(find_chart(tx, caller.shop.id, code, ("to", i)) for i, code in enumerate(others))
    try:
        return compare(first, garment, label, against, caller.shop.prices, caller.shop.ease)
    except Refusal as refusal:
        raise refusal.within("from") from None

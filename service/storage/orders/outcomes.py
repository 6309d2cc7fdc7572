"""What became of what was sold: rows to values and back, and their counts."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime
from operator import itemgetter
from typing import Any

from sqlalchemy import Connection, Row, Select, case, func, insert, select

from service.storage.caller_tables import outcomes
from service.storage.columns import further
from service.tailoring.orders.outcomes import AlteredBy, Outcome, SizeSold, SizeTold
from service.tailoring.quantities import Length


@dataclass(frozen=True, slots=True)
class FiledOutcome:
    """An outcome on file, whose it is, and the fit check and the order that it came of."""

    id: str
    outcome: Outcome
    told_at: datetime
    customer_ref: str | None = None
    sale_ref: str | None = None
    fit_check: str | None = None
    order: str | None = None


def add_outcome(tx: Connection, shop_id: str, filed: FiledOutcome) -> None:
    """File an outcome."""
    told = filed.outcome
    row = {
        "id": filed.id,
        "shop_id": shop_id,
        "customer_ref": filed.customer_ref,
        "sale_ref": filed.sale_ref,
        "garment": told.garment,
        "chart": told.sold.chart,
        "label": told.sold.label,
        "result": told.result,
        "day": told.on,
        "swapped_chart": told.swapped_to.chart if told.swapped_to else None,
        "swapped_label": told.swapped_to.label if told.swapped_to else None,
        "reason": told.reason,
        "place": told.place,
        "altered_by": [_altered_row(each) for each in told.alterations],
        "advised_chart": told.advised.chart if told.advised else None,
        "advised_label": told.advised.label if told.advised else None,
        "p_best": told.p_best,
        "fit_check_id": filed.fit_check,
        "order_id": filed.order,
        "told_at": filed.told_at,
    }
    tx.execute(insert(outcomes).values(row))


def find_outcome(tx: Connection, shop_id: str, outcome_id: str) -> FiledOutcome | None:
    """The outcome of that id, if it is this shop's."""
    row = tx.execute(_of(shop_id).where(outcomes.c.id == outcome_id)).one_or_none()
    return _filed(row) if row else None


def outcomes_of_customer(
    tx: Connection,
    shop_id: str,
    customer_ref: str,
    most: int | None = None,
    last: tuple[datetime, str] | None = None,
) -> tuple[FiledOutcome, ...]:
    """What was told of a customer's garments, newest first; that after the last one of a page, by its time and id."""
    its = outcomes.c
    theirs = _of(shop_id).where(its.customer_ref == customer_ref, further(its.told_at, its.id, last))
    return tuple(_filed(row) for row in tx.execute(theirs.order_by(its.told_at.desc(), its.id).limit(most)))


def count_by_size(
    tx: Connection, shop_id: str, garment: str | None, chart: str | None, since: date | None
) -> tuple[SizeTold, ...]:
    """What was reported of every size since a day, by garment, chart and label."""
    c = outcomes.c
    as_advised = (c.advised_chart == c.chart) & (c.advised_label == c.label)
    size = (c.garment, c.chart, c.label)
    asked = select(
        *size, c.result, func.count().label("told"), func.sum(case((as_advised, 1), else_=0)).label("advised")
    )
    asked = asked.where(c.shop_id == shop_id).group_by(*size, c.result)
    for column, value in ((c.garment, garment), (c.chart, chart)):
        asked = asked.where(column == value) if value is not None else asked
    if since is not None:
        asked = asked.where(c.day >= since)
    by_size: dict[tuple[Any, ...], list[Row[Any]]] = defaultdict(list)
    # Not sorted by the database: PostgreSQL sorts text by the locale that it was set up with.
    for row in sorted(tx.execute(asked), key=itemgetter(0, 1, 2, 3)):
        by_size[row.garment, row.chart, row.label].append(row)
    return tuple(
        SizeTold(
            garment=one,
            sold=SizeSold(code, label),
            counts={row.result: int(row.told) for row in rows},
            as_advised=sum(int(row.advised) for row in rows),
            advised_and_kept=sum(int(row.advised) for row in rows if row.result == "kept"),
        )
        for (one, code, label), rows in by_size.items()
    )


def _of(shop_id: str) -> Select[Any]:
    return select(outcomes).where(outcomes.c.shop_id == shop_id)


def _filed(row: Row[Any]) -> FiledOutcome:
    told = Outcome(
        garment=row.garment,
        sold=SizeSold(row.chart, row.label),
        result=row.result,
        on=row.day,
        swapped_to=SizeSold(row.swapped_chart, row.swapped_label) if row.swapped_label else None,
        reason=row.reason,
        place=row.place,
        alterations=tuple(_altered(each) for each in row.altered_by),
        advised=SizeSold(row.advised_chart, row.advised_label) if row.advised_label else None,
        p_best=row.p_best,
    )
    return FiledOutcome(row.id, told, row.told_at, row.customer_ref, row.sale_ref, row.fit_check_id, row.order_id)


def _altered_row(each: AlteredBy) -> dict[str, Any]:
    amount = {"mm": each.amount.mm, "unit": each.amount.unit} if each.amount else None
    return {"alteration": each.alteration, "amount": amount}


def _altered(kept: dict[str, Any]) -> AlteredBy:
    amount = kept["amount"]
    return AlteredBy(kept["alteration"], Length(amount["mm"], amount["unit"]) if amount else None)

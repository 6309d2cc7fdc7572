"""Fit checks: the record of each, and the answer as it was given."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, insert, select

from service.storage.columns import further
from service.storage.fitting import fit_check_records as records
from service.storage.fitting.fit_checks_before import plans_of_before, record_of_before
from service.storage.sealing import sealing_of
from service.storage.tables import fit_checks
from service.tailoring.fitting.fit_check_records import FitCheckRecord


@dataclass(frozen=True, slots=True)
class KeptFitCheck:
    """A fit check on file: what is read of it is its `record`; the `answer` that the caller got is given out again."""

    id: str
    customer_ref: str | None
    record: FitCheckRecord
    answer: dict[str, Any]
    made_at: datetime


def add_fit_check(tx: Connection, shop_id: str, kept: KeptFitCheck) -> None:
    """Keep a fit check."""
    sealing = sealing_of(tx)
    tx.execute(
        insert(fit_checks).values(
            id=kept.id,
            shop_id=shop_id,
            customer_ref=kept.customer_ref,
            record=sealing.seal(records.written(kept.record)),
            # The release before reads only these two.
            plans=sealing.seal(plans_of_before(kept.record)),
            answer=sealing.seal(kept.answer),
            made_at=kept.made_at,
        )
    )


def find_fit_check(tx: Connection, shop_id: str, check_id: str) -> KeptFitCheck | None:
    """The fit check of that id, if it is this shop's."""
    one = select(fit_checks).where(fit_checks.c.id == check_id, fit_checks.c.shop_id == shop_id)
    row = tx.execute(one).one_or_none()
    return _fit_check(tx, row) if row else None


def checks_of_customer(
    tx: Connection, shop_id: str, customer_ref: str, most: int, last: tuple[datetime, str] | None = None
) -> tuple[KeptFitCheck, ...]:
    """A customer's fit checks, newest first; those after the last one of a page, by its time and id."""
    table = fit_checks
    theirs = select(table).where(table.c.shop_id == shop_id, table.c.customer_ref == customer_ref)
    rest = theirs.where(further(table.c.made_at, table.c.id, last))
    newest = rest.order_by(table.c.made_at.desc(), table.c.id).limit(most)
    return tuple(_fit_check(tx, row) for row in tx.execute(newest))


def _fit_check(tx: Connection, row: Row[Any]) -> KeptFitCheck:
    sealing = sealing_of(tx)
    answer, kept = sealing.open(row.answer), sealing.open(row.record)
    if kept is None:
        record = record_of_before(answer, sealing.open(row.plans), row.inside_leg_mm)
    else:
        record = records.read(kept, FitCheckRecord)
    return KeptFitCheck(row.id, row.customer_ref, record, answer, row.made_at)

"""Fit checks: the plans that came of them, and the answers as they were given."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, insert, select

from service.storage.sealing import sealing_of
from service.storage.tables import fit_checks


@dataclass(frozen=True, slots=True)
class KeptFitCheck:
    """A fit check on record.

    `plans` are its plans' sizes and alterations, the advised one first, as an order takes them; `inside_leg_mm`
    checks the pins of that order; `answer` is the document that the caller got.
    """

    id: str
    customer_ref: str | None
    inside_leg_mm: float | None
    plans: list[dict[str, Any]]
    answer: dict[str, Any]
    made_at: datetime


def add_fit_check(tx: Connection, shop_id: str, kept: KeptFitCheck) -> None:
    """Keep a fit check."""
    sealing = sealing_of(tx)
    # The leg is a reading: sealed, it stands among the plans that it checks, and its column is empty.
    plans: Any = {"plans": kept.plans, "inside_leg_mm": kept.inside_leg_mm} if sealing.is_on else kept.plans
    tx.execute(
        insert(fit_checks).values(
            id=kept.id,
            shop_id=shop_id,
            customer_ref=kept.customer_ref,
            inside_leg_mm=None if sealing.is_on else kept.inside_leg_mm,
            plans=sealing.seal(plans),
            answer=sealing.seal(kept.answer),
            made_at=kept.made_at,
        )
    )


def find_fit_check(tx: Connection, shop_id: str, check_id: str) -> KeptFitCheck | None:
    """The fit check of that id, if it is this shop's."""
    one = select(fit_checks).where(fit_checks.c.id == check_id, fit_checks.c.shop_id == shop_id)
    row = tx.execute(one).one_or_none()
    return _fit_check(tx, row) if row else None


def checks_of_customer(tx: Connection, shop_id: str, customer_ref: str) -> tuple[KeptFitCheck, ...]:
    """A customer's fit checks, newest first."""
    table = fit_checks
    his = select(table).where(table.c.shop_id == shop_id, table.c.customer_ref == customer_ref)
    return tuple(_fit_check(tx, row) for row in tx.execute(his.order_by(table.c.made_at.desc(), table.c.id)))


def _fit_check(tx: Connection, row: Row[Any]) -> KeptFitCheck:
    sealing = sealing_of(tx)
    plans, leg_mm = sealing.open(row.plans), row.inside_leg_mm
    if isinstance(plans, dict):
        plans, leg_mm = plans["plans"], plans["inside_leg_mm"]
    return KeptFitCheck(row.id, row.customer_ref, leg_mm, plans, sealing.open(row.answer), row.made_at)

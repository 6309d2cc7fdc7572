"""Fit checks: the plans that came of them, and the answers as they were given."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, insert, select

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
    tx.execute(
        insert(fit_checks).values(
            id=kept.id,
            shop_id=shop_id,
            customer_ref=kept.customer_ref,
            inside_leg_mm=kept.inside_leg_mm,
            plans=kept.plans,
            answer=kept.answer,
            made_at=kept.made_at,
        )
    )


def find_fit_check(tx: Connection, shop_id: str, check_id: str) -> KeptFitCheck | None:
    """The fit check of that id, if it is this shop's."""
    one = select(fit_checks).where(fit_checks.c.id == check_id, fit_checks.c.shop_id == shop_id)
    row = tx.execute(one).one_or_none()
    if row is None:
        return None
    return KeptFitCheck(row.id, row.customer_ref, row.inside_leg_mm, row.plans, row.answer, row.made_at)

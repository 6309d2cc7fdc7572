"""What a visitor of a shop's page asked to be kept for the fitter: under a short code, for days, without a name."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import Connection, insert, select
from sqlalchemy.exc import IntegrityError

from service.storage.caller_tables import kept_advice
from service.storage.sealing import sealing_of


def add_kept_advice(tx: Connection, shop_id: str, code: str, content: dict[str, Any], until: datetime) -> bool:
    """Keep it under a code; False where the shop has given that code to another."""
    sealed = sealing_of(tx).seal(content)
    try:
        with tx.begin_nested():
            tx.execute(insert(kept_advice).values(shop_id=shop_id, code=code, content=sealed, kept_until=until))
    except IntegrityError:
        return False
    return True


def find_kept_advice(tx: Connection, shop_id: str, code: str, now: datetime) -> tuple[dict[str, Any], datetime] | None:
    """What is kept under a code, and until when; none where that is over."""
    its = (kept_advice.c.shop_id == shop_id) & (kept_advice.c.code == code) & (kept_advice.c.kept_until > now)
    row = tx.execute(select(kept_advice.c.content, kept_advice.c.kept_until).where(its)).one_or_none()
    return (sealing_of(tx).open(row.content), row.kept_until) if row else None

"""What all tables are made with: their names, and the types of their columns.

Times are UTC with their offset on the way in and out, days are the shop's local days, money is whole minor units.
"""

from __future__ import annotations

from datetime import UTC, datetime

from sqlalchemy import (
    Column,
    ColumnElement,
    DateTime,
    Dialect,
    ForeignKey,
    MetaData,
    String,
    TypeDecorator,
    and_,
    or_,
    true,
)
from typing_extensions import override


class UtcDateTime(TypeDecorator[datetime]):
    """An aware time. SQLite has no offsets, so both databases keep UTC."""

    impl = DateTime(timezone=True)  # type: ignore[mutable-override]  # as its base asks
    cache_ok = True  # type: ignore[mutable-override]

    @override
    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        return None if value is None else value.astimezone(UTC)

    @override
    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        return None if value is None else value.replace(tzinfo=value.tzinfo or UTC).astimezone(UTC)


metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "pk": "pk_%(table_name)s",
    }
)

ID = String(36)
REF = String(64)


def further(
    at: ColumnElement[datetime], key: ColumnElement[str], last: tuple[datetime, str] | None
) -> ColumnElement[bool]:
    """What comes after the last one of a page, newest first, by key among those of one time."""
    return true() if last is None else or_(at < last[0], and_(at == last[0], key > last[1]))


def shop_column() -> Column[str]:
    """Whose row it is."""
    return Column("shop_id", ID, ForeignKey("shops.id"), nullable=False)


def order_column() -> Column[str]:
    """Of which order a row is."""
    return Column("order_id", ID, ForeignKey("orders.id"), nullable=False)

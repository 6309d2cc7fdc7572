"""The tables of what became of an order's lines. Migrations make them; a test shows that both agree."""

from __future__ import annotations

from sqlalchemy import JSON, Column, Integer, PrimaryKeyConstraint, Table, Text

from service.storage.columns import REF, UtcDateTime, metadata, order_column

# A row for each line that was changed, added or struck: as it was before (none: added), and after (none: struck).
order_line_changes = Table(
    "order_line_changes",
    metadata,
    order_column(),
    Column("position", Integer, nullable=False),
    Column("at", UtcDateTime, nullable=False),
    Column("by", REF, nullable=False),
    Column("why", Text, nullable=False),
    Column("before", JSON(none_as_null=True)),
    Column("after", JSON(none_as_null=True)),
    PrimaryKeyConstraint("order_id", "position"),
)

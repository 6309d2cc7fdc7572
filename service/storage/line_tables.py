"""The tables of what became of an order's lines. Migrations make them; a test shows that both agree."""

from __future__ import annotations

from sqlalchemy import JSON, Column, Float, Index, Integer, PrimaryKeyConstraint, String, Table, Text

from service.storage.columns import ID, REF, UtcDateTime, metadata, order_column, shop_column

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

# What benches found inside pieces of a chart's revision: how many mm of the alteration come out of it.
inlays_found = Table(
    "inlays_found",
    metadata,
    Column("id", ID, primary_key=True),
    shop_column(),
    Column("chart", String(40), nullable=False),
    Column("revision", Integer, nullable=False),
    Column("alteration", String(64), nullable=False),
    Column("out_mm", Float(53), nullable=False),
    Column("by", REF, nullable=False),
    Column("at", UtcDateTime, nullable=False),
    Index(None, "shop_id", "chart", "revision"),
)

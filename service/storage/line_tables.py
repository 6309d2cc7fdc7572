"""The tables of what became of an order's lines, and of who worked on them.

Migrations make them; a test shows that both agree.
"""

from __future__ import annotations

from sqlalchemy import JSON, Column, Float, Index, Integer, PrimaryKeyConstraint, String, Table, Text, text

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

# Who works at the benches of a shop, by its own references.
tailors = Table(
    "tailors",
    metadata,
    shop_column(),
    Column("ref", REF, nullable=False),
    Column("benches", JSON, nullable=False),
    Column("minutes_a_day", Integer, nullable=False),
    Column("days_off", JSON, nullable=False),
    PrimaryKeyConstraint("shop_id", "ref"),
)

_OPEN = text("until IS NULL")
# A tailor's work in one go; `line_id` is 0 where it is on the piece as a whole. A tailor has one open spell at most.
order_spells = Table(
    "order_spells",
    metadata,
    order_column(),
    Column("position", Integer, nullable=False),
    shop_column(),
    Column("tailor", REF, nullable=False),
    Column("piece", Integer, nullable=False),
    Column("line_id", Integer, nullable=False),
    Column("bench", String(16), nullable=False),
    Column("since", UtcDateTime, nullable=False),
    Column("until", UtcDateTime),
    Column("ended", String(8)),
    PrimaryKeyConstraint("order_id", "position"),
    Index("ix_order_spells_open", "shop_id", "tailor", unique=True, sqlite_where=_OPEN, postgresql_where=_OPEN),
    Index(None, "shop_id", "tailor", "since"),
)

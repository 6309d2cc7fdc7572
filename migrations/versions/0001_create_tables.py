"""Create the tables of shops, keys, charts, measurements, fit checks, orders and the workroom."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade():
    op.create_table(
        "shops",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("time_zone", sa.String(length=64), nullable=False),
        sa.Column("prices", sa.JSON(), nullable=False),
        sa.Column("week", sa.JSON(), nullable=False),
        sa.Column("last_order_number", sa.BigInteger(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shops")),
    )
    op.create_table(
        "charts",
        sa.Column("shop_id", sa.String(length=36), nullable=False),
        sa.Column("code", sa.String(length=40), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("content", sa.JSON(), nullable=False),
        sa.Column("loaded_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["shop_id"], ["shops.id"], name=op.f("fk_charts_shop_id")),
        sa.PrimaryKeyConstraint("shop_id", "code", "revision", name=op.f("pk_charts")),
    )
    op.create_table(
        "fit_checks",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("shop_id", sa.String(length=36), nullable=False),
        sa.Column("customer_ref", sa.String(length=64), nullable=True),
        sa.Column("inside_leg_mm", sa.Float(precision=53), nullable=True),
        sa.Column("plans", sa.JSON(), nullable=False),
        sa.Column("answer", sa.JSON(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["shop_id"], ["shops.id"], name=op.f("fk_fit_checks_shop_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_fit_checks")),
    )
    op.create_index(op.f("ix_fit_checks_shop_id_customer_ref"), "fit_checks", ["shop_id", "customer_ref"], unique=False)
    op.create_table(
        "keys",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("shop_id", sa.String(length=36), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("secret_hash", sa.String(length=64), nullable=False),
        sa.Column("scopes", sa.JSON(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("revoked_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["shop_id"], ["shops.id"], name=op.f("fk_keys_shop_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_keys")),
    )
    op.create_index(op.f("ix_keys_shop_id"), "keys", ["shop_id"], unique=False)
    op.create_table(
        "measurement_sets",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("shop_id", sa.String(length=36), nullable=False),
        sa.Column("customer_ref", sa.String(length=64), nullable=True),
        sa.Column("content", sa.JSON(), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["shop_id"], ["shops.id"], name=op.f("fk_measurement_sets_shop_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_measurement_sets")),
    )
    op.create_index(
        op.f("ix_measurement_sets_shop_id_customer_ref_recorded_at"),
        "measurement_sets",
        ["shop_id", "customer_ref", "recorded_at"],
        unique=False,
    )
    op.create_table(
        "orders",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("shop_id", sa.String(length=36), nullable=False),
        sa.Column("number", sa.BigInteger(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("state", sa.String(length=24), nullable=False),
        sa.Column("customer_ref", sa.String(length=64), nullable=True),
        sa.Column("sale_ref", sa.String(length=64), nullable=True),
        sa.Column("needed_by", sa.Date(), nullable=True),
        sa.Column("promised_for", sa.Date(), nullable=False),
        sa.Column("placed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("marked_by", sa.String(length=64), nullable=False),
        sa.Column("collection_token", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(["shop_id"], ["shops.id"], name=op.f("fk_orders_shop_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_orders")),
        sa.UniqueConstraint("collection_token", name=op.f("uq_orders_collection_token")),
        sa.UniqueConstraint("shop_id", "number", name=op.f("uq_orders_shop_id_number")),
    )
    op.create_index(
        op.f("ix_orders_shop_id_customer_ref_number"), "orders", ["shop_id", "customer_ref", "number"], unique=False
    )
    op.create_index(
        op.f("ix_orders_shop_id_sale_ref_number"), "orders", ["shop_id", "sale_ref", "number"], unique=False
    )
    op.create_index(op.f("ix_orders_shop_id_state_number"), "orders", ["shop_id", "state", "number"], unique=False)
    op.create_table(
        "repeats",
        sa.Column("shop_id", sa.String(length=36), nullable=False),
        sa.Column("operation", sa.String(length=40), nullable=False),
        sa.Column("key", sa.String(length=200), nullable=False),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("answer", sa.JSON(), nullable=True),
        sa.Column("kept_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["shop_id"], ["shops.id"], name=op.f("fk_repeats_shop_id")),
        sa.PrimaryKeyConstraint("shop_id", "operation", "key", name=op.f("pk_repeats")),
    )
    op.create_table(
        "workroom_days",
        sa.Column("shop_id", sa.String(length=36), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("bench", sa.String(length=16), nullable=False),
        sa.Column("kept_minutes", sa.Integer(), nullable=True),
        sa.Column("booked_minutes", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["shop_id"], ["shops.id"], name=op.f("fk_workroom_days_shop_id")),
        sa.PrimaryKeyConstraint("shop_id", "day", "bench", name=op.f("pk_workroom_days")),
    )
    op.create_table(
        "bookings",
        sa.Column("order_id", sa.String(length=36), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("bench", sa.String(length=16), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["order_id"], ["orders.id"], name=op.f("fk_bookings_order_id")),
        sa.PrimaryKeyConstraint("order_id", "day", "bench", name=op.f("pk_bookings")),
    )
    op.create_table(
        "order_events",
        sa.Column("order_id", sa.String(length=36), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("by", sa.String(length=64), nullable=False),
        sa.Column("from_state", sa.String(length=24), nullable=True),
        sa.Column("to_state", sa.String(length=24), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("facts", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["order_id"], ["orders.id"], name=op.f("fk_order_events_order_id")),
        sa.PrimaryKeyConstraint("order_id", "position", name=op.f("pk_order_events")),
    )
    op.create_table(
        "order_garments",
        sa.Column("order_id", sa.String(length=36), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("piece", sa.Integer(), nullable=False),
        sa.Column("garment", sa.String(length=16), nullable=False),
        sa.Column("chart", sa.String(length=40), nullable=True),
        sa.Column("label", sa.String(length=20), nullable=True),
        sa.Column("cloth", sa.String(length=80), nullable=False),
        sa.Column("pattern", sa.String(length=8), nullable=False),
        sa.Column("worked_buttonholes", sa.Boolean(), nullable=False),
        sa.Column("pins_left_in", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["order_id"], ["orders.id"], name=op.f("fk_order_garments_order_id")),
        sa.PrimaryKeyConstraint("order_id", "position", name=op.f("pk_order_garments")),
    )
    op.create_table(
        "order_lines",
        sa.Column("order_id", sa.String(length=36), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("piece", sa.Integer(), nullable=False),
        sa.Column("alteration", sa.String(length=64), nullable=False),
        sa.Column("amount_mm", sa.Float(precision=53), nullable=True),
        sa.Column("amount_unit", sa.String(length=2), nullable=True),
        sa.Column("basis", sa.String(length=8), nullable=True),
        sa.Column("direction", sa.String(length=8), nullable=True),
        sa.Column("side", sa.String(length=8), nullable=True),
        sa.Column("target_mm", sa.Float(precision=53), nullable=True),
        sa.Column("target_unit", sa.String(length=2), nullable=True),
        sa.Column("inlay_seen_mm", sa.Float(precision=53), nullable=True),
        sa.Column("inlay_seen_unit", sa.String(length=2), nullable=True),
        sa.Column("subject_to_inlay", sa.Boolean(), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.Column("price_minor", sa.BigInteger(), nullable=False),
        sa.Column("currency", sa.String(length=3), nullable=False),
        sa.Column("tax_category", sa.String(length=24), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["order_id"], ["orders.id"], name=op.f("fk_order_lines_order_id")),
        sa.PrimaryKeyConstraint("order_id", "position", name=op.f("pk_order_lines")),
    )


def downgrade():
    op.drop_table("order_lines")
    op.drop_table("order_garments")
    op.drop_table("order_events")
    op.drop_table("bookings")
    op.drop_table("workroom_days")
    op.drop_table("repeats")
    op.drop_index(op.f("ix_orders_shop_id_state_number"), table_name="orders")
    op.drop_index(op.f("ix_orders_shop_id_sale_ref_number"), table_name="orders")
    op.drop_index(op.f("ix_orders_shop_id_customer_ref_number"), table_name="orders")
    op.drop_table("orders")
    op.drop_index(op.f("ix_measurement_sets_shop_id_customer_ref_recorded_at"), table_name="measurement_sets")
    op.drop_table("measurement_sets")
    op.drop_index(op.f("ix_keys_shop_id"), table_name="keys")
    op.drop_table("keys")
    op.drop_index(op.f("ix_fit_checks_shop_id_customer_ref"), table_name="fit_checks")
    op.drop_table("fit_checks")
    op.drop_table("charts")
    op.drop_table("shops")

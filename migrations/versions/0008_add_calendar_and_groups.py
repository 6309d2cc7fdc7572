"""Add skilled and reserved minutes, a rush, notes and kinds of events, the calendar's version, and groups of orders."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None

IN_GROUP = "ix_orders_group_id"
BY_DAY = "ix_bookings_day"
# What the previous release leaves unsaid: it books ordinary minutes, and every event of its is a placing or a move.
NONE, FALSE = {"server_default": "0", "nullable": False}, {"server_default": sa.false(), "nullable": False}
NEW = (
    ("shops", "week_version", sa.Integer(), {"server_default": "1", "nullable": False}),
    ("orders", "rush", sa.Boolean(), FALSE),
    ("orders", "note", sa.String(500), {}),
    ("orders", "fitting_on", sa.Date(), {}),
    ("order_events", "kind", sa.String(16), {"server_default": "moved", "nullable": False}),
    ("bookings", "hard_minutes", sa.Integer(), NONE),
    ("bookings", "reserve", sa.Boolean(), FALSE),
    ("workroom_days", "kept_skilled_minutes", sa.Integer(), {}),
    ("workroom_days", "reason", sa.String(200), {}),
    ("workroom_days", "hard_minutes", sa.Integer(), NONE),
    ("workroom_days", "reserve_minutes", sa.Integer(), NONE),
    ("workroom_days", "reserve_hard_minutes", sa.Integer(), NONE),
)


def upgrade():
    for table, name, kind, more in NEW:
        op.add_column(table, sa.Column(name, kind, **more))
    op.create_table(
        "order_groups",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("shop_id", sa.String(length=36), nullable=False),
        sa.Column("group_ref", sa.String(length=64), nullable=True),
        sa.Column("needed_by", sa.Date(), nullable=True),
        sa.Column("placed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("marked_by", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(["shop_id"], ["shops.id"], name=op.f("fk_order_groups_shop_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_order_groups")),
    )
    op.create_index(op.f("ix_order_groups_shop_id_placed_at"), "order_groups", ["shop_id", "placed_at"])
    # In words of both databases: SQLite adds a constraint only together with its column.
    op.execute(
        "ALTER TABLE orders ADD COLUMN group_id VARCHAR(36) CONSTRAINT fk_orders_group_id REFERENCES order_groups (id)"
    )
    with op.get_context().autocommit_block():
        op.create_index(op.f(IN_GROUP), "orders", ["group_id"], postgresql_concurrently=True)
        op.create_index(op.f(BY_DAY), "bookings", ["day"], postgresql_concurrently=True)


def downgrade():
    op.drop_index(op.f(BY_DAY), table_name="bookings")
    op.drop_index(op.f(IN_GROUP), table_name="orders")
    with op.batch_alter_table("orders") as orders:
        orders.drop_column("group_id")
    op.drop_table("order_groups")
    for table, name, _, _ in NEW:
        op.drop_column(table, name)

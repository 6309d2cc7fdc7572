"""Add what tickets print and prices are made of: garments, marks, terms; and find orders by their day."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

GARMENT = {
    "style": sa.String(80),
    "lining": sa.String(8),
    "repeat_mm": sa.Float(53),
    "repeat_unit": sa.String(2),
    "must_keep": sa.String(200),
    "faults_seen": sa.String(200),
}
TERMS = ("rush_minor", "deposit_minor", "round_to_minor")
BY_DAY = "ix_orders_shop_id_promised_for_number"


def upgrade():
    # The previous release names none of them: what it files has nothing said, and no terms.
    for name, kind in GARMENT.items():
        op.add_column("order_garments", sa.Column(name, kind, nullable=True))
    op.add_column("order_lines", sa.Column("marked_with", sa.String(8), nullable=True))
    for name in TERMS:
        op.add_column("orders", sa.Column(name, sa.BigInteger(), nullable=True))
    # Outside the transaction where the database can: orders are placed while a large index is made.
    with op.get_context().autocommit_block():
        op.create_index(BY_DAY, "orders", ["shop_id", "promised_for", "number"], postgresql_concurrently=True)


def downgrade():
    op.drop_index(BY_DAY, "orders")
    for name in TERMS:
        op.drop_column("orders", name)
    op.drop_column("order_lines", "marked_with")
    for name in GARMENT:
        op.drop_column("order_garments", name)

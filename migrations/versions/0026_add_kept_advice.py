"""Add what visitors asked to be kept for the fitter, and the key that a shop signs its advice with."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0026"
down_revision = "0025"
branch_labels = None
depends_on = None


def upgrade():
    op.create_table(
        "kept_advice",
        sa.Column("shop_id", sa.String(36), nullable=False),
        sa.Column("code", sa.String(16), nullable=False),
        sa.Column("content", sa.JSON(), nullable=False),
        sa.Column("kept_until", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["shop_id"], ["shops.id"], name="fk_kept_advice_shop_id"),
        sa.PrimaryKeyConstraint("shop_id", "code", name="pk_kept_advice"),
    )
    # Made when the shop first signs anything.
    op.add_column("shops", sa.Column("advice_key", sa.String(64), nullable=True))


def downgrade():
    op.drop_column("shops", "advice_key")
    op.drop_table("kept_advice")

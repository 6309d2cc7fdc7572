"""Add inlays that benches found in pieces of a chart, and whether anyone may check what is sewn."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0021"
down_revision = "0020"
branch_labels = None
depends_on = None


def upgrade():
    op.create_table(
        "inlays_found",
        sa.Column("id", sa.String(36), nullable=False),
        sa.Column("shop_id", sa.String(36), nullable=False),
        sa.Column("chart", sa.String(40), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("alteration", sa.String(64), nullable=False),
        sa.Column("out_mm", sa.Float(53), nullable=False),
        sa.Column("by", sa.String(64), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["shop_id"], ["shops.id"], name="fk_inlays_found_shop_id"),
        sa.PrimaryKeyConstraint("id", name="pk_inlays_found"),
    )
    op.create_index("ix_inlays_found_shop_id_chart_revision", "inlays_found", ["shop_id", "chart", "revision"])
    # Nobody said it yet: another checks.
    op.add_column("shops", sa.Column("checked_by_anyone", sa.Boolean(), nullable=True))


def downgrade():
    op.drop_column("shops", "checked_by_anyone")
    op.drop_table("inlays_found")

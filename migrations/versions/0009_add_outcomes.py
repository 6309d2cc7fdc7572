"""Add what became of what was sold."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade():
    op.create_table(
        "outcomes",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("shop_id", sa.String(length=36), nullable=False),
        sa.Column("customer_ref", sa.String(length=64), nullable=True),
        sa.Column("sale_ref", sa.String(length=64), nullable=True),
        sa.Column("garment", sa.String(length=16), nullable=False),
        sa.Column("chart", sa.String(length=40), nullable=False),
        sa.Column("label", sa.String(length=20), nullable=False),
        sa.Column("result", sa.String(length=8), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("swapped_chart", sa.String(length=40), nullable=True),
        sa.Column("swapped_label", sa.String(length=20), nullable=True),
        sa.Column("reason", sa.String(length=16), nullable=True),
        sa.Column("place", sa.String(length=40), nullable=True),
        sa.Column("altered_by", sa.JSON(), nullable=False),
        sa.Column("advised_chart", sa.String(length=40), nullable=True),
        sa.Column("advised_label", sa.String(length=20), nullable=True),
        sa.Column("p_best", sa.Float(precision=53), nullable=True),
        sa.Column("fit_check_id", sa.String(length=36), nullable=True),
        sa.Column("order_id", sa.String(length=36), nullable=True),
        sa.Column("told_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["shop_id"], ["shops.id"], name=op.f("fk_outcomes_shop_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_outcomes")),
    )
    op.create_index(
        op.f("ix_outcomes_shop_id_garment_chart_label"),
        "outcomes",
        ["shop_id", "garment", "chart", "label"],
        unique=False,
    )
    op.create_index(op.f("ix_outcomes_shop_id_customer_ref"), "outcomes", ["shop_id", "customer_ref"], unique=False)


def downgrade():
    op.drop_index(op.f("ix_outcomes_shop_id_customer_ref"), table_name="outcomes")
    op.drop_index(op.f("ix_outcomes_shop_id_garment_chart_label"), table_name="outcomes")
    op.drop_table("outcomes")

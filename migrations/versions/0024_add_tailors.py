"""Add tailors, and the spells of their work."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0024"
down_revision = "0023"
branch_labels = None
depends_on = None


def upgrade():
    op.create_table(
        "tailors",
        sa.Column("shop_id", sa.String(36), nullable=False),
        sa.Column("ref", sa.String(64), nullable=False),
        sa.Column("benches", sa.JSON(), nullable=False),
        sa.Column("minutes_a_day", sa.Integer(), nullable=False),
        sa.Column("days_off", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["shop_id"], ["shops.id"], name="fk_tailors_shop_id"),
        sa.PrimaryKeyConstraint("shop_id", "ref", name="pk_tailors"),
    )
    op.create_table(
        "order_spells",
        sa.Column("order_id", sa.String(36), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("shop_id", sa.String(36), nullable=False),
        sa.Column("tailor", sa.String(64), nullable=False),
        sa.Column("piece", sa.Integer(), nullable=False),
        sa.Column("line_id", sa.Integer(), nullable=False),
        sa.Column("bench", sa.String(16), nullable=False),
        sa.Column("since", sa.DateTime(timezone=True), nullable=False),
        sa.Column("until", sa.DateTime(timezone=True), nullable=True),
        sa.Column("ended", sa.String(8), nullable=True),
        sa.ForeignKeyConstraint(["order_id"], ["orders.id"], name="fk_order_spells_order_id"),
        sa.ForeignKeyConstraint(["shop_id"], ["shops.id"], name="fk_order_spells_shop_id"),
        sa.PrimaryKeyConstraint("order_id", "position", name="pk_order_spells"),
    )
    # A tailor is at one thing at a time, whatever two benches scan at once.
    still_open = sa.text("until IS NULL")
    op.create_index(
        "ix_order_spells_open",
        "order_spells",
        ["shop_id", "tailor"],
        unique=True,
        sqlite_where=still_open,
        postgresql_where=still_open,
    )
    op.create_index("ix_order_spells_shop_id_tailor_since", "order_spells", ["shop_id", "tailor", "since"])


def downgrade():
    op.drop_table("order_spells")
    op.drop_table("tailors")

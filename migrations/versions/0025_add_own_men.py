"""Add the versions of a shop's own men, and the one that its advice goes by."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0025"
down_revision = "0024"
branch_labels = None
depends_on = None


def upgrade():
    op.create_table(
        "own_men",
        sa.Column("shop_id", sa.String(36), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("content", sa.JSON(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["shop_id"], ["shops.id"], name="fk_own_men_shop_id"),
        sa.PrimaryKeyConstraint("shop_id", "version", name="pk_own_men"),
    )
    # Nobody counted yet: advice goes by men in general.
    op.add_column("shops", sa.Column("own_men", sa.JSON(), nullable=True))
    op.add_column("shops", sa.Column("own_men_off", sa.Boolean(), nullable=True))
    op.add_column("shops", sa.Column("own_men_version", sa.Integer(), nullable=False, server_default="0"))


def downgrade():
    op.drop_column("shops", "own_men_version")
    op.drop_column("shops", "own_men_off")
    op.drop_column("shops", "own_men")
    op.drop_table("own_men")

"""Add the epochs of feeds: a database that goes on from a backup begins one."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None


def upgrade():
    # Empty until a backup is gone on from: till then every feed is in its first epoch, whichever release writes.
    op.create_table(
        "feed_epochs",
        sa.Column("shop_id", sa.String(length=36), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("epoch", sa.String(length=16), nullable=False),
        sa.Column("began_after", sa.BigInteger(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["shop_id"], ["shops.id"], name=op.f("fk_feed_epochs_shop_id")),
        sa.PrimaryKeyConstraint("shop_id", "position", name=op.f("pk_feed_epochs")),
    )


def downgrade():
    op.drop_table("feed_epochs")

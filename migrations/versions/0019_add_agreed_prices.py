"""Add why an order costs another price than listed, its tax, and whether a piece was brought in."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0019"
down_revision = "0018"
branch_labels = None
depends_on = None


def upgrade():
    # What the previous release charges is right all the same: it reads the price of each line as it is charged.
    op.add_column("orders", sa.Column("details", sa.JSON(), nullable=True))
    op.add_column("order_garments", sa.Column("brought_in", sa.Boolean(), nullable=True))


def downgrade():
    op.drop_column("order_garments", "brought_in")
    op.drop_column("orders", "details")

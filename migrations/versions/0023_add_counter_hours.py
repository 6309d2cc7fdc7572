"""Add when a shop is open, its cut-off hour, the days that it leaves for fittings, and more of a piece."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0023"
down_revision = "0022"
branch_labels = None
depends_on = None


def upgrade():
    # Nobody said it yet: the shop has no hours and no cut-off, and the service's figures for the rest.
    op.add_column("shops", sa.Column("counter", sa.JSON(), nullable=True))
    # What of a piece is kept together: nobody looks for it.
    op.add_column("order_garments", sa.Column("details", sa.JSON(), nullable=True))


def downgrade():
    op.drop_column("order_garments", "details")
    op.drop_column("shops", "counter")

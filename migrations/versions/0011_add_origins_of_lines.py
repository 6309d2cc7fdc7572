"""Add where a line comes from, and whether somebody looked there."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None


def upgrade():
    # The previous release says neither: its lines are read by their notes, in which it wrote both.
    op.add_column("order_lines", sa.Column("origin", sa.String(12), nullable=True))
    op.add_column("order_lines", sa.Column("seen", sa.Boolean(), nullable=True))


def downgrade():
    op.drop_column("order_lines", "seen")
    op.drop_column("order_lines", "origin")

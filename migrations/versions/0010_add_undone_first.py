"""Add that an old alteration is undone before a line."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade():
    # The previous release says nothing of it: then nothing is undone.
    op.add_column("order_lines", sa.Column("undone_first", sa.Boolean(), nullable=True))


def downgrade():
    op.drop_column("order_lines", "undone_first")

"""Add where a leg is cut."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0016"
down_revision = "0015"
branch_labels = None
depends_on = None


def upgrade():
    # Filled as lines are filed: the previous release says it in the note of a line, and goes on doing so.
    op.add_column("order_lines", sa.Column("cut_mm", sa.Float(53), nullable=True))
    op.add_column("order_lines", sa.Column("cut_unit", sa.String(2), nullable=True))


def downgrade():
    op.drop_column("order_lines", "cut_unit")
    op.drop_column("order_lines", "cut_mm")

"""Add from which hour pieces may be collected, and where customers ask."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0018"
down_revision = "0017"
branch_labels = None
depends_on = None


def upgrade():
    # Nobody said it yet: slips say neither until it is said.
    op.add_column("shops", sa.Column("ready_from", sa.String(5), nullable=True))
    op.add_column("shops", sa.Column("ask_at", sa.String(120), nullable=True))


def downgrade():
    op.drop_column("shops", "ask_at")
    op.drop_column("shops", "ready_from")

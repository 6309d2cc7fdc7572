"""Add how long the last exchange with a webhook's receiver took."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None


def upgrade():
    # The previous release does not note it: then a receiver counts as quick until it was sent to once.
    op.add_column("webhooks", sa.Column("took_ms", sa.Integer(), nullable=True))


def downgrade():
    op.drop_column("webhooks", "took_ms")

"""Add a shop's own ease, and the versions of its price list and of its ease table."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade():
    # The previous release names neither: a shop that it opens begins at version 1 and has no ease of its own.
    op.add_column("shops", sa.Column("ease", sa.JSON(), nullable=True))
    op.add_column("shops", sa.Column("prices_version", sa.Integer(), server_default="1", nullable=False))
    op.add_column("shops", sa.Column("ease_version", sa.Integer(), server_default="1", nullable=False))


def downgrade():
    op.drop_column("shops", "ease_version")
    op.drop_column("shops", "prices_version")
    op.drop_column("shops", "ease")

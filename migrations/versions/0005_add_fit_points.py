"""Add a shop's own fit points and their version."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade():
    # The previous release names neither: a shop that it opens begins at version 1 and has no points of its own.
    op.add_column("shops", sa.Column("fit_points", sa.JSON(), nullable=True))
    op.add_column("shops", sa.Column("fit_points_version", sa.Integer(), server_default="1", nullable=False))


def downgrade():
    op.drop_column("shops", "fit_points_version")
    op.drop_column("shops", "fit_points")

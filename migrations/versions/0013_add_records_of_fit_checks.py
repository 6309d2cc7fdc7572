"""Add a fit check's record: what an order, a drawing and every later answer read of it."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None


def upgrade():
    # The previous release keeps none: its rows are read by their answer.
    op.add_column("fit_checks", sa.Column("record", sa.JSON(none_as_null=True), nullable=True))


def downgrade():
    op.drop_column("fit_checks", "record")

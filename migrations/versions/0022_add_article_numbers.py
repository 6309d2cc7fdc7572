"""Add article numbers of a chart's sizes."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0022"
down_revision = "0021"
branch_labels = None
depends_on = None


def upgrade():
    # Beside the chart's content and not in it: the previous release reads every name that it finds there.
    op.add_column("charts", sa.Column("article_numbers", sa.JSON(), nullable=True))


def downgrade():
    op.drop_column("charts", "article_numbers")

"""Add the language in which the words of a kept answer are."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0028"
down_revision = "0027"
branch_labels = None
depends_on = None


def upgrade():
    # Of answers kept before nobody noted it: their repeats name none, as until now.
    op.add_column("repeats", sa.Column("said_in", sa.String(8), nullable=True))


def downgrade():
    op.drop_column("repeats", "said_in")

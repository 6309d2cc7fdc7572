"""Add the language in which a shop's papers for customers are written."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0027"
down_revision = "0026"
branch_labels = None
depends_on = None


def upgrade():
    # Nobody said it yet: British English.
    op.add_column("shops", sa.Column("language", sa.String(8), nullable=True))


def downgrade():
    op.drop_column("shops", "language")

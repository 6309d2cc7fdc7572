"""Add hems that are still to be pinned, what is to be looked at again, how inlay was seen, and how fronts are made."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None

ADDED = (
    ("order_lines", "to_be_pinned", sa.Boolean()),
    ("order_lines", "look_again", sa.JSON()),
    ("order_lines", "inlay_basis", sa.String(12)),
    ("order_lines", "inlay_seams", sa.Integer()),
    ("order_garments", "hemmed", sa.Boolean()),
    ("order_garments", "pleats", sa.Integer()),
    ("order_garments", "crease", sa.Boolean()),
    ("orders", "look_again", sa.JSON()),
)


def upgrade():
    # The previous release says none of it: its lines are marked, and nothing of them is to be looked at again.
    for table, name, kind in ADDED:
        op.add_column(table, sa.Column(name, kind, nullable=True))


def downgrade():
    for table, name, _ in reversed(ADDED):
        op.drop_column(table, name)

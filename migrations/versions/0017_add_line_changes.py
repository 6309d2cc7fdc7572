"""Add what becomes of a line: its own id, how its leg ends, what is cut, and every change of it."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0017"
down_revision = "0016"
branch_labels = None
depends_on = None


def upgrade():
    # The previous release writes neither: a line without an id has that of its place, as when its order was placed.
    op.add_column("order_lines", sa.Column("line_id", sa.Integer(), nullable=True))
    op.add_column("order_lines", sa.Column("details", sa.JSON(), nullable=True))
    op.create_table(
        "order_line_changes",
        sa.Column("order_id", sa.String(36), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("by", sa.String(64), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.Column("before", sa.JSON(), nullable=True),
        sa.Column("after", sa.JSON(), nullable=True),
        sa.ForeignKeyConstraint(["order_id"], ["orders.id"], name="fk_order_line_changes_order_id"),
        sa.PrimaryKeyConstraint("order_id", "position", name="pk_order_line_changes"),
    )


def downgrade():
    op.drop_table("order_line_changes")
    op.drop_column("order_lines", "details")
    op.drop_column("order_lines", "line_id")

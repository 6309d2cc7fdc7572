"""Add when a key ends and was used last, how often it may ask, and the origins of web keys."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade():
    # The previous release names none of these: the keys that it gives out are secret and have no end.
    op.add_column("keys", sa.Column("publishable", sa.Boolean(), server_default=sa.false(), nullable=False))
    op.add_column("keys", sa.Column("per_minute", sa.Integer(), nullable=True))
    op.add_column("keys", sa.Column("expires_at", sa.DateTime(timezone=True), nullable=True))
    op.add_column("keys", sa.Column("last_used_at", sa.DateTime(timezone=True), nullable=True))
    op.create_table(
        "key_origins",
        sa.Column("key_id", sa.String(length=36), nullable=False),
        sa.Column("origin", sa.String(length=255), nullable=False),
        sa.ForeignKeyConstraint(["key_id"], ["keys.id"], name=op.f("fk_key_origins_key_id")),
        sa.PrimaryKeyConstraint("key_id", "origin", name=op.f("pk_key_origins")),
    )
    op.create_index(op.f("ix_key_origins_origin"), "key_origins", ["origin"], unique=False)


def downgrade():
    op.drop_index(op.f("ix_key_origins_origin"), table_name="key_origins")
    op.drop_table("key_origins")
    op.drop_column("keys", "last_used_at")
    op.drop_column("keys", "expires_at")
    op.drop_column("keys", "per_minute")
    op.drop_column("keys", "publishable")

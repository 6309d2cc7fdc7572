"""Add the feed of events, and the webhooks that they are sent to."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade():
    # The previous release announces nothing: what it does while both run is missing from the feed.
    op.add_column("shops", sa.Column("last_event", sa.BigInteger(), server_default="0", nullable=False))
    op.create_table(
        "events",
        sa.Column("shop_id", sa.String(length=36), nullable=False),
        sa.Column("cursor", sa.BigInteger(), nullable=False),
        sa.Column("type", sa.String(length=40), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("order_id", sa.String(length=36), nullable=False),
        sa.Column("number", sa.BigInteger(), nullable=False),
        sa.Column("from_state", sa.String(length=24), nullable=True),
        sa.Column("state", sa.String(length=24), nullable=False),
        sa.Column("promised_for", sa.Date(), nullable=True),
        sa.ForeignKeyConstraint(["shop_id"], ["shops.id"], name=op.f("fk_events_shop_id")),
        sa.PrimaryKeyConstraint("shop_id", "cursor", name=op.f("pk_events")),
    )
    op.create_table(
        "webhooks",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("shop_id", sa.String(length=36), nullable=False),
        sa.Column("url", sa.String(length=1000), nullable=False),
        sa.Column("types", sa.JSON(), nullable=False),
        sa.Column("secret", sa.String(length=80), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("delivered_to", sa.BigInteger(), nullable=False),
        sa.Column("failures", sa.Integer(), nullable=False),
        sa.Column("failing_since", sa.DateTime(timezone=True), nullable=True),
        sa.Column("last_failure", sa.String(length=200), nullable=True),
        sa.Column("next_attempt_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("disabled_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("claim", sa.String(length=36), nullable=True),
        sa.Column("claimed_until", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["shop_id"], ["shops.id"], name=op.f("fk_webhooks_shop_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_webhooks")),
    )
    op.create_index(op.f("ix_webhooks_shop_id"), "webhooks", ["shop_id"], unique=False)
    op.create_index(op.f("ix_webhooks_next_attempt_at"), "webhooks", ["next_attempt_at"], unique=False)


def downgrade():
    op.drop_index(op.f("ix_webhooks_next_attempt_at"), table_name="webhooks")
    op.drop_index(op.f("ix_webhooks_shop_id"), table_name="webhooks")
    op.drop_table("webhooks")
    op.drop_table("events")
    op.drop_column("shops", "last_event")

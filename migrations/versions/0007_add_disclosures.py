"""Add who was shown what, how long readings are kept, and what each kept answer was the making of."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None

MADE = "ix_repeats_shop_id_made"
REPEATS = sa.table(
    "repeats",
    *(sa.column(name) for name in ("shop_id", "operation", "key", "made")),
    sa.column("answer", sa.JSON()),
)


def upgrade():
    op.add_column("shops", sa.Column("readings_days", sa.Integer(), server_default="730", nullable=False))
    # The previous release keeps answers without it: they go when they are a month old.
    op.add_column("repeats", sa.Column("made", sa.String(length=36), nullable=True))
    _fill_made(op.get_bind())
    op.create_table(
        "disclosures",
        sa.Column("number", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("shop_id", sa.String(length=36), nullable=False),
        sa.Column("key_id", sa.String(length=36), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("what", sa.String(length=24), nullable=False),
        sa.Column("thing", sa.String(length=36), nullable=True),
        sa.Column("customer_ref", sa.String(length=64), nullable=True),
        sa.ForeignKeyConstraint(["key_id"], ["keys.id"], name=op.f("fk_disclosures_key_id")),
        sa.ForeignKeyConstraint(["shop_id"], ["shops.id"], name=op.f("fk_disclosures_shop_id")),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_disclosures")),
    )
    op.create_index(op.f("ix_disclosures_shop_id_number"), "disclosures", ["shop_id", "number"], unique=False)
    op.create_index(
        op.f("ix_disclosures_shop_id_customer_ref_number"),
        "disclosures",
        ["shop_id", "customer_ref", "number"],
        unique=False,
    )
    # Last, and outside the transaction: a till goes on placing orders while the index grows.
    with op.get_context().autocommit_block():
        op.create_index(op.f(MADE), "repeats", ["shop_id", "made"], postgresql_concurrently=True)


def _fill_made(connection):
    place = ("shop_id", "operation", "key")
    rows = connection.execute(sa.select(*(REPEATS.c[name] for name in (*place, "answer")))).all()
    known = [(row, row.answer["id"]) for row in rows if isinstance(row.answer, dict) and "id" in row.answer]
    for row, made in known:
        its = [REPEATS.c[name] == getattr(row, name) for name in place]
        connection.execute(sa.update(REPEATS).where(*its).values(made=made))


def downgrade():
    op.drop_index(op.f("ix_disclosures_shop_id_customer_ref_number"), table_name="disclosures")
    op.drop_index(op.f("ix_disclosures_shop_id_number"), table_name="disclosures")
    op.drop_table("disclosures")
    op.drop_index(op.f(MADE), table_name="repeats")
    op.drop_column("repeats", "made")
    op.drop_column("shops", "readings_days")

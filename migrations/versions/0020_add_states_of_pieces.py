"""Add where each piece of an order is, whose minutes are booked, and which pieces an event moved."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0020"
down_revision = "0019"
branch_labels = None
depends_on = None

BEFORE, AFTER = ("order_id", "day", "bench"), ("order_id", "day", "bench", "piece")
# What the previous release leaves unsaid: its pieces are where their order is, and it books an order as a whole.
ADDED = (
    ("order_garments", "state", sa.String(24), {}),
    ("order_garments", "order_state", sa.String(24), {}),
    ("events", "pieces", sa.JSON(), {}),
    ("bookings", "piece", sa.Integer(), {"server_default": "0", "nullable": False}),
)


def upgrade():
    # Some may be there: an upgrade that did not get its lock for the key is run again.
    known = sa.inspect(op.get_bind())
    for table, name, kind, more in ADDED:
        if name not in {column["name"] for column in known.get_columns(table)}:
            op.add_column(table, sa.Column(name, kind, **more))
    _key_bookings_by(AFTER)


def downgrade():
    # The previous release books an order once at a bench and day: its pieces' minutes become one row again.
    bookings = sa.table("bookings", *(sa.column(name) for name in (*AFTER, "minutes", "hard_minutes")))
    others = bookings.alias()
    same = sa.and_(*(others.c[name] == bookings.c[name] for name in BEFORE))
    sums = {n: sa.select(sa.func.sum(others.c[n])).where(same).scalar_subquery() for n in ("minutes", "hard_minutes")}
    op.execute(sa.update(bookings).values(sums))
    first = sa.select(sa.func.min(others.c.piece)).where(same).scalar_subquery()
    op.execute(sa.delete(bookings).where(bookings.c.piece > first))
    _key_bookings_by(BEFORE)
    for table, name, _, _ in reversed(ADDED):
        if table == "bookings":
            with op.batch_alter_table(table) as bookings:
                bookings.drop_column(name)
        else:
            op.drop_column(table, name)


def _key_bookings_by(columns):
    if op.get_context().dialect.name == "sqlite":
        # It changes no key in place: the table is copied. A shop on SQLite is one till or two.
        with op.batch_alter_table("bookings", recreate="always") as bookings:
            bookings.drop_constraint("pk_bookings", type_="primary")
            bookings.create_primary_key("pk_bookings", list(columns))
        return
    with op.get_context().autocommit_block():
        op.execute("DROP INDEX CONCURRENTLY IF EXISTS bookings_key")
        op.execute(f"CREATE UNIQUE INDEX CONCURRENTLY bookings_key ON bookings ({', '.join(columns)})")
    # The index is there already: this reads no row.
    op.execute(
        "ALTER TABLE bookings DROP CONSTRAINT pk_bookings,"
        " ADD CONSTRAINT pk_bookings PRIMARY KEY USING INDEX bookings_key"
    )

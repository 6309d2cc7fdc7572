"""The tables. Migrations make them; a test shows that both agree.

Times are UTC with their offset on the way in and out, days are the shop's local days, money is whole minor units.
"""

from __future__ import annotations

from datetime import UTC, datetime

from sqlalchemy import (
    JSON,
    BigInteger,
    Boolean,
    Column,
    Date,
    DateTime,
    Dialect,
    Float,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
    TypeDecorator,
    UniqueConstraint,
    false,
)
from typing_extensions import override


class UtcDateTime(TypeDecorator[datetime]):
    """An aware time. SQLite has no offsets, so both databases keep UTC."""

    impl = DateTime(timezone=True)  # type: ignore[mutable-override]  # as its base asks
    cache_ok = True  # type: ignore[mutable-override]

    @override
    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        return None if value is None else value.astimezone(UTC)

    @override
    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        return None if value is None else value.replace(tzinfo=value.tzinfo or UTC).astimezone(UTC)


metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "pk": "pk_%(table_name)s",
    }
)

ID = String(36)
REF = String(64)


def _shop() -> Column[str]:
    return Column("shop_id", ID, ForeignKey("shops.id"), nullable=False)


def _order() -> Column[str]:
    return Column("order_id", ID, ForeignKey("orders.id"), nullable=False)


shops = Table(
    "shops",
    metadata,
    Column("id", ID, primary_key=True),
    Column("name", String(80), nullable=False),
    Column("time_zone", String(64), nullable=False),
    Column("prices", JSON, nullable=False),
    Column("week", JSON, nullable=False),
    Column("last_order_number", BigInteger, nullable=False),
    Column("created_at", UtcDateTime, nullable=False),
    Column("ease", JSON),
    Column("prices_version", Integer, nullable=False, server_default="1"),
    Column("ease_version", Integer, nullable=False, server_default="1"),
    Column("readings_days", Integer, nullable=False, server_default="730"),
    Column("fit_points", JSON),
    Column("fit_points_version", Integer, nullable=False, server_default="1"),
    Column("last_event", BigInteger, nullable=False, server_default="0"),
)

keys = Table(
    "keys",
    metadata,
    Column("id", ID, primary_key=True),
    _shop(),
    Column("name", String(80), nullable=False),
    Column("secret_hash", String(64), nullable=False),
    Column("scopes", JSON, nullable=False),
    Column("created_at", UtcDateTime, nullable=False),
    Column("revoked_at", UtcDateTime),
    Column("publishable", Boolean, nullable=False, server_default=false()),
    Column("per_minute", Integer),
    Column("expires_at", UtcDateTime),
    Column("last_used_at", UtcDateTime),
    Index(None, "shop_id"),
)

# The pages that may use a web key. A page asks first whether it may ask, and shows no key then: found by origin.
key_origins = Table(
    "key_origins",
    metadata,
    Column("key_id", ID, ForeignKey("keys.id"), nullable=False),
    Column("origin", String(255), nullable=False),
    PrimaryKeyConstraint("key_id", "origin"),
    Index(None, "origin"),
)

charts = Table(
    "charts",
    metadata,
    _shop(),
    Column("code", String(40), nullable=False),
    Column("revision", Integer, nullable=False),
    Column("content", JSON, nullable=False),
    Column("loaded_at", UtcDateTime, nullable=False),
    PrimaryKeyConstraint("shop_id", "code", "revision"),
)

measurement_sets = Table(
    "measurement_sets",
    metadata,
    Column("id", ID, primary_key=True),
    _shop(),
    Column("customer_ref", REF),
    Column("content", JSON, nullable=False),
    Column("recorded_at", UtcDateTime, nullable=False),
    Index(None, "shop_id", "customer_ref", "recorded_at"),
)

fit_checks = Table(
    "fit_checks",
    metadata,
    Column("id", ID, primary_key=True),
    _shop(),
    Column("customer_ref", REF),
    Column("inside_leg_mm", Float(53)),
    Column("plans", JSON, nullable=False),
    Column("answer", JSON, nullable=False),
    Column("made_at", UtcDateTime, nullable=False),
    Index(None, "shop_id", "customer_ref"),
)

orders = Table(
    "orders",
    metadata,
    Column("id", ID, primary_key=True),
    _shop(),
    Column("number", BigInteger, nullable=False),
    Column("version", Integer, nullable=False),
    Column("state", String(24), nullable=False),
    Column("customer_ref", REF),
    Column("sale_ref", REF),
    Column("needed_by", Date),
    Column("promised_for", Date, nullable=False),
    Column("placed_at", UtcDateTime, nullable=False),
    Column("marked_by", REF, nullable=False),
    Column("collection_token", String(64), nullable=False),
    Column("rush_minor", BigInteger),
    Column("deposit_minor", BigInteger),
    Column("round_to_minor", BigInteger),
    UniqueConstraint("shop_id", "number"),
    UniqueConstraint("collection_token"),
    Index(None, "shop_id", "state", "number"),
    Index(None, "shop_id", "customer_ref", "number"),
    Index(None, "shop_id", "sale_ref", "number"),
    Index(None, "shop_id", "promised_for", "number"),
)

order_garments = Table(
    "order_garments",
    metadata,
    _order(),
    Column("position", Integer, nullable=False),
    Column("piece", Integer, nullable=False),
    Column("garment", String(16), nullable=False),
    Column("chart", String(40)),
    Column("label", String(20)),
    Column("cloth", String(80), nullable=False),
    Column("pattern", String(8), nullable=False),
    Column("worked_buttonholes", Boolean, nullable=False),
    Column("pins_left_in", Integer, nullable=False),
    Column("style", String(80)),
    Column("lining", String(8)),
    Column("repeat_mm", Float(53)),
    Column("repeat_unit", String(2)),
    Column("must_keep", String(200)),
    Column("faults_seen", String(200)),
    PrimaryKeyConstraint("order_id", "position"),
)

order_lines = Table(
    "order_lines",
    metadata,
    _order(),
    Column("position", Integer, nullable=False),
    Column("piece", Integer, nullable=False),
    Column("alteration", String(64), nullable=False),
    Column("amount_mm", Float(53)),
    Column("amount_unit", String(2)),
    Column("basis", String(8)),
    Column("direction", String(8)),
    Column("side", String(8)),
    Column("target_mm", Float(53)),
    Column("target_unit", String(2)),
    Column("inlay_seen_mm", Float(53)),
    Column("inlay_seen_unit", String(2)),
    Column("subject_to_inlay", Boolean, nullable=False),
    Column("minutes", Integer, nullable=False),
    Column("price_minor", BigInteger, nullable=False),
    Column("currency", String(3), nullable=False),
    Column("tax_category", String(24), nullable=False),
    Column("note", Text, nullable=False),
    Column("marked_with", String(8)),
    PrimaryKeyConstraint("order_id", "position"),
)

order_events = Table(
    "order_events",
    metadata,
    _order(),
    Column("position", Integer, nullable=False),
    Column("at", UtcDateTime, nullable=False),
    Column("by", REF, nullable=False),
    Column("from_state", String(24)),
    Column("to_state", String(24), nullable=False),
    Column("note", Text, nullable=False),
    Column("facts", JSON, nullable=False),
    PrimaryKeyConstraint("order_id", "position"),
)

bookings = Table(
    "bookings",
    metadata,
    _order(),
    Column("day", Date, nullable=False),
    Column("bench", String(16), nullable=False),
    Column("minutes", Integer, nullable=False),
    PrimaryKeyConstraint("order_id", "day", "bench"),
)

# One row a bench and day that anything is promised on or set for. `booked_minutes` is the sum of its bookings, kept
# beside them so that promising a day reads a row a bench and not every order.
workroom_days = Table(
    "workroom_days",
    metadata,
    _shop(),
    Column("day", Date, nullable=False),
    Column("bench", String(16), nullable=False),
    Column("kept_minutes", Integer),
    Column("booked_minutes", Integer, nullable=False),
    PrimaryKeyConstraint("shop_id", "day", "bench"),
)

# The answer to a creating request, kept with its effect: the same key never creates twice.
repeats = Table(
    "repeats",
    metadata,
    _shop(),
    Column("operation", String(40), nullable=False),
    Column("key", String(200), nullable=False),
    Column("digest", String(64), nullable=False),
    Column("answer", JSON),
    Column("kept_at", UtcDateTime, nullable=False),
    Column("made", ID),
    PrimaryKeyConstraint("shop_id", "operation", "key"),
    Index(None, "shop_id", "made"),
)

# Who was shown what of whom: a row for each time that something recorded of a customer left the house.
disclosures = Table(
    "disclosures",
    metadata,
    Column("number", BigInteger().with_variant(Integer, "sqlite"), primary_key=True),
    _shop(),
    Column("key_id", ID, ForeignKey("keys.id"), nullable=False),
    Column("at", UtcDateTime, nullable=False),
    Column("what", String(24), nullable=False),
    Column("thing", ID),
    Column("customer_ref", REF),
    Index(None, "shop_id", "number"),
    Index(None, "shop_id", "customer_ref", "number"),
)

# What is told to others, numbered without a gap in each shop: the feed, and the outbox of what is sent.
events = Table(
    "events",
    metadata,
    _shop(),
    Column("cursor", BigInteger, nullable=False),
    Column("type", String(40), nullable=False),
    Column("at", UtcDateTime, nullable=False),
    Column("order_id", ID, nullable=False),
    Column("number", BigInteger, nullable=False),
    Column("from_state", String(24)),
    Column("state", String(24), nullable=False),
    Column("promised_for", Date),
    PrimaryKeyConstraint("shop_id", "cursor"),
)

# Where events are sent, and how far that has come. `failures` counts those in a row.
webhooks = Table(
    "webhooks",
    metadata,
    Column("id", ID, primary_key=True),
    _shop(),
    Column("url", String(1000), nullable=False),
    Column("types", JSON, nullable=False),
    Column("secret", String(80), nullable=False),
    Column("created_at", UtcDateTime, nullable=False),
    Column("delivered_to", BigInteger, nullable=False),
    Column("failures", Integer, nullable=False),
    Column("failing_since", UtcDateTime),
    Column("last_failure", String(200)),
    Column("next_attempt_at", UtcDateTime, nullable=False),
    Column("disabled_at", UtcDateTime),
    Column("claim", ID),
    Column("claimed_until", UtcDateTime),
    Index(None, "shop_id"),
    Index(None, "next_attempt_at"),
)

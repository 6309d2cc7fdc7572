"""The tables of who calls: keys, the answers kept for their retries, and what they were shown."""

from __future__ import annotations

from sqlalchemy import (
    JSON,
    BigInteger,
    Boolean,
    Column,
    ForeignKey,
    Index,
    Integer,
    PrimaryKeyConstraint,
    String,
    Table,
    false,
)

from service.storage.columns import ID, REF, UtcDateTime, metadata, shop_column

keys = Table(
    "keys",
    metadata,
    Column("id", ID, primary_key=True),
    shop_column(),
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

# The answer to a creating request, kept with its effect: the same key never creates twice.
repeats = Table(
    "repeats",
    metadata,
    shop_column(),
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
    shop_column(),
    Column("key_id", ID, ForeignKey("keys.id"), nullable=False),
    Column("at", UtcDateTime, nullable=False),
    Column("what", String(24), nullable=False),
    Column("thing", ID),
    Column("customer_ref", REF),
    Index(None, "shop_id", "number"),
    Index(None, "shop_id", "customer_ref", "number"),
)

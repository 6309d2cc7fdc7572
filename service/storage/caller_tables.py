"""The tables of who calls: keys, the answers kept for their retries, what they were shown and what they told."""

from __future__ import annotations

from sqlalchemy import (
    JSON,
    BigInteger,
    Boolean,
    Column,
    Date,
    Float,
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
    Column("said_in", String(8)),
    PrimaryKeyConstraint("shop_id", "operation", "key"),
    Index(None, "shop_id", "made"),
)

# What a visitor asked to be kept for the fitter. It holds no name, and no other row leads to it.
kept_advice = Table(
    "kept_advice",
    metadata,
    shop_column(),
    Column("code", String(16), nullable=False),
    Column("content", JSON, nullable=False),
    Column("kept_until", UtcDateTime, nullable=False),
    PrimaryKeyConstraint("shop_id", "code"),
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

# The versions of a shop's own men: sums over many customers, none of them by themselves.
own_men = Table(
    "own_men",
    metadata,
    shop_column(),
    Column("version", Integer, nullable=False),
    Column("content", JSON, nullable=False),
    Column("made_at", UtcDateTime, nullable=False),
    PrimaryKeyConstraint("shop_id", "version"),
)

# What became of what was sold. It outlives the fit check that it came of: no key leads there.
outcomes = Table(
    "outcomes",
    metadata,
    Column("id", ID, primary_key=True),
    shop_column(),
    Column("customer_ref", REF),
    Column("sale_ref", REF),
    Column("garment", String(16), nullable=False),
    Column("chart", String(40), nullable=False),
    Column("label", String(20), nullable=False),
    Column("result", String(8), nullable=False),
    Column("day", Date, nullable=False),
    Column("swapped_chart", String(40)),
    Column("swapped_label", String(20)),
    Column("reason", String(16)),
    Column("place", String(40)),
    Column("altered_by", JSON, nullable=False),
    Column("advised_chart", String(40)),
    Column("advised_label", String(20)),
    Column("p_best", Float(53)),
    Column("fit_check_id", ID),
    Column("order_id", ID),
    Column("told_at", UtcDateTime, nullable=False),
    Index(None, "shop_id", "garment", "chart", "label"),
    Index(None, "shop_id", "customer_ref"),
)

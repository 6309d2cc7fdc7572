"""The tables. Migrations make them; a test shows that both agree."""

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
    Text,
    UniqueConstraint,
    false,
)

# Whoever knows the house's tables knows the others as well: migrations and tests ask here.
import service.storage.caller_tables
import service.storage.line_tables  # noqa: F401
from service.storage.columns import ID, REF, UtcDateTime, metadata, order_column, shop_column

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
    Column("week_version", Integer, nullable=False, server_default="1"),
    Column("checked_by_anyone", Boolean),
    Column("ready_from", String(5)),
    Column("ask_at", String(120)),
    Column("counter", JSON(none_as_null=True)),
    Column("own_men", JSON(none_as_null=True)),
    Column("own_men_off", Boolean),
    Column("own_men_version", Integer, nullable=False, server_default="0"),
    Column("advice_key", String(64)),
    Column("language", String(8)),
)

charts = Table(
    "charts",
    metadata,
    shop_column(),
    Column("code", String(40), nullable=False),
    Column("revision", Integer, nullable=False),
    Column("content", JSON, nullable=False),
    Column("article_numbers", JSON(none_as_null=True)),
    Column("loaded_at", UtcDateTime, nullable=False),
    PrimaryKeyConstraint("shop_id", "code", "revision"),
)

measurement_sets = Table(
    "measurement_sets",
    metadata,
    Column("id", ID, primary_key=True),
    shop_column(),
    Column("customer_ref", REF),
    Column("content", JSON, nullable=False),
    Column("recorded_at", UtcDateTime, nullable=False),
    Index(None, "shop_id", "customer_ref", "recorded_at"),
)

fit_checks = Table(
    "fit_checks",
    metadata,
    Column("id", ID, primary_key=True),
    shop_column(),
    Column("customer_ref", REF),
    Column("inside_leg_mm", Float(53)),
    Column("plans", JSON, nullable=False),
    Column("answer", JSON, nullable=False),
    Column("made_at", UtcDateTime, nullable=False),
    Column("record", JSON(none_as_null=True)),
    Index(None, "shop_id", "customer_ref"),
)

# People who are served together, for one day: a wedding party, the staff of a house.
order_groups = Table(
    "order_groups",
    metadata,
    Column("id", ID, primary_key=True),
    shop_column(),
    Column("group_ref", REF),
    Column("needed_by", Date),
    Column("placed_at", UtcDateTime, nullable=False),
    Column("marked_by", REF, nullable=False),
    Index(None, "shop_id", "placed_at"),
)

orders = Table(
    "orders",
    metadata,
    Column("id", ID, primary_key=True),
    shop_column(),
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
    Column("rush", Boolean, nullable=False, server_default=false()),
    Column("note", String(500)),
    Column("fitting_on", Date),
    Column("group_id", ID, ForeignKey("order_groups.id")),
    Column("look_again", JSON),
    Column("details", JSON(none_as_null=True)),
    UniqueConstraint("shop_id", "number"),
    UniqueConstraint("collection_token"),
    Index(None, "shop_id", "state", "number"),
    Index(None, "shop_id", "customer_ref", "number"),
    Index(None, "shop_id", "sale_ref", "number"),
    Index(None, "shop_id", "promised_for", "number"),
    Index(None, "group_id"),
)

order_garments = Table(
    "order_garments",
    metadata,
    order_column(),
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
    Column("hemmed", Boolean),
    Column("pleats", Integer),
    Column("crease", Boolean),
    Column("brought_in", Boolean),
    # Where the piece is, and where its order was then: one elsewhere since was moved whole (releases before 0020).
    Column("state", String(24)),
    Column("order_state", String(24)),
    Column("details", JSON(none_as_null=True)),
    PrimaryKeyConstraint("order_id", "position"),
)

order_lines = Table(
    "order_lines",
    metadata,
    order_column(),
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
    Column("undone_first", Boolean),
    Column("origin", String(12)),
    Column("seen", Boolean),
    Column("to_be_pinned", Boolean),
    Column("look_again", JSON),
    Column("inlay_basis", String(12)),
    Column("inlay_seams", Integer),
    Column("cut_mm", Float(53)),
    Column("cut_unit", String(2)),
    Column("line_id", Integer),
    Column("details", JSON(none_as_null=True)),
    PrimaryKeyConstraint("order_id", "position"),
)

order_events = Table(
    "order_events",
    metadata,
    order_column(),
    Column("position", Integer, nullable=False),
    Column("at", UtcDateTime, nullable=False),
    Column("by", REF, nullable=False),
    Column("from_state", String(24)),
    Column("to_state", String(24), nullable=False),
    Column("note", Text, nullable=False),
    Column("facts", JSON, nullable=False),
    Column("kind", String(16), nullable=False, server_default="moved"),
    PrimaryKeyConstraint("order_id", "position"),
)

bookings = Table(
    "bookings",
    metadata,
    order_column(),
    Column("day", Date, nullable=False),
    Column("bench", String(16), nullable=False),
    Column("minutes", Integer, nullable=False),
    Column("hard_minutes", Integer, nullable=False, server_default="0"),
    Column("reserve", Boolean, nullable=False, server_default=false()),
    # 0: of none known, booked for the order as a whole.
    Column("piece", Integer, nullable=False, server_default="0"),
    PrimaryKeyConstraint("order_id", "day", "bench", "piece"),
    Index(None, "day"),
)

# One row a bench and day that anything is promised on or set for: what the shop set (`kept_*`, `reason`), the sum of
# its bookings, and what of it is hard work or of the reserve: promising a day reads a row a bench, no order.
workroom_days = Table(
    "workroom_days",
    metadata,
    shop_column(),
    Column("day", Date, nullable=False),
    Column("bench", String(16), nullable=False),
    Column("kept_minutes", Integer),
    Column("booked_minutes", Integer, nullable=False),
    Column("kept_skilled_minutes", Integer),
    Column("reason", String(200)),
    Column("hard_minutes", Integer, nullable=False, server_default="0"),
    Column("reserve_minutes", Integer, nullable=False, server_default="0"),
    Column("reserve_hard_minutes", Integer, nullable=False, server_default="0"),
    PrimaryKeyConstraint("shop_id", "day", "bench"),
)

# What is told to others, numbered without a gap in each shop: the feed, and the outbox of what is sent.
events = Table(
    "events",
    metadata,
    shop_column(),
    Column("cursor", BigInteger, nullable=False),
    Column("type", String(40), nullable=False),
    Column("at", UtcDateTime, nullable=False),
    Column("order_id", ID, nullable=False),
    Column("number", BigInteger, nullable=False),
    Column("from_state", String(24)),
    Column("state", String(24), nullable=False),
    Column("promised_for", Date),
    Column("pieces", JSON(none_as_null=True)),
    PrimaryKeyConstraint("shop_id", "cursor"),
)

# Each time that a database went on from a backup: from then on a shop's feed is another one after `began_after`.
feed_epochs = Table(
    "feed_epochs",
    metadata,
    shop_column(),
    Column("position", Integer, nullable=False),
    Column("epoch", String(16), nullable=False),
    Column("began_after", BigInteger, nullable=False),
    Column("at", UtcDateTime, nullable=False),
    PrimaryKeyConstraint("shop_id", "position"),
)

# Where events are sent, and how far that has come. `failures` are those in a row, `took_ms` is of the last exchange.
webhooks = Table(
    "webhooks",
    metadata,
    Column("id", ID, primary_key=True),
    shop_column(),
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
    Column("took_ms", Integer),
    Index(None, "shop_id"),
    Index(None, "next_attempt_at"),
)

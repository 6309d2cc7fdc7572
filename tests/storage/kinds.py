"""Every kind of column, with values that a database could change on the way."""

from datetime import UTC, date, datetime, timedelta, timezone

from sqlalchemy import JSON, BigInteger, Boolean, Date, Float, Integer, String, Text

from service.storage.columns import UtcDateTime

# Eighty characters, each four bytes.
EMOJI = "\N{SPOOL OF THREAD}" * 80
TEXTS = ["", " both ends  ", "Ärmel ½ – 'quoted' \"twice\" \\ %s :x ?", "e\u0301 is not é", "\u202eאב", EMOJI]
DOUBLES = [0.1 + 0.2, 1e22, 5e-324, 1.7976931348623157e308, -0.5, 812.34567890123, 1.0]
EAST = timezone(timedelta(hours=5, minutes=45))
KINDS = {
    Boolean: [True, False],
    Integer: [-(2**31), 0, 2**31 - 1],
    BigInteger: [-(2**63), 2**53 + 1, 2**63 - 1],
    Float: DOUBLES,
    Date: [date.min, date(2024, 2, 29), date.max],
    UtcDateTime: [
        datetime(2026, 3, 2, 9, 0, 0, 1, UTC),
        datetime(2026, 10, 25, 1, 30, 0, 999999, EAST),
        datetime(1900, 1, 1, tzinfo=UTC),
        datetime(9999, 12, 31, 23, 59, 59, 999999, UTC),
    ],
    String: TEXTS,
    Text: [*TEXTS, "x" * 100_000],
    JSON: [
        {"z": 1, "a": [], "é": {"b": None, "a": True}},
        DOUBLES,
        [2**53 + 1, 2**63 - 1, -(2**63)],
        TEXTS,
        ["\x00", "\x1f\n", "</script>"],
        "alone",
        {},
    ],
}
OF_A_KIND = {Float: Float(53), String: String(80)}

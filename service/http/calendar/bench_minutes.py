"""A bench's minutes coming in, as days and weeks share them."""

from __future__ import annotations

from typing import Any

from marshmallow import EXCLUDE, ValidationError, fields, validate

from service.http.values import Choice, Count, Strict
from service.tailoring.garments.alterations import BENCHES, Bench

# A bench with fifty tailors, each a whole day.
MINUTES_MOST = 24_000
SKILLED = "those of the minutes that are for hard work (difficulty 4 and 5); all, where they are left out"


class BenchMinutesSchema(Strict):
    """A bench's usable minutes on a day: those that it can sew or press for orders."""

    bench = Choice(BENCHES, required=True)
    minutes = Count(0, MINUTES_MOST, required=True)
    skilled_minutes = Count(0, MINUTES_MOST, metadata={"description": SKILLED})


class BenchMinutesShownSchema(BenchMinutesSchema):
    """A bench's usable minutes on a day, as they are kept."""

    class Meta(BenchMinutesSchema.Meta):
        unknown = EXCLUDE


def bench_list(**options: Any) -> fields.List[Any]:  # noqa: ANN401  marshmallow's own
    """A field for the minutes of benches."""
    return fields.List(fields.Nested(BenchMinutesSchema), validate=validate.Length(max=len(BENCHES)), **options)


def by_bench(benches: list[dict[str, Any]], part: str) -> tuple[dict[Bench, int], dict[Bench, int]]:
    """Minutes by bench, and skilled minutes where not all are. Raises ValidationError where a bench is named twice."""
    minutes: dict[Bench, int] = {}
    skilled: dict[Bench, int] = {}
    for position, each in enumerate(benches):
        if each["bench"] in minutes:
            raise ValidationError({part: {position: ["The bench is given twice."]}})
        minutes[each["bench"]] = each["minutes"]
        able = each.get("skilled_minutes", each["minutes"])
        # All of them is what is meant where nothing is said, and is kept like that.
        if able < each["minutes"]:
            skilled[each["bench"]] = able
        elif able > each["minutes"]:
            raise ValidationError({part: {position: {"skilled_minutes": ["More than there are minutes."]}}})
    return minutes, skilled

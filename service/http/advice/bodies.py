"""What is known of a man, coming in: readings, age, posture and what he wears, as every question takes it."""

from __future__ import annotations

from typing import Any

from marshmallow import fields, post_load, validate

from service.http.quantities import LengthSchema, ReadingSchema
from service.http.texts import Text
from service.http.values import Choice, Count, Id, Number, Strict, refusals_as_errors
from service.tailoring.body.posture import NOTE_NAMES, PostureNote
from service.tailoring.body.wears import HOWS
from service.tailoring.garments.charts import GARMENTS, LABEL_LONGEST
from service.tailoring.labels.designation_systems import systems
from service.use_cases.people.measurement_sets import BodyEvidence, WearsAsked

READINGS_MOST = 60
NOTES_MOST = 10
WEARS_MOST = 10
VERSIONS_MOST = 10**6


class AgeField(Number):
    """An age in years."""

    def __init__(self, **options: Any) -> None:  # noqa: ANN401  marshmallow's own
        super().__init__(validate=validate.Range(1, 120), **options)


class PopulationVersionField(Count):
    """By which version of the shop's own men a customer is judged."""

    def __init__(self) -> None:
        words = (
            "judge by an earlier version of the shop's own customers, to explain an earlier answer; "
            "0: customers in general; left out: today's version"
        )
        super().__init__(0, VERSIONS_MOST, metadata={"description": words})


class PostureSchema(Strict):
    """Posture or asymmetry, as the cloth it asks for; `side` is the lower shoulder, the longer arm or leg."""

    note = Choice(NOTE_NAMES, required=True)
    amount = fields.Nested(LengthSchema, required=True)
    side = Choice(("left", "right"))

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> PostureNote:
        with refusals_as_errors():
            return PostureNote(data["note"], data["amount"], data.get("side"))


class PostureField(fields.List[PostureNote]):
    """Notes of the posture."""

    def __init__(self, **options: Any) -> None:  # noqa: ANN401  marshmallow's own
        super().__init__(fields.Nested(PostureSchema), validate=validate.Length(max=NOTES_MOST), **options)


class SystemField(Text):
    """The name of a size system."""

    def __init__(self, words: str | None = None, **options: Any) -> None:  # noqa: ANN401  marshmallow's own
        # The core refuses other names, with its own words; the contract names those that there are.
        described = {"description": words} if words else {}
        super().__init__(most=40, metadata={"enum": list(systems()), **described}, **options)


class WearsSchema(Strict):
    """A size that the customer wears: they say so, or it was seen to fit."""

    garment = Choice(GARMENTS, required=True)
    chart = Text(
        most=40,
        least=1,
        metadata={"description": "the chart that has the label; left out: any maker's label"},
    )
    system = SystemField(
        "the size system of the label; left out without a chart: any that has such a label; where more than one may be "
        "meant, the warning `which_size_system` asks. With a chart: the size of the chart that the label comes to"
    )
    label = Text(
        most=LABEL_LONGEST,
        least=1,
        required=True,
        metadata={"description": "as it is on the garment, or short: `40R`, `40 regular`, `50`, `W34 L32`, `170/88A`"},
    )
    how = Choice(HOWS, required=True)

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> WearsAsked:
        return WearsAsked(**data)


class KnownSchema(Strict):
    """What is known of a man; all of it counts together."""

    readings = fields.List(fields.Nested(ReadingSchema), load_default=list, validate=validate.Length(max=READINGS_MOST))
    measurement_set = Id(metadata={"description": "a recorded set, beside or instead of readings"})
    age_years = AgeField()
    posture = PostureField()
    wears = fields.List(fields.Nested(WearsSchema), validate=validate.Length(max=WEARS_MOST))
    population_version = PopulationVersionField()


# The names of its fields; to make a schema for them in every request took as long as to read one.
_KNOWN = tuple(KnownSchema().fields)


def take_known(data: dict[str, Any]) -> dict[str, Any]:
    """Put what is known of him into one place of what was read."""
    kept = tuples(data)
    said = {name: kept.pop(name) for name in _KNOWN if name in kept}
    return {**kept, "known": BodyEvidence(**said)}


def tuples(data: dict[str, Any]) -> dict[str, Any]:
    """Lists as the core takes them, ids as storage keeps them."""
    kept = {name: tuple(value) if isinstance(value, list) else value for name, value in data.items()}
    if kept.get("measurement_set"):
        kept["measurement_set"] = str(kept["measurement_set"])
    return kept

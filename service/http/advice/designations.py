"""Size designations over HTTP."""

from __future__ import annotations

from typing import Any

from marshmallow import ValidationError, fields, post_load, validate, validates_schema

from service.http.advice.bodies import READINGS_MOST, AgeField
from service.http.advice.plans import EstimateSchema, body_document
from service.http.notices import NoticeSchema, notices
from service.http.operations import operation
from service.http.parsing import StrictBlueprint
from service.http.schemas import Schema
from service.http.values import Count, Out, ReadingSchema, Strict, Text, written
from service.tailoring.garments.charts import LABEL_LONGEST
from service.tailoring.labels.designation_systems import KINDS, Part, System, systems
from service.tailoring.labels.translations import InSystem, LabelAsked, TranslationAsked, translate_designation
from service.tailoring.quantities import Length
from service.use_cases.context import Caller

room = StrictBlueprint(
    "designations", __name__, description="A body or a label in the size systems of standards and trade"
)

LABELS_MOST = 50
EXAMPLE = {"from": {"system": "jis_l_4004", "label": "92A5"}, "to": ["gb_t_1335_1", "german", "inch_jacket"]}


class SystemField(Text):
    """The name of a size system."""

    def __init__(self, **options: Any) -> None:  # noqa: ANN401  marshmallow's own
        # The core refuses other names, with its own words; the contract names those that there are.
        super().__init__(most=40, metadata={"enum": list(systems())}, **options)


class LabelSchema(Strict):
    """A label, written as its system writes it."""

    system = SystemField(required=True)
    label = Text(most=LABEL_LONGEST, least=1, required=True)

    @post_load
    def _made(self, data: dict[str, str], **_: object) -> LabelAsked:
        return LabelAsked(**data)


class TranslationAskedSchema(Strict):
    """Either a label that he wears (`from`) or readings of him, and the systems to write him in."""

    label = fields.Nested(LabelSchema, data_key="from")
    readings = fields.List(fields.Nested(ReadingSchema), validate=validate.Length(1, READINGS_MOST))
    age_years = AgeField()
    to = fields.List(SystemField(), required=True, validate=validate.Length(1, len(systems())))
    limit = Count(1, LABELS_MOST, load_default=5, metadata={"description": "the most labels of a system"})

    @validates_schema
    def _one_of_both(self, data: dict[str, Any], **_: object) -> None:
        if ("label" in data) == ("readings" in data):
            raise ValidationError("Give either `from` or `readings`.", "from")

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> TranslationAsked:
        kept: dict[str, Any] = {n: tuple(value) if isinstance(value, list) else value for n, value in data.items()}
        return TranslationAsked(**kept)


class MeasureSchema(Schema):
    """A measure that a part states: a dimension, or `drop` (chest less waist), and the widths of its steps."""

    measure = fields.String(required=True)
    steps = fields.List(Out(), required=True)


class PartSchema(Schema):
    """A part of a label: its codes, what they state, and where that stands."""

    part = fields.String(required=True)
    codes = fields.List(fields.String(), required=True)
    measures = fields.List(fields.Nested(MeasureSchema), required=True)
    sources = fields.List(fields.String(), required=True)


class SystemSchema(Schema):
    """A size system. One of kind `custom` is a convention between labels and states no measure."""

    system = fields.String(required=True)
    kind = fields.String(required=True, validate=validate.OneOf(KINDS))
    words = fields.String(required=True)
    grammar = fields.String(required=True)
    example = fields.String(required=True)
    stems_from = fields.String(required=True, allow_none=True)
    parts = fields.List(fields.Nested(PartSchema), required=True)
    source = fields.String(required=True)


class SystemsSchema(Schema):
    """Every size system."""

    systems = fields.List(fields.Nested(SystemSchema), required=True)


class SaidSchema(Schema):
    """What the label says of one dimension, with its standard deviation."""

    dimension = fields.String(required=True)
    size = Out(required=True)
    sd_mm = fields.Float(required=True)


class DesignationSchema(Schema):
    """A label and how likely it is his."""

    label = fields.String(required=True)
    probability = fields.Float(required=True, validate=validate.Range(0, 1))
    error_mm = fields.Float(
        required=True,
        allow_none=True,
        metadata={
            "description": "for a custom: mm of the girth by which the European number (half the girth in cm) "
            "falls short of the inches on the other label; below zero where it exceeds them"
        },
    )


class InSystemSchema(Schema):
    """His labels in one system; `covered` is the probability that the system has any for him."""

    system = fields.String(required=True)
    kind = fields.String(required=True, validate=validate.OneOf(KINDS))
    covered = fields.Float(required=True, validate=validate.Range(0, 1))
    labels = fields.List(fields.Nested(DesignationSchema), required=True)


class TranslationSchema(Schema):
    """The body, and its labels in each system that was asked for, in that order."""

    said = fields.List(fields.Nested(SaidSchema), required=True)
    body = fields.List(fields.Nested(EstimateSchema), required=True)
    designations = fields.List(fields.Nested(InSystemSchema), required=True)
    warnings = fields.List(fields.Nested(NoticeSchema), required=True)


@operation(room, "GET", "/designations", scope="advise", answer=SystemsSchema, for_pages=True)
def list_designations(caller: Caller) -> dict[str, Any]:  # noqa: ARG001  the same for every shop
    """The size systems: what their labels state, in which steps, and how they are written."""
    return {"systems": [_system(each) for each in systems().values()]}


@operation(
    room, "POST", "/designations/translate", scope="advise", body=TranslationAskedSchema, answer=TranslationSchema,
    example=EXAMPLE, for_pages=True,
)  # fmt: skip
def translate_designations(caller: Caller, asked: TranslationAsked) -> dict[str, Any]:  # noqa: ARG001
    """A label, or readings of a man, in other size systems: through the body, with the error stated."""
    found = translate_designation(asked)
    return {
        "said": [
            {"dimension": o.dimension, "size": written(Length(o.size, "cm")), "sd_mm": round(o.sd, 1)}
            for o in found.said
        ],
        "body": body_document(found.body),
        "designations": [_in_system(each) for each in found.written],
        "warnings": notices(found.notices),
    }


def _in_system(each: InSystem) -> dict[str, Any]:
    return {
        "system": each.system.name,
        "kind": each.system.kind,
        "covered": round(each.covered, 4),
        "labels": [
            {
                "label": found.label,
                "probability": round(found.probability, 4),
                "error_mm": None if found.error_mm is None else round(found.error_mm, 1),
            }
            for found in each.labels
        ],
    }


def _system(system: System) -> dict[str, Any]:
    return {
        "system": system.name,
        "kind": system.kind,
        "words": system.words,
        "grammar": system.grammar,
        "example": system.example,
        "stems_from": system.custom.stem if system.custom else None,
        "parts": [_part(part) for part in system.parts],
        "source": system.source,
    }


def _part(part: Part) -> dict[str, Any]:
    steps: dict[str, set[float]] = {}
    for bound in (bound for cell in part.cells for bound in cell.bounds):
        steps.setdefault(bound.measure, set()).add(round(bound.most - bound.least, 3))
    return {
        "part": part.name,
        "codes": [cell.code for cell in part.cells],
        "measures": [
            {"measure": measure, "steps": [written(Length(mm, part.unit)) for mm in sorted(widths)]}
            for measure, widths in steps.items()
        ],
        "sources": list(part.sources),
    }

"""Size designations over HTTP."""

from __future__ import annotations

from typing import Any

from marshmallow import ValidationError, fields, post_load, validate, validates_schema

from service.http.advice.bodies import READINGS_MOST, AgeField, SystemField
from service.http.advice.plans import EstimateSchema, estimate_document
from service.http.notices import NoticeSchema
from service.http.operations import operation
from service.http.parsing import StrictBlueprint
from service.http.quantities import Out, ReadingSchema
from service.http.schemas import ByHand, Listing, Schema, Word
from service.http.texts import Text
from service.http.values import Count, Figure, Strict
from service.tailoring.garments.charts import GARMENTS, LABEL_LONGEST
from service.tailoring.labels.designation_systems import KINDS, systems
from service.tailoring.labels.translations import LabelAsked, Translation, TranslationAsked, translate_designation
from service.use_cases.context import Caller

room = StrictBlueprint(
    "designations", __name__, description="A body or a label in the size systems of standards and trade"
)

LABELS_MOST = 50
EXAMPLE = {"from": {"system": "jis_l_4004", "label": "92A5"}, "to": ["gb_t_1335_1", "german", "inch_jacket"]}


class LabelSchema(Strict):
    """A label, written as its system writes it."""

    system = SystemField(required=True)
    label = Text(most=LABEL_LONGEST, least=1, required=True)

    @post_load
    def _made(self, data: dict[str, str], **_: object) -> LabelAsked:
        return LabelAsked(**data)


class TranslationAskedSchema(Strict):
    """Either a label that the customer wears (`from`) or their readings, and the systems to translate into."""

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


class LabelPartSchema(Schema):
    """A part of a label: its codes, what they state, and where that is published."""

    part = fields.String(required=True, attribute="name")
    codes = fields.List(fields.String(), required=True)
    measures = fields.List(fields.Nested(MeasureSchema), required=True)
    sources = fields.List(fields.String(), required=True)


class SystemSchema(Schema):
    """A size system. One of kind `custom` is a convention between labels and states no measure."""

    system = fields.String(required=True, attribute="name")
    kind = fields.String(required=True, validate=validate.OneOf(KINDS))
    words = fields.String(required=True)
    grammar = fields.String(required=True)
    example = fields.String(required=True)
    garments = fields.List(
        Word(GARMENTS), required=True, metadata={"description": "the garments on which its labels are found"}
    )
    stems_from = fields.String(required=True, allow_none=True, attribute="custom.stem", dump_default=None)
    parts = fields.List(fields.Nested(LabelPartSchema), required=True)
    source = fields.String(required=True)


class SystemsSchema(Schema):
    """Every size system."""

    systems = fields.List(fields.Nested(SystemSchema), required=True, attribute="rows")


class LabelSaysSchema(Schema):
    """What the label says of one dimension, with its standard deviation."""

    dimension = fields.String(required=True)
    size = Out(required=True, mm_in="cm")
    sd_mm = Figure(required=True, attribute="sd", digits=1)


class DesignationSchema(Schema):
    """A label, and how likely it is the customer's."""

    label = fields.String(required=True)
    probability = Figure(digits=4, required=True, validate=validate.Range(0.0, 1.0))
    error_mm = Figure(
        digits=1,
        required=True,
        allow_none=True,
        metadata={
            "description": "for a custom: mm of the girth by which the European number (half the girth in cm) "
            "falls short of the inches on the other label; below zero where it exceeds them"
        },
    )


class LabelsInSystemSchema(Schema):
    """The customer's labels in one system, and the chance that the system has any for them."""

    system = fields.String(required=True, attribute="system.name")
    kind = fields.String(required=True, validate=validate.OneOf(KINDS), attribute="system.kind")
    covered = Figure(digits=4, required=True, validate=validate.Range(0.0, 1.0))
    labels = fields.List(fields.Nested(DesignationSchema), required=True)


class TranslationSchema(Schema):
    """The body, and its labels in each system that was asked for, in that order."""

    label_says = fields.List(fields.Nested(LabelSaysSchema), required=True, attribute="said")
    body = ByHand(EstimateSchema, estimate_document, required=True, attribute="estimates")
    designations = fields.List(fields.Nested(LabelsInSystemSchema), required=True, attribute="written")
    warnings = fields.List(fields.Nested(NoticeSchema), required=True, attribute="notices")


@operation(room, "GET", "/designations", scope="advise", answer=SystemsSchema, for_pages=True, kept_by_key=True)
def list_designations(caller: Caller) -> Listing:  # noqa: ARG001  the same for every shop
    """The size systems: what their labels state, in which steps, and how they are written."""
    return Listing(tuple(systems().values()))


@operation(
    room, "POST", "/designations/translate", scope="advise", body=TranslationAskedSchema, answer=TranslationSchema,
    example=EXAMPLE, for_pages=True,
)  # fmt: skip
def translate_designations(caller: Caller, asked: TranslationAsked) -> Translation:  # noqa: ARG001
    """A label, or readings of a customer, in other size systems: through the body, with the error stated."""
    return translate_designation(asked)

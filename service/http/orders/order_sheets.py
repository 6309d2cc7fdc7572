"""Order sheets coming in: garments, lines, hems with a pin for each leg; as quotes and orders share them."""

from __future__ import annotations

from typing import Any

from marshmallow import ValidationError, fields, post_load, validate

from service.http.advice.size_advice import PLANS_MOST
from service.http.orders.dressed import DressedAskedSchema
from service.http.quantities import LengthSchema
from service.http.texts import ADVICE_ID_LONGEST, Text, Whole
from service.http.values import Choice, Count, Day, Flag, Id, Strict, refusals_as_errors
from service.tailoring.garments.alterations import ALTERED, BASES, DIRECTIONS, SIDES, alteration, catalogue
from service.tailoring.garments.amounts import INLAY_BASES, amount_of
from service.tailoring.garments.charts import GARMENTS
from service.tailoring.garments.pieces import LININGS, PATTERNS, GarmentPiece
from service.tailoring.garments.places import places
from service.tailoring.hems.breaks import BREAK_NAMES, USUAL_BREAK, Shoe
from service.tailoring.hems.hems import FINISHES, Hem, Leg, Pins
from service.tailoring.orders.lines.order_lines import MARKED_WITH, LineAsked
from service.tailoring.orders.sheets.asked_garments import THE_ONLY_ONE
from service.tailoring.orders.sheets.order_hems import HemAsked
from service.tailoring.orders.sheets.order_sheets import SheetAsked

GARMENTS_MOST = 10
LINES_MOST = 40
PINS_MOST = 200
PLEATS_MOST = 4
MEASURES_MOST = 20
PHOTOS_MOST = 10
PHOTO_LONGEST = 300
PHOTO = r"^(?:https://[!-~]+|[A-Za-z0-9][A-Za-z0-9._~/-]*)$"
PHOTO_WORDS = "An https address, or a reference of letters, digits and . _ ~ / -"
PLACE_NAMES = tuple(dict.fromkeys(each.name for garment in GARMENTS for each in places(garment)))
SEAMS_MOST = 6
INLAY_WORDS = "per_seam: at each seam, beyond the 3/8 in that stays sewn; girth: all that there is, seams and all"
EXAMPLE = {
    "garments": [
        {"garment": "trousers", "chart": "reference", "label": "30", "cloth": "navy worsted", "pins_left_in": 4},
        {"garment": "jacket", "chart": "reference", "label": "36R", "cloth": "navy worsted"},
    ],
    "lines": [
        {
            "alteration": "jacket_waist_in",
            "amount": {"value": "1 1/4", "unit": "in"},
            "basis": "girth",
            "note": "likes it close",
        }
    ],
    "hems": [{"pins": {"left": {"value": 30, "unit": "in"}, "right": {"value": "30 1/4", "unit": "in"}}}],
}
ONLY_ONE = "the number of the piece it is on; may be left out where there is one piece of its garment"


class MeasureOnPieceSchema(Strict):
    """What a place of the piece measures, taken on the piece itself."""

    place = Choice(PLACE_NAMES, required=True, metadata={"description": "where it was measured"})
    size = fields.Nested(LengthSchema, required=True, metadata={"description": "what it measures there, seam to seam"})


class GarmentSchema(Strict):
    """One garment; it is tagged with its `piece` number, its place in the list where none is given."""

    piece = Count(1, 99)
    garment = Choice(ALTERED, required=True)
    chart = Text(most=40, least=1)
    label = Text(most=20, least=1)
    cloth = Text(most=80)
    pattern = Choice(PATTERNS)
    worked_buttonholes = Flag()
    pins_left_in = Count(0, PINS_MOST)
    style = Text(most=80)
    lining = Choice(LININGS)
    repeat = fields.Nested(LengthSchema, metadata={"description": "the repeat of its stripe or check"})
    must_keep = Text(most=200, metadata={"description": "what the work may not touch or cut away"})
    faults_seen = Text(most=200, metadata={"description": "shine, moth, old lines: noted with the customer present"})
    hemmed = Flag(metadata={"description": "trousers: true: the legs are hemmed already, whatever the chart says"})
    pleats = Count(0, PLEATS_MOST, metadata={"description": "how many pleats each front of the trousers has; 0: flat"})
    brought_in = Flag(metadata={"description": "true: it was bought elsewhere; left out: true where it has no chart"})
    measures_on_piece = fields.List(
        fields.Nested(MeasureOnPieceSchema),
        validate=validate.Length(max=MEASURES_MOST),
        metadata={"description": "measures taken on the piece; a line's finished measure follows from them"},
    )
    photos = fields.List(
        fields.String(validate=[validate.Length(1, PHOTO_LONGEST), Whole(PHOTO, PHOTO_WORDS)]),
        validate=validate.Length(max=PHOTOS_MOST),
        metadata={"description": "pictures of it, by the shop's own https addresses or references; never fetched"},
    )
    crease = Flag(
        metadata={
            "description": "trousers: true: a crease is wanted, false: none; casual trousers get none"
            " where it is left out"
        }
    )


class LineSchema(Strict):
    """A line of work: the amount in four parts, or none where the alteration has none.

    `direction` may be left out where the alteration goes one way only. `side` has no default.
    """

    piece = Count(1, 99, metadata={"description": ONLY_ONE})
    alteration = Choice(tuple(catalogue()), required=True)
    amount = fields.Nested(LengthSchema)
    basis = Choice(BASES)
    direction = Choice(DIRECTIONS)
    side = Choice(SIDES)
    target = fields.Nested(LengthSchema, metadata={"description": "the finished measure aimed at"})
    inlay_seen = fields.Nested(LengthSchema, metadata={"description": "cloth seen inside the seam"})
    inlay_basis = Choice(INLAY_BASES, metadata={"description": INLAY_WORDS})
    inlay_seams = Count(1, SEAMS_MOST, metadata={"description": "at how many seams; a jacket's two side seams"})
    note = Text(most=200)
    marked_with = Choice(MARKED_WITH)
    undone_first = Flag(metadata={"description": "an old alteration at the same seam is undone first"})

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> LineAsked:
        parts = {name: data.pop(name, None) for name in ("amount", "basis", "direction", "side")}
        with refusals_as_errors():
            amount = amount_of(alteration(data["alteration"]), **parts)
        return LineAsked(amount=amount, **{"piece": THE_ONLY_ONE, **data})


class PinsSchema(Strict):
    """The finished inside leg as pinned on the customer in their shoes, a pin for each leg."""

    left = fields.Nested(LengthSchema)
    right = fields.Nested(LengthSchema)

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> Pins:
        with refusals_as_errors():
            return Pins(**data)


class LegSchema(Strict):
    """A leg as it is now: inside leg to its edge, and the cloth turned up inside."""

    inside_leg = fields.Nested(LengthSchema, required=True)
    cloth_inside = fields.Nested(LengthSchema)

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> Leg:
        with refusals_as_errors():
            return Leg(**data)


class HemSchema(Strict):
    """The hem of one pair of trousers. The pin comes before the formula; the customer's inside leg checks the pin."""

    piece = Count(1, 99, metadata={"description": ONLY_ONE})
    pins = fields.Nested(PinsSchema)
    to_be_pinned = Flag(
        metadata={
            "description": "true: its legs are marked later, by an amendment; no bench begins before"
            " that. In place of pins"
        }
    )
    finish = Choice(FINISHES, load_default="plain")
    turn_up = fields.Nested(LengthSchema)
    inside_turn = fields.Nested(LengthSchema)
    slant = fields.Nested(LengthSchema)
    leg = fields.Nested(LegSchema, metadata={"description": "needed where the chart does not say it"})
    inside_leg = fields.Nested(
        LengthSchema, metadata={"description": "the customer's own inside leg, from fork to floor, barefoot"}
    )
    heel = fields.Nested(LengthSchema)
    break_name = Choice(BREAK_NAMES, data_key="break", load_default=USUAL_BREAK)
    dressed = fields.Nested(
        DressedAskedSchema,
        metadata={"description": "what the customer had on when it was pinned, where that was not at the fitting"},
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> HemAsked:
        with refusals_as_errors():
            ending = {name: data.pop(name) for name in ("finish", "turn_up", "inside_turn", "slant") if name in data}
            if "heel" in data:
                data["shoe"] = Shoe(data.pop("heel"))
            return HemAsked(hem=Hem(**ending), **{"piece": THE_ONLY_ONE, **data})


class SheetSchema(Strict):
    """Garments and what is to be done to them: by lines, by pins, by a fit check, or by all of these.

    Of a fit check only what was seen becomes a line. Trousers that are uncut, or whose hem is only predicted, need
    pins, a finished length, or `to_be_pinned`.
    """

    garments = fields.List(fields.Nested(GarmentSchema), load_default=list, validate=validate.Length(max=GARMENTS_MOST))
    lines = fields.List(fields.Nested(LineSchema), load_default=list, validate=validate.Length(max=LINES_MOST))
    hems = fields.List(fields.Nested(HemSchema), load_default=list, validate=validate.Length(max=GARMENTS_MOST))
    from_fit_check = Id()
    from_advice = Text(
        most=ADVICE_ID_LONGEST,
        least=1,
        metadata={
            "description": "an `advice_id`, in the place of a fit check: its sizes, what was taped of its work, and "
            "hems to be pinned; refused where chart or prices have changed"
        },
    )
    plan = Count(
        0,
        PLANS_MOST,
        metadata={
            "description": "which plan of the fit check, counted from 0: the advised one; an advice id is of one plan",
            "default": 0,
        },
    )
    needed_by = Day()
    rush = Flag(
        load_default=False,
        metadata={
            "description": "true: it is sewn before others, for a surcharge: it begins sooner and may use the reserve"
        },
    )
    take_up = fields.List(
        Choice(tuple(catalogue())),
        load_default=list,
        validate=validate.Length(max=LINES_MOST),
        metadata={"description": "which of the fit check's `to_look_at` are ordered all the same, unseen"},
    )
    to_be_pinned = Flag(
        load_default=False,
        metadata={
            "description": "true: hems that are not marked yet are marked later, by an amendment; no bench"
            " begins before that"
        },
    )
    dressed = fields.Nested(
        DressedAskedSchema,
        metadata={"description": "what the customer had on at the fitting; left out: as the fit check has it"},
    )
    add_follow_ons = Flag(
        load_default=True,
        metadata={"description": "true: what a line makes necessary elsewhere, by a known amount, becomes a line too"},
    )


def sheet_of(data: dict[str, Any]) -> SheetAsked:
    """Take the sheet's own parts out of what was read. Raises ValidationError for a piece that cannot be told."""
    garments = numbered(data.pop("garments"))
    check, advice = data.pop("from_fit_check", None), data.pop("from_advice", None)
    if check and advice:
        raise ValidationError("Give either `from_fit_check` or `from_advice`.", "from_advice")
    if advice and "plan" in data:
        raise ValidationError("An advice id is of one plan: leave `plan` out.", "plan")
    return SheetAsked(
        garments=garments,
        lines=tuple(data.pop("lines")),
        hems=tuple(data.pop("hems")),
        from_fit_check=str(check) if check else None,
        from_advice=advice,
        plan=data.pop("plan", 0),
        needed_by=data.pop("needed_by", None),
        rush=data.pop("rush", False),
        add_follow_ons=data.pop("add_follow_ons"),
        take_up=tuple(data.pop("take_up")),
        # What was advised was marked on nobody.
        to_be_pinned=data.pop("to_be_pinned") or advice is not None,
        dressed=data.pop("dressed", None),
    )


def numbered(asked: list[dict[str, Any]]) -> tuple[GarmentPiece, ...]:
    """Garments with their numbers: their places in the list, where none is given."""
    return tuple(GarmentPiece(**{"piece": position, **_parts(each)}) for position, each in enumerate(asked, start=1))


def _parts(asked: dict[str, Any]) -> dict[str, Any]:
    measures = tuple((each["place"], each["size"]) for each in asked.get("measures_on_piece", ()))
    rest = {name: value for name, value in asked.items() if name not in {"measures_on_piece", "photos"}}
    return {**rest, "measures": measures, "photos": tuple(asked.get("photos", ()))}

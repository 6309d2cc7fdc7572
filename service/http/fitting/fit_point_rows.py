"""A shop's own fit points on their way in: bands, looks, causes and remedies, each row with its source."""

from __future__ import annotations

from typing import Any

from marshmallow import fields, post_load, validate

from service.http.quantities import SignedLengthSchema
from service.http.texts import Text, Whole
from service.http.values import Choice, Strict, refusals_as_errors
from service.tailoring.fitting.fit_points import VERDICTS, Band, fit_points
from service.tailoring.fitting.own_fit_points import (
    OwnPoint,
    check_points_once,
    own_band,
    own_look,
    own_point,
    point_named,
)
from service.tailoring.quantities import Length
from service.tailoring.refusals import Refusal

LOOKS_MOST = 12
WORDS_MOST = 8
WORD_LONGEST = 120
NAME_WORDS = "Small letters, words joined by _."
EXAMPLE = {
    "rows": [
        {
            "point": "front_closure",
            "band": {
                "right": {"value": "3/4", "unit": "in"},
                "ok_low": {"value": "1/2", "unit": "in"}, "ok_high": {"value": 1, "unit": "in"},
                "watch_low": {"value": "1/4", "unit": "in"}, "watch_high": {"value": 2, "unit": "in"},
            },
            "appearances": [
                {"seen": "pulls", "causes": ["stomach"], "remedies": ["jacket_waist_out", "one size larger"]}
            ],
            "source": "the shop's own cutter",
        }
    ]
}  # fmt: skip


class BandRowSchema(Strict):
    """Where a point is right (ok) or can still be worn (watch), and what is aimed at; a short amount has a minus."""

    right = fields.Nested(SignedLengthSchema, required=True)
    ok_low = fields.Nested(SignedLengthSchema, required=True)
    ok_high = fields.Nested(SignedLengthSchema, required=True)
    watch_low = fields.Nested(SignedLengthSchema, required=True)
    watch_high = fields.Nested(SignedLengthSchema, required=True)


def _words() -> fields.List[str]:
    return fields.List(Text(most=WORD_LONGEST, least=1), load_default=list, validate=validate.Length(max=WORDS_MOST))


class LookRowSchema(Strict):
    """An appearance, its likely causes, and what cures it, best first: alterations by code, or words.

    A standard appearance keeps its verdict; one of the shop's own gives it.
    """

    seen = fields.String(
        required=True,
        validate=[validate.Length(1, 40), Whole("^[a-z]+(?:_[a-z]+)*$", NAME_WORDS)],
    )
    verdict = Choice(VERDICTS)
    causes = _words()
    remedies = _words()


class FitPointRowSchema(Strict):
    """One point: its band, the appearances that the shop sees in its own way, and the source."""

    point = Choice(tuple(fit_points()), required=True)
    band = fields.Nested(BandRowSchema)
    appearances = fields.List(fields.Nested(LookRowSchema), load_default=list, validate=validate.Length(max=LOOKS_MOST))
    source = Text(most=200, least=1, required=True)

    @post_load
    def _read(self, data: dict[str, Any], **_: object) -> OwnPoint:
        with refusals_as_errors():
            point = point_named(data["point"])
            looks = []
            for position, look in enumerate(data["appearances"]):
                said = (look["seen"], look.get("verdict"), tuple(look["causes"]), tuple(look["remedies"]))
                try:
                    looks.append(own_look(point, *said))
                except Refusal as refusal:
                    raise refusal.within("appearances", position) from None
            return own_point(point.code, self._band(point.code, data.get("band")), tuple(looks), data["source"])

    @staticmethod
    def _band(code: str, edges: dict[str, Length] | None) -> Band | None:
        if edges is None:
            return None
        ok, watch = (edges["ok_low"], edges["ok_high"]), (edges["watch_low"], edges["watch_high"])
        try:
            return own_band(point_named(code), edges["right"], ok, watch)
        except Refusal as refusal:
            raise refusal.within("band") from None


class FitPointRowsSchema(Strict):
    """The points that the shop judges by its own figures; every other point has the standard ones."""

    rows = fields.List(fields.Nested(FitPointRowSchema), required=True, validate=validate.Length(max=len(fit_points())))

    @post_load
    def _made(self, data: dict[str, Any], **_: object) -> tuple[OwnPoint, ...]:
        rows = tuple(data["rows"])
        with refusals_as_errors():
            check_points_once(rows)
        return rows

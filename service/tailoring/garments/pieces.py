"""The garments of an order, each tagged with its number."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from service.tailoring.garments.alterations import ALTERED
from service.tailoring.quantities import Length
from service.tailoring.refusals import Refusal

Lining: TypeAlias = Literal["full", "half", "none"]
LININGS: tuple[Lining, ...] = ("full", "half", "none")
Pattern: TypeAlias = Literal["plain", "stripe", "check"]
PATTERNS: tuple[Pattern, ...] = ("plain", "stripe", "check")


@dataclass(frozen=True, slots=True)
class GarmentPiece:
    """One garment of an order, tagged with its number from 1; a chart and label where the shop sold it.

    `repeat` is that of the pattern; `must_keep` what the work may not touch or cut away; `faults_seen` what was
    worn or spoilt before the work, noted with the customer present. `hemmed`: its legs were hemmed before, whatever
    its chart sells. `pleats` are those of a front of trousers (0: flat), `crease` whether one was asked for or refused.
    `brought_in`: it was bought elsewhere, or not (None: nobody said). `measures` were taken on the piece itself, by
    place; `photos` are the caller's own addresses or references of pictures, which are never fetched.
    Raises Refusal `garment_unknown`, `pattern_unknown`, `lining_unknown` or `count_too_small`, pointing at the part.
    """

    piece: int
    garment: str
    chart: str | None = None
    label: str | None = None
    cloth: str = ""
    pattern: Pattern = "plain"
    worked_buttonholes: bool = False
    pins_left_in: int = 0
    style: str = ""
    lining: Lining | None = None
    repeat: Length | None = None
    must_keep: str = ""
    faults_seen: str = ""
    hemmed: bool = False
    pleats: int | None = None
    crease: bool | None = None
    brought_in: bool | None = None
    measures: tuple[tuple[str, Length], ...] = ()
    photos: tuple[str, ...] = ()

    def measured(self, place: str) -> Length | None:
        """What was measured on the piece at a place; None where nobody did."""
        return dict(self.measures).get(place)

    @property
    def is_brought_in(self) -> bool:
        """Whether it was bought elsewhere; where nobody says so, what has no chart."""
        return self.chart is None if self.brought_in is None else self.brought_in

    def __post_init__(self) -> None:
        if self.piece < 1:
            raise Refusal("count_too_small", ("piece",), least=1)
        if self.garment not in ALTERED:
            raise Refusal("garment_unknown", ("garment",), allowed=ALTERED)
        if self.pattern not in PATTERNS:
            raise Refusal("pattern_unknown", ("pattern",), allowed=PATTERNS)
        if self.lining is not None and self.lining not in LININGS:
            raise Refusal("lining_unknown", ("lining",), allowed=LININGS)
        if self.pins_left_in < 0:
            raise Refusal("count_too_small", ("pins_left_in",), least=0)
        if self.pleats is not None and self.pleats < 0:
            raise Refusal("count_too_small", ("pleats",), least=0)


def pieces_by_number(garments: Sequence[GarmentPiece]) -> dict[int, GarmentPiece]:
    """The garments of an order by number. Raises Refusal `piece_repeated`."""
    pieces: dict[int, GarmentPiece] = {}
    for position, piece in enumerate(garments):
        if piece.piece in pieces:
            raise Refusal("piece_repeated", ("garments", position, "piece"), piece=piece.piece)
        pieces[piece.piece] = piece
    return pieces


def piece_of(pieces: dict[int, GarmentPiece], number: int) -> GarmentPiece:
    """The garment of that number. Raises Refusal `piece_unknown`."""
    found = pieces.get(number)
    if found is None:
        raise Refusal("piece_unknown", ("piece",), piece=number, pieces=[str(known) for known in pieces])
    return found

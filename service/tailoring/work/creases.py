"""Where the creases of trousers run: by their front, their cloth, and what was asked for."""

from __future__ import annotations

from dataclasses import dataclass

from service.tailoring import tables
from service.tailoring.garments.pieces import GarmentPiece, Pattern
from service.tailoring.quantities import Length, inches
from service.tailoring.work.finishing import PILE, is_casual, kind_of, words_of


@dataclass(frozen=True, slots=True)
class Front:
    """What decides the creases of trousers.

    `pleats` are those of a front (0: flat, None: not said), `wanted` whether a crease was asked for or refused (None:
    nobody said), `pile` that no crease can be pressed into the cloth.
    """

    pleats: int | None = None
    casual: bool = False
    wanted: bool | None = None
    pile: bool = False
    pattern: Pattern = "plain"
    turn_up: bool = False

    @property
    def is_creased(self) -> bool:
        """Whether it gets a crease: casual trousers only if it was asked for."""
        if self.pile or self.wanted is False:
            return False
        return not self.casual or self.wanted is True


def front_of(piece: GarmentPiece, *, turn_up: bool) -> Front:
    """The front of trousers as an order describes them: their pleats as counted, or as the words of their style say."""
    return Front(
        pleats=piece.pleats if piece.pleats is not None else _pleats_in(piece.style),
        casual=is_casual(f"{piece.cloth} {piece.style}"),
        wanted=piece.crease,
        pile=kind_of(piece.cloth) in PILE,
        pattern=piece.pattern,
        turn_up=turn_up,
    )


def creases(front: Front, *, unsaid: tuple[str, ...] = ("unsaid",)) -> tuple[str, ...]:
    """The rules for the creases of one front; `unsaid` are those where its pleats are not known."""
    return tuple(row["words"] for row in tables.rows("work/creases") if row["when"] in _wanted(front, unsaid))


def creases_in_short(front: Front) -> tuple[str, ...]:
    """The same rules for who knows them: where this front's creases stop, and what else is special of it."""
    rows = (row for row in tables.rows("work/creases") if row["when"] in _wanted(front, ("unsaid",)))
    return tuple(row["short"] for row in rows if row["short"])


def crease_stop(front: Front) -> Length | None:
    """How far below the band the front crease stops; None where there is none, or it runs into a pleat, or may."""
    if not front.is_creased or front.pleats is None or front.pleats:
        return None
    (below,) = (row["below_band_in"] for row in tables.rows("work/creases") if row["when"] == "flat")
    return Length(inches(float(below)), "in")


def _wanted(front: Front, unsaid: tuple[str, ...]) -> set[str]:
    if front.pile:
        return {"pile"}
    if not front.is_creased:
        return {"none" if front.wanted is False else "casual"}
    fronts = unsaid if front.pleats is None else ("pleated",) if front.pleats else ("flat",)
    found = {"always", *fronts}
    found |= {"turn_up"} if front.turn_up else set()
    return found | ({"patterned"} if front.pattern != "plain" else set())


def _pleats_in(style: str) -> int | None:
    """As many pleats as the words for a style name: one where they name pleats and no number; None where neither."""
    said = words_of(style)
    if any(word.startswith("pleat") for word in said):
        return 1
    return 0 if "flat" in said else None

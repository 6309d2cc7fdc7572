"""Posture and asymmetry, noted as cloth and never as a diagnosis: what they change in a plan and on its ticket.

A side that differs is sewn for itself; a shoulder is padded, a collar set, as far as the alteration goes. What is
beyond that is said.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal, TypeAlias, cast

from service.tailoring import tables
from service.tailoring.garments.alterations import Direction, alteration
from service.tailoring.notices import Notice
from service.tailoring.quantities import Length, inches
from service.tailoring.refusals import Refusal, Where

NoteName: TypeAlias = Literal["low_shoulder", "longer_arm", "longer_leg", "stoop", "erect"]
OneSide: TypeAlias = Literal["left", "right"]

NOTE_NAMES: tuple[NoteName, ...] = ("low_shoulder", "longer_arm", "longer_leg", "stoop", "erect")


@dataclass(frozen=True, slots=True)
class Kind:
    """What a note is about: a place whose sides differ, or an alteration that answers it.

    Of what it is `about` a man has one, or one on each side: a back wants cloth or has some to spare, never both.
    `unseen_mm` is what may be left when the alteration has done what it can: it shows on no garment.
    """

    name: NoteName
    words: str
    about: str
    sided: bool
    garment: str
    place: str
    alteration: str
    direction: Direction | None
    most_mm: float
    unseen_mm: float
    look_at: str
    source: str


@dataclass(frozen=True, slots=True)
class PostureNote:
    """How much cloth a man's posture asks for. `side` is the lower shoulder, the longer arm or leg.

    Raises Refusal `note_unknown`, `side_missing`, `side_not_taken` or `note_beyond_cloth`.
    """

    name: NoteName
    amount: Length
    side: OneSide | None = None

    def __post_init__(self) -> None:
        kind = kinds().get(self.name)
        if kind is None:
            raise Refusal("note_unknown", ("note",), allowed=NOTE_NAMES)
        if kind.sided and self.side is None:
            raise Refusal("side_missing", ("side",), of=self.name, allowed=("left", "right"))
        if not kind.sided and self.side is not None:
            raise Refusal("side_not_taken", ("side",), of=self.name)
        if not 0 < self.amount.mm <= kind.most_mm:
            raise Refusal("note_beyond_cloth", ("amount",), note=self.name, most=Length(kind.most_mm, "in").text)

    @property
    def kind(self) -> Kind:
        """What the note is about."""
        return kinds()[self.name]

    @property
    def sewn_mm(self) -> float:
        """How much of it the alteration can answer; 0 where none does."""
        if not self.kind.alteration or not self.kind.direction:
            return 0.0
        doing = alteration(self.kind.alteration)
        most = doing.increase_most_mm if self.kind.direction == "increase" else doing.decrease_most_mm
        return min(self.amount.mm, most)

    @property
    def aside_mm(self) -> tuple[float, float]:
        """By how much the left and the right side have more spare cloth than their middle, in mm."""
        half = self.amount.mm / 2
        return (-half, half) if self.side == "left" else (half, -half)


@cache
def kinds() -> dict[str, Kind]:
    """Every kind of note by name."""
    return {row["note"]: _kind(row) for row in tables.rows("body/posture")}


def notices(notes: tuple[PostureNote, ...], at: Where = ("posture",)) -> tuple[Notice, ...]:
    """Where to look because of the posture, and what an alteration cannot answer.

    Raises Refusal `note_repeated` where two notes speak of one thing.
    """
    found = []
    said: set[tuple[str, OneSide | None]] = set()
    for i, note in enumerate(notes):
        # Of two arms or legs only one is the longer; both shoulders may be noted.
        about = (note.kind.about, None if note.kind.place else note.side)
        if about in said:
            raise Refusal("note_repeated", (*at, i), note=note.name)
        said.add(about)
        found.append(Notice("posture_look", (*at, i), f"{note.kind.words}: look at {note.kind.look_at}."))
        if note.kind.alteration and note.amount.mm > note.sewn_mm + note.kind.unseen_mm + 0.01:
            words = f"{note.kind.words}: {note.amount.text} is more than can be sewn; try another size or cut."
            found.append(Notice("posture_beyond_cloth", (*at, i), words))
    return tuple(found)


def _kind(row: dict[str, str]) -> Kind:
    return Kind(
        name=cast("NoteName", row["note"]),
        words=row["words"],
        about=row["about"],
        sided=row["sided"] == "yes",
        garment=row["garment"],
        place=row["place"],
        alteration=row["alteration"],
        direction=cast("Direction", row["direction"]) if row["direction"] else None,
        most_mm=inches(float(row["most_in"])),
        unseen_mm=inches(float(row["unseen_in"])),
        look_at=row["look_at"],
        source=row["source"],
    )

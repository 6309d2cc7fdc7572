"""What the customer had on at the fitting, and what of it will be another when the suit is worn.

Shoes and what holds the trousers up move where a leg ends; collar and cuff of the shirt move how much linen is right;
a full pocket pulls, and pretends faults. Figures are in tables: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import Literal, NamedTuple, TypeAlias

from service.tailoring import tables
from service.tailoring.hems.breaks import BIT_MM, check_quantity, typical
from service.tailoring.quantities import Length, inches
from service.tailoring.refusals import Refusal

Shoes: TypeAlias = Literal["own", "lent"]
Collar: TypeAlias = Literal["usual", "high", "low", "none"]
Cuff: TypeAlias = Literal["single", "double", "none"]
Pockets: TypeAlias = Literal["empty", "full"]
HeldUpBy: TypeAlias = Literal["belt", "braces", "neither"]

SHOES: tuple[Shoes, ...] = ("own", "lent")
COLLARS: tuple[Collar, ...] = ("usual", "high", "low", "none")
CUFFS: tuple[Cuff, ...] = ("single", "double", "none")
POCKETS: tuple[Pockets, ...] = ("empty", "full")
HELD_UP_BY: tuple[HeldUpBy, ...] = ("belt", "braces", "neither")

# Points of the leg at the shoe, and whether more of what is read there is a longer leg.
AT_THE_SHOE = {"trouser_break": 1, "trouser_back_hem": -1}
HALF_HEIGHT = "jacket_half_height"
BAND = "trouser_waist"


# What a leg is pinned over, and what holds it up: of either nothing stays when it is another.
_PINNED_OVER = (("heel", "shoes", "own_heel"), ("held_up_by", "to_be_held_up_by"))


@dataclass(frozen=True, slots=True)
class Dressed:
    """What was worn at the fitting; of what is None nobody said anything.

    `heel` is that of the shoes at the fitting, `own_heel` that of the customer's own, where those were lent.
    `held_up_by` is what held the trousers up, `to_be_held_up_by` what will when they are worn (None: the same).
    Raises Refusal `own_heel_not_lent` or `hem_quantity_outside`, pointing at the part.
    """

    heel: Length | None = None
    shoes: Shoes | None = None
    own_heel: Length | None = None
    shirt_collar: Collar | None = None
    shirt_cuff: Cuff | None = None
    pockets: Pockets | None = None
    held_up_by: HeldUpBy | None = None
    to_be_held_up_by: HeldUpBy | None = None

    def __post_init__(self) -> None:
        check_quantity("heel", self.heel, "heel")
        check_quantity("heel", self.own_heel, "own_heel")
        if self.own_heel is not None and self.shoes != "lent":
            raise Refusal("own_heel_not_lent", ("own_heel",))

    @property
    def worn_heel(self) -> Length | None:
        """The heel of the shoes that the suit will be worn with, where that is known."""
        return self.own_heel if self.shoes == "lent" else self.heel

    @property
    def worn_held_up_by(self) -> HeldUpBy | None:
        """What will hold the trousers up when they are worn."""
        return self.to_be_held_up_by or self.held_up_by

    @property
    def fork_gap(self) -> Length:
        """How far the fork hangs below the body: as usual, less what holds it up higher."""
        by = self.worn_held_up_by
        return Length(typical("fork_gap").mm - (held_up()[by][0] if by else 0.0), "in")

    @property
    def rises_mm(self) -> float:
        """By how much higher the trousers will sit when they are worn than they did at the fitting."""
        if self.held_up_by is None or self.to_be_held_up_by is None:
            return 0.0
        return held_up()[self.to_be_held_up_by][0] - held_up()[self.held_up_by][0]

    @property
    def lifted_mm(self) -> float:
        """By how much higher their own shoes will lift them than those of the fitting did."""
        return self.own_heel.mm - self.heel.mm if self.own_heel and self.heel else 0.0

    @property
    def longer_mm(self) -> float:
        """By how much longer a leg must be than one that was right at the fitting: higher shoes, a higher seat."""
        return self.rises_mm + self.lifted_mm

    @property
    def is_heel_unknown(self) -> bool:
        """Whether their own shoes may lift them by any amount: lent ones were worn, and a heel was not said."""
        return self.shoes == "lent" and not (self.own_heel and self.heel)

    @property
    def doubts_of_legs(self) -> tuple[str, ...]:
        """What makes a pin of this fitting doubtful, in words."""
        found = []
        if self.is_heel_unknown:
            found.append("pinned in lent shoes: ask for the heel of their own")
        elif abs(self.lifted_mm) > BIT_MM and self.heel and self.own_heel:
            found.append(f"pinned in lent shoes, heel {self.heel.text}; their own {self.own_heel.text}")
        if abs(self.rises_mm) > BIT_MM and self.held_up_by and self.to_be_held_up_by:
            now, worn = (held_up()[by][1] for by in (self.held_up_by, self.to_be_held_up_by))
            found.append(f"pinned {now}, to be worn {worn}")
        return tuple(found)

    def pinned_again(self, later: Dressed) -> Dressed:
        """The same, where the legs were pinned once more over other shoes, or held up by another thing.

        Who says other shoes says nothing of the belt, and the other way round; of other shoes nothing stays.
        """
        said = [part for part in _PINNED_OVER if any(getattr(later, name) is not None for name in part)]
        return replace(self, **{name: getattr(later, name) for part in said for name in part})

    def words(self, garment: str) -> str:
        """As a paper says it of one garment: "lent shoes, heel 1 in; on braces"."""
        if garment == "trousers":
            shoes = f"{self.shoes or 'own'} shoes" if self.shoes or self.heel else ""
            heel = f", heel {self.heel.text}" if self.heel else ""
            own = f" (own: heel {self.own_heel.text})" if self.own_heel else ""
            held = held_up()[self.held_up_by][1] if self.held_up_by else ""
            worn = self.to_be_held_up_by
            later = f"to be worn {held_up()[worn][1]}" if worn and worn != self.held_up_by else ""
            parts = [f"{shoes}{heel}{own}", held, later]
        elif garment == "jacket":
            collar = f"{'no' if self.shirt_collar == 'none' else self.shirt_collar} shirt collar"
            cuff = f"{'no' if self.shirt_cuff == 'none' else self.shirt_cuff} cuff"
            parts = [collar if self.shirt_collar else "", cuff if self.shirt_cuff else ""]
        else:
            parts = []
        return "; ".join(each for each in [*parts, "pockets full" if self.pockets == "full" else ""] if each)

    def shifts(self) -> dict[str, float]:
        """By how much (mm) what is right at a fit point is another, for what was worn, by point."""
        found = {point: mm for part, worn, point, mm in _shifts() if self._worn(part) == worn}
        # The half is of their height in shoes: each inch of heel lowers it by half an inch, and the jacket stays.
        if self.heel:
            found[HALF_HEIGHT] = (typical("heel").mm - self.heel.mm) / 2
        if self.longer_mm:
            found |= {point: way * self.longer_mm for point, way in AT_THE_SHOE.items()}
        return {point: mm for point, mm in found.items() if abs(mm) > BIT_MM}

    @property
    def band_more_mm(self) -> float:
        """By how much more room in the trousers' band than the usual is right, for what will hold them up."""
        return self.shifts().get(BAND, 0.0)

    def doubt_of(self, point: str, verdict: str | None, *, measured: bool) -> str | None:
        """Why a fault at a point is not to be believed over what was worn; None where it is.

        What was `measured` at the shoe is reckoned for the shoes and the seat of later; a look tells no amount.
        """
        if verdict in ("right", None):
            return None
        if point in AT_THE_SHOE and self.doubts_of_legs and (self.is_heel_unknown or not measured):
            return f"{self.doubts_of_legs[0]}; look again as they will be worn"
        for part, worn, there, of in _doubts():
            if there == point and self._worn(part) == worn and of.verdict in ("", verdict):
                return of.words
        return None

    def _worn(self, part: str) -> str | None:
        worn: str | None = self.worn_held_up_by if part == "to_be_held_up_by" else getattr(self, part)
        return worn


# Nothing was said of it.
AS_USUAL = Dressed()


class _Doubt(NamedTuple):
    verdict: str
    words: str


@cache
def _shifts() -> tuple[tuple[str, str, str, float], ...]:
    rows = tables.rows("hems/dressed_shifts")
    return tuple((row["part"], row["worn"], row["point"], inches(float(row["shift_in"]))) for row in rows)


@cache
def _doubts() -> tuple[tuple[str, str, str, _Doubt], ...]:
    rows = tables.rows("hems/dressed_doubts")
    return tuple((row["part"], row["worn"], row["point"], _Doubt(row["verdict"], row["words"])) for row in rows)


@cache
def held_up() -> dict[str, tuple[float, str]]:
    """By how much higher trousers sit (mm) than on a belt, and in words, by what holds them up."""
    rows = tables.rows("hems/held_up")
    return {row["held_up_by"]: (inches(float(row["sits_higher_in"])), row["words"]) for row in rows}

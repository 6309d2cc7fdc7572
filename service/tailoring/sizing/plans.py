"""A plan: a jacket, trousers, and the alterations that make them fit, with the reasons place by place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, NamedTuple, TypeAlias

from service.tailoring.garments.alterations import alteration
from service.tailoring.garments.amounts import Amount
from service.tailoring.garments.charts import SIZED_BY, ChartSize, Garment
from service.tailoring.garments.places import Verdict
from service.tailoring.notices import Notice
from service.tailoring.quantities import inches
from service.tailoring.sizing.shares import Shares
from service.tailoring.work.prices import Money

# Whether a size can be made to fit: it can; it is as likely that it cannot, or a place was not judged; it cannot.
Serves: TypeAlias = Literal["yes", "doubtful", "no"]
SERVES: tuple[Serves, ...] = ("yes", "doubtful", "no")
# More likely than not (common practice, no source).
LIKELY = 0.5
# A garment is sized by a girth that is known within this, an SD: a size or two (common practice, no source).
SIZED_MM = inches(2)


@dataclass(frozen=True, slots=True)
class PlannedAlteration:
    """What is to be altered, how much, and for how long and how much money.

    `seen`: somebody taped or looked there; else it is reckoned from the rest of him and looked at before it is sewn.
    `amount` is None where the alteration takes none. `arithmetic` is how what was seen comes to the amount, in words.
    `place` is the place of the garment that it brings right, empty where it answers the posture or a cause.
    """

    garment: Garment
    code: str
    amount: Amount | None
    minutes: int
    price: Money
    seen: bool = True
    arithmetic: str = ""
    place: str = ""

    @property
    def subject_to_inlay(self) -> bool:
        """Cloth is let out that nobody has seen yet."""
        lets_out = self.amount is not None and self.amount.direction == "increase"
        return lets_out and alteration(self.code).from_inlay


class PlaceReport(NamedTuple):
    """Why: the body and its SD, the garment, the ease between them against the ideal, and what follows (mm).

    `tolerance_mm` bounds the residual, which is ease less ideal ease. The leg of uncut trousers is judged by
    the hem it needs: its tolerance is from the least cloth to be kept to the most that is hemmed away. `misfit`:
    no alteration of this size brings it right, expected as he is; `p_misfit`: how likely that is.
    """

    garment: Garment
    place: str
    dimension: str
    body_mm: float
    sd_mm: float
    garment_mm: float
    ease_mm: float
    ideal_ease_mm: float
    tolerance_mm: tuple[float, float]
    residual_mm: float
    verdict: Verdict
    alteration: str | None
    misfit: bool
    seen: bool
    p_misfit: float = 0.0


@dataclass(frozen=True, slots=True)
class Unjudged:
    """A place of a chosen garment that was not judged, for nothing is known of its dimension."""

    garment: Garment
    place: str
    dimension: str


@dataclass(frozen=True, slots=True)
class Plan:
    """A size of each garment asked for, and what makes it fit.

    `shares` are of all garments together, `garment_shares` of each by itself; none in what was recorded before.
    """

    chosen: Mapping[Garment, ChartSize]
    alterations: tuple[PlannedAlteration, ...]
    expected_cost: Money
    shares: Shares
    places: tuple[PlaceReport, ...]
    unjudged: tuple[Unjudged, ...] = ()
    garment_shares: Mapping[Garment, Shares] = field(default_factory=dict)

    @property
    def beyond(self) -> tuple[PlaceReport, ...]:
        """The places that stay wrong on it, expected or more likely than not, whatever is sewn.

        None of a garment whose own girth is hardly known: that wants a tape first, and says nothing of the sizes.
        """
        unsized = {
            each.garment for each in self.places if each.place == SIZED_BY[each.garment] and each.sd_mm > SIZED_MM
        }
        amiss = (each for each in self.places if each.misfit or each.p_misfit > LIKELY)
        return tuple(each for each in amiss if each.garment not in unsized)

    @property
    def serves(self) -> Serves:
        """Whether it can be made to fit: as its worst garment can.

        A fitter brings a jacket and trousers and judges each. That both are right at once is rarer than either, and is
        a share of its own; it makes no doubt of two garments of which neither is in doubt.
        """
        return max((self.serves_of(garment) for garment in self.chosen), key=SERVES.index)

    def serves_of(self, garment: Garment) -> Serves:
        """The same of one garment: no place is beyond cure, each was judged, and all are likely right at once."""
        if any(each.garment == garment for each in self.beyond):
            return "no"
        unjudged = any(each.garment == garment for each in self.unjudged)
        shares = self.garment_shares.get(garment, self.shares)
        return "doubtful" if unjudged or shares.p_fits_after_alteration < LIKELY else "yes"

    @property
    def minutes(self) -> int:
        """Bench minutes of all its alterations."""
        return sum(each.minutes for each in self.alterations)

    @property
    def notices(self) -> tuple[Notice, ...]:
        """What stays wrong on it, whatever is sewn."""
        return tuple(
            Notice(
                "misfit_remains",
                (),
                f"{each.garment}, {each.place.replace('_', ' ')}: {words}, and no alteration cures it.",
            )
            for each in self.beyond
            if each.misfit
            for words in (each.verdict.replace("_", " "),)
        )

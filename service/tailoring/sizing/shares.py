"""In what share of the bodies that he may have a plan is best, needs no needle, or fits once altered.

One fixed set of quasi-random bodies is counted, so that the same question always has the same answer.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias, cast

import numpy as np

from service.tailoring.body.draws import drawn
from service.tailoring.garments.charts import SUIT, Garment
from service.tailoring.sizing.costing import Array, SingleArray

if TYPE_CHECKING:
    from collections.abc import Sequence

    from service.tailoring.body.population import Belief
    from service.tailoring.sizing.sizing import Bay, Rack

# The position in the bay's chart of each garment's size.
Sizes: TypeAlias = dict[Garment, int]

# Costs nearer than a hundredth of a minor unit are one cost.
ALIKE_MINOR = 0.01


@dataclass(frozen=True, slots=True)
class Shares:
    """In what share of the fixed draws of his body the plan is best, needs no needle, or fits once altered."""

    p_best: float
    p_no_alteration: float
    p_fits_after_alteration: float


class Counted:
    """Plans on fixed bodies of one belief, against everything that the bays offer."""

    def __init__(self, belief: Belief, bays: Sequence[Bay]) -> None:
        racks = [rack for bay in bays for rack in bay.racks.values()]
        used = {rack.costing.places[i].dimension for rack in racks for i in rack.at}
        names = [name for name in belief.names if name in used]
        bodies, counts = drawn(belief, names)
        self._points = len(counts)
        self._weights = counts / counts.sum()
        self._bodies = dict(zip(names, bodies, strict=True))
        self._needs: dict[int, Array] = {}
        self._costs: dict[int, SingleArray] = {}
        self._least = np.min([self._least_of(bay) for bay in bays], axis=0)

    def shares(self, plans: Sequence[tuple[Bay, Sizes]]) -> list[Shares]:
        """The shares of plans, each of one bay."""
        found: dict[int, Shares] = {}
        for bay in {id(bay): bay for bay, _ in plans}.values():
            at = [i for i, (its, _) in enumerate(plans) if its is bay]
            found |= zip(at, self._shares(bay, [plans[i][1] for i in at]), strict=True)
        return [found[i] for i in range(len(plans))]

    def _shares(self, bay: Bay, plans: list[Sizes]) -> list[Shares]:
        total: SingleArray = np.zeros((len(plans), self._points), dtype=np.float32)
        bare = fits = np.ones(total.shape, dtype=np.bool_)
        # In the order in which the least cost is added up: the same sum is then the same to the last bit.
        for garment, rack in bay.racks.items():
            sizes = [plan[garment] for plan in plans]
            total += self._costed(rack)[sizes]
            residual = rack.costing.spare_mm[np.ix_(sizes, rack.at)].T[:, :, None] - self._needed(rack)[:, None, :]
            bare = bare & rack.costing.untouched(residual, rack.at)
            fits = fits & rack.costing.curable(residual, rack.at)
        counted = np.stack([total <= self._least + ALIKE_MINOR, bare, fits], axis=1) @ self._weights
        return [Shares(*(round(share, 4) for share in plan)) for plan in counted.tolist()]

    def _least_of(self, bay: Bay) -> Array:
        """The least true cost [bodies] of what this bay offers."""
        if not np.isfinite(bay.pairs).any():
            return np.full(self._points, np.inf)
        offered = {garment: self._offered(rack) for garment, rack in bay.racks.items()}
        if bay.axes == SUIT and bay.chart.sold == "pairs":
            rows, columns = np.nonzero(np.isfinite(bay.pairs))
            jackets, trousers = (offered.pop(garment) for garment in bay.axes)
            offered["jacket"] = jackets[rows] + trousers[columns]
        return cast("Array", sum(each.min(axis=0) for each in offered.values()))

    def _offered(self, rack: Rack) -> SingleArray:
        costs = self._costed(rack)
        return costs if len(rack.sizes) == len(costs) else costs[rack.sizes]

    def _costed(self, rack: Rack) -> SingleArray:
        """The cost of every size of the chart on each body [sizes, bodies]; reckoned once a garment's arrays."""
        kept = self._costs.get(id(rack.costing))
        if kept is None:
            kept = self._costs[id(rack.costing)] = rack.costing.rounded(self._needed(rack), rack.at)
        return kept

    def _needed(self, rack: Rack) -> Array:
        """What the rack's garment should measure, less ideal ease, on each body [places, bodies] (mm)."""
        kept = self._needs.get(id(rack.costing))
        if kept is None:
            places = (rack.costing.places[i] for i in rack.at)
            kept = np.array([self._bodies[place.dimension] * place.share for place in places])
            self._needs[id(rack.costing)] = kept
        return kept

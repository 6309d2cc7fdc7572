"""Which measure to take next: the one whose answer is expected to save the most."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, cast

import numpy as np

from service.tailoring.money import Money
from service.tailoring.readings import dimensions, tape_sd
from service.tailoring.sizing import missing, needs

if TYPE_CHECKING:
    from service.tailoring.body import Body
    from service.tailoring.fit import Array
    from service.tailoring.population import Belief
    from service.tailoring.sizing import Bay, Question

# Five points of Gauss and Hermite carry the predictive of one reading.
NODES, WEIGHTS = np.polynomial.hermite_e.hermegauss(5)
# A gain below this share of a plain hem is not worth asking for.
WORTH_ASKING_HEMS = 0.02


@dataclass(frozen=True, slots=True)
class NextMeasure:
    """A dimension not yet read, and how much taping it now lowers the expected cost of the best plan."""

    dimension: str
    gain: Money


def next_measures(body: Body, question: Question, bays: list[Bay]) -> tuple[NextMeasure, ...]:
    """Dimensions worth taping, the most valuable first; empty when none pays.

    Outside the model nothing is predicted, so no gain can be stated: what is missing to choose a size is named
    with a gain of zero.
    """
    currency = question.prices.currency
    if body.outside:
        wanted = (name for garment in question.garments for name in missing(body, garment))
        return tuple(NextMeasure(name, Money(0, currency)) for name in wanted)
    open_bays = [bay for bay in bays if np.isfinite(bay.pairs).any()]
    unread = [name for name in dimensions() if name not in body.belief.read]
    if not open_bays or not unread:
        return ()
    gains = _saved(body.belief, open_bays, unread)
    least = WORTH_ASKING_HEMS * question.prices.plain_hem_minor
    found = [
        NextMeasure(name, Money(round(gain), currency))
        for name, gain in zip(unread, gains.tolist(), strict=True)
        if gain >= least
    ]
    return tuple(sorted(found, key=lambda each: (-each.gain.minor, each.dimension)))


def _saved(belief: Belief, bays: list[Bay], unread: list[str]) -> Array:
    """What the best plan [N] is expected to save on today's once each of N dimensions has been taped.

    Both are judged on the same answers of the tape: what no answer changes cancels out, so that few nodes are
    enough, no gain is negative, and a measure that cannot change the choice gains nothing.
    """
    at = [belief.index(name) for name in unread]
    error = np.array(
        [tape_sd(n) / belief.median(n) if belief.logs[i] else tape_sd(n) for n, i in zip(unread, at, strict=True)]
    )
    spread = belief.cov[at, at] + error**2
    gain = belief.cov[at] / spread[:, None]
    variance = np.diag(belief.cov) - gain * belief.cov[at]
    mean = belief.mean + (gain * np.sqrt(spread)[:, None])[:, None, :] * NODES[:, None]
    costs = [_costs(belief, mean, variance[:, None, :], bay) for bay in bays]
    least = np.min([_least(bay, each) for bay, each in zip(bays, costs, strict=True)], axis=0)
    today = min(range(len(bays)), key=lambda b: float(bays[b].pairs.min()))
    return np.asarray((_kept(bays[today], costs[today]) - least) @ WEIGHTS / WEIGHTS.sum())


def _costs(belief: Belief, mean: Array, variance: Array, bay: Bay) -> list[Array | None]:
    """The expected cost [N, nodes, sizes] of what is on each of the bay's racks, were the belief's moments these."""
    each: list[Array | None] = []
    for rack in bay.racks:
        if rack is None:
            each.append(None)
            continue
        need, sd = needs(belief, rack.costing, rack.at, mean, variance)
        each.append(rack.costing.expected(need, sd, rack.at).sum(axis=-1)[..., rack.sizes])
    return each


def _least(bay: Bay, costs: list[Array | None]) -> Array:
    """The cost [N, nodes] of the bay's best pair."""
    each = [cost for cost in costs if cost is not None]
    if len(each) == len(bay.racks) and bay.chart.sold == "pairs":
        pairs = np.where(np.isfinite(bay.pairs), each[0][..., :, None] + each[1][..., None, :], np.inf)
        each = [pairs.reshape(*pairs.shape[:-2], -1)]
    return cast("Array", sum(cost.min(axis=-1) for cost in each))


def _kept(bay: Bay, costs: list[Array | None]) -> Array:
    """The cost [N, nodes] of the pair that is the bay's best today."""
    today = np.unravel_index(int(bay.pairs.argmin()), bay.pairs.shape)
    return cast("Array", sum(cost[..., at] for cost, at in zip(costs, today, strict=True) if cost is not None))

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
    now = min(float(bay.pairs.min()) for bay in open_bays)
    gains = now - _after(body.belief, open_bays, unread)
    least = WORTH_ASKING_HEMS * question.prices.plain_hem_minor
    found = [
        NextMeasure(name, Money(round(gain), currency))
        for name, gain in zip(unread, gains.tolist(), strict=True)
        if gain >= least
    ]
    return tuple(sorted(found, key=lambda each: (-each.gain.minor, each.dimension)))


def _after(belief: Belief, bays: list[Bay], unread: list[str]) -> Array:
    """The expected cost [N] of the best plan once each of N dimensions has been taped, over what the tape may say."""
    at = [belief.index(name) for name in unread]
    error = np.array(
        [tape_sd(n) / belief.median(n) if belief.logs[i] else tape_sd(n) for n, i in zip(unread, at, strict=True)]
    )
    spread = belief.cov[at, at] + error**2
    gain = belief.cov[at] / spread[:, None]
    variance = np.diag(belief.cov) - gain * belief.cov[at]
    mean = belief.mean + (gain * np.sqrt(spread)[:, None])[:, None, :] * NODES[:, None]
    least = np.min([_least(belief, mean, variance[:, None, :], bay) for bay in bays], axis=0)
    return np.asarray(least @ WEIGHTS / WEIGHTS.sum())


def _least(belief: Belief, mean: Array, variance: Array, bay: Bay) -> Array:
    """The expected cost [N, nodes] of the bay's best pair, were the belief's moments these."""
    each: list[Array] = []
    for rack in bay.racks:
        if rack:
            need, sd = needs(belief, rack.costing, rack.at, mean, variance)
            each.append(rack.costing.expected(need, sd, rack.at).sum(axis=-1)[..., rack.sizes])
    if len(each) == len(bay.racks) and bay.chart.sold == "pairs":
        sold = np.isfinite(bay.pairs)
        pairs = np.where(sold, each[0][..., :, None] + each[1][..., None, :], np.inf)
        each = [pairs.reshape(*pairs.shape[:-2], -1)]
    return cast("Array", sum(cost.min(axis=-1) for cost in each))

"""Which measure to take next: the one whose answer is expected to save the most."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from service.tailoring.arrays import Array, Indices
from service.tailoring.body.body import Body
from service.tailoring.body.population import Belief
from service.tailoring.body.readings import dimensions, tape_sd
from service.tailoring.garments.places import places
from service.tailoring.quantities import inches
from service.tailoring.sizing.offers import ChartOffer, GarmentOffer, Question, missing, wanted_mm
from service.tailoring.sizing.shares import least_of_pairs
from service.tailoring.work.prices import Money

# Points of Gauss and Hermite carry the predictive of one reading: seven where the size is nearly known. Where it is
# not, so few stand about a size apart and would meet every size at the same place: eleven do not.
FEW, MANY = np.polynomial.hermite_e.hermegauss(7), np.polynomial.hermite_e.hermegauss(11)
# Where a garment's first place is known to within an inch, no tape brings more than its best dozen sizes to the top.
SHORTLIST = 12
KNOWN_SD_MM = inches(1)
# Where the body is not known any size may come to the top: of a chart with more, this many spread over it are weighed.
# They name the same measures first, each for a little less.
SPREAD_OVER = 48
# A gain below this share of a plain hem is not worth asking for.
WORTH_ASKING_HEMS = 0.02


@dataclass(frozen=True, slots=True)
class NextMeasure:
    """A dimension not yet read, and how much taping it now lowers the expected cost of the best plan."""

    dimension: str
    gain: Money


def next_measures(body: Body, question: Question, offers: Sequence[ChartOffer]) -> tuple[NextMeasure, ...]:
    """Dimensions worth taping, the most valuable first; empty when none pays.

    Outside the model nothing is predicted, so no gain can be stated: what is missing to choose a size is named
    with a gain of zero, and then what is missing to judge it.
    """
    currency = question.prices.currency
    if body.outside:
        wanted = dict.fromkeys(name for garment in question.garments for name in missing(body, garment))
        wanted |= dict.fromkeys(name for name in _judged_by(question) if not body.knows(name))
        return tuple(NextMeasure(name, Money(0, currency)) for name in wanted)
    open_offers = [offer for offer in offers if np.isfinite(offer.pairs).any()]
    unread = [name for name in dimensions() if name not in body.belief.read]
    if not open_offers or not unread:
        return ()
    gains = _saved(body.belief, open_offers, unread)
    least = WORTH_ASKING_HEMS * question.prices.plain_hem_minor
    found = [
        NextMeasure(name, Money(round(gain), currency))
        for name, gain in zip(unread, gains.tolist(), strict=True)
        if gain >= least
    ]
    return tuple(sorted(found, key=lambda each: (-each.gain.minor, each.dimension)))


def _judged_by(question: Question) -> list[str]:
    """The dimensions by which the garments of the charts are judged, in the order of their places."""
    return [
        place.dimension
        for garment in question.garments
        for place in places(garment)
        if any(size.mm(place.name) is not None for chart in question.charts for size in chart.sizes[garment][:1])
    ]


def _saved(belief: Belief, offers: list[ChartOffer], unread: list[str]) -> Array:
    """What the best plan [N] is expected to save on today's once each of N dimensions has been taped.

    Both are judged on the same answers of the tape: what no answer changes cancels out, so that few nodes are
    enough, no gain is negative, and a measure that cannot change the choice gains nothing.
    """
    known = all(_is_known(garment_offer, belief) for offer in offers for garment_offer in offer.garment_offers.values())
    nodes, weights = FEW if known else MANY
    at = [belief.index(name) for name in unread]
    error = np.array(
        [tape_sd(n) / belief.median(n) if belief.logs[i] else tape_sd(n) for n, i in zip(unread, at, strict=True)]
    )
    spread = belief.cov[at, at] + error**2
    gain = belief.cov[at] / spread[:, None]
    variance = np.diag(belief.cov) - gain * belief.cov[at]
    mean = belief.mean + (gain * np.sqrt(spread)[:, None])[:, None, :] * nodes[:, None]
    today = min(range(len(offers)), key=lambda b: float(offers[b].pairs.min()))
    shortlists = [_Shortlist(offer, belief) for offer in offers]
    costs = [each.costs(belief, mean, variance[:, None, :]) for each in shortlists]
    least = np.min([cost for cost, _ in costs], axis=0)
    return np.asarray((costs[today][1] - least) @ weights / weights.sum())


class _Shortlist:
    """The sizes of an offer that a tape may still bring to the top, and the pairs of them that are sold."""

    def __init__(self, offer: ChartOffer, belief: Belief) -> None:
        self._offer = offer
        best = dict(zip(offer.axes, divmod(int(offer.pairs.argmin()), offer.pairs.shape[1]), strict=False))
        self._kept = {
            garment: _worth_keeping(garment_offer, belief, best.get(garment))
            for garment, garment_offer in offer.garment_offers.items()
        }
        if not np.isfinite(offer.pairs).all():
            # Sold in pairs, the best need not be made of what is best apart.
            together = np.divmod(np.argsort(offer.pairs, axis=None, kind="stable")[:SHORTLIST], offer.pairs.shape[1])
            for garment, at in zip(offer.axes, together, strict=False):
                self._kept[garment] = np.union1d(self._kept[garment], at)
        on_axes = [self._kept[garment] for garment in offer.axes]
        pairs = offer.pairs[np.ix_(*on_axes, *[np.array([0])] * (2 - len(on_axes)))]
        self._sold = np.isfinite(pairs)
        self._best = divmod(int(pairs.argmin()), pairs.shape[1])

    def costs(self, belief: Belief, mean: Array, variance: Array) -> tuple[Array, Array]:
        """Expected costs [...], were the belief's moments these [..., dimensions]: the least, and today's best pair's.

        Pairs by the thousand are never spelt out: a chart has ten thousand of them, the moments are hundreds.
        """
        axes, beside = [], []
        for garment, garment_offer in self._offer.garment_offers.items():
            need, sd = wanted_mm(belief, garment_offer.costing, garment_offer.at, mean, variance)
            cost = garment_offer.costing.expected(
                need, sd, garment_offer.at, [garment_offer.sizes[i] for i in self._kept[garment]]
            )
            if garment in self._offer.axes:
                axes.append(np.moveaxis(cost, -1, 0))
            else:
                beside.append(cost.min(axis=-1))  # what goes beside a pair goes in its best size
        rows, columns = axes if len(axes) > 1 else (axes[0], np.zeros((1, *axes[0].shape[1:])))
        row, column = self._best
        least = least_of_pairs(rows, columns, self._sold)
        return np.asarray(sum(beside, least)), np.asarray(sum(beside, rows[row] + columns[column]))


def _worth_keeping(garment_offer: GarmentOffer, belief: Belief, best: int | None) -> Indices:
    """The positions on the rack that stay in play; `best` is that of today's best pair."""
    count = len(garment_offer.sizes)
    if _is_known(garment_offer, belief):
        return np.sort(np.argsort(garment_offer.expected, kind="stable")[:SHORTLIST])
    if count <= SPREAD_OVER:
        return np.arange(count)
    spread = np.linspace(0, count - 1, SPREAD_OVER).round().astype(np.intp)
    return np.union1d(spread, [int(garment_offer.expected.argmin()) if best is None else best])


def _is_known(garment_offer: GarmentOffer, belief: Belief) -> bool:
    """Whether the garment's first place is known to within an inch."""
    return belief.sd(garment_offer.costing.places[garment_offer.at[0]].dimension) < KNOWN_SD_MM

"""Which measure to take next: the one whose answer is expected to save the most."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce
from typing import TypeAlias

import numpy as np

from service.tailoring.arrays import Array, Indices
from service.tailoring.body.body import Body
from service.tailoring.body.population import Belief, Moments
from service.tailoring.body.readings import dimensions, tape_sd
from service.tailoring.garments.charts import Garment
from service.tailoring.garments.places import places
from service.tailoring.quantities import inches
from service.tailoring.sizing.costing import Costing
from service.tailoring.sizing.drawn_bodies import DrawnBodies, dimensions_judged
from service.tailoring.sizing.offers import ChartOffer, GarmentOffer, Question, missing, wanted_mm, without_swaps
from service.tailoring.sizing.reach import least_of_pairs
from service.tailoring.sizing.shares import ShareCount
from service.tailoring.work.prices import Money

# Points of Gauss and Hermite carry the predictive of one reading: seven where the size is nearly known. Where it is
# not, so few stand about a size apart and would meet every size at the same place: eleven do not.
FEW, MANY = np.polynomial.hermite_e.hermegauss(7), np.polynomial.hermite_e.hermegauss(11)
# What is best on such a share of the bodies that he may have is all that a tape may bring to the top. So many of them
# are drawn where shares were not counted anyhow.
LEAST_SHARE, BODIES = 1 / 64, 128
# Of suits that are sold in pairs, so many of the cheapest stay in play as well.
PAIRS = 12
# Where a garment's first place is known to within an inch.
KNOWN_SD_MM = inches(1)
# A gain below this share of a plain hem is not worth asking for.
WORTH_ASKING_HEMS = 0.02


@dataclass(frozen=True, slots=True)
class NextMeasure:
    """A dimension not yet read, and how much taping it now lowers the expected cost of the best plan."""

    dimension: str
    gain: Money


def next_measures(
    body: Body, question: Question, offers: Sequence[ChartOffer], count: ShareCount | None = None
) -> tuple[NextMeasure, ...]:
    """Dimensions worth taping, the most valuable first; empty when none pays.

    `count` are shares that were counted of these offers, if they were.
    Outside the model nothing is predicted, so no gain can be stated: what is missing to choose a size is named
    with a gain of zero, and then what is missing to judge it.
    """
    currency = question.prices.currency
    if body.outside:
        wanted = dict.fromkeys(name for garment in question.garments for name in missing(body, garment))
        wanted |= dict.fromkeys(name for name in _judged_by(question) if not body.knows(name))
        return tuple(NextMeasure(name, Money(0, currency)) for name in wanted)
    # A tape is worth what it saves whoever is sold the first size: what a look would save as well is not for nothing.
    open_offers = [offer for offer in without_swaps(offers) if offer.is_open]
    unread = [name for name in dimensions() if name not in body.belief.read]
    if not open_offers or not unread:
        return ()
    gains = _saved(body.belief, open_offers, unread, count or _counted(body, open_offers))
    least = WORTH_ASKING_HEMS * question.prices.plain_hem_minor
    found = [
        NextMeasure(name, Money(round(gain), currency))
        for name, gain in zip(unread, gains.tolist(), strict=True)
        if gain >= least
    ]
    return tuple(sorted(found, key=lambda each: (-each.gain.minor, each.dimension)))


def _counted(body: Body, offers: list[ChartOffer]) -> ShareCount:
    judged = dimensions_judged(offers)
    names = [name for name in body.belief.names if name in judged]
    return ShareCount(DrawnBodies(body.belief, names, body.shown_mm, BODIES), offers)


def _judged_by(question: Question) -> list[str]:
    """The dimensions by which the garments of the charts are judged, in the order of their places."""
    return [
        place.dimension
        for garment in question.garments
        for place in places(garment)
        if any(size.mm(place.name) is not None for chart in question.charts for size in chart.sizes[garment][:1])
    ]


def _saved(belief: Belief, offers: list[ChartOffer], unread: list[str], count: ShareCount) -> Array:
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
    today = min(range(len(offers)), key=lambda b: offers[b].best[0])
    kept = _in_play(count, offers, today)
    costs = _costs(belief, offers, kept, Moments.of(belief.logs, mean, variance[:, None, :]))
    least = np.min([each for each, _ in costs.values()], axis=0)
    return np.asarray((costs[today][1] - least) @ weights / weights.sum())


# Of an offer, by its number, the positions on the rack of each garment.
_Kept: TypeAlias = dict[int, dict[Garment, Indices]]


def _in_play(count: ShareCount, offers: list[ChartOffer], today: int) -> _Kept:
    """The sizes that are best on some bodies that he may have, and today's best; charts that are best on none left out.

    Pairs by the thousand are never spelt out: a chart has ten thousand of them, the moments are hundreds.
    """
    kept: _Kept = {}
    in_play = count.in_play(LEAST_SHARE)
    for b, offer in enumerate(offers):
        racks = in_play.get(b, {})
        if not any(len(at) for at in racks.values()) and b != today:
            continue
        best = dict(zip(offer.axes, offer.best[1:], strict=False))
        pairs = offer.cheapest(PAIRS) if offer.sold is not None else []
        # Of many that are all but alike each may be best on too few to be in play.
        kept[b] = {garment: at for garment, at in racks.items() if len(at)}
        for axis, garment in enumerate(offer.axes):
            also = {best[garment], *(pair[1 + axis] for pair in pairs)}
            kept[b][garment] = np.array(sorted(also.union(racks.get(garment, np.arange(0)).tolist())))
        for garment in offer.garment_offers.keys() - kept[b].keys():
            kept[b][garment] = np.array([int(offer.garment_offers[garment].expected.argmin())])
    return kept


def _costs(belief: Belief, offers: list[ChartOffer], kept: _Kept, moments: Moments) -> dict[int, tuple[Array, Array]]:
    """Expected costs [...] of each offer in play: the least, and its best pair's of today."""
    by_garment: dict[tuple[Garment, Costing], list[tuple[int, Indices]]] = {}
    for b, racks in kept.items():
        for garment, at in racks.items():
            of = offers[b].garment_offers[garment]
            sizes = np.asarray(of.sizes, dtype=np.intp)[at] + of.among.first
            by_garment.setdefault((garment, of.among.among), []).append((b, sizes))
    found: dict[int, dict[Garment, Array]] = {b: {} for b in kept}
    for (garment, among), wanted in by_garment.items():
        known = offers[wanted[0][0]].garment_offers[garment].at
        need, sd = wanted_mm(belief, among, known, moments)
        cost = among.expected(need, sd, known, np.concatenate([sizes for _, sizes in wanted]))
        ends = np.cumsum([len(sizes) for _, sizes in wanted])[:-1]
        for (b, _), part in zip(wanted, np.split(cost, ends, axis=-1), strict=True):
            found[b][garment] = part
    return {b: _least_and_best(offers[b], kept[b], costs) for b, costs in found.items()}


def _least_and_best(
    offer: ChartOffer, kept: dict[Garment, Indices], costs: dict[Garment, Array]
) -> tuple[Array, Array]:
    """The least cost [...] of the pairs in play, and that of today's best; what goes beside them in its best size."""
    beside = [cost.min(axis=-1) for garment, cost in costs.items() if garment not in offer.axes]
    today = zip(offer.axes, offer.best[1:], strict=False)
    best = [costs[garment][..., int(np.searchsorted(kept[garment], at))] for garment, at in today]
    if offer.sold is None:
        least = reduce(np.add, (costs[garment].min(axis=-1) for garment in offer.axes))
    else:
        rows, columns = (np.moveaxis(costs[garment], -1, 0) for garment in offer.axes)
        least = least_of_pairs(rows, columns, offer.sold[np.ix_(*(kept[garment] for garment in offer.axes))])
    return np.asarray(sum(beside, least)), np.asarray(sum(beside, reduce(np.add, best)))


def _is_known(garment_offer: GarmentOffer, belief: Belief) -> bool:
    """Whether the garment's first place is known to within an inch."""
    return belief.sd(garment_offer.costing.places[garment_offer.at[0]].dimension) < KNOWN_SD_MM

"""What charts offer on one body: which sizes are there, and what each is expected to cost once it fits."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from itertools import product, starmap

import numpy as np

from service.tailoring.arrays import Array, Indices, Mask
from service.tailoring.body.body import Body
from service.tailoring.body.population import Belief, Moments
from service.tailoring.garments.charts import GARMENTS, SUIT, Chart, Garment, reference_charts
from service.tailoring.garments.places import OwnEase, Wish
from service.tailoring.garments.stock import Stock
from service.tailoring.sizing.costing import Costed, Costing, costed_together
from service.tailoring.sizing.cuts import Bands
from service.tailoring.sizing.reach import least_at
from service.tailoring.work.prices import PriceList

# A garment cannot be sized unless one dimension of each group is known: a girth, and for the jacket a length.
NEEDED_DIMENSIONS: dict[Garment, tuple[tuple[str, ...], ...]] = {
    "jacket": (("chest_girth",), ("arm_length", "cervical_height")),
    "trousers": (("trouser_waist_girth",),),
    "waistcoat": (("chest_girth",), ("waist_girth",)),
}


@dataclass(frozen=True, slots=True)
class Question:
    """What is to be chosen: from which charts and stock, how close it is to sit, and at whose prices.

    `held` are places that were seen on the worn garment, with the band in which they are right; `own` is the shop's
    ease where it differs from the table's.
    """

    charts: tuple[Chart, ...]
    prices: PriceList
    wish: Wish = "usual"
    stock: Stock = Stock()
    garments: tuple[Garment, ...] = SUIT
    limit: int = 3
    held: Bands = ()
    own: tuple[OwnEase, ...] = ()


@dataclass(frozen=True, eq=False)
class GarmentOffer:
    """One garment of one chart on one body: which sizes are there, what each is expected to cost.

    `at` are the places whose dimension is known; `sizes` the positions in the chart that are in stock. `among` are the
    arrays of all charts that it was costed with. At the places `swapped` another size is brought where no needle helps;
    `kept` is what each is expected to cost where none is.
    """

    garment: Garment
    among: Costed
    sizes: list[int]
    at: list[int]
    expected: Array
    kept: Array
    swapped: tuple[int, ...] = ()

    @property
    def costing(self) -> Costing:
        """Its own arrays."""
        return self.among.own


@dataclass(frozen=True, eq=False)
class ChartOffer:
    """One chart on one body: its racks, and which pairs of them are sold.

    `axes` are the garments whose sizes are paired (a lone garment is paired with nothing); any other garment goes with
    each pair in its own best size, at `beside`, for `beside_cost`. `sold` [rows, columns] is None where all pairs are.
    """

    chart: Chart
    garment_offers: dict[Garment, GarmentOffer]
    axes: tuple[Garment, ...]
    beside: dict[Garment, int]
    beside_cost: float
    sold: Mask | None

    def sizes(self, row: int, column: int) -> dict[Garment, int]:
        """The positions in the chart of a pair, and of what goes with it."""
        pair = {
            garment: self.garment_offers[garment].sizes[at]
            for garment, at in zip(self.axes, (row, column), strict=False)
        }
        return {garment: {**pair, **self.beside}[garment] for garment in self.garment_offers}

    @property
    def is_open(self) -> bool:
        """Whether there is a pair to be had."""
        return self.best[0] != np.inf

    @cached_property
    def best(self) -> tuple[float, int, int]:
        """The cheapest pair, as `cheapest` has it; of infinite cost where none is sold."""
        rows, columns = self._axes_costs
        if self.sold is not None or not len(rows) or not len(columns):
            return next(iter(self.cheapest(1)), (np.inf, 0, 0))
        row, column = int(rows.argmin()), int(columns.argmin())
        return float(rows[row] + columns[column] + self.beside_cost), row, column

    @cached_property
    def pairs(self) -> Array:
        """The cost of every pair, infinite where it is not sold."""
        rows, columns = self._axes_costs
        pairs = rows[:, None] + columns[None, :] + self.beside_cost
        return pairs if self.sold is None else np.where(self.sold, pairs, np.inf)

    @cached_property
    def _axes_costs(self) -> tuple[Array, Array]:
        costs = [self.garment_offers[garment].expected for garment in self.axes]
        nothing = np.zeros(1) if costs else np.full(1, np.inf)
        return (costs[0] if costs else nothing, costs[1] if len(costs) > 1 else np.zeros(1))

    def cheapest(self, most: int) -> list[tuple[float, int, int]]:
        """The cheapest pairs, each with its cost, row and column; of equal ones the first.

        Where all are sold together, the cheapest pairs are of the cheapest of either garment, and no others are made.
        """
        rows, columns = self._axes_costs
        if self.sold is not None:
            costs = self.pairs.ravel()
            few = least_at(costs, most).tolist()
            return [(float(costs[at]), *divmod(at, len(columns))) for at in few if costs[at] != np.inf]
        best = [least_at(each, most).tolist() for each in (rows, columns)]
        found = ((float(rows[row] + columns[column] + self.beside_cost), row, column) for row, column in product(*best))
        return [each for each in sorted(found) if each[0] != np.inf][:most]


def missing(body: Body, garment: Garment) -> tuple[str, ...]:
    """The dimensions without which this garment cannot be sized on this body."""
    return tuple(group[0] for group in NEEDED_DIMENSIONS[garment] if not any(body.knows(name) for name in group))


def wanted_mm(belief: Belief, of: Costing, at: list[int], moments: Moments | None = None) -> tuple[Array, Array]:
    """Mean and SD (mm) [..., len(at)] of the body's part in what a garment should measure.

    `moments` [..., dimensions] replace the belief's own.
    """
    index, share = _parts(of, tuple(at), belief.names)
    mean, sd = belief.moments if moments is None else moments
    return mean[..., index] * share, sd[..., index] * share


@lru_cache(maxsize=256)
def _parts(of: Costing, at: tuple[int, ...], names: tuple[str, ...]) -> tuple[Indices, Array]:
    """Of the dimensions `names`, by which one the places `at` go, and what share of it."""
    places = [of.places[i] for i in at]
    return np.array([names.index(p.dimension) for p in places], dtype=np.intp), np.array([p.share for p in places])


class Offers:
    """What charts offer on one body. Each garment of a chart is costed once, over all its sizes, whatever is asked."""

    def __init__(self, body: Body, question: Question) -> None:
        self._body, self._question = body, question
        # Charts that are judged at once when one of them is.
        self._ranges: tuple[tuple[Chart, ...], ...] = (question.charts, tuple(reference_charts().values()))
        self._costed: dict[tuple[Chart, Garment], GarmentOffer | None] = {}

    def beside(self, charts: tuple[Chart, ...]) -> None:
        """Take up charts that are to be judged at once."""
        self._ranges = (*self._ranges, charts)

    def in_stock(self) -> tuple[ChartOffer, ...]:
        """What each chart asked for has in stock."""
        return tuple(self.of(chart, self._question.stock) for chart in self._question.charts)

    def of(self, chart: Chart, stock: Stock, garments: Collection[Garment] | None = None) -> ChartOffer:
        """One chart's sizes that are in `stock`, of the garments asked for or of those named."""
        wanted = self._question.garments if garments is None else garments
        whole = ((garment, self._whole(chart, garment)) for garment in GARMENTS if garment in wanted)
        return _chart_offer(chart, {garment: _in_stock(chart, all_, stock) for garment, all_ in whole if all_})

    def _whole(self, chart: Chart, garment: Garment) -> GarmentOffer | None:
        if (chart, garment) not in self._costed:
            beside = next((charts for charts in self._ranges if chart in charts), (chart,))
            found = _all_sizes(self._body, self._question, beside, garment)
            self._costed |= {(each, garment): found.get(each) for each in beside}
        return self._costed[chart, garment]


def _chart_offer(chart: Chart, garment_offers: dict[Garment, GarmentOffer]) -> ChartOffer:
    """The pairs that some sizes make, and what goes beside them."""
    axes = tuple(garment for garment in SUIT if garment in garment_offers) or tuple(garment_offers)
    sold = None
    if axes == SUIT and chart.sold == "pairs":
        jackets, trousers = (garment_offers[garment].sizes for garment in axes)
        sold = sold_together(chart)[np.ix_(jackets, trousers)]
    beside: dict[Garment, int] = {}
    cost = 0.0
    for garment in garment_offers.keys() - set(axes):
        best = int(garment_offers[garment].expected.argmin()) if garment_offers[garment].sizes else None
        cost += np.inf if best is None else float(garment_offers[garment].expected[best])
        beside |= {} if best is None else {garment: garment_offers[garment].sizes[best]}
    return ChartOffer(chart, garment_offers, axes, beside, cost, sold)


@lru_cache(maxsize=64)
def sold_together(chart: Chart) -> Mask:
    """Which jackets [K] and trousers [K'] a customer may leave with; asked again for every man it costs most of all."""
    jackets, trousers = chart.sizes["jacket"], chart.sizes["trousers"]
    sold = list(starmap(chart.sold_together, product(jackets, trousers)))
    return np.array(sold, dtype=np.bool_).reshape(len(jackets), len(trousers))


def _all_sizes(
    body: Body, question: Question, charts: tuple[Chart, ...], garment: Garment
) -> dict[Chart, GarmentOffer]:
    """Every size of one garment in each of `charts`; none of a chart that does not sell it, or where it has no size."""
    if missing(body, garment):
        return {}
    together = costed_together(charts, garment, question.wish, question.prices, question.held, question.own)
    costs: dict[Costing, tuple[list[int], tuple[Array, Array], tuple[int, ...]]] = {}
    found = {}
    for chart, of in together.items():
        if of.among not in costs:
            known = [i for i, place in enumerate(of.among.places) if body.knows(place.dimension)]
            swapped = _swapped(body, garment, of.among, known)
            costs[of.among] = known, _expected(body, garment, of.among, known, swapped), swapped
        known, (expected, kept), swapped = costs[of.among]
        sizes = list(range(len(chart.sizes[garment])))
        found[chart] = GarmentOffer(garment, of, sizes, known, expected[of.sizes], kept[of.sizes], swapped)
    return found


def _expected(
    body: Body, garment: Garment, of: Costing, known: list[int], swapped: tuple[int, ...]
) -> tuple[Array, Array]:
    """What every size is expected to cost, and what it does whoever is sold the first size that is brought."""
    mean, sd = wanted_mm(body.belief, of, known)
    if body.shown_mm:
        mean = mean + [body.shown_mm.get((garment, of.places[i].name), 0.0) for i in known]
    ways = of.expected_ways(mean, sd, known, (swapped, ()) if swapped else ((),))
    return ways[0], ways[-1]


def without_swaps(offers: Sequence[ChartOffer]) -> list[ChartOffer]:
    """The same offers at what they cost whoever is sold the first size that is brought."""

    def whole(each: GarmentOffer) -> GarmentOffer:
        return replace(each, expected=each.kept, swapped=()) if each.swapped else each

    return [
        replace(offer, garment_offers={name: whole(each) for name, each in offer.garment_offers.items()})
        if any(each.swapped for each in offer.garment_offers.values())
        else offer
        for offer in offers
    ]


def _swapped(body: Body, garment: Garment, of: Costing, known: list[int]) -> tuple[int, ...]:
    """The places that nobody taped or saw, of a garment whose size was: they are looked at once it is worn.

    What is then past every needle brings another size, and costs no more than that. Whoever has no tape and chooses by
    an estimate learns nothing by looking at it.
    """
    judged = [body.judged_at(garment, place.name, place.dimension) for place in of.places]
    if not of.cured_by_another_size or not judged[0]:
        return ()
    return tuple(i for i in of.cured_by_another_size if i in known and not judged[i])


def _in_stock(chart: Chart, whole: GarmentOffer, stock: Stock) -> GarmentOffer:
    labels = stock.labels(whole.garment, chart.code)
    if labels is None:
        return whole
    sizes = [i for i, size in enumerate(chart.sizes[whole.garment]) if size.label in labels]
    return replace(whole, sizes=sizes, expected=whole.expected[sizes], kept=whole.kept[sizes])

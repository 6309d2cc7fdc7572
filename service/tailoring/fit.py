"""What a size costs on a body, place by place.

At each place `residual = garment - (body + ideal ease)`. Inside the tolerance it costs next to nothing; outside,
the alteration that cures it, and the risk that it does not; beyond what that can move, the misfit as well. The cost is
a polynomial on each of six stretches of the residual, so that its expectation over a normal body stands in closed form.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, Literal, NamedTuple, TypeAlias, cast

import numpy as np
from scipy.special import ndtr

from service.tailoring.alterations import Alteration, alteration, from_the_shoulder
from service.tailoring.places import OwnEase, Place, Wish, own_places
from service.tailoring.quantities import inches

if TYPE_CHECKING:
    from service.tailoring.charts import Chart, Garment
    from service.tailoring.money import PriceList

Array: TypeAlias = np.ndarray[tuple[int, ...], np.dtype[np.float64]]
SingleArray: TypeAlias = np.ndarray[tuple[int, ...], np.dtype[np.float32]]
Indices: TypeAlias = np.ndarray[tuple[int, ...], np.dtype[np.intp]]
Mask: TypeAlias = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]
# (garment, place, low, high): residuals in mm between which the place is right.
Bands: TypeAlias = tuple[tuple[str, str, float, float], ...]
Verdict: TypeAlias = Literal["right", "too_much", "too_little"]

ROOT_OF_TAU = 1 / math.sqrt(2 * math.pi)
# How far beyond the sizes of a chart a body is still told apart from one a millimetre away.
REACH_MM = 400.0
# Being at the edge of the tolerance is worth this much less than being in its middle, and no less than this share of
# what would cure it (common practice, no source).
EDGE_HEMS = 0.4
EDGE_OF_CURE = 0.5
# Cloth that an unfinished leg must keep below the finished edge (US Navy Uniform Regulations art. 3501.94: 1.5 in).
HEM_CLOTH_MM = inches(1.5)


class Figures(NamedTuple):
    """A costing's arrays as plain numbers: garment [K][P], ideal ease [P], knots [P][5], in mm."""

    garment_mm: list[list[float]]
    ideal_mm: list[float]
    knots: list[list[float]]


@dataclass(frozen=True, eq=False)
class Costing:
    """One garment of a chart for one wish and price list, as arrays over sizes K and places P.

    `spare_mm` [K, P] is garment less ideal ease; `knots` [P, 5] bound the six stretches of the residual, whose
    polynomials stand in `coefficients` [P, 6, 3] (money minor units by powers of mm).
    """

    places: tuple[Place, ...]
    garment_mm: Array
    spare_mm: Array
    ideal_mm: Array
    knots: Array
    coefficients: Array
    low_cures: tuple[Alteration | None, ...]
    high_cures: tuple[Alteration | None, ...]
    unfinished: tuple[bool, ...]

    def expected(self, mean_mm: Array, sd_mm: Array, at: list[int], sizes: list[int]) -> Array:
        """Expected cost [..., len(sizes)] over the places `at`, for needs of `mean_mm`, `sd_mm` [..., len(at)].

        Many sizes share a measure at a place; each distinct one is reckoned once.
        """
        spare, column, place, back = _distinct(self, tuple(at), tuple(sizes))
        cost = self._mean_cost(spare - mean_mm[..., column], sd_mm[..., column], place)
        return cast("Array", cost[..., back].sum(axis=-2))

    def _mean_cost(self, residual_mm: Array, sd_mm: Array, place: Indices) -> Array:
        """The mean cost [..., R] of residuals ~ Normal(residual_mm, sd_mm) [..., R], each at its `place` [R].

        The last stretch's polynomial over the whole line, and at each knot what the stretches below it differ by.
        """
        m, sd = residual_mm, np.maximum(sd_mm, 1e-3)
        square = m * m + sd * sd
        # Knots stand first, so that the long axis of residuals is the one that runs.
        shape = (self.knots.shape[1], *[1] * (m.ndim - 1), len(place))
        knots, (d0, d1, d2) = self.knots[place].T.reshape(shape), (d.reshape(shape) for d in self._steps[:, :, place])
        z = (knots - m) / sd
        cost = ndtr(z) * (d0 + d1 * m + d2 * square)
        cost -= np.exp(z * z * -0.5) * (sd * ROOT_OF_TAU) * (d1 + d2 * (knots + m))
        last = self.coefficients[place, -1]
        return cast("Array", cost.sum(axis=0) + (last[:, 0] + last[:, 1] * m + last[:, 2] * square))

    @cached_property
    def _steps(self) -> Array:
        """By how much the polynomial below each knot differs from the one above it: [3 powers, 5 knots, P]."""
        return -np.diff(self.coefficients, axis=1).transpose(2, 1, 0)

    def exact(self, need_mm: Array, at: list[int]) -> Array:
        """The cost [N, K] of every size on N known bodies whose needs are `need_mm` [N, len(at)]."""
        total = np.zeros((need_mm.shape[0], self.spare_mm.shape[0]))
        for column, place in enumerate(at):
            total += self._cost_at(place, need_mm[:, column])
        return total

    def rounded(self, need_mm: Array, at: list[int]) -> SingleArray:
        """As `exact`, for needs rounded to the millimetre: what hundreds of draws of one body are judged by."""
        total: SingleArray = np.zeros((need_mm.shape[0], self.spare_mm.shape[0]), dtype=np.float32)
        for column, place in enumerate(at):
            first, table = self.by_the_mm[place]
            step = np.rint(need_mm[:, column] - first).astype(np.intp)
            total += table[np.clip(step, 0, len(table) - 1)]
        return total

    @cached_property
    def by_the_mm(self) -> list[tuple[float, SingleArray]]:
        """By place, the first need and the cost [needs, K] of every size for every millimetre from it on."""
        found = []
        for place in range(len(self.places)):
            spare = self.spare_mm[:, place]
            grid = np.arange(np.floor(spare.min()) - REACH_MM, np.ceil(spare.max()) + REACH_MM)
            found.append((float(grid[0]), self._cost_at(place, grid).astype(np.float32)))
        return found

    def _cost_at(self, place: int, need_mm: Array) -> Array:
        """The cost [N, K] at one place."""
        distinct, which = np.unique(self.spare_mm[:, place], return_inverse=True)
        residual = distinct[None, :] - need_mm[:, None]
        c = self.coefficients[place][np.searchsorted(self.knots[place], residual)]
        return cast("Array", (c[..., 0] + residual * (c[..., 1] + residual * c[..., 2]))[:, which])

    @cached_property
    def figures(self) -> Figures:
        """The same figures one by one, for spelling out a plan."""
        return Figures(self.garment_mm.tolist(), self.ideal_mm.tolist(), self.knots.tolist())

    def untouched(self, residual_mm: Array, at: list[int]) -> Mask:
        """Where residuals [N, len(at)] ask for no needle at any place.

        The hem of an uncut leg is not counted: it belongs to selling the trousers.
        """
        uncut = np.array([self.unfinished[i] for i in at])
        low = np.where(uncut, self.knots[at, 0], self.knots[at, 1])
        high = np.where(uncut, self.knots[at, 4], self.knots[at, 3])
        return cast("Mask", np.all((low <= residual_mm) & (residual_mm <= high), axis=1))

    def curable(self, residual_mm: Array, at: list[int]) -> Mask:
        """Where residuals [N, len(at)] are right, or within what the alterations can move, at every place."""
        within = (self.knots[at, 0] <= residual_mm) & (residual_mm <= self.knots[at, 4])
        return cast("Mask", np.all(within, axis=1))


@lru_cache(maxsize=256)
def _distinct(of: Costing, at: tuple[int, ...], sizes: tuple[int, ...]) -> tuple[Array, Indices, Indices, Indices]:
    """The distinct measures [R] of some sizes at some places: spare cloth, column of `at`, place.

    Last, which of them each size has at each place [len(at), len(sizes)].
    """
    spare, which = np.unique(of.spare_mm[np.ix_(sizes, at)].T.ravel(), return_inverse=True)
    column = np.repeat(np.arange(len(at)), len(sizes))
    pairs, back = np.unique(column * len(spare) + which, return_inverse=True)
    column = pairs // len(spare)
    return spare[pairs % len(spare)], column, np.array(at)[column], back.reshape(len(at), len(sizes))


@lru_cache(maxsize=64)
def costing(
    chart: Chart,
    garment: Garment,
    wish: Wish,
    prices: PriceList,
    held: Bands = (),
    own: tuple[OwnEase, ...] = (),
) -> Costing:
    """The arrays of one garment of a chart, built once a chart's revision, wish, price list and own ease.

    A place seen on the worn garment is `held` to the band of its fit point instead of the wider tolerance.
    """
    sizes = chart.sizes(garment)
    bands = {name: (low, high) for of, name, low, high in held if of == garment}
    judged = [
        replace(p, low_mm=bands[p.name][0], high_mm=bands[p.name][1]) if p.name in bands else p
        for p in own_places(garment, own)
        if sizes and sizes[0].mm(p.name) is not None
    ]
    unfinished = tuple(p.name == "inside_leg" and chart.unfinished for p in judged)
    lows, highs = zip(*(_cures(p, chart) for p in judged), strict=True) if judged else ((), ())
    garment_mm = np.array([[size.mm(p.name) or 0.0 for p in judged] for size in sizes])
    ideal_mm = np.array([p.ideal_mm[wish] for p in judged])
    shapes = [
        _stretches(p, low, high, prices, uncut=uncut)
        for p, low, high, uncut in zip(judged, lows, highs, unfinished, strict=True)
    ]
    return Costing(
        places=tuple(judged),
        garment_mm=garment_mm,
        spare_mm=garment_mm - ideal_mm,
        ideal_mm=ideal_mm,
        knots=np.array([knots for knots, _ in shapes]),
        coefficients=np.array([coefficients for _, coefficients in shapes]),
        low_cures=lows,
        high_cures=highs,
        unfinished=unfinished,
    )


def cure_minor(cure: Alteration, prices: PriceList) -> float:
    """What an alteration costs when plans are compared: its price, and its minutes at what they are worth."""
    return prices.price(cure.code, cure.plain_hems).minor + cure.minutes * prices.minute_minor


def _cures(place: Place, chart: Chart) -> tuple[Alteration | None, Alteration | None]:
    def found(code: str) -> Alteration | None:
        route = (chart.worked_buttonholes and from_the_shoulder(code)) or code
        return alteration(route) if route else None

    return found(place.too_little_cure), found(place.too_much_cure)


def _stretches(
    place: Place, low: Alteration | None, high: Alteration | None, prices: PriceList, *, uncut: bool
) -> tuple[list[float], list[list[float]]]:
    """Knots and polynomials: misfit, let out, a little tight, a little easy, take in, misfit."""
    hem = float(prices.plain_hem_minor)
    low_minor, high_minor = (cure_minor(cure, prices) if cure else 0.0 for cure in (low, high))
    out_mm = low.increase_most_mm * place.parts if low else 0.0
    in_mm = high.decrease_most_mm * place.parts if high else 0.0
    jump, per_mm = place.misfit_hems * hem, place.misfit_hems_per_mm * hem
    if uncut:
        # Every uncut leg is hemmed; it fits as long as cloth enough is left and the hem can take the rest.
        knots = [HEM_CLOTH_MM] * 4 + [in_mm]
        return knots, [
            [jump + per_mm * HEM_CLOTH_MM, -per_mm, 0.0],
            *[[0.0, 0.0, 0.0]] * 3,
            [high_minor, 0.0, 0.0],
            [high_minor + jump - per_mm * in_mm, per_mm, 0.0],
        ]
    knots = [place.low_mm - out_mm, place.low_mm, 0.0, place.high_mm, place.high_mm + in_mm]
    return knots, [
        [low_minor + jump + per_mm * knots[0], -per_mm, 0.0],
        _cured(low_minor, jump, knots[1], out_mm),
        _inside(low_minor, hem, place.low_mm),
        _inside(high_minor, hem, place.high_mm),
        _cured(high_minor, jump, knots[3], in_mm),
        [high_minor + jump - per_mm * knots[4], per_mm, 0.0],
    ]


def _inside(cure_minor: float, hem: float, edge_mm: float) -> list[float]:
    """Nothing in the middle, growing with the square to what the edge is worth."""
    return [0.0, 0.0, max(EDGE_HEMS * hem, EDGE_OF_CURE * cure_minor) / edge_mm**2 if edge_mm else 0.0]


def _cured(cure_minor: float, jump: float, edge_mm: float, most_mm: float) -> list[float]:
    """The alteration, and the misfit by the square of the share of its limit that is used: nothing for next to nothing.

    Near its limit an alteration often fails: the inlay is short, pockets and vents are drawn (trade press). Without
    that, what is altered anyhow would be altered to the limit, and a larger man would get a smaller size.
    """
    risk = jump / most_mm**2 if most_mm else 0.0
    return [cure_minor + risk * edge_mm**2, -2 * risk * edge_mm, risk]

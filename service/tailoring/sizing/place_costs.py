"""What a residual costs at one place: its stretches, and a polynomial on each."""

from __future__ import annotations

from bisect import bisect
from itertools import pairwise
from typing import NamedTuple, TypeAlias

from service.tailoring.garments.alterations import Alteration, Direction
from service.tailoring.garments.amounts import sewn_steps
from service.tailoring.garments.places import Place
from service.tailoring.quantities import inches
from service.tailoring.work.prices import PriceList

# Money (minor units) by powers of mm: constant, linear, square.
Polynomial: TypeAlias = tuple[float, float, float]

# Being at the edge of the tolerance is worth this much less than being in its middle, and no less than this share of
# what would cure it (common practice, no source).
EDGE_HEMS = 0.4
EDGE_OF_CURE = 0.5
# Cloth that an unfinished leg must keep below the finished edge (US Navy Uniform Regulations art. 3501.94: 1.5 in).
HEM_CLOTH_MM = inches(1.5)
# With less it is turned in by less, or faced: down to this the leg can still be made right, for so much more of a plain
# hem (common practice, no source; the hems' own table of shorter turns says the same).
FACED_CLOTH_MM = inches(0.5)
FACING_HEMS = 0.5
# The more is cut off a leg the less well it hangs: knee and taper were cut for its length (the catalogue has the taper
# made again beyond 3 to 4 in). All that a hem can take is worth so much less than none of it (common practice, no
# source). So a short customer is brought the regular leg, however well a long one could be hemmed.
CUT_OFF_HEMS = 2.0
FREE: Polynomial = (0.0, 0.0, 0.0)


class PlaceCost(NamedTuple):
    """`bounds` [5] of the residual (mm); between `knots` [E] the cost is `coefficients` [E + 1, 3]."""

    bounds: list[float]
    knots: list[float]
    coefficients: list[Polynomial]

    def stretched(self, knots: int) -> PlaceCost:
        """The same cost with so many knots: the last one stands again and again."""
        more = knots - len(self.knots)
        return self._replace(
            knots=self.knots + self.knots[-1:] * more, coefficients=self.coefficients + self.coefficients[-1:] * more
        )

    def dearer_beyond(self, at_mm: float, minor: float) -> PlaceCost:
        """Whatever lies beyond `at_mm`, seen from a residual of nothing, costs `minor` more."""
        i = bisect(self.knots, at_mm)
        below, above = self.coefficients[: i + 1], self.coefficients[i:]
        raised = [(each[0] + minor, each[1], each[2]) for each in (above if at_mm > 0 else below)]
        coefficients = below + raised if at_mm > 0 else raised + above
        return self._replace(knots=[*self.knots[:i], at_mm, *self.knots[i:]], coefficients=coefficients)


class _Cure(NamedTuple):
    """One way of curing a place: at first it costs `minor`, `most_mm` is what it can move.

    `jumps` are residuals (mm) at which the shop's price of it changes, and by how much.
    """

    minor: float = 0.0
    most_mm: float = 0.0
    jumps: tuple[tuple[float, float], ...] = ()


def cure_minor(cure: Alteration, prices: PriceList, amount_mm: float) -> float:
    """What an alteration costs when plans are compared: its price, and its minutes at what they are worth."""
    return prices.price(cure.code, cure.plain_hems, amount_mm).minor + cure.minutes * prices.minute_minor


def place_cost(
    place: Place, low: Alteration | None, high: Alteration | None, prices: PriceList, step_mm: float, *, uncut: bool
) -> PlaceCost:
    """Misfit, let out, a little tight, a little easy, take in, misfit; cures at the price of what is sewn of them."""
    into = _cure(place, high, "decrease", FACED_CLOTH_MM if uncut else place.high_mm, prices, step_mm)
    # Nobody lets down an uncut leg: it is as long as the cloth.
    out = _cure(place, None if uncut else low, "increase", place.low_mm, prices, step_mm)
    hem = float(prices.plain_hem_minor)
    cost = _uncut(place, into, hem) if uncut else _finished(place, out, into, hem)
    for at_mm, minor in (*out.jumps, *into.jumps):
        cost = cost.dearer_beyond(at_mm, minor)
    return cost


def _cure(
    place: Place, cure: Alteration | None, direction: Direction, from_mm: float, prices: PriceList, step_mm: float
) -> _Cure:
    """What `cure` costs from a residual of `from_mm` on."""
    if cure is None:
        return _Cure()
    most_mm = cure.usual_most_mm(direction)
    first = max(1, sewn_steps(abs(from_mm) / place.parts, most_mm, step_mm))
    last = max(first, sewn_steps(most_mm, most_mm, step_mm))
    # Where the shop has no bands for it, every amount of it costs the same.
    banded = any(band.alteration == cure.code for band in prices.bands)
    minors = [cure_minor(cure, prices, steps * step_mm) for steps in range(first, last + 1 if banded else first + 1)]
    side = 1 if direction == "decrease" else -1
    jumps = tuple(
        (side * (steps - 0.5) * step_mm * place.parts, after - before)
        for steps, (before, after) in enumerate(pairwise(minors), start=first + 1)
        if after != before
    )
    return _Cure(minors[0], most_mm * place.parts, jumps)


def _uncut(place: Place, hemmed: _Cure, hem: float) -> PlaceCost:
    """Every uncut leg is hemmed, or faced; it fits as long as cloth enough is left and the hem can take the rest."""
    jump, per_mm = place.misfit_hems * hem, place.misfit_hems_per_mm * hem
    faced = hemmed.minor + FACING_HEMS * hem
    bounds = [FACED_CLOTH_MM, *[HEM_CLOTH_MM] * 3, hemmed.most_mm]
    cut_off = CUT_OFF_HEMS * hem
    by_square = cut_off / (hemmed.most_mm - HEM_CLOTH_MM) ** 2
    return PlaceCost(
        bounds,
        bounds,
        [
            (faced + jump + per_mm * FACED_CLOTH_MM, -per_mm, 0.0),
            (faced, 0.0, 0.0),
            *[FREE] * 2,
            (hemmed.minor + by_square * HEM_CLOTH_MM**2, -2 * by_square * HEM_CLOTH_MM, by_square),
            (hemmed.minor + cut_off + jump - per_mm * hemmed.most_mm, per_mm, 0.0),
        ],
    )


def _finished(place: Place, out: _Cure, into: _Cure, hem: float) -> PlaceCost:
    jump, per_mm = place.misfit_hems * hem, place.misfit_hems_per_mm * hem
    bounds = [place.low_mm - out.most_mm, place.low_mm, 0.0, place.high_mm, place.high_mm + into.most_mm]
    return PlaceCost(
        bounds,
        bounds,
        [
            (out.minor + jump + per_mm * bounds[0], -per_mm, 0.0),
            _cured(out, jump, bounds[1]),
            _inside(out, hem, place.low_mm),
            _inside(into, hem, place.high_mm),
            _cured(into, jump, bounds[3]),
            (into.minor + jump - per_mm * bounds[4], per_mm, 0.0),
        ],
    )


def _inside(cure: _Cure, hem: float, edge_mm: float) -> Polynomial:
    """Nothing in the middle, growing with the square to what the edge is worth."""
    return (0.0, 0.0, max(EDGE_HEMS * hem, EDGE_OF_CURE * cure.minor) / edge_mm**2 if edge_mm else 0.0)


def _cured(cure: _Cure, jump: float, edge_mm: float) -> Polynomial:
    """The alteration, and the misfit by the square of the share of its limit that is used: nothing for next to nothing.

    Near its limit an alteration often fails: the inlay is short, pockets and vents are drawn (common practice, no
    source). Without
    that, what is altered anyhow would be altered to the limit, and a larger man would get a smaller size.
    """
    risk = jump / cure.most_mm**2 if cure.most_mm else 0.0
    return (cure.minor + risk * edge_mm**2, -2 * risk * edge_mm, risk)

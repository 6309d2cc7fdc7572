"""How many surveyed men the reference blocks can be made to fit, place by place, with the whole body known.

Each man gets the size that the engine would choose, its true cost being known. `bare`: right as it hangs. `curable`:
right within the limits that advice keeps. `willing`: right within what an order may ask of a willing workroom. Below
the places, the share of men for whom all are right at once; and `some size`, for whom any size at all could be.

The survey is not part of this repository: name the file (a row a man, the survey's columns in mm) as an argument, or
in SURVEY_OF_MEN.
"""

from __future__ import annotations

import csv
import os
import sys
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from service.tailoring import tables
from service.tailoring.garments.charts import Chart, Garment, reference_chart, reference_charts
from service.tailoring.sizing.costing import Costing, costing
from service.tailoring.work.prices import PriceList

# By dimension, every man's size in mm.
Bodies = Mapping[str, np.ndarray]
LIMITS = ("bare", "curable", "willing")


@dataclass(frozen=True, slots=True)
class Served:
    """Shares of men: by place and limit, by limit at all places at once, and for whom some size is curable."""

    places: dict[str, dict[str, float]]
    whole: dict[str, float]
    some_size: float


def surveyed(path: Path) -> Bodies:
    """The survey's men: each dimension by the column and the offset of its bridge, without the bridge's own scatter."""
    with path.open(encoding="utf-8") as file:
        men = list(csv.DictReader(file))
    return {
        row["dimension"]: np.array([float(man[row["column"]]) for man in men]) + float(row["offset_mm"])
        for row in tables.rows("body/dimensions")
    }


def served(bodies: Bodies, garment: Garment, charts: Iterable[Chart]) -> Served:
    """How many of `bodies` the best size of these charts serves."""
    found = [_best(bodies, costing(chart, garment, "usual", PriceList())) for chart in charts]
    cheapest = np.argmin([cost for cost, _, _ in found], axis=0)
    right = {limit: np.choose(cheapest[:, None], [at[limit] for _, at, _ in found]).astype(bool) for limit in LIMITS}
    names = [place.name for place in costing(next(iter(charts)), garment, "usual", PriceList()).places]
    return Served(
        {name: {limit: float(right[limit][:, i].mean()) for limit in LIMITS} for i, name in enumerate(names)},
        {limit: float(right[limit].all(axis=1).mean()) for limit in LIMITS},
        float(np.any([some for _, _, some in found], axis=0).mean()),
    )


def _best(bodies: Bodies, of: Costing) -> tuple[np.ndarray, dict[str, np.ndarray], np.ndarray]:
    """The least cost [N] of a chart, where that size is right by limit [N, places], and whether some size is [N]."""
    needs = np.stack([bodies[place.dimension] * place.share for place in of.places], axis=1)
    costs = of.exact(needs, list(range(len(of.places))))
    residual = of.spare_mm[None] - needs[:, None, :]
    chosen = residual[np.arange(len(needs)), costs.argmin(axis=1)]
    ends = ends_by_limit(of)
    right = {limit: (low <= chosen) & (chosen <= high) for limit, (low, high) in ends.items()}
    low, high = ends["curable"]
    return costs.min(axis=1), right, ((low <= residual) & (residual <= high)).all(axis=2).any(axis=1)


def ends_by_limit(of: Costing) -> dict[str, tuple[np.ndarray, np.ndarray]]:
    """By limit, between which residuals each place is right; an uncut leg hangs right once it is hemmed."""
    bare = np.array(of.figures.tolerance_mm).T
    usual = np.array(of.figures.curable_mm).T
    willing = usual.copy()
    for i, (place, low, high) in enumerate(zip(of.places, of.low_cures, of.high_cures, strict=True)):
        if not of.unfinished[i]:
            willing[0, i] = place.low_mm - (low.most_mm("increase") * place.parts if low else 0.0)
            willing[1, i] = place.high_mm + (high.most_mm("decrease") * place.parts if high else 0.0)
    return {limit: (ends[0], ends[1]) for limit, ends in zip(LIMITS, (bare, usual, willing), strict=True)}


def lines(title: str, found: Served) -> list[str]:
    """The table of one garment."""
    rows = [*found.places.items(), ("all at once", found.whole)]
    head = f"  {'':12}" + "".join(f"{limit:>10}" for limit in LIMITS)
    told = [f"  {name:12}" + "".join(f"{shares[limit]:10.1%}" for limit in LIMITS) for name, shares in rows]
    return [title, head, *told, f"  some size curable {found.some_size:.1%}", ""]


def main(arguments: Sequence[str]) -> None:
    path = (arguments or [os.environ.get("SURVEY_OF_MEN", "")])[0]
    if not path:
        raise SystemExit("curable: name the survey's file, or set SURVEY_OF_MEN")
    bodies = surveyed(Path(path))
    first, every = [reference_chart()], list(reference_charts().values())
    for garment in ("jacket", "trousers"):
        for of, charts in (("the reference block", first), ("all four blocks", every)):
            print("\n".join(lines(f"{garment} of {of}, {len(bodies['stature'])} men", served(bodies, garment, charts))))


if __name__ == "__main__":
    main(sys.argv[1:])

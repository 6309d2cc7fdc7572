"""What the service is worth beside the wall chart: `python -m tests.bench.practice SURVEY [EVERY]`.

SURVEY, or else SURVEY_OF_MEN, is the path of the public file of 28 measures of ANSUR II's men. Of these every EVERY-th
is fitted. Each man is taped (chest, waist where trousers are
worn, height), with the tape's error. Then, by the house's own costs on all that was truly measured of him:

- (a) the wall chart: the nearest chest, the length by his height, trousers six inches below the chest;
- (b) the same, the trousers by his waist;
- (c) what the service advises from the same three readings;
- (d) what is best for whoever knows all of him.
"""

from __future__ import annotations

import os
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np

from service.tailoring import tables
from service.tailoring.body.body import read_body
from service.tailoring.body.readings import Reading, tape_sd
from service.tailoring.garments.charts import reference_chart
from service.tailoring.quantities import Length, inches
from service.tailoring.sizing.sizing import advise
from tests.bench.calibration import needs_of, place_of
from tests.bench.population_fit import columns_of
from tests.bench.simulated_men import SEED, SEPARATES, SUIT

TAPED = ("chest_girth", "trouser_waist_girth", "stature")
DROP_IN = 6
# From which height a length class is worn (common practice, no source): extra shorts below 5 ft 5, shorts to 5 ft 8,
# regulars to 5 ft 11 1/2, longs to 6 ft 2 1/2, extra longs above.
LENGTHS = ((0.0, "XS"), (inches(65), "S"), (inches(68), "R"), (inches(71.5), "L"), (inches(74.5), "XL"))
WAYS = ("wall chart", "the same, waist taped", "the service", "all known")


def bodies_of(path: Path) -> dict[str, np.ndarray]:
    """Every dimension of the surveyed men in mm: its column, and the offset at which we take it."""
    columns = columns_of(path)
    rows = [row for row in tables.rows("body/dimensions") if row["measures"] == "length"]
    return {row["dimension"]: columns[row["column"]] + float(row["offset_mm"]) for row in rows}


def nearest(labels: list[str], sizes_in: np.ndarray, wanted_in: float) -> str:
    """The label whose size is nearest."""
    return labels[int(np.abs(sizes_in - wanted_in).argmin())]


def wall_chart(read_mm: dict[str, float], *, waist_taped: bool) -> dict[str, str]:
    """What is read off the wall: a jacket and trousers by label."""
    chart = reference_chart()
    length = next(name for least, name in reversed(LENGTHS) if read_mm["stature"] >= least)
    chests = [size for size in chart.sizes["jacket"] if size.label.strip("0123456789") == length]
    jacket = nearest(
        [size.label for size in chests],
        np.array([size.body_mm for size in chests]) / inches(1),
        read_mm["chest_girth"] / inches(1),
    )
    label_in = chart.size("jacket", jacket).body_mm / inches(1)
    waist_in = read_mm["trouser_waist_girth"] / inches(1) if waist_taped else label_in - DROP_IN
    waists = np.array([size.body_mm for size in chart.sizes["trousers"]]) / inches(1)
    return {"jacket": jacket, "trousers": nearest([size.label for size in chart.sizes["trousers"]], waists, waist_in)}


def costs_of(man: dict[str, float], generator: np.random.Generator) -> tuple[np.ndarray, np.ndarray] | None:
    """By way and garment [4, 2]: what it costs to make his suit right, and whether it is the cheapest size.

    None of a man beyond the model's domain, who is asked for more tape.
    """
    read_mm = {name: man[name] + generator.normal(0, tape_sd(name)) for name in TAPED}
    body = read_body(tuple(Reading(name, Length(mm)) for name, mm in read_mm.items()))
    if body.outside:
        return None
    advice = advise(body, replace(SEPARATES, limit=1))
    (offer,), (plan, *_) = advice.offers, advice.plans
    whole = read_body(tuple(Reading(name, Length(mm)) for name, mm in man.items()))
    model = whole.belief.names
    true = np.array([[man.get(name, np.nan) for name in model]])
    found, best = np.empty((len(WAYS), 2)), np.empty((len(WAYS), 2), dtype=bool)
    chosen = [wall_chart(read_mm, waist_taped=False), wall_chart(read_mm, waist_taped=True)]
    for column, garment in enumerate(SUIT):
        of = offer.garment_offers[garment]
        cost = of.costing.exact(needs_of(of, true), of.at)[0]
        labels = [size.label for size in offer.chart.sizes[garment]]
        sizes = [labels.index(each[garment]) for each in chosen]
        sizes += [place_of(offer, of, plan), int(cost.argmin())]
        found[:, column] = cost[sizes]
        best[:, column] = cost[sizes] <= cost.min() + 0.5
    return found, best


def practice(path: Path, every: int = 1) -> tuple[np.ndarray, np.ndarray]:
    """Of every so many surveyed men, [N, 4, 2]: costs by way and garment, and whether it is the cheapest size."""
    sizes, generator = bodies_of(path), np.random.default_rng(SEED + 7)
    many = range(0, len(sizes["stature"]), every)
    of_each = [costs_of({name: float(each[i]) for name, each in sizes.items()}, generator) for i in many]
    answered = [each for each in of_each if each is not None]
    return np.array([cost for cost, _ in answered]), np.array([best for _, best in answered])


def main() -> None:
    """Print how often each way finds the best size, and what it costs over the best."""
    path = sys.argv[1] if len(sys.argv) > 1 else os.environ.get("SURVEY_OF_MEN", "")
    if not path:
        raise SystemExit("practice: name the survey's file, or set SURVEY_OF_MEN")
    costs, best = practice(Path(path), int(sys.argv[2]) if len(sys.argv) > 2 else 1)
    print(f"{len(costs)} men, chest, waist and height taped")
    print("best jacket, best trousers of 100; mean cost of the suit by that of the best")
    least = costs[:, -1].sum(axis=1).mean()
    for way, name in enumerate(WAYS):
        jacket, trousers = 100 * best[:, way].mean(axis=0)
        print(f"  {name:24} {jacket:5.0f} {trousers:5.0f}   x{costs[:, way].sum(axis=1).mean() / least:.2f}")


if __name__ == "__main__":
    main()

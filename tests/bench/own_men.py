"""A shop's own men on surveyed ones: half of a shop's are measured, and the others are held against what is then said.

The men of `civilians` (2017 and 2018), whom the model has not seen. A shop has those of an age or a build; one has
everybody. Each man's set has his height, his weight and his waist.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np

from service.tailoring.body.body import read_body
from service.tailoring.body.counted_men import MeasuredCustomer, next_version, population_of
from service.tailoring.body.own_men import CountedMen
from service.tailoring.body.population import Population, men
from service.tailoring.body.readings import Reading
from service.tailoring.quantities import Length, Mass
from tests.bench.civilians import Surveyed, measured_body, surveyed
from tests.bench.simulated_men import SEED

AT = datetime(2026, 3, 2, tzinfo=UTC)
SHOPS: dict[str, Callable[[Surveyed], bool]] = {
    "everybody": lambda _: True,
    "18 to 35 years": lambda man: man.age <= 35,
    "60 years and over": lambda man: man.age >= 60,
    "slim (index below 25)": lambda man: man.index < 25,
    "large (index above 30)": lambda man: man.index > 30,
    "tall (above 180 cm)": lambda man: man.stature > 1800,
}
# What is known of a held-out man, and what is told of him.
KNOWN: dict[str, tuple[tuple[str, ...], str]] = {
    "nothing: height": ((), "stature"),
    "nothing: waist": ((), "waist_girth"),
    "age and height: waist": (("age", "stature"), "waist_girth"),
    "age, height, weight: waist": (("age", "stature", "body_mass"), "waist_girth"),
}


@dataclass(frozen=True, slots=True)
class Told:
    """How far held-out men lie from what is told of them, in SDs as stated: mean, and root mean square of mm."""

    bias: float
    rmse: float
    covered: float


def size_of(man: Surveyed, dimension: str) -> float:
    """What a surveyed man measures, in mm or kg."""
    return {"stature": man.stature, "body_mass": man.mass, "waist_girth": man.waist}[dimension]


def reading_of(man: Surveyed, dimension: str) -> Reading:
    """His size as staff would record it."""
    size = size_of(man, dimension)
    return Reading(dimension, Mass(size) if dimension == "body_mass" else Length(size))


def customer(ref: str, man: Surveyed) -> MeasuredCustomer:
    """A surveyed man as a customer of a shop."""
    taken = tuple(reading_of(man, name) for name in ("stature", "body_mass", "waist_girth"))
    return MeasuredCustomer(ref, AT, taken, man.age)


def shop_and_held_out(shop: str, most: int, seed: int = SEED) -> tuple[list[Surveyed], list[Surveyed]]:
    """Of those who go to that shop, so many who were measured there, at most half of them; and the others."""
    whom = [man for man in surveyed() if SHOPS[shop](man) and not measured_body(man).outside]
    order = np.random.default_rng(seed).permutation(len(whom))
    cut = min(most, len(whom) // 2)
    return [whom[i] for i in order[:cut]], [whom[i] for i in order[cut:]]


def version_of(measured: list[Surveyed]) -> CountedMen | None:
    """The shop's first version by those whom it has measured."""
    return next_version(None, (customer(f"C-{i}", man) for i, man in enumerate(measured)), 1, AT)


def told_of(held_out: list[Surveyed], among: Population, known: str) -> Told:
    """How near to held-out men is what is told of them, as of men `among` those."""
    names, asked = KNOWN[known]
    off, far = [], []
    for man in held_out:
        readings = tuple(reading_of(man, name) for name in names if name != "age")
        belief = read_body(readings, man.age if "age" in names else None, among).belief
        at, size = belief.index(asked), size_of(man, asked)
        off.append(belief.median(asked) - size)
        far.append(((np.log(size) if belief.logs[at] else size) - belief.mean[at]) / np.sqrt(belief.cov[at, at]))
    return Told(float(np.mean(off)), float(np.sqrt(np.mean(np.square(off)))), float(np.mean(np.abs(far) < 1.2816)))


def main() -> None:
    """Print what is told of held-out men, as of men in general and as of the shop's own."""
    print("\na shop's own men: what is told of held-out men as men in general, and as the shop's own")
    print("  bias and RMSE in mm, % within the middle 80 %")
    for shop in SHOPS:
        for most in (200, 1000):
            measured, held_out = shop_and_held_out(shop, most)
            version = version_of(measured)
            if version is None or (most > 200 and len(measured) < 400):
                continue
            own = population_of(version.own)
            for known in KNOWN:
                words = "   ".join(
                    f"{each.bias:+7.1f} {each.rmse:6.1f} {100 * each.covered:5.1f}"
                    for each in (told_of(held_out, men(), known), told_of(held_out, own, known))
                )
                print(f"  {shop:24} {len(measured):5} {known:28} {words}")


if __name__ == "__main__":
    main()

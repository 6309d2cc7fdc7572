"""The figures of published sources that the checks compare with; each table's source stands in its check."""

import csv
from functools import cache
from pathlib import Path

import numpy as np

from service.tailoring.body.population import men


def rows(name):
    """The rows of `name`.csv beside this file."""
    with Path(__file__).with_name(f"{name}.csv").open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table))


@cache
def many_men(how_many=200_000):
    """Men drawn from the model without any reading, in mm: dimension -> sizes. Seeded."""
    model = men()
    drawn = np.random.default_rng(20120401).multivariate_normal(model.mean, model.cov, how_many, method="eigh")
    sizes = np.where(model.logs, np.exp(np.where(model.logs, drawn, 0.0)), drawn)
    return dict(zip(model.names, sizes.T, strict=True))

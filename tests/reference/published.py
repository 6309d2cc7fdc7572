"""The figures of published sources that the checks compare with; each table's source stands in its check."""

import csv
from functools import cache
from pathlib import Path

import numpy as np

from service.tailoring.body.population import men
from tests.bench.simulated_men import any_men, in_mm


def rows(name):
    """The rows of `name`.csv beside this file."""
    with Path(__file__).with_name(f"{name}.csv").open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table))


@cache
def many_men(how_many=200_000):
    """Men of all ages drawn from the model without any reading, in mm: dimension -> sizes. Seeded."""
    drawn = in_mm(any_men(np.random.default_rng(20120401), how_many))
    return dict(zip(men().names, drawn.T, strict=True))

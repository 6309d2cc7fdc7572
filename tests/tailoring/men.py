"""Men to be fitted: invented ones, drawn ones, and what is asked for them."""

from __future__ import annotations

from functools import cache

import numpy as np
from hypothesis import strategies as st

from service.tailoring import tables
from service.tailoring.body.population import AGE, men
from service.tailoring.body.readings import Reading, dimensions
from service.tailoring.garments.charts import Chart, ChartHead, chart, reference_chart
from service.tailoring.quantities import Length, Mass
from service.tailoring.sizing.offers import Question
from service.tailoring.work.prices import PriceList

REFERENCE = reference_chart()
QUESTION = Question((REFERENCE,), PriceList())
GIRTHS = tuple(name for name in dimensions() if name.endswith("_girth"))


def read(dimension, size, *, source="measured", times=1):
    """A reading of `size` mm (kg for mass), taken `times` times with the same result."""
    value = Mass(size) if dimensions()[dimension].is_mass else Length(size)
    return Reading(dimension, value, source, (value,) * (times - 1))


def readings_of(sizes):
    """Every size of a man as taped twice by trained staff."""
    return tuple(read(name, size, times=2) for name, size in sizes.items() if name != AGE)


@cache
def middle_man():
    """The survey's middle man, every dimension of him."""
    model = men()
    return man(np.zeros(len(model.names)))


def man(normals):
    """The man who lies `normals` (one a dimension) from the survey's middle, along its own covariance."""
    model = men()
    y = model.mean + np.linalg.cholesky(model.cov) @ np.asarray(normals)
    sizes = np.where(model.logs, np.exp(np.where(model.logs, y, 0.0)), y)
    return dict(zip(model.names, (float(size) for size in sizes), strict=True))


# Within 1.5 SD on every axis of the survey: all of them inside its domain, or nearly.
drawn_men = st.lists(st.floats(-1.5, 1.5, allow_nan=False), min_size=len(men().names), max_size=len(men().names)).map(
    man
)
read_dimensions = st.sets(st.sampled_from(sorted(dimensions())), min_size=1, max_size=6).map(sorted)


def block(labels, **head) -> Chart:
    """Some sizes of the reference block as a chart of their own."""
    rows = [row for row in tables.rows("garments/reference_chart") if row["label"] in labels]
    return chart(ChartHead(**{"code": "some", "title": "Some sizes of the reference block"} | head), rows)


def sizes_of(plan):
    """The labels that a plan offers."""
    return tuple(each.label if each else None for each in map(plan.chosen.get, ("jacket", "trousers")))

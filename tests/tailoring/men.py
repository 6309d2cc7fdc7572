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
MIDDLE_SOLDIER = {
    AGE: 29.0, "stature": 1756.2, "body_mass": 84.4, "chest_girth": 1055.1, "waist_girth": 934.0,
    "trouser_waist_girth": 934.0, "natural_waist_girth": 912.0, "hip_girth": 1016.7, "neck_girth": 396.8,
    "shoulder_width": 455.7, "biacromial_breadth": 415.7, "shoulder_length": 149.8, "back_width": 430.9,
    "arm_length": 593.1, "inside_leg_length": 845.9, "cervical_height": 1517.3, "back_waist_length": 477.6,
    "thigh_girth": 622.4, "wrist_girth": 175.7,
}  # fmt: skip
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
    """The middle of 4,082 soldiers (ANSUR II, NATICK/TR-15/007), whom the block is cut for."""
    return dict(MIDDLE_SOLDIER)


def man(normals):
    """The man who lies `normals` (one a dimension) from the middle of men, along their own covariance."""
    model = men()
    y = model.mean + np.linalg.cholesky(model.cov) @ np.asarray(normals)
    sizes = np.where(model.logs, np.exp(np.where(model.logs, y, 0.0)), y)
    return dict(zip(model.names, (float(size) for size in sizes), strict=True))


# Within 1.5 SD on every axis of men: all of them inside the domain, or nearly.
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

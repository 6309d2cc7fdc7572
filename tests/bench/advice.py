"""One advice in the core, against one conditional normal in bare numpy on the same dimensions."""

from __future__ import annotations

import numpy as np

from service.tailoring.body import read_body
from service.tailoring.charts import reference_chart
from service.tailoring.money import PriceList
from service.tailoring.next_measures import next_measures
from service.tailoring.population import men
from service.tailoring.readings import reading
from service.tailoring.sizing import Question, advise
from tests.bench import line, seconds_each

MS = 1000


def main() -> None:
    readings = (
        reading("chest_girth", "38 1/4", "in"),
        reading("trouser_waist_girth", 33, "in"),
        reading("stature", 178, "cm"),
    )
    question = Question((reference_chart(),), PriceList())
    body = read_body(readings)
    advice = advise(body, question)
    population = men()
    at = [population.names.index(r.dimension) for r in readings]
    seen = population.mean[at]

    def bare() -> object:
        across = population.cov[:, at]
        gain = np.linalg.solve(population.cov[np.ix_(at, at)], across.T).T
        return population.mean + gain @ (seen - population.mean[at]), population.cov - gain @ across.T

    yardstick = seconds_each(bare, 2000) * MS
    figures = {
        "body from three readings": lambda: read_body(readings),
        "plans over 33 jackets, 23 trousers": lambda: advise(body, question),
        "next measures": lambda: next_measures(body, question, list(advice.bays)),
    }
    for name, work in figures.items():
        line(name, seconds_each(work, 50) * MS, yardstick, "ms", "one conditional normal in numpy")


if __name__ == "__main__":
    main()

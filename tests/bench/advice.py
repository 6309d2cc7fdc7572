"""One advice in the core, against one conditional normal in bare numpy on the same dimensions."""

from __future__ import annotations

from functools import partial

import numpy as np

from service.tailoring import tables
from service.tailoring.body.body import read_body
from service.tailoring.body.population import men
from service.tailoring.body.readings import Reading, reading
from service.tailoring.garments.charts import Chart, ChartHead, chart, reference_chart, reference_charts
from service.tailoring.sizing.batch import Person, rank_many
from service.tailoring.sizing.next_measures import next_measures
from service.tailoring.sizing.offers import Question
from service.tailoring.sizing.size_advice import size_advice
from service.tailoring.sizing.sizing import advise
from service.tailoring.work.prices import PriceList
from tests.bench import in_turns, line, seconds_each

MS = 1000
CROWD = 5000


def main() -> None:
    readings = (
        reading("chest_girth", "38 1/4", "in"),
        reading("trouser_waist_girth", 33, "in"),
        reading("stature", 178, "cm"),
    )
    whole = Question((reference_chart(),), PriceList())
    question = Question((_without_extra_long(),), PriceList())
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
        f"plans over {_sizes(question)}": lambda: advise(body, question),
        f"plans over {_sizes(whole)}": lambda: advise(body, whole),
        "next measures": lambda: next_measures(body, question, advice.offers),
    }
    for name, work in figures.items():
        line(name, seconds_each(work, 50) * MS, yardstick, "ms", "one conditional normal in numpy")
    one = seconds_each(lambda: advise(read_body(readings), question), 50) * MS
    line("one advice: body and plans", one, yardstick, "ms", "one conditional normal in numpy")
    _blocks_against_one(readings)
    people = _crowd()
    many = seconds_each(lambda: rank_many(people, question), 1) * MS / len(people)
    line("one of many, ranked in a batch", many, one, "ms", "one advice")
    print(f"{'ranked in a batch':34} {MS / many:10.0f} people a second of one core")


def _blocks_against_one(taped: tuple[Reading, ...]) -> None:
    """The whole answer to a customer of a shop without charts: from all reference blocks, against one of them."""
    said = (reading("stature", 178, "cm", "self_reported"), reading("body_mass", 76, "kg", "self_reported"))
    blocks = [Question(charts, PriceList()) for charts in ((reference_chart(),), tuple(reference_charts().values()))]
    for words, known, age in (("as taped", taped, None), ("as said", said, 34)):
        one, whole = in_turns(*(partial(_answer, known, age, question) for question in blocks))
        line(f"{len(blocks[1].charts)} blocks, {words}", whole * MS, one * MS, "ms", "one block, next measures too")


def _answer(known: tuple[Reading, ...], age: float | None, question: Question) -> object:
    return size_advice(read_body(known, age), question)


def _without_extra_long() -> Chart:
    """The reference block in short, regular and long."""
    rows = [row for row in tables.rows("garments/reference_chart") if row["length_class"] != "extra"]
    return chart(ChartHead("reference", "Reference block in three lengths"), rows)


def _sizes(question: Question) -> str:
    (block,) = question.charts
    return f"{len(block.sizes['jacket'])} jackets, {len(block.sizes['trousers'])} trousers"


def _crowd() -> list[Person]:
    """Men drawn from the survey, of whom the same three readings were taken."""
    model, names = men(), ("chest_girth", "trouser_waist_girth", "stature")
    y = np.random.default_rng(1).multivariate_normal(model.mean, model.cov, size=CROWD, method="eigh")
    sizes = np.where(model.logs, np.exp(np.where(model.logs, y, 0.0)), y)
    at = [model.names.index(name) for name in names]
    return [
        Person(tuple(reading(name, round(float(size), 1), "mm") for name, size in zip(names, man, strict=True)))
        for man in sizes[:, at]
    ]


if __name__ == "__main__":
    main()

from dataclasses import replace

import numpy as np
import pytest

from service.tailoring.body.body import read_body
from service.tailoring.body.population import AGE, men
from service.tailoring.body.readings import reading
from service.tailoring.garments.charts import GARMENTS, ChartHead, chart, reference_chart
from service.tailoring.garments.stock import Stock
from service.tailoring.quantities import length
from service.tailoring.refusals import Refusal
from service.tailoring.sizing.batch import Person, rank_many
from service.tailoring.sizing.offers import Question
from service.tailoring.sizing.sizing import advise
from service.tailoring.work.prices import PriceList

QUESTION = Question((reference_chart(),), PriceList())
TAPED = ("chest_girth", "trouser_waist_girth", "stature")
SAID = ("stature", "body_mass")


def drawn_people(names, count, *, aged=False, source="measured", seed=7, repeats=(), older=0):
    """Men drawn from the survey, of whom `names` were read to the millimetre (tenth of a kilogram).

    `repeats` are further readings, so much off the first; `older` adds years to their ages.
    """
    model = men()
    y = np.random.default_rng(seed).multivariate_normal(model.mean, model.cov, size=count, method="eigh")
    sizes = np.where(model.logs, np.exp(np.where(model.logs, y, 0.0)), y)
    return [
        Person(
            tuple(
                reading(name, size, unit, source, tuple(size + off for off in repeats))
                for name, size, unit in (_sized(model, man, name) for name in names)
            ),
            round(float(man[model.names.index(AGE)])) + older if aged else None,
        )
        for man in sizes
    ]


def _sized(model, man, name):
    return name, round(float(man[model.names.index(name)]), 1), "kg" if name == "body_mass" else "mm"


def one_by_one(person, question):
    """What a single question says of him: sizes with their cost, and the codes of what is to be looked at."""
    body = read_body(person.readings, person.age_years)
    advice = advise(body, question)
    plans = [([*plan.chosen.values()], plan.expected_cost.minor) for plan in advice.plans]
    return plans, [notice.code for notice in (*body.notices, *advice.notices)]


def in_a_batch(answer):
    plans = [([*each.sizes.values()], each.expected_minor) for each in answer.ranked]
    return plans, [notice.code for notice in answer.notices]


PAIRS = chart(
    ChartHead("pairs", "Pairs", sold="pairs", drop=length(6, "in")),
    [
        {
            "garment": "jacket",
            "label": f"{n}R",
            "body": n,
            "chest": n + 4,
            "waist": n - 2,
            "sleeve": 25,
            "back_length": 30,
        }
        for n in range(36, 48, 2)
    ]
    + [
        {"garment": "trousers", "label": str(n - 6), "body": n - 6, "waist": n - 5.25, "inside_leg": 36}
        for n in range(36, 48, 2)
    ],
)


@pytest.mark.parametrize(
    "question",
    [
        QUESTION,
        replace(QUESTION, wish="close", limit=5),
        replace(QUESTION, stock=Stock.of_labels({"jacket": ("38R", "40R", "42S"), "trousers": ("32", "34")})),
        replace(QUESTION, charts=(PAIRS,)),
        replace(QUESTION, charts=(reference_chart(), PAIRS), limit=4),
        replace(QUESTION, garments=("jacket",)),
        replace(QUESTION, garments=GARMENTS),
        replace(QUESTION, stock=Stock.of_labels({"jacket": ()})),
    ],
    ids=["suit", "close", "stock", "pairs", "two charts", "jacket", "three pieces", "empty rack"],
)
@pytest.mark.parametrize(
    ("names", "options"),
    [
        (TAPED, {}),
        (SAID, {"aged": True, "source": "self_reported"}),
        (("hip_girth",), {}),
        (TAPED, {"aged": True}),
        (TAPED, {"repeats": (2, -3)}),
        (TAPED, {"repeats": (1, 30)}),
        (TAPED, {"aged": True, "older": 30}),
    ],
    ids=["taped", "said", "one", "taped with age", "read three times", "repeats that disagree", "old"],
)
def test_many_get_the_same_answers_as_one_by_one(question, names, options):
    people = drawn_people(names, 40, **options)
    assert [one_by_one(person, question) for person in people] == [in_a_batch(a) for a in rank_many(people, question)]


def test_whoever_is_out_of_the_ordinary_is_answered_too():
    odd = [
        Person((reading("chest_girth", 92, "in"), reading("stature", 178, "cm"))),
        Person((reading("chest_girth", 36, "in"), reading("waist_girth", 52, "in"))),
        Person((reading("chest_girth", 40, "in", repeats=("40 1/2",)),)),
        Person((reading("chest_girth", 40, "in"), reading("chest_girth", 41, "in"))),
        Person((reading("chest_girth", 40, "in"), reading("arm_length", 24, "in")), 70),
        Person((reading("stature", 178, "cm"), reading("body_mass", 160, "kg"))),
        Person((reading("chest_girth", 40, "in"),), 56),
        Person(()),
    ]
    assert [one_by_one(person, QUESTION) for person in odd] == [in_a_batch(a) for a in rank_many(odd, QUESTION)]


@pytest.mark.parametrize("waist", [28, 33, 39])
@pytest.mark.parametrize("apart", [-4, -2.5, -2, -1, 0, 1, 2, 2.5, 4])
def test_two_levels_of_one_waist_are_held_against_each_other_in_a_batch_too(waist, apart):
    man = Person((reading("waist_girth", waist, "in"), reading("trouser_waist_girth", waist + apart, "in")))
    assert [one_by_one(man, QUESTION)] == [in_a_batch(a) for a in rank_many([man], QUESTION)]


def test_one_mans_refusal_is_his_own_answer():
    people = [*drawn_people(TAPED, 2), Person((reading("chest_girth", 10, "in"),))]
    first, second, refused = rank_many(people, QUESTION)
    assert None is first.refusal is second.refusal
    assert ((), "reading_out_of_bounds", ("readings", 0, "value")) == (
        refused.ranked,
        refused.refusal.code,
        refused.refusal.at,
    )


def test_the_order_of_the_people_does_not_matter():
    people = drawn_people(TAPED, 30) + drawn_people(SAID, 30)
    there = rank_many(people, QUESTION)
    back = rank_many(people[::-1], QUESTION)
    assert [in_a_batch(answer) for answer in there] == [in_a_batch(answer) for answer in back[::-1]]


def test_a_label_of_no_chart_is_refused_before_anyone_is_answered():
    with pytest.raises(Refusal) as refused:
        rank_many(drawn_people(TAPED, 1), replace(QUESTION, stock=Stock.of_labels({"jacket": ("39Q",)})))
    assert ("label_unknown", ("stock", "jackets", 0, "label")) == (refused.value.code, refused.value.at)

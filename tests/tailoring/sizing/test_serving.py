from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.tailoring import tables
from service.tailoring.body.body import read_body
from service.tailoring.body.readings import dimensions
from service.tailoring.garments.charts import ChartHead, chart, reference_charts
from service.tailoring.garments.stock import Stock
from service.tailoring.quantities import Length, inches
from service.tailoring.sizing.plans import Unjudged
from service.tailoring.sizing.serving import BY, CHANGES, Serving
from service.tailoring.sizing.size_advice import size_advice
from service.tailoring.sizing.sizing import advise
from tests.tailoring.men import QUESTION, REFERENCE, drawn_men, middle_man, read, readings_of

# Right at every place in a 40R and a 34 of the reference block.
FITTED = {
    "chest_girth": 40, "natural_waist_girth": 34, "hip_girth": 38.75, "shoulder_width": 18, "arm_length": 23.5,
    "cervical_height": 60, "trouser_waist_girth": 34, "thigh_girth": 23.25, "inside_leg_length": 32,
}  # fmt: skip


def body_of(**changed):
    return read_body(tuple(read(name, inches(size), times=2) for name, size in (FITTED | changed).items()))


def served(body, **asked):
    return size_advice(body, replace(QUESTION, **asked))


def test_a_size_that_is_right_everywhere_serves():
    answer = served(body_of())
    assert Serving("yes") == answer.serves
    assert "yes" == answer.plans[0].serves


def test_of_a_man_whose_girths_nobody_took_no_size_is_said_to_fail():
    """Height alone leaves the chest open by several sizes: the tape is wanted, and no maker."""
    answer = served(read_body((read("stature", 1750),)))
    assert "doubtful" == answer.serves.serves
    assert () == answer.serves.instead
    assert {"chest_girth", "hip_girth"} & {each.dimension for each in answer.next_measures}


def test_what_no_alteration_cures_does_not_serve_and_its_share_falls():
    # A waist of eight inches less than the coat's drop of six: more than is taken in (common practice, no source).
    answer = served(body_of(natural_waist_girth=28))
    assert "no" == answer.serves.serves
    assert [("jacket", "waist")] == [(each.garment, each.place) for each in answer.serves.beyond]
    assert answer.plans[0].shares.p_best < 0.05
    assert "no_size_serves" in [notice.code for notice in answer.notices]


@pytest.mark.parametrize(
    ("changed", "by", "change", "label"),
    [
        # Ten inches from chest to waist: two more than are taken in of a drop of six, and right in one of eight.
        ({"natural_waist_girth": 31.5, "chest_girth": 41.5, "shoulder_width": 18.25}, "reference_block", "cut", "42R"),
        # Shoulders three inches wider than the chest's own coat: a shoulder is never made wider (common practice, no
        # source).
        ({"shoulder_width": 22}, "made_to_measure", "made", None),
    ],
)
def test_what_would_serve_is_named(changed, by, change, label):
    (instead,) = served(body_of(**changed)).serves.instead
    assert (by, change) == (instead.by, instead.change)
    assert label == (instead.size.label if instead.size else None)
    assert label is None or label in instead.words


def test_a_longer_class_that_is_not_in_stock_would_serve():
    # Too short is never lengthened (US Army TM 10-227 p. 3-11; common practice, no source).
    stock = Stock.of_labels({"jacket": ("38S", "40S", "42S")})
    (instead,) = served(body_of(), stock=stock, garments=("jacket",)).serves.instead
    assert ("chart", "stock", "40R", "regular") == (
        instead.by,
        instead.change,
        instead.size.label,
        instead.length_class,
    )


def test_the_shops_own_charts_come_before_the_blocks():
    athletic = reference_charts()["reference_athletic"]
    own = replace(athletic, code="slim")
    answer = served(body_of(natural_waist_girth=31.5, chest_girth=41.5, shoulder_width=18.25))
    further = answer.looking_further((own,))
    assert ["reference_athletic", "slim"] == [each.serves.instead[0].size.chart for each in (answer, further)]
    assert ["chart"] == [each.by for each in further.serves.instead]
    assert 1 == [notice.code for notice in further.notices].count("no_size_serves")


def test_of_suits_sold_in_pairs_only_a_pair_would_serve():
    rows = [row for row in tables.rows("garments/reference_chart") if row["label"] in ("40R", "40L", "34")]
    pairs = chart(ChartHead("pairs", "Pairs", sold="pairs", drop=Length(inches(6), "in")), rows)
    # The coat of the pair would serve; its trousers never do.
    answer = served(body_of(trouser_waist_girth=44, hip_girth=40), charts=(pairs,))
    assert {"trousers"} == {each.garment for each in answer.serves.beyond}
    assert "pairs" not in {each.size.chart for each in answer.serves.instead if each.size}


def test_what_nobody_measured_and_nothing_predicts_makes_it_doubtful():
    taped = {name: FITTED[name] for name in ("chest_girth", "arm_length", "trouser_waist_girth")}
    body = read_body(tuple(read(name, inches(size), times=2) for name, size in taped.items()), 100)
    answer = served(body)
    assert "doubtful" == answer.serves.serves
    assert Unjudged("jacket", "waist", "natural_waist_girth") in answer.serves.unjudged
    assert "natural_waist_girth" in [each.dimension for each in answer.next_measures]


def test_the_girth_that_decides_is_asked_for_first():
    # The coat is taken in by more than it takes, as he is estimated: the waist decides.
    known = {name: size for name, size in FITTED.items() if name != "natural_waist_girth"}
    body = read_body(tuple(read(name, inches(size), times=2) for name, size in (known | {"chest_girth": 43}).items()))
    answer = served(body)
    assert "yes" != answer.serves.serves
    assert "natural_waist_girth" == answer.next_measures[0].dimension


@settings(max_examples=25)
@given(drawn_men, st.sets(st.sampled_from(sorted(dimensions())), min_size=2, max_size=8))
def test_what_is_named_instead_serves(sizes, names):
    body = read_body(readings_of({name: sizes[name] for name in names}))
    advice = advise(body, QUESTION)
    if advice.serves is None:
        return
    wrong = {each.garment for each in advice.serves.beyond}
    assert wrong == {each.garment for each in advice.serves.instead}
    for each in advice.serves.instead:
        assert each.by in BY
        assert each.change in CHANGES
        if each.size:
            found = reference_charts()[each.size.chart]
            only = replace(
                QUESTION,
                charts=(found,),
                garments=(each.garment,),
                stock=Stock.of_labels({each.garment: (each.size.label,)}),
            )
            assert "no" != advise(body, only).plans[0].serves


def test_the_middle_customer_is_served_by_a_regular():
    answer = served(read_body(readings_of({name: size for name, size in middle_man().items() if name != "body_mass"})))
    assert "no" != answer.serves.serves
    assert REFERENCE.code == answer.plans[0].chosen["jacket"].chart

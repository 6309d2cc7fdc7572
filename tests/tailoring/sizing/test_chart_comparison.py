import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.tailoring import tables
from service.tailoring.garments.charts import Chart, ChartHead, chart, reference_chart, reference_charts
from service.tailoring.garments.places import OwnEase
from service.tailoring.quantities import inches
from service.tailoring.refusals import Refusal
from service.tailoring.sizing.chart_comparison import compare
from service.tailoring.work.prices import PriceList

REFERENCE = reference_chart()
ROWS = tables.rows("garments/reference_chart")
PRICES = PriceList()
GARMENTS = ("jacket", "trousers", "waistcoat")


def compared(other, label="40R", garment="jacket", first=REFERENCE, own=()):
    return compare(first, garment, label, (other,), PRICES, own).others[0]


def best(other, label="40R", garment="jacket", **more):
    return compared(other, label, garment, **more).counterparts[0]


def relabelled(words, **more):
    """The reference block with other labels, rows moved by `more` inches."""
    rows = [
        row
        | {"label": words(row["label"])}
        | {place: float(row[place]) + by for place, by in more.items() if row.get(place)}
        for row in ROWS
    ]
    return chart(ChartHead("other", "Other"), rows)


@pytest.mark.parametrize("garment", GARMENTS)
def test_every_size_is_its_own_counterpart(garment):
    for size in REFERENCE.sizes[garment]:
        own = best(REFERENCE, size.label, garment)
        assert (size.label, True) == (own.size.label, own.serves)
        assert {0.0} == {place.difference.mm for place in own.places}


def test_labels_are_never_read():
    # The same garments under labels that say something else: 40R hangs where 52 is written, and 40 is a 28.
    names = {label: f"#{position}" for position, label in enumerate(reversed([row["label"] for row in ROWS]))}
    other = relabelled(names.__getitem__)
    for label in ("36S", "40R", "46L", "50XL"):
        assert names[label] == best(other, label).size.label


def test_a_block_cut_two_inches_fuller_serves_from_a_size_smaller():
    other = relabelled(str, chest=2, waist=2, seat=2, shoulder=0.375, sleeve=0.25, back_length=0.25, body=0)
    assert "38R" == best(other).size.label
    assert "42R" == best(REFERENCE, first=other).size.label


def test_another_drop_serves_in_the_chest_and_says_what_differs_at_waist_and_seat():
    athletic = best(reference_charts()["reference_athletic"])
    differences = {place.name: place.difference.mm for place in athletic.places if place.difference.mm}
    slimmer = {"waist": pytest.approx(-inches(2)), "seat": pytest.approx(-inches(0.875))}
    assert ("40R", False, slimmer) == (athletic.size.label, athletic.serves, differences)
    assert {"waist": "too_little"} == {p.name: p.verdict for p in athletic.places if p.verdict not in (None, "right")}


def test_what_serves_as_it_hangs_costs_less_than_what_must_be_altered():
    same, athletic = (best(reference_charts()[code]) for code in ("reference", "reference_athletic"))
    assert same.expected_cost.minor < athletic.expected_cost.minor


def test_the_best_few_stand_in_order_of_what_they_cost():
    found = compared(REFERENCE).counterparts
    assert 3 == len(found)
    costs = [each.expected_cost.minor for each in found]
    assert sorted(costs) == costs
    assert 0.5 < found[0].p_best <= 1 >= sum(each.p_best for each in found) - 0.01


def test_only_measures_that_both_charts_give_are_compared():
    bare = [{k: v for k, v in row.items() if k not in ("seat", "shoulder")} for row in ROWS]
    found = compared(chart(ChartHead("bare", "Bare"), bare))
    assert {"chest_girth", "natural_waist_girth", "arm_length", "cervical_height"} == set(found.dimensions)
    assert "seat" not in {place.name for place in found.counterparts[0].places}


def test_an_uncut_leg_tells_nothing_of_the_man_and_a_finished_one_does():
    cut = chart(
        ChartHead("cut", "Cut", unfinished=False),
        [
            {"garment": "trousers", "label": f"{waist}/{leg}", "body": waist, "waist": waist + 0.75, "inside_leg": leg,
             "length_class": length}
            for waist in (32, 34)
            for leg, length in ((30, "short"), (32, "regular"))
        ],
    )  # fmt: skip
    assert "inside_leg_length" not in compared(cut, "34", "trousers").dimensions
    both = best(cut, "34/32", "trousers", first=cut)
    assert ("34/32", "right") == (both.size.label, {p.name: p.verdict for p in both.places}["inside_leg"])
    uncut = best(cut, "34", "trousers")
    assert None is {p.name: p.verdict for p in uncut.places}["inside_leg"]


def test_where_a_chart_has_no_such_garment_there_is_no_counterpart():
    jackets = chart(ChartHead("jackets", "Jackets"), [row for row in ROWS if row["garment"] == "jacket"])
    assert ((), ()) == (
        compared(jackets, "34", "trousers").counterparts,
        compared(jackets, "34", "trousers").dimensions,
    )


def test_a_shops_own_tolerance_decides_what_serves():
    strict = OwnEase("jacket", "waist", (("close", 80.0), ("usual", 100.0), ("easy", 120.0)), -5.0, 5.0)
    easy = OwnEase("jacket", "waist", (("close", 80.0), ("usual", 100.0), ("easy", 120.0)), -60.0, 60.0)
    fuller = relabelled(str, waist=1)
    assert (True, False, True) == tuple(best(fuller, own=own).serves for own in ((), (strict,), (easy,)))


def test_a_label_that_the_chart_lacks_is_refused():
    with pytest.raises(Refusal) as caught:
        compared(REFERENCE, "39R")
    assert "label_unknown" == caught.value.code


@settings(max_examples=40)
@given(st.sampled_from(REFERENCE.sizes["jacket"]), st.floats(-60, 60), st.floats(-60, 60))
def test_a_jacket_that_hangs_in_both_charts_is_found_there(size, waist_mm, sleeve_mm):
    """However the rest of a chart is cut, the size with the same measures is the best of it."""
    moved = {"waist": waist_mm, "sleeve": sleeve_mm}
    others = tuple(
        each
        if each.label == size.label
        else type(each)(
            each.label,
            each.length_class,
            each.body_mm,
            tuple((place, mm + moved.get(place, 0.0)) for place, mm in each.measures),
        )
        for each in REFERENCE.sizes["jacket"]
    )
    other = Chart("other", "Other", "in", "separates", {**REFERENCE.sizes, "jacket": others})
    found = best(other, size.label)
    assert all(place.difference.mm == pytest.approx(0, abs=25) for place in found.places if place.name == "chest")
    assert found.serves

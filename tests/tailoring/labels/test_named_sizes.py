import math

import numpy as np
import pytest

from service.tailoring import tables
from service.tailoring.body.body import read_body
from service.tailoring.body.readings import dimensions
from service.tailoring.body.wears import Wears, evidence
from service.tailoring.garments.charts import GARMENTS, reference_chart
from service.tailoring.labels.charted_labels import label_in
from service.tailoring.labels.designation_systems import system_named, systems
from service.tailoring.labels.designations import read_label
from service.tailoring.labels.named_sizes import NamedSize, meanings, ranges_of, systems_of, understood
from service.tailoring.quantities import inches
from service.tailoring.refusals import Refusal
from tests.tailoring.men import read

BODY = tuple(name for name, system in systems().items() if system.kind == "body")
SLIM = (read("stature", 1780, source="self_reported"), read("body_mass", 76, source="self_reported"))
STOUT = (read("stature", 1780, source="self_reported"), read("body_mass", 95, source="self_reported"))
AT = ("wears", 0)


def known(readings, label, garment="jacket", how="says", system=None):
    """The body of whoever has these readings and wears that label, and the only notice on it."""
    body = understood(read_body(readings), [(AT, NamedSize(garment, label, how, system))])
    (notice,) = (each for each in body.notices if each.at == AT)
    return body, notice.code, dict(notice.facts)


def meant(label, garment="jacket", system=None):
    return [each.systems for each in meanings(NamedSize(garment, label, "says", system))]


# ---------------------------------------------------------------- what labels say, by the tables


@pytest.mark.parametrize("system", BODY)
def test_a_label_says_the_cells_of_its_table_and_each_has_its_source(system):
    rows = [row for row in tables.rows("labels/designation_cells") if row["system"] == system]
    asked = system_named(system)
    garment = asked.garments[0]
    for part in asked.parts:
        for cell in part.cells:
            example = asked.read(asked.example) | {part.name: cell}
            label = asked.write({name: its.code for name, its in example.items()})
            ranges = ranges_of(system, garment, label)
            for row in rows:
                if (row["part"], row["code"]) == (part.name, cell.code) and row["measure"] != "drop":
                    factor, drift = (inches(1), 0) if row["unit"] == "in" else (10, 0)
                    drift = dimensions()[row["measure"]].label_bias_mm or 0.0
                    said = tuple(float(row[end]) * factor + drift for end in ("least", "most"))
                    assert said == pytest.approx(ranges[row["measure"]])
                    assert row["source"]


@pytest.mark.parametrize("system", systems())
def test_what_a_worn_label_says_is_what_a_translated_one_says(system):
    asked = system_named(system)
    ranges = ranges_of(system, asked.garments[0], asked.example)
    for seen in read_label(system, asked.example):
        least, most = ranges[seen.dimension]
        assert seen.size == pytest.approx((least + most) / 2, abs=3)
        sd = math.hypot((most - least) / math.sqrt(12), dimensions()[seen.dimension].label_sd_mm or 0.0)
        assert sd == pytest.approx(seen.sd, rel=0.08)


def test_every_garment_has_systems_and_every_system_a_garment():
    assert set(systems()) == {name for garment in GARMENTS for name in systems_of(garment)}
    assert {"inch_trouser", "eu_trouser"} <= set(systems_of("trousers"))
    assert "inch_jacket" not in systems_of("trousers")


# ---------------------------------------------------------------- short forms


@pytest.mark.parametrize(
    ("system", "garment", "short", "whole"),
    [
        ("inch_jacket", "jacket", "40 regular", "40R"),
        ("inch_jacket", "jacket", "40-r", "40R"),
        ("inch_jacket", "waistcoat", "42 Extra Long", "42XL"),
        ("inch_jacket", "jacket", "38 short", "38S"),
        ("inch_jacket", "jacket", "\uff14\uff10R", "40R"),
        ("inch_trouser", "trousers", "W34", "34"),
        ("jis_l_4004", "jacket", "92a5", "92A5"),
        ("gb_t_1335_1", "trousers", "170 / 88a", "170/88A"),
    ],
)
def test_a_short_form_says_what_the_systems_own_form_says(system, garment, short, whole):
    assert ranges_of(system, garment, whole) == ranges_of(system, garment, short)


def test_a_number_with_a_length_says_the_height_too():
    continental = ranges_of("eu_jacket", "jacket", "50L")
    assert ranges_of("eu_jacket", "jacket", "50")["chest_girth"] == continental["chest_girth"]
    assert ranges_of("inch_jacket", "jacket", "40L")["stature"] == continental["stature"]


@pytest.mark.parametrize("label", ["W34 L32", "34/32", "34x32", "W34/L32", "34W 32L", "34 32"])
def test_a_waist_and_a_leg_say_both(label):
    ranges = ranges_of("inch_trouser", "trousers", label)
    assert ranges_of("inch_trouser", "trousers", "34")["trouser_waist_girth"] == ranges["trouser_waist_girth"]
    # Finished at 32 in it ends 1 3/4 in off the floor.
    assert inches(33.75) == pytest.approx(sum(ranges["inside_leg_length"]) / 2)


@pytest.mark.parametrize(
    ("garment", "label", "system", "problem"),
    [
        ("jacket", "41R", "inch_jacket", ("designation_outside", ("wears", 0, "label"))),
        ("jacket", "51", "german", ("designation_outside", ("wears", 0, "label"))),
        ("trousers", "W34 L60", "inch_trouser", ("designation_outside", ("wears", 0, "label"))),
        ("jacket", "big", "german", ("designation_unreadable", ("wears", 0, "label"))),
        ("jacket", "9.8", "german", ("designation_unreadable", ("wears", 0, "label"))),
        ("trousers", "50", "german", ("designation_not_of_garment", ("wears", 0, "system"))),
        ("jacket", "50", "somewhere", ("designation_system_unknown", ("wears", 0, "system"))),
        ("jacket", "big", None, ("label_of_no_system", ("wears", 0, "label"))),
        ("trousers", "M", None, ("label_of_no_system", ("wears", 0, "label"))),
    ],
)
def test_what_no_system_has_is_refused(garment, label, system, problem):
    with pytest.raises(Refusal) as refused:
        understood(read_body(SLIM), [(AT, NamedSize(garment, label, "says", system))])
    assert problem == (refused.value.code, refused.value.at)


# ---------------------------------------------------------------- a number of no system


def test_readings_that_overlap_are_one_and_others_are_apart():
    assert [("eu_jacket", "german"), ("inch_jacket",)] == [tuple(sorted(each)) for each in meant("50")]
    assert [("inch_jacket",)] == meant("40 regular")
    assert [("eu_trouser",), ("inch_trouser",)] == meant("48", "trousers")
    (continental, _) = meanings(NamedSize("jacket", "50", "says"))
    ends = [ranges_of(system, "jacket", "50")["chest_girth"] for system in ("german", "eu_jacket")]
    assert (min(ends)[0], max(end for _, end in ends)) == continental.ranges["chest_girth"]
    # One of them says the height as well, the other does not.
    assert {"chest_girth"} == continental.ranges.keys()


def test_a_slim_man_who_says_fifty_is_understood_as_continental():
    body, code, facts = known(SLIM, "50")
    assert ("label_is_an_interval", {"eu_jacket", "german"}) == (code, set(facts["systems"]))
    assert 975 < body.belief.median("chest_girth") < 1041
    assert body.belief.sd("chest_girth") < read_body(SLIM).belief.sd("chest_girth")


@pytest.mark.parametrize(
    ("chest_mm", "meant_by"), [(1000, {"eu_jacket", "german"}), (1270, {"inch_jacket"})], ids=["40 in", "50 in"]
)
def test_the_tape_decides_which_system_it_is(chest_mm, meant_by):
    _, code, facts = known((read("chest_girth", chest_mm, times=2),), "50")
    assert ("label_is_an_interval", meant_by) == (code, set(facts["systems"]))


def test_where_more_than_one_may_be_meant_it_is_asked_which_and_none_is_taken():
    body, code, facts = known(STOUT, "50")
    assert ("which_size_system", {"eu_jacket", "german", "inch_jacket"}) == (code, set(facts["candidates"]))
    assert np.array_equal(read_body(STOUT).belief.mean, body.belief.mean)
    named, code, _ = known(STOUT, "50", system="german")
    assert "label_is_an_interval" == code
    assert named.belief.median("chest_girth") < body.belief.median("chest_girth")


def test_where_nothing_goes_with_the_rest_it_is_asked_with_all():
    body, code, facts = known((read("chest_girth", 800, times=2),), "56")
    assert ("which_size_system", {"eu_jacket", "german", "inch_jacket"}) == (code, set(facts["candidates"]))
    assert frozenset({"chest_girth"}) == body.belief.read


def test_labels_that_name_their_system_help_with_those_that_do_not_in_any_order():
    sizes = [
        (("wears", 0), NamedSize("jacket", "50", "says")),
        (("wears", 1), NamedSize("waistcoat", "40R", "says", "inch_jacket")),
    ]
    one, other = (understood(read_body(STOUT), order) for order in (sizes, sizes[::-1]))
    assert one.notices == other.notices
    assert one.belief.mean == pytest.approx(other.belief.mean)
    assert {"label_is_an_interval"} == {each.code for each in one.notices}
    alone = understood(read_body(STOUT), sizes[:1])
    assert {"which_size_system"} == {each.code for each in alone.notices}


# ---------------------------------------------------------------- how much it says


def test_a_label_of_an_unknown_maker_says_less_than_one_of_a_known_chart_and_is_not_a_reading():
    alone = read_body(())
    charted = alone.also(evidence(Wears(reference_chart(), "jacket", "40R", "says")))
    unknown, _, _ = known((), "40R", system="inch_jacket")
    sds = [each.belief.sd("chest_girth") for each in (charted, unknown, alone)]
    assert sds == sorted(sds)
    assert sds[0] * 1.1 < sds[1] < sds[2] / 1.5
    assert frozenset() == unknown.belief.read
    fits, _, _ = known((), "40R", how="fits", system="inch_jacket")
    assert sds[0] < fits.belief.sd("chest_girth") < sds[1]


# ---------------------------------------------------------------- with a chart


@pytest.mark.parametrize(
    ("garment", "label", "system", "own"),
    [
        ("jacket", "40R", None, "40R"),
        ("jacket", "40 regular", None, "40R"),
        ("jacket", "50", "eu_jacket", "40R"),
        ("jacket", "50L", "eu_jacket", "40L"),
        ("jacket", "98", "german", "40L"),
        ("jacket", "25", "german", "40S"),
        ("trousers", "W34", None, "W34"),
    ],
)
def test_a_chart_knows_its_size_by_a_short_form_or_by_another_system(garment, label, system, own):
    assert own == label_in(reference_chart(), garment, label, system)


def test_a_size_that_the_chart_has_not_is_refused():
    with pytest.raises(Refusal) as refused:
        label_in(reference_chart(), "jacket", "XXS", "en_letter")
    assert "label_unknown" == refused.value.code

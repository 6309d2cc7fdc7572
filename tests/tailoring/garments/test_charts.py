import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.tailoring import tables
from service.tailoring.garments.charts import (
    LENGTH_CLASSES,
    ChartHead,
    chart,
    reference_chart,
    reference_charts,
    same_chart,
)
from service.tailoring.quantities import Length, inches
from service.tailoring.refusals import Refusal
from tests.tailoring.garments.rows import HEAD, PAIRS, faults_of, jacket, labels, trousers

CHESTS = range(32, 68, 2)


def test_a_sound_chart_is_taken_as_it_stands():
    shop = chart(HEAD, [jacket(), trousers()], revision=7)
    assert ("shop", 7, "separates", None) == (shop.code, shop.revision, shop.sold, shop.drop_mm)
    assert (inches(42), inches(38), None) == (
        shop.sizes["jacket"][0].mm("chest"),
        shop.sizes["jacket"][0].body_mm,
        shop.sizes["jacket"][0].mm("seat"),
    )
    assert (("38R",), ("32",)) == (labels(shop.sizes["jacket"]), labels(shop.sizes["trousers"]))


def test_jackets_or_trousers_may_be_sold_alone():
    assert () == chart(HEAD, [jacket()]).sizes["trousers"]
    assert () == chart(HEAD, [trousers()]).sizes["jacket"]


@pytest.mark.parametrize(
    ("rows", "fault"),
    [
        ([jacket(chest="")], "row 1, chest: is missing"),
        ([jacket(), jacket("40R", 40, sleeve=None)], "row 2, sleeve: is missing"),
        ([trousers(inside_leg="")], "row 1, inside_leg: is missing"),
        ([jacket(), jacket("38R", 40)], "row 2, label: 38R is in row 1 already"),
        ([jacket(), jacket("40R", 40, waist=35.5)], "row 2, waist: does not grow from 38R to 40R"),
        ([jacket(), jacket("40R", 40, chest=42)], "row 2, chest: does not grow from 38R to 40R"),
        ([jacket("40R", 40, sleeve=22), jacket()], "row 1, sleeve: does not grow from 38R to 40R"),
        ([jacket(), jacket("38X", 38, chest=43)], "row 2, body: 38X is cut for the same body as 38R"),
        (
            [jacket(shoulder=17), jacket("40R", 40)],
            "row 2, shoulder: is empty here and filled elsewhere: fill the column or leave it out",
        ),
        ([jacket(chest=36)], "row 1, chest: an ease of -51 mm over the body is implausible"),
        ([jacket(chest=49)], "row 1, chest: an ease of 279 mm over the body is implausible"),
        ([trousers(waist=30)], "row 1, waist: an ease of -51 mm over the body is implausible"),
        ([trousers(waist=37)], "row 1, waist: an ease of 127 mm over the body is implausible"),
        ([jacket(label="")], "row 1, label: between 1 and 20 characters are wanted"),
        ([jacket(label="x" * 21)], "row 1, label: between 1 and 20 characters are wanted"),
        ([jacket(length_class="tall")], "row 1, length_class: extra_short, short, regular, long or extra"),
        ([{"garment": "hat"}], "row 1, garment: jacket, trousers or waistcoat"),
        (
            [jacket(chest=42), jacket("40R", 40, chest=105)],
            "row 2, chest: 105 in cannot be a garment's: check the chart's unit",
        ),
        ([jacket(chest=0)], "row 1, chest: 0 in cannot be a garment's: check the chart's unit"),
        ([], "sizes: between 1 and 250 are wanted, not 0"),
    ],
)
def test_each_fault_is_said_with_its_row_and_column(rows, fault):
    assert (fault,) == faults_of(*rows)


def test_two_sizes_may_share_a_measure_but_not_the_one_that_makes_the_size():
    assert 2 == len(chart(HEAD, [jacket(), jacket("40R", 40, waist=36, sleeve=24.75)]).sizes["jacket"])


def test_what_is_no_length_is_said_with_its_row_and_column():
    (fault,) = faults_of(jacket(), trousers(waist="32,75"))
    assert fault.startswith("row 2, waist: '32,75' is not a length in in")


def test_all_faults_are_said_at_once():
    found = faults_of(jacket(chest="wide", sleeve=""), jacket(label="") | {"body": "-"}, {"garment": "cape"})
    assert ["row 1, chest", "row 1, sleeve", "row 2, label", "row 2, body", "row 3, garment"] == [
        fault.split(":")[0] for fault in found
    ]


def test_every_fault_points_at_its_cell():
    with pytest.raises(Refusal) as caught:
        chart(PAIRS, [jacket(), jacket("40R", 40, waist=30)])
    assert [("sizes", 1, "waist")] == [part.at for part in caught.value.parts]
    assert {"words": "row 2, waist: does not grow from 38R to 40R", "column": "waist", "row": 2} == (
        caught.value.parts[0].facts
    )
    with pytest.raises(Refusal) as caught:
        chart(ChartHead("c", "c", sold="pairs"), [])
    assert [("drop",), ("sizes",)] == [part.at for part in caught.value.parts]
    assert [("body", "drop"), ("body", "sizes")] == [part.at for part in caught.value.within("body").parts]


def test_more_than_250_sizes_are_too_many():
    assert ("sizes: between 1 and 250 are wanted, not 251",) == faults_of(*[jacket()] * 251)


def test_length_classes_grade_each_by_themselves():
    short = jacket("40S", 40, length_class="short", back_length=20, sleeve=20)
    assert 2 == len(chart(HEAD, [jacket(), short]).sizes["jacket"])


@pytest.mark.parametrize(
    "head",
    [ChartHead("c", "c", sold="pairs"), ChartHead("c", "c", drop=Length(152.4, "in"))],
    ids=["pairs without", "separates with"],
)
def test_pairs_need_a_drop_and_separates_have_none(head):
    assert ("drop: pairs need a drop, separates have none",) == faults_of(jacket(), trousers(), head=head)


def test_a_drop_at_which_nothing_is_sold_is_a_fault():
    assert ("drop: no jacket and trousers are cut that far apart",) == faults_of(
        jacket(), trousers("34", 34), head=PAIRS
    )
    assert ("drop: no jacket and trousers are cut that far apart",) == faults_of(jacket(), head=PAIRS)


def test_pairs_are_sold_together_only_at_their_drop():
    pairs = chart(PAIRS, [jacket(), trousers("32", 32), trousers("33", 33), trousers("32.25", 32.25)])
    sold = [each.label for each in pairs.sizes["trousers"] if pairs.sold_together(pairs.sizes["jacket"][0], each)]
    assert ["32", "32.25"] == sold


def test_separates_are_sold_in_any_pairing():
    shop = chart(HEAD, [jacket(), trousers("50", 50)])
    assert shop.sold_together(shop.sizes["jacket"][0], shop.sizes["trousers"][0])


def test_a_label_that_the_chart_lacks_is_refused():
    with pytest.raises(Refusal) as caught:
        chart(HEAD, [jacket()]).size("jacket", "39R")
    assert ("label_unknown", ("label",), "39R") == (caught.value.code, caught.value.at, caught.value.facts["given"])


@pytest.mark.parametrize(
    ("garment", "label", "near"),
    [
        ("trousers", "33.5", ("29", "30", "31", "32", "33", "34", "35", "36")),
        ("jacket", "41R", ("40XS", "42XS", "40S", "42S", "40R", "42R", "40L", "42L")),
    ],
)
def test_who_asks_for_a_label_that_is_not_there_is_told_those_beside_it(garment, label, near):
    with pytest.raises(Refusal) as caught:
        reference_chart().size(garment, label)
    assert near == caught.value.facts["allowed"]


def test_of_a_garment_that_the_chart_lacks_it_has_none():
    with pytest.raises(Refusal) as caught:
        chart(HEAD, [jacket()]).size("trousers", "34")
    assert ("none",) == caught.value.facts["allowed"]


def test_a_chart_is_read_in_its_own_unit_and_in_tailors_notation():
    cells = {name: f"{value} 0/2" for name, value in (("chest", 42), ("waist", 36))}
    written = chart(HEAD, [jacket(**cells)]).sizes["jacket"][0]
    metric = {name: 2.54 * value for name, value in jacket().items() if isinstance(value, int | float)}
    in_cm = chart(ChartHead("cm", "cm", unit="cm"), [jacket() | metric]).sizes["jacket"][0]
    for place, mm in written.measures:
        assert mm == pytest.approx(in_cm.mm(place))


def test_the_reference_block_is_a_sound_chart_and_each_row_names_its_source():
    reference = reference_chart()
    assert (90, 37) == (len(reference.sizes["jacket"]), len(reference.sizes["trousers"]))
    assert reference is reference_chart()
    assert all(row["source"] for row in tables.rows("garments/reference_chart"))


def test_the_reference_blocks_reach_from_32_to_66_in_the_chest_and_from_26_to_62_in_the_waist():
    for block in reference_charts().values():
        chests, waists = ([size.body_mm / 25.4 for size in block.sizes[each]] for each in ("jacket", "trousers"))
        assert (32, 66, 26, 62) == pytest.approx((min(chests), max(chests), min(waists), max(waists)))


def test_every_chest_of_the_reference_block_has_all_five_lengths():
    # Length is nearly independent of chest (r 0.25 in ANSUR II): every chest size needs all of them.
    by_body = {}
    for size in reference_chart().sizes["jacket"]:
        by_body.setdefault(size.body_mm, set()).add(size.length_class)
    assert all(set(LENGTH_CLASSES) == classes for classes in by_body.values())


def test_extra_is_longer_than_long_and_wider_in_the_shoulder_alone():
    # Two classes of 1 1/4 in of body (trade: 2 1/4 in together), of 1 in of sleeve and of 1/4 in of shoulder.
    block = reference_chart()
    for regular, extra in ((block.size("jacket", f"{chest}R"), block.size("jacket", f"{chest}XL")) for chest in CHESTS):
        steps = {place: (extra.mm(place) - mm) / 25.4 for place, mm in regular.measures}
        assert {"shoulder": 0.5, "back_length": 2.5, "sleeve": 2} == {
            p: pytest.approx(step) for p, step in steps.items() if step
        }


@pytest.mark.parametrize(
    ("code", "drop"), [("reference", 6), ("reference_full", 4), ("reference_athletic", 8), ("reference_portly", 1)]
)
def test_each_reference_block_is_cut_for_its_drop(code, drop):
    block = reference_charts()[code]
    assert (code, "separates", 1) == (block.code, block.sold, block.revision)
    for size in block.sizes["jacket"]:
        # 4 in of ease at the waist, whatever the drop.
        assert drop * 25.4 == pytest.approx(size.body_mm - (size.mm("waist") - inches(4)))


def test_the_reference_blocks_differ_in_waist_and_seat_and_their_trousers_in_seat_and_thigh():
    first, *others = reference_charts().values()
    assert first is reference_chart()
    moved = {"jacket": {"waist", "seat"}, "trousers": {"seat", "thigh"}, "waistcoat": {"waist"}}
    for other in others:
        for garment, places in moved.items():
            assert labels(first.sizes[garment]) == labels(other.sizes[garment])
            for one, another in zip(first.sizes[garment], other.sizes[garment], strict=True):
                assert places == {place for place, mm in one.measures if mm != another.mm(place)}


def test_the_reference_blocks_are_sound_charts():
    for block in reference_charts().values():
        rows = [
            {"garment": garment, "label": size.label, "length_class": size.length_class, "body": size.body_mm}
            | dict(size.measures)
            for garment in ("jacket", "trousers", "waistcoat")
            for size in block.sizes[garment]
        ]
        assert labels(block.sizes["jacket"]) == labels(chart(ChartHead("c", "c", unit="mm"), rows).sizes["jacket"])


def test_charts_are_the_same_when_they_say_the_same_in_whatever_revision():
    assert same_chart(chart(HEAD, [jacket()]), chart(HEAD, [jacket()], 2))
    assert not same_chart(chart(HEAD, [jacket()]), chart(HEAD, [jacket(waist=37)]))


@given(st.permutations([jacket("38R", 38), jacket("40R", 40), jacket("42R", 42), trousers()]))
def test_rows_may_come_in_any_order(rows):
    assert 3 == len(chart(HEAD, rows).sizes["jacket"])


def test_a_chart_in_another_unit_is_refused_cell_by_cell():
    # 44 mm of chest is a chart in inches read as millimetres.
    rows = [
        {"garment": "jacket", "label": "40R", "body": 40, "chest": 44, "waist": 38, "sleeve": 25, "back_length": 30}
    ]
    with pytest.raises(Refusal) as refused:
        chart(ChartHead("x", "x", unit="mm"), rows)
    assert {"body", "chest", "waist", "sleeve", "back_length"} == {part.facts["column"] for part in refused.value.parts}


def test_a_column_of_no_chart_is_refused_and_not_dropped():
    rows = [{"garment": "trousers", "label": "32", "body": 32, "waist": 32.75, "inside_leg": 36, "sholder": 18}]
    with pytest.raises(Refusal) as refused:
        chart(ChartHead("x", "x"), rows)
    assert ["sholder"] == [part.facts["column"] for part in refused.value.parts]

"""The reference block against published coats and trousers.

Sources: US Army TM 10-8400-201-23: a coat of 22 in half breast and 29 13/16 in back is a size 40. MIL-C-19516G: coat
sizes by length (read from a scan). US Army TM 10-227: normal drop 4 to 7 in, trouser waist ease about 1/2 in.
"""

import numpy as np
import pytest

from service.tailoring.body.population import Observation, men
from service.tailoring.garments.charts import reference_chart, reference_charts
from service.tailoring.garments.places import places
from service.tailoring.quantities import inches
from tests.reference.published import rows

BLOCK = reference_chart()
# Our length classes by the letters of the specification.
LENGTHS = {"XS": "extra_short", "S": "short", "R": "regular", "L": "long", "XL": "extra"}


def test_a_coat_of_22_in_half_breast_is_a_size_40():
    # Half breast is half of the finished chest.
    found = [size for size in BLOCK.sizes["jacket"] if size.mm("chest") == pytest.approx(inches(2 * 22))]
    assert {inches(40)} == {size.body_mm for size in found}
    assert ["40XS", "40S", "40R", "40L", "40XL"] == [size.label for size in found]


def test_its_back_is_that_of_the_40_regular_to_a_quarter_inch():
    backs = {size.label: size.mm("back_length") for size in BLOCK.sizes["jacket"] if size.body_mm == inches(40)}
    published = inches(29.8125)
    assert published == pytest.approx(backs["40R"], abs=inches(0.25))
    assert "40R" == min(backs, key=lambda label: abs(backs[label] - published))


def test_the_ease_of_that_coat_is_the_usual_ease_at_the_chest():
    # 22 in half breast on a chest of 40: 4 in.
    chest = next(place for place in places("jacket") if place.name == "chest")
    assert inches(2 * 22 - 40) == chest.ideal_mm["usual"]


@pytest.mark.parametrize("row", [row for row in rows("mil_c_19516g") if row["length"] in LENGTHS], ids=str)
def test_every_even_size_of_the_specification_that_the_block_reaches_is_in_our_lengths(row):
    ours = {size.label.rstrip("SRLX") for size in BLOCK.sizes["jacket"] if size.length_class == LENGTHS[row["length"]]}
    smallest = min(int(label) for label in ours)
    published = {size for size in row["sizes"].split() if int(size) % 2 == 0 and int(size) >= smallest}
    # Its extra long begin at 35; it knows a 30 that the block has not.
    first = 36 if row["length"] == "XL" else 32
    assert {str(size) for size in range(first, 50, 2)} == published
    assert published <= ours


def test_the_block_has_the_five_lengths_of_the_specification():
    assert set(LENGTHS) == {row["length"] for row in rows("mil_c_19516g")}
    assert set(LENGTHS.values()) == {size.length_class for size in BLOCK.sizes["jacket"]}


def test_trousers_have_about_half_an_inch_of_ease_at_the_waist():
    # US Army TM 10-227: about 1/2 in.
    for size in BLOCK.sizes["trousers"]:
        assert inches(0.5) == pytest.approx(size.mm("waist") - size.body_mm, abs=inches(0.26))


def test_a_six_inch_drop_lies_within_the_armys_normal_drop():
    drops = {
        round((jacket.body_mm - trousers.body_mm) / 25.4)
        for jacket in BLOCK.sizes["jacket"]
        for trousers in BLOCK.sizes["trousers"]
        if 4 <= (jacket.body_mm - trousers.body_mm) / 25.4 <= 7
    }
    # Sold apart, every normal drop can be had of the block.
    assert {4, 5, 6, 7} == drops


# ANSUR II men: hip = 13.93 + 0.246 chest + 0.430 waist (in), by least squares over the 4,082; residual SD 1.4 in. Few
# of them are larger than this in the chest; of those the population model knows civilians.
LARGEST_IN = 54


def hip_in(chest, waist):
    if chest <= LARGEST_IN:
        return 13.934 + 0.246 * chest + 0.43 * waist
    seen = (("chest_girth", chest), ("natural_waist_girth", waist))
    belief = men().believe([Observation(name, inches(size), 1.0) for name, size in seen])
    return belief.median("hip_girth") / inches(1) + 0.6


@pytest.mark.parametrize("block", reference_charts().values(), ids=lambda block: block.code)
def test_the_seat_is_that_of_men_of_this_chest_and_waist(block):
    # A seat that grew an inch with every inch of chest hung 1 3/4 in too wide on the middle man. The two sources are
    # 0.6 in apart where they meet.
    fullness = (block.sizes["jacket"][0].mm("waist") - BLOCK.sizes["jacket"][0].mm("waist")) / 25.4
    for size in block.sizes["jacket"]:
        chest = size.body_mm / 25.4
        near = 0.13 if chest <= LARGEST_IN else 0.6
        assert 4 == pytest.approx(size.mm("seat") / 25.4 - hip_in(chest, chest - 6 + fullness), abs=near)
    for size in block.sizes["trousers"]:
        waist = size.body_mm / 25.4
        near = 0.13 if waist <= 50 and waist + 6 - fullness <= LARGEST_IN else 0.6
        assert 3 == pytest.approx(size.mm("seat") / 25.4 - hip_in(waist + 6 - fullness, waist), abs=near)


@pytest.mark.parametrize("block", reference_charts().values(), ids=lambda block: block.code)
def test_large_and_small_coats_have_the_shoulders_of_men_of_that_chest(block):
    # A shoulder is never altered: one that grew by the trade's grade up to 66 would fit nobody of that chest.
    place = next(each for each in places("jacket") if each.name == "shoulder")
    for size in block.sizes["jacket"]:
        if size.length_class == "regular":
            seen = (Observation("chest_girth", size.body_mm, 1.0), Observation("stature", inches(70), 1.0))
            needed = men().believe(seen).median("shoulder_width") + place.ideal_mm["usual"]
            assert place.low_mm < size.mm("shoulder") - needed < place.high_mm - 5


def test_a_longer_class_has_broader_shoulders():
    # ANSUR II men of one chest: 0.12 in of shoulder for an inch of stature; a class is some two to three inches of it.
    for chest in range(32, 68, 2):
        widths = [BLOCK.size("jacket", f"{chest}{letter}").mm("shoulder") for letter in LENGTHS]
        assert [inches(0.25)] * 4 == pytest.approx(list(np.diff(widths)))


def test_a_length_class_is_a_step_of_about_an_inch():
    # Trade press: 1 in in the sleeve; body 1 to 1 1/4 in.
    for chest in range(32, 68, 2):
        short, regular, long = (BLOCK.size("jacket", f"{chest}{letter}") for letter in "SRL")
        assert inches(1) == pytest.approx(regular.mm("sleeve") - short.mm("sleeve"))
        assert inches(1) == pytest.approx(long.mm("sleeve") - regular.mm("sleeve"))
        for step_mm in (
            regular.mm("back_length") - short.mm("back_length"),
            long.mm("back_length") - regular.mm("back_length"),
        ):
            assert inches(1.125) == pytest.approx(step_mm, abs=inches(0.126))

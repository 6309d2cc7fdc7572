"""The size systems against the figures of their sources.

Sources: JIS L 4004 (Japan): types by chest less waist, label like 92A5 = chest 92, waist 80, height number 5 = 170 cm
(read; 92YA5 has a waist of 78). GB/T 1335.1 (China): types Y 17-22, A 12-16, B 7-11, C 2-6 cm (read); middle bodies
read in part, the rest from memory; steps from memory. EN 13402-3, edition of 2004, withdrawn: chest and letter
ranges from memory, as the tables say; this is no check against its text. German families: number = half the chest in
cm, long 2n - 2, short n/2 (common practice, no source). European jacket = inch + 10: a custom; how far it is off is
arithmetic, with 1 in = 25.4 mm exactly (NIST SP 811).
"""

import pytest

from service.tailoring.body.body import read_body
from service.tailoring.labels.designation_systems import system_named
from service.tailoring.labels.designations import designate, read_label, translate
from service.tailoring.quantities import inches
from tests.reference.published import rows
from tests.tailoring.men import read

GB, JIS = rows("gbt1335_1_men"), rows("jis_l4004_men")


def said_cm(system, label):
    return {o.dimension: o.size / 10 for o in read_label(system, label)}


def body_of(**sizes_cm):
    return read_body(tuple(read(name, 10 * size, times=2) for name, size in sizes_cm.items())).belief


def cells(system, part=0):
    return {cell.code: cell.bounds for cell in system_named(system).parts[part].cells}


# ---------------------------------------------------------------- JIS L 4004


def test_92_a_5_is_a_chest_of_92_a_waist_of_80_and_a_height_of_170():
    assert {"chest_girth": 92, "waist_girth": 80, "stature": 170} == pytest.approx(said_cm("jis_l_4004", "92A5"))


def test_92_ya_5_has_a_waist_of_78():
    assert 78 == pytest.approx(said_cm("jis_l_4004", "92YA5")["waist_girth"])


@pytest.mark.parametrize("row", JIS, ids=lambda row: row["type"])
def test_a_body_of_each_type_of_jis_l_4004_is_written_as_its_type(row):
    label = f"92{row['type']}5"
    waist = 92 - float(row["drop_cm"])
    assert waist == pytest.approx(said_cm("jis_l_4004", label)["waist_girth"])
    assert label == designate(body_of(chest_girth=92, waist_girth=waist, stature=170), "jis_l_4004")[0].label


def test_height_numbers_are_five_centimetres_from_150_to_190():
    heights = {code: bounds[0].middle / 10 for code, bounds in cells("jis_l_4004", 2).items()}
    assert {str(n): 145 + 5 * n for n in range(1, 10)} == heights


# ---------------------------------------------------------------- GB/T 1335.1


@pytest.mark.parametrize("row", GB, ids=lambda row: row["type"])
def test_the_types_of_gb_t_1335_have_their_drops_in_whole_centimetres(row):
    (bound,) = cells("gb_t_1335_1", 2)[row["type"]]
    assert (float(row["drop_least_cm"]) - 0.5, float(row["drop_most_cm"]) + 0.5) == (bound.least / 10, bound.most / 10)


@pytest.mark.parametrize("row", GB, ids=lambda row: row["type"])
def test_the_middle_bodies_of_gb_t_1335_are_written_as_their_type(row):
    stature, chest, waist = (float(row[name]) for name in ("stature_cm", "chest_cm", "waist_cm"))
    label = f"{stature:.0f}/{chest:.0f}{row['type']}"
    assert label == designate(body_of(chest_girth=chest, waist_girth=waist, stature=stature), "gb_t_1335_1")[0].label
    # The label tells the waist to within the range of its type.
    assert waist == pytest.approx(said_cm("gb_t_1335_1", label)["waist_girth"], abs=2.5)


def test_the_types_of_gb_t_1335_leave_no_hole_between_them():
    (c,), (b,), (a,), (y,) = (cells("gb_t_1335_1", 2)[name] for name in "CBAY")
    assert (c.most, b.most, a.most) == (b.least, a.least, y.least)


# ---------------------------------------------------------------- EN 13402-3 (2004, withdrawn; from memory)


@pytest.mark.parametrize(("system", "part"), [("en_letter", 0), ("en_chest_waist", 0), ("en_chest_waist", 1)])
def test_european_ranges_follow_each_other_without_holes(system, part):
    ranges = [(bound.least, bound.most) for (bound,) in cells(system, part).values()]
    assert [most for _, most in ranges[:-1]] == [least for least, _ in ranges[1:]]


def test_letters_go_from_70_to_166_cm_of_chest():
    letters = cells("en_letter")
    assert ["XXS", "XS", "S", "M", "L", "XL", "XXL", "3XL", "4XL", "5XL"] == list(letters)
    assert (700, 1660) == (letters["XXS"][0].least, letters["5XL"][0].most)


def test_a_chest_of_100_is_an_m_and_its_waist_12_less():
    found = body_of(chest_girth=100, waist_girth=88)
    assert "M" == designate(found, "en_letter")[0].label
    assert "100/88" == designate(found, "en_chest_waist")[0].label


def test_every_chest_has_a_waist_twelve_less():
    chests = [bounds[0].middle for bounds in cells("en_chest_waist", 0).values()]
    assert [chest - 120 for chest in chests] == [bounds[0].middle for bounds in cells("en_chest_waist", 1).values()]


# ---------------------------------------------------------------- the German families


@pytest.mark.parametrize("normal", range(44, 66, 2))
def test_german_numbers_are_half_the_chest_long_2_n_less_2_and_short_half_of_n(normal):
    families = {"regular": f"{normal}", "long": f"{2 * normal - 2}", "short": f"{normal // 2}"}
    said = {name: said_cm("german", label) for name, label in families.items()}
    assert {2 * normal} == {round(each["chest_girth"], 6) for each in said.values()}
    assert said["short"]["stature"] < said["regular"]["stature"] < said["long"]["stature"]


# ---------------------------------------------------------------- inch + 10


# Half the chest in cm less the label: inch + 10 against what the number says of itself.
@pytest.mark.parametrize(
    ("inch", "label", "short"),
    [
        (34, "44", -0.82),
        (36, "46", -0.28),
        (38, "48", 0.26),
        (40, "50", 0.80),
        (42, "52", 1.34),
        (44, "54", 1.88),
        (46, "56", 2.42),
        (48, "58", 2.96),
        (50, "60", 3.50),
        (52, "62", 4.04),
        (54, "64", 4.58),
    ],
)
def test_inch_and_ten_is_as_far_off_as_arithmetic_says(inch, label, short):
    found = {each.label: each for each in translate("inch_jacket", f"{inch}R", "eu_jacket")}
    assert short == pytest.approx(found[label].error_mm / 20, abs=0.005)
    # A step of European sizes is 2: over one from 46 in up, and the label is then no longer the likeliest by far.
    assert (short > 2) == (inch >= 46)
    assert (found[label].probability > 0.5) == (short < 2)


def test_inch_and_ten_is_exact_near_37_inches_only():
    custom = system_named("eu_jacket").custom
    assert 0 == pytest.approx(custom.error_mm(1000 / 27, 1000 / 27 + 10), abs=1e-9)
    assert abs(custom.error_mm(37, 47)) < 0.3


def test_inch_and_sixteen_is_exact_there_too_with_the_continental_drop_of_6():
    # Half the waist in cm and 6 (drop 6 on half girths, from memory): the trouser label of the suit's number.
    custom = system_named("eu_trouser").custom
    assert abs(custom.error_mm(37, 53)) < 0.3
    assert 0.8 * 20 == pytest.approx(custom.error_mm(40, 56))


def test_a_chest_of_46_inches_is_not_written_as_56_with_certainty():
    found = {each.label: each.probability for each in designate(body_of(chest_girth=inches(46) / 10), "eu_jacket")}
    assert found["56"] < 0.5 < found["58"]

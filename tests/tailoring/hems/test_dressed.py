"""What is worn at the fitting: the tables name what there is, and shoes, braces and belts are reckoned both ways."""

import pytest

from service.tailoring import tables
from service.tailoring.fitting.fit_points import fit_points, trade_table
from service.tailoring.hems.dressed import AS_USUAL, AT_THE_SHOE, HELD_UP_BY, Dressed, held_up
from service.tailoring.quantities import Length, inches
from service.tailoring.refusals import Refusal


def inch(count):
    return Length(inches(count), "in")


@pytest.mark.parametrize("table", ["dressed_shifts", "dressed_doubts"])
def test_every_row_is_of_a_point_and_of_something_that_may_be_worn(table):
    for row in tables.rows(f"hems/{table}"):
        assert row["point"] in fit_points(), row
        assert row["source"], row
        assert row["words"], row
        assert Dressed(**{row["part"]: row["worn"]})
        verdicts = {look.verdict for look in trade_table().looks[row["point"]]} - {"right"}
        assert not row.get("verdict") or row["verdict"] in verdicts, row


def test_nothing_said_moves_and_doubts_nothing():
    assert {} == AS_USUAL.shifts()
    assert not any(AS_USUAL.doubt_of(point, "too_little", measured=False) for point in fit_points())
    assert ((), "", "") == (AS_USUAL.doubts_of_legs, AS_USUAL.words("trousers"), AS_USUAL.words("jacket"))


def test_what_holds_the_trousers_up_is_known_both_ways():
    assert set(HELD_UP_BY) == set(held_up())
    for now in HELD_UP_BY:
        for worn in HELD_UP_BY:
            there = Dressed(held_up_by=now, to_be_held_up_by=worn).rises_mm
            assert there == -Dressed(held_up_by=worn, to_be_held_up_by=now).rises_mm
            assert bool(there) == bool(Dressed(held_up_by=now, to_be_held_up_by=worn).doubts_of_legs)


@pytest.mark.parametrize("own_in", [0.5, 0.75, 1, 1.5, 2.5])
def test_a_leg_is_longer_by_the_heel_that_is_worn(own_in):
    # I = F + h - g - c - s/2, derived: the heel counts in full.
    dressed = Dressed(heel=inch(1), shoes="lent", own_heel=inch(own_in))
    assert pytest.approx(inches(own_in - 1)) == dressed.longer_mm
    table = trade_table().shifted(dressed.shifts())
    for code, way in (("trouser_break", 1), ("trouser_back_hem", -1)):
        moved = table.points[code].band.right_mm - fit_points()[code].band.right_mm
        assert pytest.approx(way * inches(own_in - 1)) == moved


def test_a_fault_is_doubted_and_what_is_right_is_not():
    full = Dressed(pockets="full")
    assert full.doubt_of("front_closure", "too_little", measured=True)
    assert full.doubt_of("front_closure", "too_much", measured=True) is None
    assert full.doubt_of("front_closure", "right", measured=True) is None
    assert full.doubt_of("shoulder", "too_little", measured=True) is None


def test_braces_reckoned_for_do_not_make_a_break_over_lent_shoes_known():
    # A heel that nobody said may be any (common practice, no source).
    on_braces = {"held_up_by": "belt", "to_be_held_up_by": "braces", "shoes": "lent", "heel": inch(1)}
    for point in AT_THE_SHOE:
        assert Dressed(**on_braces).doubt_of(point, "too_much", measured=True)
        assert Dressed(**on_braces, own_heel=inch(1.5)).doubt_of(point, "too_much", measured=True) is None


def test_only_lent_shoes_have_another_heel():
    with pytest.raises(Refusal) as caught:
        Dressed(heel=inch(1), own_heel=inch(2))
    assert ("own_heel_not_lent", ("own_heel",)) == (caught.value.code, caught.value.at)
    with pytest.raises(Refusal) as caught:
        Dressed(heel=inch(9))
    assert ("hem_quantity_outside", ("heel",)) == (caught.value.code, caught.value.at)


def test_other_shoes_say_nothing_of_the_belt_and_of_the_former_shoes_nothing_stays():
    first = Dressed(heel=inch(1), shoes="lent", own_heel=inch(2), shirt_cuff="single", held_up_by="belt")
    shod = first.pinned_again(Dressed(heel=inch(1.25)))
    assert Dressed(heel=inch(1.25), shirt_cuff="single", held_up_by="belt") == shod
    held = first.pinned_again(Dressed(held_up_by="braces"))
    assert Dressed(heel=inch(1), shoes="lent", own_heel=inch(2), shirt_cuff="single", held_up_by="braces") == held

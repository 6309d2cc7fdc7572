import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.tailoring import tables
from service.tailoring.fitting.fit_points import fit_points
from service.tailoring.garments.alterations import ALTERED, BASES, BENCHES, DIRECTIONS, alteration, catalogue
from service.tailoring.garments.amounts import Amount, check_amount, inlay_of
from service.tailoring.quantities import Length, inches
from service.tailoring.refusals import Refusal
from service.tailoring.work.order_of_work import must_precede, order_of_work, sewn_before

ALL = list(catalogue().values())
MOVABLE = [(doing, direction) for doing in ALL for direction in doing.directions]


def amount_of(doing, direction, mm, **parts):
    side = "left" if doing.sided else None
    return Amount(Length(mm), **{"basis": doing.basis, "direction": direction, "side": side} | parts)


def refusal_of(doing, amount, inlay=None):
    with pytest.raises(Refusal) as caught:
        check_amount(doing, amount, inlay)
    return caught.value


def test_every_code_is_unique_and_every_row_has_its_source():
    rows = tables.rows("garments/alterations")
    assert len({row["code"] for row in rows}) == len(rows)
    assert all(row["source"] for name in ("garments/alterations", "work/order_of_work") for row in tables.rows(name))


def test_the_catalogue_holds_the_trades_55_operations():
    # The catalogue of the trade: 55 alterations (common practice, no source).
    assert 55 == len(ALL)


@pytest.mark.parametrize("doing", ALL, ids=lambda doing: doing.code)
def test_every_alteration_is_whole(doing):
    assert doing.garment in ALTERED
    assert doing.bench in BENCHES
    assert doing.basis is None or doing.basis in BASES
    assert doing.minutes > 0
    assert doing.plain_hems > 0
    assert 1 <= doing.difficulty <= 5


def test_the_rows_name_only_alterations_that_exist():
    for row in tables.rows("work/order_of_work"):
        assert row["before"] in {*catalogue(), *ALTERED, "any"}
        assert row["after"] in catalogue()
    for name in ("garments/alternatives", "garments/inlays"):
        assert all(row["alteration"] in catalogue() for row in tables.rows(name))


def test_every_alteration_that_has_a_limit_has_an_alternative_of_its_own():
    named = {row["alteration"] for row in tables.rows("garments/alternatives")}
    assert set() == {doing.code for doing in ALL if doing.directions} - named


def test_every_alteration_mends_fit_points_that_are_looked_at():
    assert set() == {point for doing in ALL for point in doing.mends} - set(fit_points())
    # What is done to order and cures nothing: vents closed, holes worked, a taper, turn-ups made or taken off, a press.
    assert {
        "jacket_vent_close", "jacket_cuff_buttonholes_work", "trouser_leg_taper", "trouser_hem_turn_up",
        "trouser_turn_up_remove", "jacket_press", "trouser_press",
    } == {doing.code for doing in ALL if not doing.mends}  # fmt: skip


@pytest.mark.parametrize(
    ("code", "written"),
    [
        # Code, then basis, usual limits down and up, most of all (in), minutes, plain hems, difficulty, stage.
        ("jacket_shoulder_narrow", ("per_side", 0.5, 0, 0.5, (180, 360), (7, 12), 5, 1)),
        ("jacket_collar_lower", ("length", 0.625, 0, 0.625, (60, 120), (3, 5), 4, 2)),
        ("jacket_waist_in", ("girth", 1.5, 0, 2, (45, 90), (2, 4), 3, 4)),
        ("jacket_waist_out", ("girth", 0, 1, 1, (50, 100), (2, 4), 3, 4)),
        ("jacket_sleeve_shorten_at_cuff", ("length", 1, 0, 1.5, (45, 75), (2, 2.5), 3, 9)),
        ("jacket_sleeve_lengthen_at_shoulder", ("length", 0, 0.25, 0.375, (120, 210), (4, 7), 5, 6)),
        ("trouser_waist_in", ("girth", 2, 0, 3, (25, 45), (1.3, 1.8), 2, 3)),
        ("trouser_seat_out", ("girth", 0, 0.5, 1, (30, 55), (1.3, 2), 3, 2)),
        ("trouser_leg_swing", ("per_leg", 1, 1, 1, (50, 90), (2, 3), 4, 4)),
        ("waistcoat_shorten", ("length", 0.5, 0, 0.5, (50, 90), (2, 3.5), 4, 2)),
        ("shirt_cuff_button_move", ("girth", 0.5, 0.5, 0.75, (5, 10), (0.3, 0.4), 1, 9)),
    ],
)  # fmt: skip
def test_figures_are_the_trades_own(code, written):
    # Trade press; common practice, no source.
    doing = alteration(code)
    basis, down, up, most, minutes, hems, difficulty, stage = written
    assert (basis, inches(down), inches(up), inches(most), minutes, hems, difficulty, stage) == (
        doing.basis, doing.decrease_most_mm, doing.increase_most_mm, doing.hard_most_mm, doing.minutes_between,
        doing.plain_hems_between, doing.difficulty, doing.stage,
    )  # fmt: skip


def test_band_height_comes_before_the_waistcoat_and_the_waistcoat_before_the_jackets_waist():
    # Common practice, no source.
    codes = ["jacket_waist_in", "waistcoat_shorten", "waistcoat_sides_in", "trouser_waist_in"]
    sewn = [codes[i] for i in order_of_work(codes)]
    assert sewn.index("trouser_waist_in") < sewn.index("waistcoat_shorten") < sewn.index("jacket_waist_in")
    assert sewn.index("waistcoat_sides_in") < sewn.index("jacket_waist_in")


def test_all_of_a_garment_is_sewn_before_it_is_pressed():
    codes = ["jacket_press", "jacket_lapel_reroll", "jacket_sleeve_shorten_at_cuff", "jacket_cuff_buttonholes_work"]
    assert {2, 3} == set(order_of_work(codes)[:2])
    assert sewn_before("jacket_body_shorten", "jacket_press", same_piece=True)
    assert not sewn_before("jacket_lapel_reroll", "jacket_press", same_piece=True)


def test_two_jackets_do_not_wait_for_one_another_but_a_jacket_waits_for_the_waistcoat():
    assert not sewn_before("jacket_waist_in", "jacket_vent_rehang", same_piece=False)
    assert sewn_before("jacket_waist_in", "jacket_vent_rehang", same_piece=True)
    assert sewn_before("waistcoat_sides_in", "jacket_waist_in", same_piece=False)


def test_an_unknown_alteration_is_refused():
    with pytest.raises(Refusal) as caught:
        alteration("trouser_magic")
    assert ("alteration_unknown", ("alteration",)) == (caught.value.code, caught.value.at)


@pytest.mark.parametrize(("doing", "direction"), MOVABLE, ids=lambda part: getattr(part, "code", part))
def test_each_direction_goes_to_its_limit_and_no_further(doing, direction):
    most_mm = doing.most_mm(direction)
    check_amount(doing, amount_of(doing, direction, most_mm))
    beyond = refusal_of(doing, amount_of(doing, direction, most_mm + 0.1))
    assert "alteration_beyond_limit" == beyond.code
    assert round(most_mm, 1) == beyond.facts["most_mm"]
    assert beyond.facts["instead"]


@pytest.mark.parametrize(
    ("doing", "direction"),
    [(doing, d) for doing in ALL for d in DIRECTIONS if doing.directions and d not in doing.directions],
    ids=lambda part: getattr(part, "code", part),
)
def test_a_direction_without_a_limit_cannot_be_gone(doing, direction):
    refusal = refusal_of(doing, amount_of(doing, direction, 1.0))
    assert ("direction_impossible", ("direction",)) == (refusal.code, refusal.at)


def test_an_amount_needs_its_four_parts():
    waist, sleeve, press = map(alteration, ("trouser_waist_in", "jacket_sleeve_shorten_at_cuff", "jacket_press"))
    # Common practice, no source: "Take in one inch" without a basis can be wrong by 2x or 4x.
    assert "basis_wrong" == refusal_of(waist, amount_of(waist, "decrease", 10, basis="per_side")).code
    assert "amount_missing" == refusal_of(waist, None).code
    assert "amount_zero" == refusal_of(waist, amount_of(waist, "decrease", 0)).code
    assert "side_missing" == refusal_of(sleeve, amount_of(sleeve, "decrease", 10, side=None)).code
    assert "side_not_taken" == refusal_of(waist, amount_of(waist, "decrease", 10, side="left")).code
    assert "amount_not_taken" == refusal_of(press, Amount(Length(1.0), "length", "decrease")).code
    check_amount(press, None)


def test_no_more_is_let_out_than_the_inlay_less_its_seam():
    # Common practice, no source: inlay - 3/8 in of seam is the most that can come out.
    out = alteration("trouser_waist_out")
    inch = inlay_of(out, Length(inches(1)))
    check_amount(out, amount_of(out, "increase", inches(5 / 8)), inch)
    refusal = refusal_of(out, amount_of(out, "increase", inches(3 / 4)), inch)
    assert ("inlay_too_small", "5/8") == (refusal.code, refusal.facts["most_in"])
    assert "0" == refusal_of(out, amount_of(out, "increase", 1.0), inlay_of(out, Length(5.0))).facts["most_in"]


@pytest.mark.parametrize(
    ("seen_in", "said", "out_in"),
    [
        # Half an inch at each side seam is what the catalogue's limit of an inch counts on (common practice, no
        # source).
        (1 / 2, {}, 1),
        (1 / 2, {"basis": "per_seam", "seams": 2}, 1),
        (1 / 2, {"basis": "per_seam", "seams": 1}, 1 / 2),
        (1 / 4, {}, 1 / 2),
        # All that there is, and 3/8 in of it stays sewn at each seam.
        (1 + 3 / 4, {"basis": "girth"}, 1),
        (1 + 3 / 8, {"basis": "girth", "seams": 1}, 1),
    ],
)
def test_inlay_is_counted_by_its_seams(seen_in, said, out_in):
    out = alteration("jacket_waist_out")
    inlay = inlay_of(out, Length(inches(seen_in)), **said)
    assert inches(out_in) == pytest.approx(inlay.out_mm)
    check_amount(out, amount_of(out, "increase", inches(out_in)), inlay)
    if out_in < 1:
        assert "inlay_too_small" == refusal_of(out, amount_of(out, "increase", inches(out_in + 1 / 8)), inlay).code
    assert "alteration_beyond_limit" == refusal_of(out, amount_of(out, "increase", inches(1 + 1 / 8)), inlay).code


def test_the_order_of_work_holds_no_circle():
    every = [doing.code for doing in ALL]
    assert sorted(range(len(every))) == sorted(order_of_work(every))


def test_shoulders_come_before_sleeves_and_the_waist_before_the_hem():
    # Common practice, no source: shoulder before sleeve length; seat and waist before hem.
    codes = ["trouser_hem", "jacket_sleeve_shorten_at_cuff", "trouser_waist_in", "jacket_shoulder_narrow"]
    assert [3, 2, 0, 1] == order_of_work(codes)


@given(st.lists(st.sampled_from([doing.code for doing in ALL]), max_size=12))
def test_work_is_ordered_so_that_nothing_is_sewn_twice(codes):
    order = order_of_work(codes)
    assert sorted(order) == list(range(len(codes)))
    for first, second in itertools.combinations(order, 2):
        assert (codes[second], codes[first]) not in must_precede()

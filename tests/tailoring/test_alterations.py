import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.tailoring import tables
from service.tailoring.alterations import (
    ALTERED,
    BASES,
    BENCHES,
    DIRECTIONS,
    Amount,
    alteration,
    catalogue,
    check_amount,
    must_precede,
    order_of_work,
)
from service.tailoring.quantities import Length, inches
from service.tailoring.refusals import Refusal

ALL = list(catalogue().values())
MOVABLE = [(doing, direction) for doing in ALL for direction in doing.directions]


def amount_of(doing, direction, mm, **parts):
    side = "left" if doing.sided else None
    return Amount(Length(mm), **{"basis": doing.basis, "direction": direction, "side": side} | parts)


def refusal_of(doing, amount, inlay_seen=None):
    with pytest.raises(Refusal) as caught:
        check_amount(doing, amount, inlay_seen)
    return caught.value


def test_every_code_is_unique_and_every_row_has_its_source():
    rows = tables.rows("alterations")
    assert len({row["code"] for row in rows}) == len(rows)
    assert all(row["source"] for name in ("alterations", "order_of_work") for row in tables.rows(name))


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
    for row in tables.rows("order_of_work"):
        assert alteration(row["before"]) != alteration(row["after"])
    for row in tables.rows("alternatives"):
        assert row["alteration"] in catalogue()


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
    check_amount(out, amount_of(out, "increase", inches(5 / 8)), Length(inches(1)))
    refusal = refusal_of(out, amount_of(out, "increase", inches(3 / 4)), Length(inches(1)))
    assert ("inlay_too_small", "5/8") == (refusal.code, refusal.facts["most_in"])
    assert "0" == refusal_of(out, amount_of(out, "increase", 1.0), Length(5.0)).facts["most_in"]


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

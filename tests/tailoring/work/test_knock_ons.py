import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.tailoring import tables
from service.tailoring.garments.alterations import alteration, catalogue
from service.tailoring.garments.amounts import Amount, check_amount
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.orders.lines.order_lines import LineAsked, lines_of, notices_of
from service.tailoring.quantities import Length, inches
from service.tailoring.work.knock_ons import KINDS, follow_ons, knock_ons, lines_that_follow
from service.tailoring.work.prices import PriceList

PIECES = {"trousers": 1, "jacket": 2, "waistcoat": 3, "shirt": 4}
SUIT = [GarmentPiece(number, garment) for garment, number in PIECES.items()]


def asked(code, count=0.5, side=None, *, way=None, piece=None):
    doing = alteration(code)
    number = piece or PIECES[doing.garment]
    if not doing.directions:
        return LineAsked(number, code)
    return LineAsked(number, code, Amount(Length(inches(count), "in"), doing.basis, way or doing.directions[0], side))


def follows(*lines, kind=None, touching=None):
    return [
        each
        for each in follow_ons(lines)
        if kind in (None, each.knock_on.kind) and (touching is None or touching in each.knock_on.touches)
    ]


def between_in(each):
    return tuple(round(length.mm / 25.4, 4) if length else None for length in (each.least, each.most))


def test_every_row_of_the_table_is_whole():
    for row in tables.rows("work/knock_ons"):
        assert row["kind"] in KINDS
        assert row["words"]
        assert bool(row["ratio_least"]) == bool(row["ratio_most"])
        assert bool(row["flat_least_in"]) == bool(row["flat_most_in"])
        # What is to be marked again has a notice, what is only looked at none.
        assert (row["kind"] != "look") == bool(row["notice"])


def test_every_alteration_with_an_effect_in_words_has_it_in_figures_too():
    # These say where they stand in the order of work, or how they are cut, and do nothing to another place.
    only_order = {
        "jacket_vent_rehang", "jacket_sleeve_narrow", "jacket_sleeve_shorten_at_cuff",
        "trouser_hem_slant", "jacket_press", "trouser_press",
    }  # fmt: skip
    assert only_order == {doing.code for doing in catalogue().values() if doing.knock_on and not knock_ons(doing.code)}


@pytest.mark.parametrize("count", [0.25, 0.375, 0.5])
def test_a_narrower_shoulder_lengthens_the_sleeve_on_that_side_by_as_much(count):
    # 1.0 in of sleeve per 1.0 in of shoulder, a side (common practice, no source).
    ((cause, code, amount),) = lines_that_follow([asked("jacket_shoulder_narrow", count, "left")])
    assert (0, "jacket_sleeve_lengthen_at_cuff") == (cause, code)
    assert ("length", "increase", "left") == (amount.basis, amount.direction, amount.side)
    assert inches(count) == pytest.approx(amount.length.mm)


def test_a_sleeve_that_the_fitter_marked_himself_is_left_to_him():
    shoulder = asked("jacket_shoulder_narrow", 0.5, "left")
    for mine in (
        asked("jacket_sleeve_lengthen_at_cuff", 0.25, "left"),
        asked("jacket_sleeve_shorten_at_cuff", 1, "both"),
    ):
        assert [] == lines_that_follow([shoulder, mine])
        (said,) = follows(shoulder, mine, kind="line")
        assert ((1,), False) == (said.lines, said.met)


def test_a_sleeve_on_the_other_side_does_not_make_up_for_it():
    lines = [asked("jacket_shoulder_narrow", 0.5, "left"), asked("jacket_sleeve_lengthen_at_cuff", 0.5, "right")]
    assert 1 == len(lines_that_follow(lines))


def test_a_sleeve_that_is_lengthened_by_as_much_makes_up_for_it():
    (said,) = follows(
        asked("jacket_shoulder_narrow", 0.5, "both"), asked("jacket_sleeve_lengthen_at_cuff", 0.5, "both"), kind="line"
    )
    assert said.met


@pytest.mark.parametrize(
    ("line", "touching", "direction", "between"),
    [
        # The table's ratios (common practice, no source), by hand.
        (asked("trouser_waist_in", 1.5), "trouser_hem", "increase", (0, 0.375)),
        (asked("trouser_waist_out", 1), "trouser_hem", "decrease", (0, 0.25)),
        (asked("trouser_back_rise_shorten", 0.5), "trouser_hem", "increase", (0.5, 0.5)),
        (asked("trouser_waist_in", 2), "trouser_seat_in", "decrease", (1, 2)),
        (asked("jacket_collar_lower", 0.5), "jacket_body_shorten", "increase", (0, 0.5)),
        (asked("jacket_collar_raise", 0.25), "jacket_body_shorten", "decrease", (0, 0.25)),
        (asked("jacket_pad_one_shoulder", 0.25, "left", way="increase"), "jacket_sleeve_lengthen_at_cuff", "increase",
         (0.25, 0.25)),
        (asked("jacket_pad_one_shoulder", 0.25, "left", way="decrease"), "jacket_sleeve_shorten_at_cuff", "decrease",
         (0.25, 0.25)),
        (asked("jacket_sleeve_pitch", 0.5, "both"), "jacket_sleeve_shorten_at_cuff", None, (0, 0.125)),
        (asked("shirt_sleeve_shorten", 1, "both"), "jacket_sleeve_shorten_at_cuff", "decrease", (1, 1)),
        (asked("waistcoat_sides_in", 1), "jacket_waist_in", None, (1, 1)),
    ],
    ids=lambda part: getattr(part, "alteration", None) or str(part),
)  # fmt: skip
def test_what_follows_has_the_tables_amount(line, touching, direction, between):
    (said,) = follows(line, touching=touching)
    assert (direction, between) == (said.knock_on.direction, between_in(said))


@pytest.mark.parametrize(("count", "reached"), [(0.875, 0), (1, 1), (1.5, 1)])
def test_the_hem_is_marked_again_from_a_waist_change_of_an_inch(count, reached):
    for code in ("trouser_waist_in", "trouser_waist_out"):
        assert reached == len(follows(asked(code, count), kind="mark_again", touching="trouser_hem"))


def test_only_the_sleeve_over_the_changed_pad_is_marked_again():
    lines = [
        asked("jacket_pad_one_shoulder", 0.25, "left", way="increase"),
        asked("jacket_sleeve_shorten_at_cuff", 0.5, "left"),
        asked("jacket_sleeve_shorten_at_cuff", 0.5, "right"),
    ]
    (said,) = follows(*lines, kind="mark_again")
    assert ((1,), "left") == (said.lines, said.side)
    built = lines_of(SUIT, lines, PriceList())
    assert [("sleeve_remark", ("lines", 1))] == [(notice.code, notice.at) for notice in notices_of(built)]


def test_what_is_not_on_the_sheet_is_said_all_the_same():
    (said,) = follows(asked("trouser_waist_in", 2), kind="mark_again")
    assert () == said.lines


def test_another_jacket_is_left_alone_but_the_jacket_over_a_shirt_is_not():
    other = asked("jacket_sleeve_shorten_at_cuff", 0.5, "both", piece=7)
    (said,) = follows(asked("jacket_sleeve_pitch", 0.5, "both"), other, kind="mark_again")
    assert () == said.lines
    (said,) = follows(asked("shirt_sleeve_shorten", 0.5, "both"), other, kind="mark_again")
    assert (1,) == said.lines


@given(st.lists(st.sampled_from([doing.code for doing in catalogue().values()]), max_size=6, unique=True))
def test_adding_what_follows_leaves_nothing_more_to_add(codes):
    lines = [asked(code, 0.25, "both" if alteration(code).sided else None) for code in codes]
    added = [LineAsked(lines[at].piece, code, amount) for at, code, amount in lines_that_follow(lines)]
    assert [] == lines_that_follow([*lines, *added])
    for line in added:
        assert any(each.met for each in follows(*lines, *added, kind="line"))
        assert line.amount.length.mm > 0


@pytest.mark.parametrize("code", ["trouser_hem", "trouser_hem_turn_up"])
@pytest.mark.parametrize(("off_in", "offered"), [(6, False), (8, False), (8.5, True), (14, True)])
def test_a_leg_that_loses_its_narrow_end_is_offered_a_taper(code, off_in, offered):
    # An unfinished 36 in leg, hemmed for a short customer (common practice, no source).
    line = asked(code, off_in, "left", way="decrease")
    check_amount(alteration(code), line.amount)
    assert offered == bool(follows(line, kind="look", touching="trouser_leg_taper"))

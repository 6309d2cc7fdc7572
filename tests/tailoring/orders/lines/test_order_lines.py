import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.tailoring import tables
from service.tailoring.garments.alterations import alteration, catalogue
from service.tailoring.garments.amounts import Amount
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.orders.lines.order_lines import LineAsked, line, lines_of, notices_of
from service.tailoring.quantities import Length, inches
from service.tailoring.refusals import Refusal
from service.tailoring.work.prices import Money, PriceList

PRICES = PriceList()
PIECES = {"trousers": 1, "jacket": 2, "waistcoat": 3, "shirt": 4}
SUIT = [GarmentPiece(number, garment) for garment, number in PIECES.items()]
TROUSERS = SUIT[0]


def inch(count):
    return Length(inches(count), "in")


def asked(code, count=0.5, side=None, piece=None, **more):
    doing = alteration(code)
    number = piece or PIECES[doing.garment]
    if not doing.directions:
        return LineAsked(number, code, None, **more)
    return LineAsked(number, code, Amount(inch(count), doing.basis, doing.directions[0], side), **more)


def made(*wanted, garments=SUIT):
    return lines_of(garments, wanted, PRICES)


def refusal_of(*wanted, garments=SUIT):
    with pytest.raises(Refusal) as caught:
        made(*wanted, garments=garments)
    return caught.value


def test_lines_keep_the_callers_order():
    found = made(asked("trouser_hem", 1, "both"), asked("jacket_waist_in"), asked("trouser_waist_in"))
    assert ["trouser_hem", "jacket_waist_in", "trouser_waist_in"] == [one.alteration for one in found]


def test_a_pair_of_hems_costs_the_catalogues_price_and_minutes():
    # Catalogue: plain hem to length (pair), 15 to 25 minutes, price 1.0 (common practice, no source).
    (hem,) = made(asked("trouser_hem", 1, "both"))
    assert (20, Money(1200, "EUR"), "standard") == (hem.minutes, hem.price, hem.tax_category)


def test_one_side_of_a_pair_is_half_rounded_up():
    # common practice, no source
    odd = PriceList(fixed_minor=(("trouser_hem_turn_up", 1675),))
    pair, left = (line(TROUSERS, asked("trouser_hem_turn_up", 1, side), odd) for side in ("both", "left"))
    assert ((33, 1675), (17, 838)) == ((pair.minutes, pair.price.minor), (left.minutes, left.price.minor))


def test_left_and_right_as_two_lines_are_half_each():
    left, right = made(asked("trouser_hem", 1, "left"), asked("trouser_hem", 1.5, "right"))
    assert [10, 600, 10, 600] == [left.minutes, left.price.minor, right.minutes, right.price.minor]


def test_the_pad_under_one_shoulder_is_counted_for_one():
    # The catalogue's words say one shoulder (common practice, no source).
    one, both = (made(asked("jacket_pad_one_shoulder", 0.25, side))[0] for side in ("left", "both"))
    assert [58, 116] == [one.minutes, both.minutes]
    assert 2 * one.price.minor == both.price.minor


@pytest.mark.parametrize(("pattern", "minutes"), [("plain", 35), ("stripe", 44), ("check", 44)])
def test_stripes_and_checks_take_a_quarter_longer_to_match(pattern, minutes):
    # Source: modifiers of the trade (common practice, no source); 35 x 1.25 = 43.75.
    trousers = GarmentPiece(1, "trousers", pattern=pattern)
    (waist,) = made(asked("trouser_waist_in"), garments=[trousers])
    assert (minutes, 1850) == (waist.minutes, waist.price.minor)


@pytest.mark.parametrize(
    ("told", "code", "factor"),
    [
        # Modifiers of the trade (common practice, no source).
        ({"cloth": "bottle-green Velvet"}, "jacket_waist_in", 1.25),
        ({"cloth": "linen, natural"}, "jacket_body_shorten", 1.25),
        ({"lining": "full"}, "jacket_sleeve_shorten_at_cuff", 1.15),
        ({"lining": "full"}, "jacket_waist_in", 1.15),
        ({"style": "double-breasted"}, "jacket_body_shorten", 1.2),
        ({"style": "double-breasted"}, "jacket_waist_in", 1),
        ({"style": "turn-ups"}, "trouser_hem", 1.4),
        ({"style": "glued hem"}, "trouser_hem", 1.1),
        ({"style": "glued hem"}, "trouser_waist_in", 1),
        ({"cloth": "corduroy", "pattern": "stripe"}, "trouser_waist_in", 1.25 * 1.25),
    ],
    ids=str,
)
def test_cloth_lining_and_cut_lengthen_the_work(told, code, factor):
    doing = alteration(code)
    side = "both" if doing.sided else None
    piece = GarmentPiece(PIECES[doing.garment], doing.garment, **told)
    (found,) = made(asked(code, 0.25, side), garments=[piece])
    assert math.ceil(round(doing.minutes * factor, 6)) == found.minutes


def test_an_old_alteration_that_is_undone_first_takes_three_tenths_more():
    # Common practice, no source: 35 x 1.3 = 45.5.
    (waist,) = made(asked("trouser_waist_in", undone_first=True))
    assert (46, 1850) == (waist.minutes, waist.price.minor)


def test_several_lines_that_cannot_be_done_are_refused_together_each_where_it_stands():
    refusal = refusal_of(
        asked("trouser_waist_in", 9),
        asked("jacket_waist_in", 1),
        asked("jacket_body_lengthen", 1),
        asked("trouser_hem"),
    )
    assert ("lines_refused", 3) == (refusal.code, refusal.facts["count"])
    assert [
        ("alteration_beyond_limit", ("lines", 0, "amount")),
        ("alteration_beyond_limit", ("lines", 2, "amount")),
        ("side_missing", ("lines", 3, "side")),
    ] == [(part.code, part.at) for part in refusal.parts]
    assert all(part.facts["instead"] for part in refusal.parts[:2])


def test_a_pattern_does_not_slow_what_has_no_seam_to_match():
    # common practice, no source
    (button,) = made(asked("jacket_button_move", 0.25), garments=[GarmentPiece(2, "jacket", pattern="check")])
    assert alteration("jacket_button_move").minutes == button.minutes


@pytest.mark.parametrize("way", ["shorten", "lengthen"])
def test_worked_cuff_holes_send_the_sleeve_to_the_shoulder(way):
    # Common practice, no source: shortening at the cuff with worked buttonholes: from the shoulder instead.
    jacket = GarmentPiece(2, "jacket", worked_buttonholes=True)
    refusal = refusal_of(asked(f"jacket_sleeve_{way}_at_cuff", 0.25, "both"), garments=[jacket])
    assert ("cuff_holes_worked", ("lines", 0, "alteration")) == (refusal.code, refusal.at)
    assert f"jacket_sleeve_{way}_at_shoulder" == refusal.facts["instead"]
    made(asked(refusal.facts["instead"], 0.25, "both"), garments=[jacket])


@pytest.mark.parametrize(("inlay_in", "subject"), [(None, True), (2, False)])
def test_a_let_out_whose_inlay_is_unseen_is_promised_subject_to_it(inlay_in, subject):
    # Trade press: no let-out is promised until the inlay has been seen.
    inlay = None if inlay_in is None else inch(inlay_in)
    lines = made(asked("trouser_waist_out", 1, inlay_seen=inlay))
    assert subject == lines[0].subject_to_inlay
    assert subject == (["subject_to_inlay"] == [notice.code for notice in notices_of(lines)])


def test_taking_in_needs_no_inlay():
    assert not made(asked("trouser_waist_in"))[0].subject_to_inlay


@pytest.mark.parametrize(
    ("wanted", "code", "at"),
    [
        (asked("trouser_waist_in", 9), "alteration_beyond_limit", "amount"),
        (LineAsked(1, "trouser_waist_in"), "amount_missing", "amount"),
        (asked("trouser_hem", 1), "side_missing", "side"),
        (LineAsked(1, "trouser_magic"), "alteration_unknown", "alteration"),
        (asked("trouser_waist_in", piece=2), "garment_mismatch", "alteration"),
        (asked("trouser_waist_in", piece=7), "piece_unknown", "piece"),
        (asked("trouser_waist_out", 1, inlay_seen=inch(1)), "inlay_too_small", "inlay_seen"),
    ],
    ids=lambda part: part if isinstance(part, str) else "",
)
def test_a_refusal_points_at_the_line_and_its_part(wanted, code, at):
    refusal = refusal_of(asked("jacket_waist_in"), wanted)
    assert (code, ("lines", 1, at)) == (refusal.code, refusal.at)


def test_an_order_of_nothing_is_refused():
    assert ("order_empty", ("lines",)) == (refusal_of().code, refusal_of().at)


def test_two_pieces_never_share_a_number():
    refusal = refusal_of(asked("trouser_waist_in"), garments=[TROUSERS, GarmentPiece(1, "jacket")])
    assert ("piece_repeated", ("garments", 1, "piece")) == (refusal.code, refusal.at)


@pytest.mark.parametrize(
    ("first", "second"),
    [(None, None), ("left", "left"), ("both", "left"), ("right", "both")],
    ids=lambda side: side or "no side",
)
def test_the_same_alteration_is_asked_once_a_side(first, second):
    code = "trouser_hem" if first else "trouser_waist_in"
    refusal = refusal_of(asked(code, 1, first), asked(code, 0.5, second))
    assert ("line_repeated", ("lines", 1), 0) == (refusal.code, refusal.at, refusal.facts["first_line"])


def test_the_same_alteration_on_two_pieces_is_two_lines():
    second = GarmentPiece(3, "trousers")
    assert 2 == len(made(asked("trouser_waist_in"), asked("trouser_waist_in", piece=3), garments=[TROUSERS, second]))


@pytest.mark.parametrize("row", tables.rows("orders/contradictions"), ids=lambda row: f"{row['one']}-{row['other']}")
def test_lines_that_undo_one_another_are_refused(row):
    def one_of(code):
        return asked(code, 0.125, "both" if alteration(code).sided else None)

    refusal = refusal_of(one_of(row["one"]), one_of(row["other"]))
    assert ("lines_contradict", ("lines", 1), row["reason"]) == (
        refusal.code,
        refusal.at,
        refusal.facts["reason"],
    )


def test_one_sleeve_may_be_shortened_and_the_other_lengthened():
    shorter = asked("jacket_sleeve_shorten_at_cuff", 0.25, "left")
    assert 2 == len(made(shorter, asked("jacket_sleeve_lengthen_at_cuff", 0.25, "right")))


def test_one_leg_plain_and_one_with_a_turn_up_contradict():
    refusal = refusal_of(asked("trouser_hem", 1, "left"), asked("trouser_hem_turn_up", 1, "right"))
    assert "lines_contradict" == refusal.code


@pytest.mark.parametrize(("waist", "expected"), [(inch(0.875), []), (inch(1), [0]), (Length(25.4, "cm"), [0])], ids=str)
def test_a_waist_change_of_an_inch_asks_for_the_hem_to_be_marked_again(waist, expected):
    # Common practice, no source: a waist change of 1 in or more: hems are marked again.
    taken_in = LineAsked(1, "trouser_waist_in", Amount(waist, "girth", "decrease"))
    notices = notices_of(made(asked("trouser_hem", 1, "both"), taken_in))
    assert [("hem_remark", ("lines", position)) for position in expected] == [(n.code, n.at) for n in notices]


def test_another_pairs_hem_is_left_alone():
    garments = [TROUSERS, GarmentPiece(3, "trousers")]
    lines = made(asked("trouser_hem", 1, "both", piece=3), asked("trouser_waist_in", 2), garments=garments)
    assert () == notices_of(lines)


@pytest.mark.parametrize(
    ("parts", "code", "at"),
    [
        ({"piece": 0}, "count_too_small", "piece"),
        ({"garment": "cape"}, "garment_unknown", "garment"),
        ({"pattern": "dots"}, "pattern_unknown", "pattern"),
        ({"pins_left_in": -1}, "count_too_small", "pins_left_in"),
    ],
    ids=["piece", "garment", "pattern", "pins"],
)
def test_a_piece_is_valid_from_birth(parts, code, at):
    with pytest.raises(Refusal) as caught:
        GarmentPiece(**{"piece": 1, "garment": "jacket"} | parts)
    assert (code, (at,)) == (caught.value.code, caught.value.at)


def test_the_tables_name_only_alterations_that_exist_and_their_sources():
    columns = {
        "work/minute_factors": ("alteration",),
        "garments/worked_cuff_holes": ("alteration", "instead"),
        "orders/contradictions": ("one", "other"),
        "work/knock_ons": ("alteration", "touches"),
    }
    for name, codes in columns.items():
        for row in tables.rows(name):
            assert row["source"]
            named = [one for code in codes for one in row[code].split("; ") if one]
            assert set() == set(named) - {*catalogue(), "any"}


@given(
    doing=st.sampled_from([doing for doing in catalogue().values() if doing.sided and doing.directions]),
    pattern=st.sampled_from(["plain", "stripe", "check"]),
    hem_minor=st.integers(1, 5000),
)
def test_two_halves_are_never_cheaper_than_the_pair(doing, pattern, hem_minor):
    prices = PriceList(plain_hem_minor=hem_minor, round_to_minor=1)
    piece = GarmentPiece(1, doing.garment, pattern=pattern)
    both, left, right = (
        line(piece, LineAsked(1, doing.code, Amount(Length(1.0), doing.basis, doing.directions[0], side)), prices)
        for side in ("both", "left", "right")
    )
    assert 0 <= left.minutes + right.minutes - both.minutes <= 1
    assert 0 <= left.price.minor + right.price.minor - both.price.minor <= 1

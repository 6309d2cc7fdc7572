from dataclasses import astuple, replace
from datetime import timedelta, timezone

import pytest

from service.papers.tickets import ticket
from service.tailoring import tables
from service.tailoring.garments.alterations import alteration, catalogue
from service.tailoring.garments.amounts import Amount
from service.tailoring.garments.pieces import GarmentPiece
from service.tailoring.orders.lines.order_lines import LineAsked
from service.tailoring.orders.order_moves import move
from service.tailoring.orders.orders import amend
from service.tailoring.quantities import length
from service.tailoring.work.cautions import cautions
from service.tailoring.work.prices import PriceList
from tests.papers.orders import PLACED, SUIT, SUIT_WORK, an_order, asked, dinner

SHOP = "Harrow Lane Menswear"
TO_SEWN = [("accepted", {}), ("in_workroom", {}), ("sewn", {})]


def lines_of_ticket(order):
    return [line for piece in ticket(order, SHOP).garments for line in piece.lines]


def only_line(work, garments=SUIT):
    (line,) = lines_of_ticket(an_order([work], garments))
    return line


def moved(order, *steps):
    for hours, (to, said) in enumerate(steps, start=1):
        order = move(order, to, "tailor-1", PLACED + timedelta(hours=hours), **said)
    return order


def test_lines_are_numbered_piece_by_piece_in_the_order_of_work():
    lines = lines_of_ticket(an_order())
    assert [1, 2, 3, 4, 5, 6] == [line.number for line in lines]
    assert ["take in waist at side seams", "take in waist at centre back"] == [lines[0].words, lines[3].words]


def test_a_girth_at_two_seams_is_printed_whole_at_each_seam_and_from_the_old_line():
    # Per side or in all is the twofold error of the trade (failure modes: common practice, no source).
    assert [
        ("−3/4 in / −19 mm", "girth, all round"),
        ("−3/8 in / −9.5 mm", "at each of 2 seams"),
        ("3/16 in / 4.8 mm", "inside the old line"),
    ] == [(measure.text, measure.of) for measure in lines_of_ticket(an_order())[0].change]


def test_a_girth_at_the_centre_seam_is_halved_once():
    change = lines_of_ticket(an_order())[3].change
    assert [("−1 1/4 in / −32 mm", "girth, all round"), ("5/8 in / 15.9 mm", "inside the old line")] == [
        (measure.text, measure.of) for measure in change
    ]


@pytest.mark.parametrize(
    ("amount", "sewn"),
    [
        # By hand: of 5/8 in all round an edge of each seam has 5/32; sewn are 3/16 (3/8 of the girth) and 1/8 (1/4).
        (length("5/8", "in"), [("3/16 in / 4.8 mm", "inside the old line"), ("1/8 in / 3.2 mm", "at the last seam")]),
        # Of 1.5 cm an edge has 3.75 mm: 4 mm take 8, 3.5 the other 7.
        (length("1.5", "cm"), [("4 mm", "inside the old line"), ("3.5 mm", "at the last seam")]),
        (
            length("2", "cm"),
            [("−1 cm / ~−3/8 in", "at each of 2 seams"), ("5 mm", "inside the old line")],
        ),
    ],
)
def test_no_seam_is_said_finer_than_it_is_sewn_and_the_last_has_the_rest(amount, sewn):
    line = only_line(LineAsked(1, "jacket_waist_in", Amount(amount, "girth", "decrease")))
    assert sewn == [(measure.text, measure.of) for measure in line.change[1:]]


def test_what_is_let_out_is_sewn_beyond_the_old_line():
    out = asked(2, "trouser_waist_out", "1", "girth", "36", direction="increase")
    assert "beyond the old line" == only_line(out).change[-1].of


@pytest.mark.parametrize(
    ("code", "direction", "words"),
    [
        ("jacket_pad_one_shoulder", "decrease", "thin pad"),
        ("jacket_pad_one_shoulder", "increase", "add to pad"),
        ("trouser_hem", "increase", "let down, plain hem"),
        ("trouser_leg_taper", "decrease", "taper leg, knee to hem"),
    ],
)
def test_a_line_is_said_in_the_words_of_its_direction(code, direction, words):
    piece, basis = (1, "per_side") if code.startswith("jacket") else (2, alteration(code).basis)
    side = "left" if code == "jacket_pad_one_shoulder" else "both"
    assert words == only_line(LineAsked(piece, code, Amount(length("1/4", "in"), basis, direction, side))).words


def test_a_moved_button_is_not_shared_between_the_sides():
    work = LineAsked(1, "jacket_button_move", Amount(length("3/8", "in"), "girth", "decrease"))
    assert [("−3/8 in / −10 mm", "girth")] == [(measure.text, measure.of) for measure in only_line(work).change]


def test_every_unsided_girth_of_the_catalogue_knows_its_seams_or_moves_a_button():
    girths = {code for code, doing in catalogue().items() if doing.basis == "girth" and not doing.sided}
    measured = tables.rows("work/ticket_measures")
    with_seams = {row["alteration"] for row in measured if row["seams"]}
    assert {"jacket_button_move", "trouser_band_button_move"} == girths - with_seams
    assert {row["alteration"] for row in measured} <= set(catalogue())


def test_left_and_right_stand_apart_each_with_its_change_and_its_finished_measure():
    left, right = lines_of_ticket(an_order())[4:]
    assert ("left", "−1 1/4 in / −32 mm", "30 3/8 in / 772 mm") == (left.side, left.change[0].text, left.finished.text)
    assert ("right", "−1 1/2 in / −38 mm", "30 1/8 in / 765 mm") == (
        right.side,
        right.change[0].text,
        right.finished.text,
    )
    assert "sides differ: keep each as marked" in left.notices
    assert "sides differ: keep each as marked" in right.notices
    assert [(4,), (5, 6)] == [
        tuple(line.number for line in work) for work in ticket(an_order(), SHOP).garments[1].works
    ]


def test_equal_sides_are_not_said_to_differ():
    work = [asked(2, "trouser_hem", "1", "length", "30", side) for side in ("left", "right")]
    assert [(), ()] == [line.notices for line in lines_of_ticket(an_order(work))]


def test_one_side_alone_is_said_to_be_alone():
    assert "left only" == only_line(SUIT_WORK[0]).side


def test_both_sides_are_each_changed_by_the_amount():
    line = only_line(asked(2, "trouser_hem", "1", "length", "30", "both"))
    assert ("both", "length, each") == (line.side, line.change[0].of)


def test_a_hem_after_a_wide_waist_change_is_to_be_marked_again():
    paper = ticket(an_order(), SHOP)
    assert [((5, 6), "mark the hem again after the waist")] == [astuple(notice) for notice in paper.notices]
    assert [False, True, True] == [line.mark_again for line in paper.garments[1].lines]


@pytest.mark.parametrize(("inches", "again"), [("1", False), ("1 1/8", True)])
def test_more_than_an_inch_off_is_read_again_before_the_cut(inches, again):
    assert again == only_line(asked(2, "trouser_hem", inches, "length", "30", "left")).second_reading


def test_an_unseen_inlay_is_said_at_the_line_and_a_seen_one_with_its_amount():
    unseen = asked(2, "trouser_waist_out", "1", "girth", "36", direction="increase")
    seen = asked(2, "trouser_waist_out", "1", "girth", "36", direction="increase", inlay_seen=length("1 1/2", "in"))
    assert ("NOT SEEN: look before unpicking", "+1 in / +25 mm") == (
        only_line(unseen).inlay,
        only_line(unseen).change[0].text,
    )
    assert "seen, 1 1/2 in / 38 mm" == only_line(seen).inlay


def test_the_catalogues_caution_is_printed_where_the_line_has_one():
    sewn = ("jacket_waist_in", *["jacket_sleeve_shorten_at_cuff"] * 2, "trouser_waist_in", *["trouser_hem"] * 2)
    whole = [line for piece in ticket(an_order(), SHOP, detail="full").garments for line in piece.lines]
    assert [alteration(code).caution for code in sewn] == [line.caution for line in whole]
    assert "check the mark before the cut" == only_line(SUIT_WORK[0]).caution
    # What the ticket says in short, it says of all that is cautioned.
    for line, short in zip(whole, lines_of_ticket(an_order()), strict=True):
        assert bool(line.caution) == bool(short.caution)


def test_a_piece_says_its_place_its_tag_and_what_must_be_known_of_it():
    garments = (GarmentPiece(3, "jacket", cloth="check", pattern="check", worked_buttonholes=True), SUIT[1])
    shown, jacket = ticket(an_order(SUIT_WORK[:1], garments), SHOP).garments
    assert ("1 of 2", "A-0412/2", "everyday 34", 4) == (shown.place, shown.tag, shown.size, shown.pins_left_in)
    assert ("2 of 2", "A-0412/3", "") == (jacket.place, jacket.tag, jacket.size)
    assert ("check: match it at every seam", "HOLES WORKED: length only from the shoulder") == (
        jacket.pattern,
        jacket.cuffs,
    )


def test_a_jacket_sleeve_waits_for_the_shirt_sleeve():
    garments = (SUIT[0], GarmentPiece(2, "shirt"))
    work = [SUIT_WORK[3], asked(2, "shirt_sleeve_shorten", "1/2", "length", "25", "left")]
    assert [(2,), ()] == [line.after for line in lines_of_ticket(an_order(work, garments))]


def test_every_piece_is_pressed_last_unless_a_line_says_so():
    worked = [*SUIT_WORK, LineAsked(1, "jacket_press")]
    jacket, trousers = ticket(an_order(worked), SHOP).garments
    assert ("lapel never flat", "last: press, 15 min") == (jacket.pressing[-1], trousers.pressing[-1].split(";")[0])


def test_a_waistcoat_has_its_press_and_no_lapel():
    (piece,) = ticket(
        an_order([asked(1, "waistcoat_sides_in", "1", "girth", "36")], [GarmentPiece(1, "waistcoat")]), SHOP
    ).garments
    assert "last: press, 23 min" == piece.pressing[-1]


def test_inches_that_are_rounded_say_so():
    # 5 mm is 1.6 eighths: sewn as 1/4 in it would be a quarter too much.
    metric = LineAsked(1, "jacket_waist_in", Amount(length("0.5", "cm"), "girth", "decrease"))
    assert "−0.5 cm / ~−1/4 in" == only_line(metric).change[0].text
    assert ("~ inches are rounded: mm and cm count", "") == (
        ticket(an_order([metric]), SHOP).rounding,
        ticket(an_order(), SHOP).rounding,
    )


def test_the_pins_in_are_those_that_each_count_must_find():
    sewn = moved(an_order(), *TO_SEWN)
    pressed = moved(sewn, ("pressed", {"pins_out": 6}))
    # Counted at pressing, and again at hand-over: the paper asks for as many.
    assert (6, 6) == (ticket(sewn, SHOP).pins_in, ticket(pressed, SHOP).pins_in)
    redone = moved(
        pressed, ("ready", {"pins_out": 6}), ("in_workroom", {"reason": "left leg long", "pieces": [2], "pins_in": 2})
    )
    assert 2 == ticket(redone, SHOP).pins_in


@pytest.mark.parametrize(
    ("cloth", "press"),
    [
        ("navy worsted", "last: press, 15 min; front crease to 6 in / 15 cm below band, back one to fork"),
        ("beige chino", "last: press, 15 min; no crease unless asked for"),
        ("black velvet", "last: steam and brush, 15 min; no crease in pile"),
    ],
)
def test_the_closing_press_asks_for_nothing_that_the_cloth_does_not_bear(cloth, press):
    trousers = (replace(SUIT[1], cloth=cloth),)
    pressing = ticket(an_order(SUIT_WORK[:3], trousers), SHOP).garments[0].pressing
    assert (3, press) == (len(pressing), pressing[-1])


def test_a_hem_that_is_still_to_be_pinned_is_a_blank_and_an_alarm():
    order = an_order([LineAsked(2, "trouser_hem", note="plain, 2 in inside", to_be_pinned=True)])
    paper = ticket(order, SHOP)
    hem = paper.garments[1].lines[0]
    assert (True, None, ()) == (hem.not_pinned, hem.finished, hem.change)
    assert ("HEM NOT PINNED, piece 2: not to be begun before it is marked",) == paper.alerts


def test_a_pin_that_stays_lost_is_said_on_top():
    lost = {"pins_out": 5, "pins_lost": 1, "searched_by": "tailor-1", "swept_with_magnet": True}
    pressed = moved(an_order(), *TO_SEWN, ("pressed", lost))
    words = "1 PIN LOST, searched for by tailor-1, swept with a magnet: search at every step"
    assert (words,) == ticket(pressed, SHOP).alerts
    assert () == ticket(moved(pressed, ("ready", {"pins_out": 6})), SHOP).alerts


def test_a_query_a_redo_and_a_cancelling_are_said_on_top():
    asked_back = moved(an_order(), *TO_SEWN[:2], ("query", {"question": "which cuff depth?"}))
    redo = moved(an_order(), *TO_SEWN, ("pressed", {"pins_out": 6}), ("in_workroom", {"reason": "left leg long"}))
    ended = moved(an_order(), *TO_SEWN[:2], ("cancelled", {"reason": "returned", "cloth_cut": True}))
    assert ("QUERY: which cuff depth?",) == ticket(asked_back, SHOP).alerts
    assert ("REDO, free: left leg long",) == ticket(redo, SHOP).alerts
    assert ("CANCELLED: do no work, give the pieces back", "cloth was already cut") == ticket(ended, SHOP).alerts
    assert "EUR 0.00" == ticket(ended, SHOP).total


def test_what_the_fitter_answered_is_read_first():
    order = moved(
        an_order(),
        *TO_SEWN[:2],
        ("query", {"question": "which cuff depth?"}),
        ("in_workroom", {"answer": "1 1/2 in, both"}),
    )
    paper = ticket(order, SHOP)
    assert ((), ("asked: which cuff depth? Answered: 1 1/2 in, both",)) == (paper.alerts, paper.answers)


def test_a_redo_of_some_lines_says_which():
    order = moved(
        an_order(),
        *TO_SEWN,
        ("pressed", {"pins_out": 6}),
        ("in_workroom", {"reason": "left leg long", "redo_lines": [5]}),
    )
    assert ("REDO, free: left leg long (line 5)",) == ticket(order, SHOP).alerts


def test_a_second_fitting_says_its_day():
    order = moved(an_order(), *TO_SEWN[:2], ("basted_for_fitting", {"fitting_on": "2026-03-06"}))
    assert ("SECOND FITTING Friday 6 March 2026: leave the basting in",) == ticket(order, SHOP).alerts


def test_an_amended_order_says_that_papers_of_before_are_out_of_date():
    order = amend(an_order(), "fitter-1", PLACED + timedelta(hours=1), note="braces")
    paper = ticket(order, SHOP)
    assert ("AMENDED Monday 2 March 2026, 11:20: use no older paper",) == paper.alerts
    assert "braces" == paper.note


def test_a_rush_is_said_whatever_it_costs():
    assert ("RUSH", "") == (ticket(an_order(rush=True), SHOP).rush, ticket(an_order(), SHOP).rush)


def test_hard_work_is_fitted_before_it_is_closed():
    # Difficulty 4 or more (common practice, no source).
    assert ("line 1: baste and fit before it is closed", "line 2: baste and fit before it is closed") == (
        ticket(dinner(), SHOP).fittings
    )
    assert () == ticket(an_order(), SHOP).fittings


def test_what_had_its_fitting_or_is_put_right_asks_for_none_and_other_pieces_still_do():
    two = (GarmentPiece(1, "jacket"), GarmentPiece(2, "jacket"))
    collar = Amount(length("3/8", "in"), "length", "decrease")
    work = tuple(LineAsked(piece.piece, "jacket_collar_lower", collar) for piece in two)
    begun = moved(an_order(work, two), ("accepted", {}), ("in_workroom", {}))
    one, other = (f"line {number}: baste and fit before it is closed" for number in (1, 2))
    assert (one, other) == ticket(begun, SHOP).fittings
    basted = moved(begun, ("basted_for_fitting", {"fitting_on": "2026-03-06", "pieces": [1]}))
    # What is said of the order meanwhile is no fitting of the other piece.
    priced = replace(basted, events=(*basted.events, replace(basted.events[-1], kind="amended", facts=())))
    for order in (basted, priced):
        assert (other,) == ticket(order, SHOP).fittings
    # It is signed for all the same.
    assert "line 1 fitted by" in ticket(basted, SHOP).garments[0].checks
    back = moved(basted, ("in_workroom", {"pieces": [1]}), ("sewn", {"pieces": [1]}), ("in_workroom", {"reason": "so"}))
    assert (other,) == ticket(back, SHOP).fittings


def test_a_deposit_and_what_is_left_stand_under_the_total():
    paper = ticket(dinner(), SHOP)
    assert ("GBP 272.50", "GBP 82.00", "GBP 190.50") == (paper.total, paper.deposit, paper.balance)
    assert ("", "") == (ticket(an_order(), SHOP).deposit, ticket(an_order(), SHOP).balance)


def test_the_total_and_the_minutes_stand_at_the_foot():
    paper = ticket(an_order(prices=PriceList("JPY", 1500)), SHOP)
    assert ("JPY 11750", ("trousers 55", "jackets 128", "finishing 38")) == (
        paper.total,
        paper.minutes,
    )


def test_days_are_said_with_their_weekday_in_the_shops_zone():
    paper = ticket(an_order(), SHOP, timezone(timedelta(hours=14)))
    assert "Monday 2 March 2026, 23:20" == paper.placed
    assert ("Thursday 12 March 2026", "Saturday 14 March 2026") == (paper.promised, paper.needed_by)
    assert "no day promised" == ticket(an_order(promised_for=None), SHOP).promised


def test_the_cautions_of_the_work_are_all_on_a_suits_ticket():
    # Common practice, no source.
    assert tuple(caution.text for caution in cautions()) == ticket(an_order(), SHOP, detail="full").cautions
    short = ticket(an_order(), SHOP).cautions
    assert tuple(caution.short for caution in cautions()) == short
    for said in ("iron, steam: lift", "shears closed", "pins out as many as in", "care label", "trained staff"):
        assert said in "; ".join(short)
    words = " ".join(caution.text for caution in cautions())
    for said in ("Iron and steam", "Blades", "Count the pins out", "leads and water", "care label", "trained staff"):
        assert said in words
    assert all(caution.source and caution.benches for caution in cautions())


def test_each_piece_that_is_worked_on_says_how_it_is_finished():
    jacket, trousers = ticket(an_order(), SHOP).garments
    assert ((), ()) == (jacket.finishing, jacket.steps)
    assert (
        "wool: 150 °C at most, two dots, steam",
        "damp cotton, or wool over dry; dark worsted shines: lift, do not rub",
    ) == (jacket.pressing[:2])
    jacket, trousers = ticket(an_order(), SHOP, detail="full").garments
    assert "heat: at most 150 °C, two dots (wool); steam: yes; damp cotton, or wool over dry" == jacket.finishing[0]
    assert (9, 8) == (len(jacket.steps), len(trousers.steps))
    assert any("6 in / 15 cm (152 mm)" in words for words in trousers.finishing)
    assert not any("turn-up" in words for words in trousers.finishing)


def test_fused_fronts_of_a_cloth_that_bears_more_are_said():
    order = an_order()
    chino = replace(order, garments=tuple(replace(piece, cloth="stone chino") for piece in order.garments))
    assert "fused fronts 150 °C at most, steam: light" in ticket(chino, SHOP).garments[0].pressing[0]
    jacket, trousers = ticket(chino, SHOP, detail="full").garments
    assert "heat: at most 200 °C, three dots (cotton)" in jacket.finishing[0]
    assert "fronts, if they are fused: at most 150 °C, two dots; steam: light" in jacket.finishing
    assert not any("fused" in words for words in trousers.finishing)
    assert not any("fused" in words for words in ticket(order, SHOP, detail="full").garments[0].finishing)


def test_a_fibre_that_is_not_named_is_left_to_the_care_label_and_no_work_needs_no_finishing():
    assert "care label" in ticket(dinner(), SHOP).garments[0].pressing[0]
    jacket, trousers, waistcoat = ticket(dinner(), SHOP, detail="full").garments
    assert "care label" in jacket.finishing[0]
    assert any("turn-up first" in words for words in trousers.finishing)
    assert ((), (), ()) == (waistcoat.finishing, waistcoat.steps, waistcoat.pressing)

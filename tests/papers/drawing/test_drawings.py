"""The drawing of a fit check: every judged point in shape and words, left and right, on paper and aloud."""

import io
import itertools
import math
import tomllib
from dataclasses import replace
from importlib.resources import files
from xml.etree import ElementTree as ET

import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.papers.drawing.drawing_sheet import SIZE, WIDTH, drawing_sheet
from service.papers.drawing.drawings import VIEWS, drawing, place_of, said
from service.papers.papers import DRAWINGS
from service.tailoring.fitting.fit_check_records import RecordedVerdict
from service.tailoring.fitting.fit_points import fit_points
from service.tailoring.fitting.sightings import Sighting
from tests.papers.looking import SVG, TEXT
from tests.records import a_check as check

SUIT = ("jacket", "trousers", "waistcoat")
NAMES = {"svg": "http://www.w3.org/2000/svg"}
POINTS_IN_MM = 72 / 25.4
SHAPES = ("right", "too_little", "too_much", "watch")
# Every colour that is on the sheet: it is read in print, and by who tells no colours apart.
BLACK_AND_WHITE = {"#000", "#fff", "none"}


def verdict(point, said_="not_judged", side=None, *, watch=False):
    of = fit_points()[point]
    judged = None if said_ == "not_judged" else said_
    return RecordedVerdict(point, of.garment, of.words, of.core, side, judged, watch)


def everything():
    """Every point of a three-piece suit judged, left and right differently: as many words as there can be."""
    rows = []
    for point in fit_points().values():
        sides = ("left", "right") if point.sides in {"each", "either"} else (None,)
        sides = ("left",) if point.sides == "odd_one" else sides
        for number, side in enumerate(sides):
            rows.append(verdict(point.code, ("too_much", "too_little")[number], side, watch=point.core))
    return check(*rows, garments=SUIT)


def two_points():
    return check(verdict("front_closure", "too_much"), verdict("jacket_cuff", "too_little", "left"),
                 *(verdict(code) for code in ("collar_gap", "trouser_seat", "trouser_break")))  # fmt: skip


def nothing_judged():
    return check(*(verdict(point.code) for point in fit_points().values()), garments=SUIT)


def drawn(of):
    return ET.fromstring(DRAWINGS[SVG](of))


def text_of(of):
    return DRAWINGS[TEXT](of).decode()


def marks(root):
    """The kinds of mark that carry a number, as drawn, with the number of each."""
    found = [(each, each.find("svg:text", NAMES)) for each in root.iterfind("svg:g", NAMES)]
    return [
        (mark.get("class").split()[1], int(number.text))
        for mark, number in found
        if mark.get("class", "").startswith("mark ") and number is not None
    ]


# ---------------------------------------------------------------- what it says


def test_every_fit_point_has_a_spot_of_its_own():
    rows = (files("service.papers.drawing") / "drawing_places.csv").read_text("utf-8").splitlines()[1:]
    assert set(fit_points()) == {row.partition(",")[0] for row in rows} - {""}


@pytest.mark.parametrize("garment", SUIT)
def test_a_point_without_a_spot_is_marked_at_its_garment(garment):
    made = drawing(check(replace(verdict("shoulder", "right"), point="a_later_point", garment=garment)))
    assert 1 == len(made.remarks)


@pytest.mark.parametrize("point", fit_points())
def test_every_point_of_a_garment_falls_within_the_man(point):
    spot = place_of(verdict(point))
    assert spot.view in VIEWS
    assert -66 <= spot.x <= 66
    assert 0 <= spot.y <= 380


def test_what_has_sides_is_marked_where_both_sides_are_seen():
    sided = {code for code, point in fit_points().items() if point.sides != "none"}
    assert set() == {code for code in sided if place_of(verdict(code)).view == "side"}


def test_his_left_is_on_our_right_from_the_front_and_on_our_left_from_the_back():
    front, back = (
        drawing(check(verdict(point, "too_much", "left"))).remarks[0] for point in ("jacket_cuff", "shirt_cuff")
    )
    assert ("front", "right") == (front.view, front.column)
    assert front.spots[0][0] > 0
    assert ("back", "left") == (back.view, back.column)
    assert back.spots[0][0] < 0


def test_a_verdict_of_both_sides_is_said_once_and_marked_twice():
    (both,) = drawing(check(*(verdict("shoulder", "right", side) for side in ("left", "right")))).remarks
    assert ("shoulder, both sides", 2) == (both.words, len(both.spots))
    assert both.spots[0][0] == -both.spots[1][0]


def test_different_verdicts_left_and_right_are_two_remarks():
    made = drawing(check(verdict("shoulder", "right", "left"), verdict("shoulder", "too_much", "right")))
    assert {("shoulder, left", "right"), ("shoulder, right", "too much")} == {
        (each.words, each.verdict) for each in made.remarks
    }


def test_two_verdicts_on_one_spot_stand_one_below_the_other():
    made = drawing(check(verdict("collar_gap", "right"), verdict("collar_gap", "too_much", watch=True)))
    spots = {each.spots for each in made.remarks}
    assert 2 == len(spots)


def test_what_is_still_worn_says_so_in_words_and_shape():
    (one,) = drawing(check(verdict("collar_gap", "too_much", watch=True))).remarks
    assert ("watch", "too much, can be worn") == (one.sign, one.verdict)


def test_what_was_seen_is_said_in_the_points_own_words_with_its_amount():
    inch = 25.4
    rows = [verdict("front_closure", "too_much"), verdict("button_rays", "too_little"), verdict("drop", "right")]
    rows += [verdict("jacket_cuff", "too_much", side, watch=True) for side in ("left", "right")]
    seen = (
        Sighting("front_closure", None, 1 * inch),
        Sighting("front_closure", "boxy"),
        Sighting("button_rays", "rays_level"),
        Sighting("drop", "right"),
        Sighting("jacket_cuff", None, inch / 2, "left"),
        Sighting("jacket_cuff", None, inch * 3 / 8, "right"),
    )
    of = check(*rows, garments=SUIT)
    of = replace(of, record=replace(of.record, seen=seen, unit="in"))
    said_ = {each.words: each.seen for each in drawing(of).remarks}
    # An amount says more than a look; of sides that differ each has its own.
    assert "1 in spare cloth" == said_["front at the fastening button"]
    assert "rays level" == said_["creases from the button"]
    assert "left 1/2 in past the wrist, right 3/8 in past the wrist" == said_["cuff of the jacket, both sides"]
    assert "" == next(words for name, words in said_.items() if name.startswith("drop"))
    assert "front at the fastening button: too much (1 in spare cloth)." in text_of(of)
    shown = {each.get("id"): " ".join(each.itertext()) for each in drawn(of).iterfind("svg:g", NAMES)}
    assert any("creases from the button: rays level" in each for each in shown.values())


def test_the_text_alternative_names_every_point_with_its_verdict_and_side():
    text = text_of(two_points())
    lines = text.splitlines()
    assert "Fit check. Worn: jacket 38R, trousers 32. Decision: alter what is worn. " in lines[0]
    assert "1 front at the fastening button: too much." in lines
    assert "2 cuff of the jacket, left: too little." in lines
    assert "Jacket: collar behind the neck." in lines
    assert "Trousers: seat of the trousers, trouser length at the shoe." in lines


def test_a_check_of_nothing_says_so():
    assert "Nothing was judged." in text_of(nothing_judged())
    assert [] == marks(drawn(nothing_judged()))


@settings(max_examples=30)
@given(st.lists(st.tuples(
    st.sampled_from(sorted(fit_points())), st.sampled_from(["right", "too_much", "too_little", "not_judged"]),
    st.booleans(), st.sampled_from([None, "left", "right", "both"]),
), min_size=1, max_size=120))  # fmt: skip
def test_whatever_was_seen_is_drawn_and_numbered_through(seen):
    of = check(*(verdict(point, said_, side, watch=watch) for point, said_, watch, side in seen), garments=SUIT)
    made = drawing(of)
    judged = {point for point, said_, _, _ in seen if said_ != "not_judged"}
    assert {fit_points()[point].words for point in judged} <= {
        each.words.removesuffix(", left").removesuffix(", right").removesuffix(", both sides") for each in made.remarks
    }
    assert list(range(1, len(made.remarks) + 1)) == [each.number for each in made.remarks]
    assert sorted(number for each in made.remarks for number in [each.number] * len(each.spots)) == sorted(
        number for _, number in marks(drawn(of))
    )
    labels = drawing_sheet(made).labels
    for one, other in itertools.pairwise(labels):
        if one.x == other.x:
            assert one.y + one.height < other.y


# ---------------------------------------------------------------- how it looks


def test_the_picture_has_a_title_and_describes_itself_as_the_text_does():
    root = drawn(two_points())
    named = {each.get("id"): each.text for each in root if each.get("id") in ("title", "desc")}
    assert ("img", "title desc") == (root.get("role"), root.get("aria-labelledby"))
    assert "Fit check: jacket 38R, trousers 32" == named["title"]
    assert text_of(two_points()) == named["desc"] + "\n"


def test_each_judged_point_is_marked_by_a_shape_and_its_number_stands_with_its_words():
    root = drawn(everything())
    made = drawing(everything())
    assert {(each.sign, each.number) for each in made.remarks} == set(marks(root))
    shown = {each.get("id"): " ".join(each.itertext()) for each in root.iterfind("svg:g", NAMES)}
    for each in made.remarks:
        assert f"{each.number} {each.verdict} {each.words}" == shown[f"label-{each.number}"]


def test_no_two_verdicts_have_the_same_shape_and_nothing_is_said_by_colour():
    root = drawn(check(
        verdict("collar_gap", "right"), verdict("front_closure", "too_much"), verdict("trouser_seat", "too_little"),
        verdict("shirt_collar", "too_much", watch=True), verdict("trouser_rise"),
    ))  # fmt: skip
    outlines = {}
    for each in root.iterfind("svg:g", NAMES):
        if each.get("class", "").startswith("mark "):
            outlines.setdefault(each.get("class"), set()).add(each[1].get("d"))
    assert {f"mark {shape}" for shape in (*SHAPES, "not_judged")} == set(outlines)
    assert 5 == len(set().union(*outlines.values()))
    used = {each.get(paint) for each in root.iter() for paint in ("fill", "stroke") if each.get(paint)}
    assert used <= BLACK_AND_WHITE


def test_the_shapes_are_explained_on_the_sheet():
    words = set(drawn(two_points()).itertext())
    assert {"right", "too little", "too much", "can be worn, watch it", "not judged"} <= words
    assert {"THEIR LEFT", "THEIR RIGHT", "FRONT", "RIGHT SIDE", "BACK"} <= words


def test_marks_of_different_points_stand_clear_of_each_other():
    spots = [(each.view, each.number, spot) for each in drawing(everything()).remarks for spot in each.spots]
    near = [
        (one, other)
        for one, other in itertools.combinations(spots, 2)
        if one[0] == other[0] and one[1] != other[1] and math.dist(one[2], other[2]) < 14
    ]
    assert [] == near


def test_a_shops_own_label_is_written_as_it_is_and_breaks_nothing():
    of = two_points()
    named = replace(of.record.worn["jacket"], label='<b>&"38')
    of = replace(of, record=replace(of.record, worn={**of.record.worn, "jacket": named}))
    assert 'Fit check: jacket <b>&"38, trousers 32' == drawn(of).find("svg:title", NAMES).text


def test_the_man_wears_what_he_was_judged_in():
    art = tomllib.loads((files("service.papers.drawing") / "figures.toml").read_text("utf-8"))
    strokes = [stroke for view in VIEWS for stroke in art[view]]
    of_jackets = {each["d"] for each in strokes if each["when"] == ["jacket"] and each["kind"] == "body"}
    of_shirts = {each["d"] for each in strokes if each["when"] == ["no jacket"] and each["kind"] == "body"}
    of_waistcoats = {each["d"] for each in strokes if "waistcoat" in each["when"]}
    suited, bare = (
        {path.get("d") for path in drawn(made).iter("{http://www.w3.org/2000/svg}path")}
        for made in (two_points(), check(verdict("trouser_waist", "right"), garments=("trousers",)))
    )
    assert of_jackets <= suited
    assert of_shirts <= bare
    assert set() == (of_jackets & bare) | (of_shirts & suited) | (of_waistcoats & (bare | suited))


@pytest.mark.parametrize("made", [two_points, everything, nothing_judged])
def test_in_a_browser_no_words_run_into_others_and_all_lie_on_the_sheet(browser, made):
    page = browser.new_page()
    try:
        page.set_content(f'<body style="margin: 0">{DRAWINGS[SVG](made()).decode()}')
        sheet, *texts = page.evaluate(
            """() => [document.querySelector('svg'), ...document.querySelectorAll('svg text')].map(each => {
                const box = each.getBoundingClientRect()
                const own = each.closest('g.mark') ? 'mark' : each.closest('g.label')?.id ?? 'sheet'
                return [own, box.left, box.top, box.right, box.bottom, each.textContent]
            })"""
        )
        boxes = page.evaluate(
            """() => [...document.querySelectorAll('g.label')].map(each => {
                const box = each.getBBox()
                return [each.id, box.x, box.y, box.x + box.width, box.y + box.height]
            })"""
        )
        size = page.evaluate(
            "() => { const b = document.querySelector('svg').viewBox.baseVal; return [b.width, b.height] }"
        )
    finally:
        page.close()
    assert len(drawing(made()).remarks) == len(boxes)
    assert [] == [box for box in boxes if not (0 <= box[1] < box[3] <= size[0] and 0 <= box[2] < box[4] <= size[1])]
    assert [] == [(one[0], other[0]) for one, other in itertools.combinations(boxes, 2) if overlap(one, other)]
    outside = [text for text in texts if text[1] < 0 or text[2] < 0 or text[3] > sheet[3] or text[4] > sheet[4]]
    assert [] == outside
    apart = [text for text in texts if text[0] != "mark"]
    assert [] == [
        (one[5], other[5])
        for one, other in itertools.combinations(apart, 2)
        if (one[0] != other[0] or one[0] == "sheet") and overlap(one, other)
    ]


def overlap(one, other):
    return one[1] < other[3] and other[1] < one[3] and one[2] < other[4] and other[2] < one[4]


@pytest.mark.parametrize("made", [two_points, everything, nothing_judged])
def test_it_is_printed_on_one_page_of_a4_in_letters_that_can_be_read(browser, made):
    page = browser.new_page()
    try:
        page.set_content(f'<body style="margin: 0">{DRAWINGS[SVG](made()).decode()}')
        edges = dict.fromkeys(("top", "right", "bottom", "left"), "10mm")
        printed = pypdf.PdfReader(io.BytesIO(page.pdf(format="A4", landscape=True, margin=edges)))
    finally:
        page.close()
    assert 1 == len(printed.pages)
    width_mm, height_mm = drawing_sheet(drawing(made())).printed_mm
    points = width_mm / WIDTH * POINTS_IN_MM * SIZE
    assert width_mm < 277.01
    assert height_mm < 190.01
    assert points >= 6


def test_what_is_said_ends_with_the_checks_own_id():
    assert "Fit check 6f0c2a8e-0000-4000-8000-000000000001" == list(said(drawing(two_points())))[-1]

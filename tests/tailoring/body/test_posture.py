from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.tailoring.body.body import read_body
from service.tailoring.body.posture import NOTE_NAMES, PostureNote, kinds
from service.tailoring.body.readings import reading
from service.tailoring.fitting.fit_checks import Worn, check_fit
from service.tailoring.quantities import inches, length
from service.tailoring.refusals import Refusal
from service.tailoring.sizing.sizing import advise
from tests.tailoring.men import QUESTION, REFERENCE, middle_man, readings_of, sizes_of

SLIM = read_body(
    (
        reading("chest_girth", 36, "in"),
        reading("trouser_waist_girth", 30, "in"),
        reading("stature", 175, "cm"),
        reading("inside_leg_length", 80, "cm"),
    )
)
MIDDLE = read_body(readings_of({name: size for name, size in middle_man().items() if name != "body_mass"}))
OTHER = {"left": "right", "right": "left", "both": "both", None: None}


def note(name, amount, side=None):
    return PostureNote(name, length(amount, "in"), side)


def planned(*notes, body=SLIM):
    return advise(body.with_posture(notes), replace(QUESTION, limit=1)).plans[0]


def lines(plan, *codes):
    """What is planned under these codes: code, side, signed inches."""
    return [
        (each.code, each.amount.side, round(each.amount.length.mm / inches(1), 3))
        for each in plan.alterations
        if each.code in codes
    ]


def codes(body):
    return [(each.code, each.at) for each in body.notices if each.code.startswith("posture")]


def test_a_low_left_shoulder_is_padded_on_the_left_by_as_much():
    assert [("jacket_pad_one_shoulder", "left", 0.25)] == lines(
        planned(note("low_shoulder", "1/4", "left")), "jacket_pad_one_shoulder"
    )


def test_a_pad_has_its_minutes_and_its_price():
    bare, padded = planned(), planned(note("low_shoulder", "1/4", "left"))
    pad = next(each for each in padded.alterations if each.code == "jacket_pad_one_shoulder")
    assert padded.minutes == bare.minutes + pad.minutes
    assert pad.price.minor > 0


@pytest.mark.parametrize(
    ("noted", "code", "direction", "sewn", "is_said"),
    [
        (note("low_shoulder", "3/8", "right"), "jacket_pad_one_shoulder", "increase", 0.375, False),
        # Another cut above 5/8 in (common practice, no source): up to a quarter of an inch that is left is not seen.
        (note("low_shoulder", "5/8", "right"), "jacket_pad_one_shoulder", "increase", 0.375, False),
        (note("low_shoulder", "3/4", "right"), "jacket_pad_one_shoulder", "increase", 0.375, True),
        (note("stoop", "1/4"), "jacket_collar_raise", "increase", 0.25, False),
        (note("stoop", "1"), "jacket_collar_raise", "increase", 0.375, True),
        (note("erect", "1/2"), "jacket_collar_lower", "decrease", 0.5, False),
        (note("erect", "3/4"), "jacket_collar_lower", "decrease", 0.625, True),
    ],
)
def test_a_note_is_sewn_as_far_as_the_alteration_goes_and_the_rest_is_said(noted, code, direction, sewn, is_said):
    (line,) = [each for each in planned(noted).alterations if each.code == code]
    assert (direction, pytest.approx(inches(sewn))) == (line.amount.direction, line.amount.length.mm)
    beyond = [("posture_beyond_cloth", ("posture", 0))] if is_said else []
    assert [("posture_look", ("posture", 0)), *beyond] == codes(SLIM.with_posture((noted,)))


def test_each_note_says_where_to_look_in_its_place():
    notes = (note("stoop", "1/4"), note("longer_arm", "1/4", "left"))
    said = SLIM.with_posture(notes).notices[-2:]
    assert [("posture", 0), ("posture", 1)] == [each.at for each in said]
    assert ["collar gap", "cuff"] == [
        word for each, word in zip(said, ("collar gap", "cuff"), strict=True) if word in each.text
    ]


@pytest.mark.parametrize("longer", ["left", "right"])
def test_a_longer_leg_keeps_more_cloth_and_each_leg_has_its_line(longer):
    hems = {side: amount for _, side, amount in lines(planned(note("longer_leg", "1/2", longer)), "trouser_hem")}
    assert {"left", "right"} == hems.keys()
    assert 0.5 == pytest.approx(hems[OTHER[longer]] - hems[longer])


def test_the_middle_of_two_legs_is_what_was_planned_for_both():
    ((_, _, both),) = lines(planned(), "trouser_hem")
    apart = [amount for *_, amount in lines(planned(note("longer_leg", "1/2", "left")), "trouser_hem")]
    assert both == pytest.approx(sum(apart) / 2, abs=0.125)


@pytest.mark.parametrize("longer", ["left", "right"])
def test_arms_far_enough_apart_have_a_line_each(longer):
    # Half of 2 in to either side of the middle: one sleeve too short, the other too long for any one band.
    by_side = {
        side: code
        for code, side, _ in lines(
            planned(note("longer_arm", "2", longer), body=MIDDLE),
            "jacket_sleeve_lengthen_at_cuff",
            "jacket_sleeve_shorten_at_cuff",
        )
    }
    assert {longer: "jacket_sleeve_lengthen_at_cuff", OTHER[longer]: "jacket_sleeve_shorten_at_cuff"} == by_side


def test_arms_a_little_apart_stay_within_the_band_of_both():
    assert [] == lines(planned(note("longer_arm", "1/4", "left"), body=MIDDLE), "jacket_sleeve_lengthen_at_cuff")


def test_legs_less_than_an_eighth_apart_are_hemmed_alike():
    assert ["both"] == [side for _, side, _ in lines(planned(note("longer_leg", "1/16", "left")), "trouser_hem")]


sided = st.builds(
    note,
    st.sampled_from(["low_shoulder", "longer_arm", "longer_leg"]),
    st.integers(1, 8).map(lambda eighths: eighths / 8),
    st.sampled_from(["left", "right"]),
)


@settings(max_examples=40)
@given(st.lists(sided, min_size=1, max_size=3, unique_by=lambda each: each.name))
def test_mirrored_notes_mirror_the_plan(notes):
    plan = planned(*notes)
    mirrored = planned(*(replace(each, side=OTHER[each.side]) for each in notes))
    assert sizes_of(plan) == sizes_of(mirrored)

    def said(of, turn):
        # Which of two sides comes first is only the order of writing.
        return sorted(
            (
                (each.code, str(turn[each.amount.side]), each.amount.length.mm, each.amount.direction, each.minutes)
                for each in of.alterations
            ),
        )

    assert said(plan, {side: side for side in OTHER}) == said(mirrored, OTHER)


@settings(max_examples=25)
@given(st.permutations([note("low_shoulder", "1/4", "left"), note("longer_leg", "1/2", "right"), note("stoop", "1/4")]))
def test_the_order_of_notes_changes_no_line(notes):
    def sewn(plan):
        return sorted((each.code, str(each.amount.side), each.amount.length.mm) for each in plan.alterations)

    plain = planned(note("low_shoulder", "1/4", "left"), note("longer_leg", "1/2", "right"), note("stoop", "1/4"))
    assert sewn(plain) == sewn(planned(*notes))


def test_posture_tells_nothing_of_the_sizes_of_his_body():
    noted = SLIM.with_posture((note("stoop", "1/4"), note("longer_arm", "1", "left")))
    assert noted.belief is SLIM.belief


def test_trousers_alone_need_no_pad():
    body = SLIM.with_posture((note("low_shoulder", "1/4", "left"),))
    plan = advise(body, replace(QUESTION, garments=("trousers",), limit=1)).plans[0]
    assert {"trousers"} == {each.garment for each in plan.alterations}


@pytest.mark.parametrize(
    ("name", "amount", "side", "refusal"),
    [
        ("limp", "1/4", None, ("note_unknown", ("note",))),
        ("low_shoulder", "1/4", None, ("side_missing", ("side",))),
        ("longer_arm", "1/4", None, ("side_missing", ("side",))),
        ("longer_leg", "1/4", None, ("side_missing", ("side",))),
        ("stoop", "1/4", "left", ("side_not_taken", ("side",))),
        ("erect", "1/4", "right", ("side_not_taken", ("side",))),
        ("low_shoulder", "1 1/8", "left", ("note_beyond_cloth", ("amount",))),
        ("longer_arm", "2 1/8", "left", ("note_beyond_cloth", ("amount",))),
        ("stoop", "2 1/8", None, ("note_beyond_cloth", ("amount",))),
    ],
)
def test_a_note_that_cannot_be_is_refused_where_it_stands(name, amount, side, refusal):
    with pytest.raises(Refusal) as caught:
        note(name, amount, side)
    assert refusal == (caught.value.code, caught.value.at)


@pytest.mark.parametrize("name", NOTE_NAMES)
def test_every_kind_of_note_has_its_words_and_its_source(name):
    kind = kinds()[name]
    assert kind.words
    assert kind.look_at
    assert kind.source


def test_a_suit_that_wants_only_a_pad_is_altered_and_not_kept():
    body = MIDDLE.with_posture((note("low_shoulder", "1/4", "left"),))
    check = check_fit(body, QUESTION, Worn(REFERENCE, {"jacket": "42R"}), ())
    assert ["jacket_pad_one_shoulder"] == [each.code for each in check.keeping.alterations]
    assert "alter" == check.decision


def test_nothing_finer_than_an_eighth_is_sewn():
    for amount in ("1/16", "3/16"):
        for _, _, sewn in lines(planned(note("low_shoulder", amount, "left")), "jacket_pad_one_shoulder"):
            assert sewn in {0.125, 0.25}


def test_the_same_note_twice_is_refused():
    low = note("low_shoulder", "3/8", "left")
    with pytest.raises(Refusal) as refused:
        planned(low, low)
    assert ("note_repeated", ("posture", 1)) == (refused.value.code, refused.value.at)


def test_a_back_that_wants_cloth_has_none_to_spare():
    # Each is cured by the other's contrary (The Modern Tailor, Outfitter and Clothier, 1949, ch. XXII).
    with pytest.raises(Refusal) as refused:
        planned(note("stoop", "1/2"), note("erect", "1/4"))
    assert ("note_repeated", ("posture", 1)) == (refused.value.code, refused.value.at)


def test_of_two_arms_only_one_is_the_longer():
    with pytest.raises(Refusal):
        planned(note("longer_arm", "3/8", "left"), note("longer_arm", "1/4", "right"))

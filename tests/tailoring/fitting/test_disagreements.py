import pytest

from service.tailoring import tables
from service.tailoring.body.body import read_body
from service.tailoring.body.posture import PostureNote
from service.tailoring.fitting.disagreements import disagreements
from service.tailoring.fitting.evidence import Worn, tell
from service.tailoring.fitting.fit_points import fit_points, trade_table
from service.tailoring.fitting.sightings import Sighting, judge_sightings
from service.tailoring.garments.charts import GARMENTS, ChartHead, chart
from service.tailoring.quantities import Length, inches
from tests.tailoring.men import read

TABLE = trade_table()
# Hemmed legs: an uncut one says nothing.
HEMMED = chart(
    ChartHead("hemmed", "Reference block, hemmed", unfinished=False),
    [
        row | ({"inside_leg": "30"} if row["garment"] == "trousers" else {})
        for row in tables.rows("garments/reference_chart")
    ],
)
WORN = Worn(HEMMED, {"jacket": "40R", "trousers": "34", "waistcoat": "40R"})
STATURE = (read("stature", 1780),)


def looked(*sightings, readings=STATURE, posture=()):
    judged, notices = judge_sightings(sightings, frozenset(GARMENTS), TABLE)
    body = read_body(readings).with_posture(posture)
    return (*notices, *disagreements(TABLE, judged, tell(WORN, judged, TABLE), body))


def said(*sightings, **more):
    return [(each.code, each.at) for each in looked(*sightings, **more)]


def disagree(at, code="sightings_disagree"):
    return [(code, ("observations", at))]


def amount(point, size_in, side=None):
    return Sighting(point, amount_mm=inches(size_in), side=side)


def test_a_front_that_pulls_with_two_inches_to_spare_is_looked_at_again():
    (notice,) = looked(Sighting("front_closure", "pulls"), amount("front_closure", 2))
    assert ("sightings_disagree", ("observations", 0)) == (notice.code, notice.at)
    assert (
        "front at the fastening button: pulls, yet front at the fastening button: 2 in spare cloth: look again. "
        "The amount is counted."
    ) == notice.text
    assert (("against", "/observations/1"),) == notice.facts


def test_a_front_that_pulls_over_a_waist_with_ease_to_spare_is_looked_at_again():
    (notice,) = looked(Sighting("front_closure", "pulls"), amount("jacket_waist", 6))
    assert ("sightings_disagree", ("observations", 1)) == (notice.code, notice.at)
    assert "front at the fastening button: pulls, yet waist of the jacket: 6 in ease: look again." == notice.text
    assert (("against", "/observations/0"),) == notice.facts


@pytest.mark.parametrize(
    "pair",
    [
        (Sighting("jacket_vents", "gape"), Sighting("trouser_seat", "hangs_in_folds")),
        (Sighting("button_rays", "rays_up"), Sighting("jacket_chest", "hangs_in_folds")),
        (Sighting("lapel", "bows_away"), Sighting("jacket_chest", "hangs_in_folds")),
        (amount("trouser_seat", 5), Sighting("trouser_pockets", "flare", side="both")),
        (Sighting("length_class", "short_all_over"), Sighting("jacket_back_length", "hem_down_thigh")),
        (amount("trouser_rise", -1), amount("trouser_fork", 2)),
        (Sighting("below_collar", "rolls"), Sighting("shirt_collar", "stands_clear")),
        (Sighting("shirt_cuff", "no_linen", side="left"), Sighting("jacket_cuff", "wrist_bone_shows", side="both")),
    ],
    ids=lambda pair: " and ".join(each.point for each in pair),
)
def test_two_looks_that_cannot_be_one_man_are_named_in_either_order(pair):
    assert disagree(1) == said(*pair) == said(*pair[::-1])


@pytest.mark.parametrize(
    "together",
    [
        (Sighting("front_closure", "pulls"), amount("jacket_waist", 1.5), Sighting("button_rays", "rays_level")),
        (Sighting("jacket_vents", "gape"), Sighting("trouser_seat", "smiles_under_seat")),
        (Sighting("jacket_cuff", "wrist_bone_shows", side="left"), Sighting("shirt_cuff", "no_linen", side="right")),
        (
            Sighting("jacket_cuff", "wrist_bone_shows", side="left"),
            Sighting("jacket_cuff", "covers_thumb_root", side="right"),
        ),
        (Sighting("front_closure", "pulls"), Sighting("front_closure", amount_mm=0.0)),
        (amount("trouser_break", 0.5), amount("trouser_back_hem", 1.5)),
        tuple(Sighting(p.code, "right", side="both" if p.sides == "each" else None) for p in fit_points().values()),
    ],
    ids=lambda together: f"{len(together)} of {together[0].point} and {together[1].point}",
)
def test_looks_that_agree_or_lie_apart_are_not_named(together):
    assert [] == said(*together)


def test_sides_that_differ_do_not_contradict_each_other():
    assert [] == said(amount("jacket_cuff", 1, "left"), amount("jacket_cuff", -1, "right"))


def test_a_side_is_held_against_the_same_side_of_the_look():
    seen = (
        Sighting("sleeve_width", "baggy", side="both"),
        amount("sleeve_width", 1, "left"),
        amount("sleeve_width", 4, "right"),
    )
    assert disagree(0) == said(*seen)


def test_every_named_clash_is_of_points_and_verdicts_that_there_are():
    for row in tables.rows("fitting/clashing_sightings"):
        for point, verdict in ((row["point"], row["verdict"]), (row["other_point"], row["other_verdict"])):
            assert verdict in {look.verdict for look in TABLE.looks[point]}
        sides = {fit_points()[row[name]].sides for name in ("point", "other_point")}
        assert (row["same_side"] == "yes") == ("each" in sides)


def test_an_odd_shoulder_keeps_its_side_where_it_is_measured_and_named():
    measured = amount("shoulder_slope", 0.375, "left")
    judged, notices = judge_sightings(
        (measured, Sighting("shoulder_slope", "lower", side="left")), frozenset(GARMENTS), TABLE
    )
    assert ([("left", "lower")], ()) == ([(each.sighting.side, each.sighting.seen) for each in judged], notices)
    assert disagree(1) == said(measured, Sighting("shoulder_slope", "lower", side="right"))


def test_a_leg_that_breaks_more_is_held_against_the_breaks_of_both():
    breaks = (amount("trouser_break", 0, "left"), amount("trouser_break", 1, "right"))
    assert [] == said(*breaks, amount("leg_lengths", 1, "right"))
    assert disagree(2) == said(*breaks, amount("leg_lengths", 1, "left"))
    assert disagree(0) == said(amount("leg_lengths", 0.125, "right"), *breaks)


@pytest.mark.parametrize(
    ("note", "point", "agrees"),
    [("low_shoulder", "shoulder_slope", "left"), ("longer_leg", "leg_lengths", "right")],
)
def test_a_side_that_was_noted_otherwise_is_looked_at_again(note, point, agrees):
    # The longer leg breaks less: where the left is the longer, the right one breaks more.
    noted = (PostureNote(note, Length(inches(0.5), "in"), "left"),)
    differs = {"left": "right", "right": "left"}[agrees]
    assert [] == said(amount(point, 0.5, agrees), posture=noted)
    (notice,) = looked(amount(point, 0.5, differs), posture=noted)
    assert (("against", "/posture/0"),) == notice.facts

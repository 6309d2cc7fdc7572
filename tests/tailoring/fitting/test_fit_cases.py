"""Observation, verdict, cause and remedy: what the trade's tables say of each, written from them and not from answers.

The house standard's rows are common practice, no source; the others stand in the table of fit points with theirs.
"""

import pytest

from service.tailoring.fitting.diagnosis import diagnose
from service.tailoring.fitting.fit_points import trade_table
from service.tailoring.fitting.sighting_facts import facts_of
from service.tailoring.fitting.sightings import Sighting, judge_sightings
from service.tailoring.garments.charts import GARMENTS
from service.tailoring.quantities import inches

WORN = frozenset(GARMENTS)
RIGHT = "right"
LITTLE, MUCH = "too_little", "too_much"


def seen(point, what, side=None):
    amount = {"amount_mm": inches(what)} if isinstance(what, int | float) else {"seen": what}
    return Sighting(point, side=side, **amount)


# (what was seen, the first thing first), its verdict, the causes of which one is likeliest, what cures it first.
CASES = [
    # front at the fastening button: 1/2 in of spare cloth
    ([seen("front_closure", 0)], LITTLE, {"full_waist"}, "jacket_button_move"),
    ([seen("front_closure", "pulls")], LITTLE, {"full_waist"}, "jacket_button_move"),
    ([seen("front_closure", 2)], MUCH, {"slim_waist"}, "jacket_waist_in"),
    (
        [seen("front_closure", "boxy"), seen("jacket_chest", "hangs_in_folds"), seen("shoulder", "collapses", "both")],
        MUCH,
        {"jacket_too_large"},
        "jacket_waist_in",
    ),
    (
        [seen("jacket_chest", "binds"), seen("front_closure", "pulls"), seen("shoulder", "binds", "both")],
        LITTLE,
        {"jacket_too_small"},
        "one size larger",
    ),
    ([seen("jacket_waist", 1)], LITTLE, {"full_waist"}, "jacket_button_move"),
    ([seen("jacket_waist", 8)], MUCH, {"slim_waist"}, "jacket_waist_in"),
    # creases from the button: level the waist, down the hip, up the chest
    ([seen("button_rays", 3)], LITTLE, {"full_waist"}, "jacket_button_move"),
    ([seen("button_rays", "rays_level")], LITTLE, {"full_waist"}, "jacket_button_move"),
    ([seen("button_rays", "rays_down")], LITTLE, {"prominent_seat", "tight_skirt"}, "jacket_skirt_out"),
    ([seen("button_rays", "rays_up")], LITTLE, {"jacket_too_small", "full_chest"}, "one size larger"),
    (
        [seen("button_rays", "rays_level"), seen("jacket_waist", 4), seen("jacket_vents", RIGHT), seen("drop", 6)],
        LITTLE,
        {"button_set_in"},
        "jacket_button_move",
    ),
    # lapel: both sides the chest, low the waist, one side the shoulder, nothing else wrong the iron
    (
        [seen("lapel", "bows_away"), seen("jacket_chest", "binds")],
        LITTLE,
        {"jacket_too_small", "full_chest"},
        "one size",
    ),
    ([seen("lapel", "bows_low")], LITTLE, {"full_waist"}, "jacket_waist_out"),
    (
        [seen("lapel", "bows_away", "left"), seen("shoulder_slope", "lower", "left")],
        LITTLE,
        {("low_shoulder", "left")},
        "one size larger",
    ),
    (
        [
            seen("lapel", "bows_away"),
            seen("jacket_chest", RIGHT),
            seen("jacket_waist", RIGHT),
            seen("drop", 6),
            seen("shoulder", RIGHT, "both"),
            seen("front_closure", RIGHT),
            seen("button_rays", 0),
        ],
        LITTLE,
        {"lapel_badly_pressed"},
        "one size larger",
    ),
    # collar
    ([seen("collar_gap", 0.5)], MUCH, {"stoop", "long_collar"}, "another size or cut"),
    (
        [seen("collar_gap", "gapes"), seen("jacket_hem_level", "front_drops"), seen("across_back", "strains")],
        MUCH,
        {"stoop"},
        "another size or cut",
    ),
    (
        [
            seen("collar_gap", "gapes"),
            seen("jacket_hem_level", RIGHT),
            seen("across_back", RIGHT),
            seen("jacket_vents", RIGHT),
            seen("below_collar", RIGHT),
        ],
        MUCH,
        {"long_collar"},
        "another size or cut",
    ),
    ([seen("shirt_collar", 0)], LITTLE, {"high_collar", "low_shirt_collar"}, "look at the shirt collar first"),
    ([seen("shirt_collar", 1)], MUCH, {"low_collar", "high_shirt_collar"}, "look at the shirt collar first"),
    ([seen("below_collar", 0.5)], MUCH, {"erect", "square_shoulders"}, "jacket_press"),
    (
        [seen("below_collar", "rolls"), seen("jacket_hem_level", "front_kicks_up"), seen("across_back", "folds")],
        MUCH,
        {"erect"},
        "jacket_press",
    ),
    # shoulder: 1/4 in past the bone
    ([seen("shoulder", 1, "both")], MUCH, {"narrow_shoulders", "jacket_too_large"}, "one size smaller"),
    ([seen("shoulder", "binds", "both")], LITTLE, {"wide_shoulders", "jacket_too_small"}, "one size larger"),
    (
        [seen("sleeve_head", "dents", "both"), seen("shoulder", "collapses", "both")],
        MUCH,
        {"narrow_shoulders"},
        "another size or cut",
    ),
    (
        [seen("sleeve_head", 0.5, "both"), seen("shoulder", RIGHT, "both"), seen("sleeve_width", RIGHT, "both")],
        MUCH,
        {"slack_sleeve_head"},
        "another size or cut",
    ),
    ([seen("shoulder_slope", 0.5, "right")], MUCH, {("low_shoulder", "right")}, "jacket_pad_one_shoulder"),
    # chest and back: too little is always swapped
    ([seen("jacket_chest", 2)], LITTLE, {"jacket_too_small", "full_chest"}, "one size larger"),
    ([seen("jacket_chest", 8)], MUCH, {"jacket_too_large"}, "one size smaller"),
    ([seen("across_back", 0.25)], LITTLE, {"jacket_too_small", "broad_back", "stoop"}, "one size larger"),
    ([seen("across_back", 4)], MUCH, {"jacket_too_large", "erect"}, "jacket_centre_back_in"),
    # vents
    (
        [seen("jacket_vents", 1), seen("trouser_seat", "smiles_under_seat"), seen("button_rays", "rays_down")],
        LITTLE,
        {"prominent_seat"},
        "jacket_skirt_out",
    ),
    ([seen("jacket_vents", -1)], MUCH, {"loose_skirt", "jacket_too_large", "erect"}, "jacket_skirt_in"),
    # lengths: the class where body and sleeve agree, the arms where only the sleeve is off
    ([seen("jacket_half_height", -2)], LITTLE, {"jacket_class_short"}, "a longer length class"),
    ([seen("jacket_half_height", 2)], MUCH, {"jacket_class_long"}, "a shorter length class"),
    ([seen("jacket_back_length", "seat_shows")], LITTLE, {"jacket_class_short"}, "a longer length class"),
    ([seen("jacket_back_length", "hem_down_thigh")], MUCH, {"jacket_class_long"}, "a shorter length class"),
    (
        [seen("jacket_cuff", 1, "both"), seen("jacket_back_length", RIGHT), seen("shoulder", RIGHT, "both")],
        MUCH,
        {"short_arms"},
        "jacket_sleeve_shorten_at_cuff",
    ),
    (
        [seen("jacket_cuff", "wrist_bone_shows", "both"), seen("jacket_back_length", RIGHT)],
        LITTLE,
        {"long_arms"},
        "jacket_sleeve_lengthen_at_cuff",
    ),
    (
        [seen("jacket_cuff", "wrist_bone_shows", "both"), seen("jacket_back_length", "seat_shows")],
        LITTLE,
        {"jacket_class_short"},
        "jacket_sleeve_lengthen_at_cuff",
    ),
    (
        [
            seen("jacket_cuff", "wrist_bone_shows", "left"),
            seen("jacket_cuff", RIGHT, "right"),
            seen("shoulder_slope", RIGHT),
            seen("jacket_back_length", RIGHT),
        ],
        LITTLE,
        {("longer_arm", "left")},
        "jacket_sleeve_lengthen_at_cuff",
    ),
    ([seen("jacket_hem_level", "front_kicks_up")], LITTLE, {"erect", "short_front", "full_waist"}, "another cut"),
    ([seen("button_height", 2)], MUCH, {"button_low", "jacket_class_long"}, "a shorter length class"),
    # sleeve
    (
        [seen("shirt_cuff", "no_linen", "both"), seen("shirt_sleeve", "short", "both")],
        LITTLE,
        {"shirt_sleeve_short"},
        "look at the shirt sleeve first",
    ),
    ([seen("shirt_sleeve", 1, "both")], MUCH, {"shirt_sleeve_long"}, "shirt_cuff_button_move"),
    ([seen("sleeve_pitch", "folds_behind", "both")], MUCH, {"arms_forward", "stoop"}, "jacket_sleeve_pitch"),
    ([seen("sleeve_pitch", "folds_in_front", "both")], MUCH, {"arms_back", "erect"}, "jacket_sleeve_pitch"),
    ([seen("sleeve_width", 1, "both")], LITTLE, {"full_upper_arm", "jacket_too_small"}, "another cut"),
    ([seen("sleeve_width", 5, "both")], MUCH, {"full_sleeve", "jacket_too_large"}, "jacket_sleeve_narrow"),
    ([seen("armhole", 0, "both")], LITTLE, {"high_armhole", "jacket_too_small"}, "another cut or size"),
    # trousers: by the seat, then the waist
    ([seen("trouser_waist", 0), seen("trouser_seat", RIGHT)], LITTLE, {"band_small"}, "trouser_waist_out"),
    ([seen("trouser_waist", 2), seen("trouser_seat", RIGHT)], MUCH, {"band_large"}, "trouser_waist_in"),
    (
        [seen("trouser_seat", 6), seen("trouser_waist", "gapes"), seen("trouser_thigh", "flaps", "both")],
        MUCH,
        {"trousers_too_large"},
        "trouser_seat_in",
    ),
    (
        [seen("trouser_seat", 1), seen("trouser_waist", RIGHT), seen("jacket_vents", "gape")],
        LITTLE,
        {"prominent_seat"},
        "trouser_seat_out",
    ),
    (
        [
            seen("trouser_seat", "smiles_under_seat"),
            seen("trouser_waist", "band_cuts"),
            seen("trouser_thigh", "creases", "both"),
            seen("trouser_pockets", 0.5, "both"),
        ],
        LITTLE,
        {"trousers_too_small"},
        "trouser_seat_out",
    ),
    (
        [seen("trouser_pockets", 0.5, "both"), seen("trouser_seat", "smiles_under_seat")],
        LITTLE,
        {"prominent_seat", "trousers_too_small"},
        "trouser_seat_out",
    ),
    (
        [seen("trouser_pleats", 0.5, "both")],
        LITTLE,
        {"trousers_too_small", "prominent_seat", "full_thigh"},
        "one size larger",
    ),
    (
        [seen("trouser_fork_lines", "whiskers_in_front"), seen("trouser_thigh", 0.5, "both")],
        LITTLE,
        {"full_thigh"},
        "trouser_fork_out",
    ),
    ([seen("trouser_rise", -1)], LITTLE, {"short_rise"}, "trousers of a longer rise"),
    ([seen("trouser_rise", 1)], MUCH, {"long_rise"}, "trousers of a shorter rise"),
    ([seen("trouser_fork", 0)], LITTLE, {"short_rise", "small_fork"}, "trousers of another rise"),
    ([seen("trouser_thigh", 0.5, "both")], LITTLE, {"full_thigh"}, "trouser_thigh_out"),
    ([seen("trouser_thigh", 5, "both")], MUCH, {"lean_thigh"}, "trouser_thigh_in"),
    (
        [seen("trouser_below_seat", 2)],
        MUCH,
        {"flat_seat", "steep_seat_angle", "trousers_too_large"},
        "trouser_seat_in",
    ),
    ([seen("trouser_calf", 0.5, "both")], LITTLE, {"full_calf"}, "trouser_leg_out"),
    ([seen("trouser_leg_hang", -1, "both")], LITTLE, {"leg_swings_in"}, "trouser_leg_swing"),
    ([seen("trouser_leg_hang", 1, "both")], MUCH, {"leg_swings_out"}, "trouser_leg_swing"),
    ([seen("trouser_break", 1)], MUCH, {"leg_long"}, "trouser_hem"),
    ([seen("trouser_break", -1)], LITTLE, {"leg_short"}, "trouser_hem"),
    ([seen("trouser_back_hem", 0.5)], MUCH, {"leg_long"}, "trouser_hem"),
    ([seen("trouser_back_hem", 3.5)], LITTLE, {"leg_short"}, "trouser_hem"),
    ([seen("trouser_slant", -0.25)], LITTLE, {"hem_too_level"}, "trouser_hem_slant"),
    ([seen("leg_lengths", 0.5, "left")], MUCH, {("longer_leg", "right")}, "trouser_hem"),
    ([seen("crease", 18 / 2.54)], MUCH, {"crease_badly_pressed"}, "trouser_press"),
    # waistcoat
    ([seen("waistcoat_cover", 0)], LITTLE, {"trousers_worn_low", "waistcoat_short"}, "trousers worn higher"),
    ([seen("waistcoat_cover", 2)], MUCH, {"waistcoat_long"}, "a shorter length class"),
    ([seen("waistcoat_body", 0.5), seen("front_closure", RIGHT)], LITTLE, {"waistcoat_too_small"}, "strap let off"),
    ([seen("waistcoat_body", 5), seen("front_closure", RIGHT)], MUCH, {"waistcoat_too_large"}, "strap drawn in"),
    (
        [seen("waistcoat_edge", 0.5)],
        MUCH,
        {"waistcoat_neck_loose", "waistcoat_too_large", "sloping_shoulders"},
        "waistcoat_shoulder_up",
    ),
]


def name(sightings):
    words = [f"{one.point} {one.seen or round(one.amount_mm / 25.4, 2)} {one.side or ''}" for one in sightings]
    return ", ".join(words)


@pytest.mark.parametrize(("sightings", "verdict", "causes", "cure"), [pytest.param(*c, id=name(c[0])) for c in CASES])
def test_what_is_seen_has_its_verdict_its_cause_and_its_remedy(sightings, verdict, causes, cure):
    table = trade_table()
    judged, _ = judge_sightings(tuple(sightings), WORN, table)
    first = judged[0].judgement
    likeliest = diagnose(table, facts_of(table, judged), WORN).causes[0]
    suspect = likeliest.suspect
    found = (suspect.cause.code, suspect.side) if suspect.side else suspect.cause.code
    assert verdict == first.verdict
    assert found in causes
    assert first.remedies[0].startswith(cure)
    assert likeliest.remedies


def test_there_are_more_than_forty_cases_and_every_point_but_the_two_overall_looks_has_one():
    seen_first = {one.point for case in CASES for one in case[0][:1]}
    assert len(CASES) >= 40
    assert {"drop", "length_class", "jacket_front_length"} == set(trade_table().points) - seen_first

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.tailoring import tables
from service.tailoring.fitting.evidence import DROP, observation
from service.tailoring.fitting.fit_points import appearances, fit_points, held_band
from service.tailoring.fitting.sightings import Sighting, check_sighting, judge, residuals
from service.tailoring.garments.alterations import catalogue
from service.tailoring.garments.charts import GARMENTS
from service.tailoring.garments.places import places
from service.tailoring.quantities import inches
from service.tailoring.refusals import Refusal
from tests.tailoring.men import REFERENCE

POINTS = list(fit_points().values())
MEASURED = [point for point in POINTS if point.band]
ALL_WORN = frozenset(GARMENTS)
LOOKS = [
    pytest.param(point, look, id=f"{point.code} {look.name} {look.place}")
    for point in POINTS
    for look in appearances(point.code)
]


def sighting(point, **seen):
    return Sighting(point.code, side="left" if point.sides in ("each", "odd_one") else None, **seen)


def refused(seen, worn=ALL_WORN):
    with pytest.raises(Refusal) as caught:
        check_sighting(seen, worn)
    return caught.value.code, caught.value.at


def test_the_house_standards_points_are_all_there():
    assert {
        "front_closure",
        "lapel",
        "shoulder",
        "jacket_cuff",
        "jacket_front_length",
        "jacket_back_length",
        "trouser_waist",
        "trouser_break",
        "drop",
        "length_class",
        "crease",
    } <= set(fit_points())


@pytest.mark.parametrize("point", POINTS, ids=lambda point: point.code)
def test_every_point_has_its_right_look_its_words_and_its_source(point):
    assert "right" in {look.verdict for look in appearances(point.code)}
    assert "right" == appearances(point.code)[0].name
    assert point.words
    assert point.how
    assert point.source
    assert point.garment in GARMENTS


@pytest.mark.parametrize(("point", "look"), LOOKS)
def test_every_look_speaks_of_a_place_that_exists_and_names_its_source(point, look):
    known = {place.name for place in places(point.garment)} | {"drop"}
    assert look.place in known or (look.place == "" and look.residual_mm is None)
    assert (look.residual_mm is None) == (look.sd_mm == 0)
    assert look.source


@pytest.mark.parametrize(("point", "look"), LOOKS)
def test_what_is_wrong_has_its_causes_and_its_remedies_and_what_is_right_has_none(point, look):
    assert (look.verdict != "right") == bool(look.causes) == bool(look.remedies)
    for remedy in look.remedies:
        code = remedy.split()[0].rstrip(":")
        assert code in catalogue() or "_" not in code


def test_every_look_belongs_to_a_point_and_every_place_of_a_point_exists():
    assert {row["point"] for row in tables.rows("fitting/appearances")} == set(fit_points())
    for point in POINTS:
        assert point.place == "" or point.place in {place.name for place in places(point.garment)}


@pytest.mark.parametrize("point", MEASURED, ids=lambda point: point.code)
def test_its_bands_lie_within_each_other(point):
    (ok_low, ok_high), (watch_low, watch_high) = point.band.ok_mm, point.band.watch_mm
    assert watch_low <= ok_low <= point.band.right_mm <= ok_high <= watch_high


@pytest.mark.parametrize("point", POINTS, ids=lambda point: point.code)
def test_every_verdict_can_be_reached_by_a_look(point):
    verdicts = {judge(point, sighting(point, seen=look.name)).verdict for look in appearances(point.code)}
    # Some fail in one way only: a gap, a fold or a difference is there or not.
    gapes, folds = {"right", "too_little"}, {"right", "too_much"}
    one_way = dict.fromkeys(("lapel", "button_rays", "trouser_pockets", "trouser_pleats", "trouser_fork_lines"), gapes)
    one_way |= dict.fromkeys(
        ("collar_gap", "waistcoat_edge", "below_collar", "sleeve_head", "sleeve_pitch", "trouser_below_seat"), folds
    )
    one_way |= dict.fromkeys(("shoulder_slope", "leg_lengths"), folds)
    assert one_way.get(point.code, {"right", "too_much", "too_little"}) == verdicts


@pytest.mark.parametrize("point", MEASURED, ids=lambda point: point.code)
def test_an_amount_is_judged_against_the_band(point):
    low, high = point.band.ok_mm
    names = {look.verdict for look in appearances(point.code)}
    # A gap is wide where the garment has too little cloth.
    less, more = ("too_much", "too_little") if point.more_is_tighter else ("too_little", "too_much")
    for amount, verdict in ((low - 1, less), (low, "right"), (high, "right"), (high + 1, more)):
        if verdict in names:
            assert verdict == judge(point, sighting(point, amount_mm=amount)).verdict


@pytest.mark.parametrize("code", ["lapel", "collar_gap"])
def test_a_gap_is_never_short(code):
    # An amount for which the point has no look is refused, not guessed at.
    assert ("amount_not_read_here", ()) == refused(Sighting(code, amount_mm=-5.0))
    assert fit_points()[code] is check_sighting(Sighting(code, amount_mm=0.0), ALL_WORN)


@pytest.mark.parametrize(
    ("code", "amount_in", "verdict", "watch"),
    [
        # House standard, common practice, no source; the watch bands: common practice, no source.
        ("front_closure", 0.5, "right", False),
        ("front_closure", 0, "too_little", True),
        ("front_closure", 1.25, "too_much", True),
        ("front_closure", 2, "too_much", False),
        ("shoulder", 0.25, "right", False),
        ("shoulder", 0.5, "too_much", True),
        ("shoulder", -0.25, "too_little", False),
        ("jacket_cuff", 0, "right", False),
        ("jacket_cuff", 0.75, "too_much", False),
        ("jacket_front_length", 0, "right", False),
        ("jacket_back_length", -1, "too_little", False),
        ("trouser_waist", 0.5, "right", False),
        ("trouser_waist", 1.25, "too_much", True),
        ("trouser_break", 0, "right", False),
        ("trouser_break", 1, "too_much", False),
        ("drop", 6, "right", False),
        ("drop", 3, "too_little", False),
        ("crease", 6, "right", False),
        # A slip often heard: 18 cm for 6 in.
        ("crease", 18 / 2.54, "too_much", True),
    ],
)
def test_the_house_standard_judges(code, amount_in, verdict, watch):
    point = fit_points()[code]
    judged = judge(point, sighting(point, amount_mm=inches(amount_in)))
    assert (verdict, watch) == (judged.verdict, judged.watch)


@given(st.sampled_from([point for point in MEASURED if point.factor]), st.floats(-100, 200))
def test_an_amount_says_how_far_the_garment_is_from_right(point, amount_mm):
    ((place, residual_mm, sd_mm),) = residuals(point, sighting(point, amount_mm=amount_mm))
    assert (point.place or point.code) == place
    assert point.factor * (amount_mm - point.zero_mm) == pytest.approx(residual_mm)
    assert sd_mm > 0


def test_both_shoulders_make_the_width():
    # Room past the bone is read on one side; the garment's shoulder is both.
    ((_, residual_mm, _),) = residuals(fit_points()["shoulder"], Sighting("shoulder", amount_mm=inches(0.5)))
    assert inches(0.5) == pytest.approx(residual_mm)


@pytest.mark.parametrize("point", [point for point in POINTS if held_band(point)], ids=lambda point: point.code)
def test_the_band_that_a_seen_place_is_held_to_is_where_the_amount_is_right(point):
    # Half of an eighth wider on both sides: nobody sews finer.
    # A gap grows as the cloth grows less: its widest is the lowest residual.
    amounts = sorted(point.band.ok_mm, reverse=point.factor < 0)
    for edge_mm, amount_mm, wider in zip(held_band(point), amounts, (-1, 1), strict=True):
        ((_, residual_mm, _),) = residuals(point, sighting(point, amount_mm=amount_mm))
        assert edge_mm == pytest.approx(residual_mm + wider * 25.4 / 16)


def test_what_is_judged_by_eye_alone_says_nothing_of_the_body():
    for code in ("collar_gap", "crease", "shirt_cuff"):
        point = fit_points()[code]
        for look in appearances(code):
            assert [] == residuals(point, sighting(point, seen=look.name))
        assert held_band(point) is None


def test_a_residual_on_a_worn_size_is_evidence_on_the_body():
    size = REFERENCE.size("jacket", "40R")
    seen = observation("jacket", size, "chest", inches(1), inches(0.3))
    # 44 in of chest, 4 in of usual ease, 1 in too much: the man is 39.
    assert ("chest_girth", pytest.approx(inches(39)), pytest.approx(inches(0.3))) == (
        seen.dimension,
        seen.size,
        seen.sd,
    )


def test_half_the_nape_height_is_read_from_the_length_of_the_jacket():
    seen = observation("jacket", REFERENCE.size("jacket", "40R"), "back_length", inches(1), inches(0.3))
    assert (pytest.approx(inches(58)), pytest.approx(inches(0.6))) == (seen.size, seen.sd)


def test_a_place_that_the_chart_does_not_give_tells_nothing():
    assert observation("jacket", REFERENCE.size("jacket", "40R"), "back_width", 0.0, 1.0) is None


def test_the_drop_is_evidence_on_the_difference_of_two_girths():
    seen = observation("trousers", REFERENCE.size("trousers", "30"), "drop", -inches(2), inches(0.5))
    assert (DROP, pytest.approx(inches(4))) == (seen.weights, seen.size)


@pytest.mark.parametrize(
    ("seen", "worn", "code", "at"),
    [
        (Sighting("elbow", "right"), ALL_WORN, "fit_point_unknown", ("point",)),
        (Sighting("trouser_waist", "right"), frozenset({"jacket"}), "point_not_worn", ("point",)),
        (Sighting("lapel", "sings"), ALL_WORN, "seen_unknown", ("seen",)),
        (Sighting("length_class", amount_mm=10), ALL_WORN, "amount_not_read_here", ()),
        (Sighting("shoulder", "right"), ALL_WORN, "side_missing", ("side",)),
        (Sighting("shoulder_slope", "lower"), ALL_WORN, "side_missing", ("side",)),
        (Sighting("leg_lengths", "breaks_more", side="both"), ALL_WORN, "side_missing", ("side",)),
        (Sighting("jacket_chest", "right", side="left"), ALL_WORN, "side_not_taken", ("side",)),
    ],
    ids=lambda part: part if isinstance(part, str) else part.point if isinstance(part, Sighting) else "",
)
def test_what_cannot_have_been_seen_is_refused(seen, worn, code, at):
    assert (code, at) == refused(seen, worn)


@pytest.mark.parametrize("point", POINTS, ids=lambda point: point.code)
def test_every_look_of_every_point_may_be_sighted(point):
    for look in appearances(point.code):
        assert point is check_sighting(sighting(point, seen=look.name), ALL_WORN)

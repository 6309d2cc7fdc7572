"""What a fitter's word does to a decision, whatever else is known: properties over made-up fittings."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.tailoring.body.body import read_body
from service.tailoring.fitting.fit_points import fit_points
from service.tailoring.fitting.sightings import Sighting
from service.tailoring.quantities import inches
from tests.tailoring.fitting.worn_suits import JACKET, SUIT, WAISTS, checked, man
from tests.tailoring.men import read

B = read_body(
    (read("chest_girth", inches(40)), read("trouser_waist_girth", inches(34)), read("stature", 1780)),
)
WORN = SUIT
# Points that are measured, and how the amount of each grows worse.
GROWS = {
    "front_closure": (range(7, 17), None),
    "trouser_waist": (range(9, 29), None),
    "jacket_cuff": (range(3, 9), "both"),
    "trouser_thigh": (range(25, 33), "both"),
}
RIGHT = [each for each in fit_points().values() if each.garment in WORN and each.code not in ("drop", "length_class")]


def seen(code, eighths, side):
    return Sighting(code, amount_mm=inches(eighths / 8), side=side)


def sewn(answer):
    return {
        (each.code, each.amount.side if each.amount else None): each.amount.length.mm if each.amount else 0.0
        for each in answer.keeping.alterations
        if each.seen and each.code != "trouser_hem"
    }


@settings(max_examples=25, deadline=None)
@given(st.sampled_from(sorted(GROWS)), st.data())
def test_a_larger_amount_seen_never_gives_a_smaller_alteration(code, data):
    amounts, side = GROWS[code]
    less, more = sorted(data.draw(st.lists(st.sampled_from(amounts), min_size=2, max_size=2, unique=True)))
    small, large = (sewn(checked(B, seen(code, eighths, side))) for eighths in (less, more))
    for line, amount_mm in small.items():
        assert large.get(line, 0.0) >= amount_mm - 0.001


@settings(max_examples=25, deadline=None)
@given(st.sampled_from(sorted(GROWS)), st.sampled_from(RIGHT), st.data())
def test_a_point_that_is_right_never_adds_work(code, point, data):
    amounts, side = GROWS[code]
    if point.code == code:
        return
    wrong = seen(code, data.draw(st.sampled_from(amounts)), side)
    right = Sighting(point.code, "right", side="both" if point.sides == "each" else None)
    alone, with_it = (sewn(checked(B, *sightings)) for sightings in ((wrong,), (wrong, right)))
    for line, amount_mm in with_it.items():
        assert alone.get(line, 0.0) >= amount_mm - 0.001


@pytest.mark.parametrize("unread", [WAISTS, (*WAISTS, "hip_girth")], ids=len)
def test_where_nobody_said_how_much_it_is_to_be_measured_and_no_size_is_said_to_be_wrong(unread):
    # A front that pulls is let out as far as it goes; that no jacket serves was said beside it, from the look alone.
    pulls = checked(man(*unread), Sighting("front_closure", "pulls"), worn=JACKET)
    assert ("alter", "no") == (pulls.decision, pulls.serves.serves)
    (notice,) = pulls.notices
    assert "amount_not_measured" == notice.code
    assert (
        "jacket, waist: what is sewn may not be enough. Measure it on the customer, or try 42R of hemmed."
        == notice.text
    )


def test_what_nobody_looked_at_on_the_worn_jacket_is_estimated_and_no_fault_of_the_size():
    gapes = checked(man(*WAISTS, "hip_girth"), Sighting("jacket_vents", "gape"), worn=JACKET)
    assert {"amount_not_measured"} == {each.code for each in gapes.notices}
    assert any("jacket, waist: estimated, and it may be more" in each.text for each in gapes.notices)


def test_what_was_measured_beyond_every_cure_is_said_to_be_so():
    # The waist was taped: how much is known, and the look is taken at its word.
    boxy = checked(man(), Sighting("front_closure", "boxy"), worn=JACKET)
    assert {"no_size_serves", "misfit_remains"} < {each.code for each in boxy.notices}

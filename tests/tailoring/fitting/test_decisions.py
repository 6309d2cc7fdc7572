"""What a fitter's word does to a decision, whatever else is known: properties over made-up fittings."""

from hypothesis import given, settings
from hypothesis import strategies as st

from service.tailoring.body.body import read_body
from service.tailoring.fitting.fit_points import fit_points
from service.tailoring.fitting.sightings import Sighting
from service.tailoring.quantities import inches
from tests.tailoring.fitting.worn_suits import SUIT, checked
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

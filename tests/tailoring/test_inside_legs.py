import numpy as np
import pytest

from service.tailoring.body import read_body
from service.tailoring.hems import Hem
from service.tailoring.inside_legs import DIMENSION, inside_leg_of, interval, which_serve
from service.tailoring.population import men
from service.tailoring.posture import PostureNote
from service.tailoring.quantities import Length, inches
from tests.tailoring.men import man, read

MEN = 600


def test_a_taped_leg_is_itself():
    found = inside_leg_of(read_body((read(DIMENSION, 800),)))
    assert found.read
    assert 800 == pytest.approx(found.mm, abs=3)
    assert found.sd_mm <= 5


def test_height_and_weight_tell_a_leg_with_a_wide_interval():
    found = inside_leg_of(read_body((read("stature", 1780), read("body_mass", 76)), 34))
    low, high = interval(found.mm, found.sd_mm)
    assert not found.read
    assert low < found.mm < high
    assert high - low > inches(1)


def test_nothing_known_tells_no_leg():
    assert inside_leg_of(read_body(())) is None
    assert inside_leg_of(read_body((), 34)) is None
    # Beyond the men surveyed nothing is predicted.
    assert inside_leg_of(read_body((read("stature", 2100),))) is None


def test_a_longer_leg_that_was_noted_stands_on_its_own_side():
    body = read_body((read(DIMENSION, 800),)).with_posture((PostureNote("longer_leg", Length(12.0), "left"),))
    assert (-6, 6) == inside_leg_of(body).aside_mm


def test_four_men_in_five_lie_in_the_interval():
    # Drawn from the survey's own covariance; what is not read is widened for civilians, so a little more than 80 %.
    draws = np.random.default_rng(7).standard_normal((MEN, len(men().names)))
    inside = []
    for normals in draws:
        sizes = man(normals)
        if not 1580 <= sizes["stature"] <= 1940 or not 55 <= sizes["body_mass"] <= 128:
            continue
        body = read_body((read("stature", sizes["stature"]), read("body_mass", sizes["body_mass"])))
        if body.outside:
            continue
        found = inside_leg_of(body)
        low, high = interval(found.mm, found.sd_mm)
        inside.append(low <= sizes[DIMENSION] <= high)
    assert len(inside) > MEN / 2
    assert 0.77 <= np.mean(inside) <= 0.92


def test_which_legs_as_sold_serve_is_counted_from_their_cloth():
    # By hand: 31 1/2 finished and 2 in inside need 33 1/2; a 31 keeps 1 1/2 inside, 32 1/2 in all.
    found = which_serve((Length(inches(31.5), "in"),), Hem())
    serves = {each.sold.name: each.serves for each in found}
    assert {
        "unfinished_short": True,
        "unfinished_regular": True,
        "unfinished_long": True,
        "hemmed_29": False,
        "hemmed_31": False,
        "hemmed_33": True,
    } == serves
    assert inches(2.5) == pytest.approx(next(each.left_over.mm for each in found if each.sold.name.endswith("regular")))

import numpy as np
import pytest

from service.tailoring.body.body import read_body
from service.tailoring.body.population import men
from service.tailoring.body.posture import PostureNote
from service.tailoring.body.readings import dimensions
from service.tailoring.hems.hems import Hem
from service.tailoring.hems.inside_legs import DIMENSION, SHARES, inside_leg_of, interval, which_serve
from service.tailoring.quantities import Length, inches
from tests.bench.simulated_men import any_men, in_mm
from tests.tailoring.men import read

MEN = 1500


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


@pytest.mark.lengthy
@pytest.mark.parametrize(
    "taped", [("stature",), ("stature", "body_mass"), ("chest_girth", "waist_girth")], ids="_".join
)
def test_legs_of_drawn_men_lie_in_their_intervals_as_often_as_said(taped):
    # Men of all ages, taped with the error of trained staff.
    model, random = men(), np.random.default_rng(7)
    at, leg = [model.names.index(name) for name in taped], model.names.index(DIMENSION)
    inside = {share: [] for share in SHARES}
    for drawn in in_mm(any_men(random, MEN)):
        truth, sizes = float(drawn[leg]), [float(drawn[i]) for i in at]
        errors = [random.normal(0, dimensions()[name].error_sd) for name in taped]
        body = read_body(tuple(read(name, size + off) for name, size, off in zip(taped, sizes, errors, strict=True)))
        found = inside_leg_of(body)
        if found is None:
            continue  # beyond the men surveyed
        for share in SHARES:
            low, high = interval(found.mm, found.sd_mm, share)
            inside[share].append(low <= truth <= high)
    for share, held in inside.items():
        assert len(held) > MEN * 0.8
        assert share == pytest.approx(np.mean(held), abs=0.03)


def test_an_interval_holds_its_share_of_a_normal():
    # The normal's own figures: 1.2816 and 1.9600 SDs.
    assert (787.184, 812.816) == pytest.approx(interval(800, 10), abs=0.001)
    assert (780.4, 819.6) == pytest.approx(interval(800, 10, 0.95), abs=0.001)


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
